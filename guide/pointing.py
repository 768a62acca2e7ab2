"""Which of the steps of a topic a sentence points at: `can I light a candle` is answered first by the step that speaks of flames and candles."""
from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Sequence
from functools import lru_cache

from guide.knowledge.records import Step
from guide.language.wording import plain_tokens, stem, tokens

PLAIN = 1.0
"""What the words must come to that point at a step: one word that no other of the topic has, or several that few have."""
COMMON = 0.4
"""What a word that any sentence may have comes to, where no other word is in any step: several together point as well, `who goes up first`."""
TOLD = 2.0
"""What the words of a report must come to: what is done about it comes before how it shows."""
AT_ONCE = ("emergency", "immediate")
"""Bands of steps that are done at once."""
AHEAD = 0.5
"""How far that must lead the step that stands first: a procedure is told from its beginning on."""


def pointed_at_first(text: str, steps: Sequence[Step], common: Collection[str], presses: Callable[[Step], bool], *, told: bool = False) -> list[Step]:
    """The steps of a topic in their order, with the one first that a text points at by words of its own; those that press stay where they are, and before what
    is `told` those to be done at once as well. `common`: words that point at nothing by themselves."""
    words = tokens(text)
    asked, telling = frozenset(map(stem, words)), frozenset(stem(word) for word in words if word not in common)
    said = [asked & _stems(step.say) for step in steps]
    worth = COMMON
    if any(not telling.isdisjoint(each) for each in said):
        said, worth = [each & telling for each in said], 1.0
    shared = Counter(word for words in said for word in words)
    points = [sum(worth / shared[word] for word in words) for words in said]
    best = max(range(len(steps)), key=lambda at: (points[at], sum(map(len, said[at]))), default=0)  # long words are rarer
    start = next((at for at, step in enumerate(steps) if not presses(step) and not (told and step.band in AT_ONCE)), len(steps))
    if best <= start or points[best] < (TOLD if told else PLAIN) or points[best] < points[start] + AHEAD:
        return list(steps)
    return [*steps[:start], steps[best], *steps[start:best], *steps[best + 1:]]


@lru_cache(maxsize=1024)
def _stems(say: str) -> frozenset[str]:
    """The stems of a step, which is well written. Kept, as those of the knowledge are asked for again and again."""
    return frozenset(map(stem, plain_tokens(say)))
