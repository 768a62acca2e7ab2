"""What a sentence shows of itself to the weights: stems, pairs, pieces of words, concepts."""
from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping, Sequence

from guide.language.wording import stem, tokens

PIECE = 4
"""Letters in a piece of a word; pieces of 3 to 5 letters together tell no more and cost three times as much."""
PIECE_WEIGHT = 0.4
NEGATIONS = frozenset("not no never nobody none nothing without nowt neither nor cannot hardly no-one noone".split())


class Lexicon:
    """Concepts by the words they go by; phrases of up to four words are found longest first.

    `forms` maps the stems of a word or phrase, with blanks between, to the concepts that it names.
    """

    def __init__(self, forms: Mapping[str, Sequence[str]]) -> None:
        self.forms = forms
        self._longest = max((form.count(" ") + 1 for form in forms), default=0)

    @classmethod
    def of(cls, concepts: Mapping[str, Iterable[str]]) -> Lexicon:
        """From the words that each concept goes by, as they are written."""
        found: dict[str, list[str]] = {}
        for concept, forms in concepts.items():
            for form in forms:
                key = " ".join(stem(t) for t in tokens(form))
                if key:
                    found.setdefault(key, []).append(concept)
        return cls(found)

    def concepts(self, stems: list[str]) -> list[str]:
        """The concepts named in a sentence, in order, each as often as it is named."""
        found: list[str] = []
        at = 0
        while at < len(stems):
            for size in range(min(self._longest, len(stems) - at), 0, -1):
                hit = self.forms.get(" ".join(stems[at:at + size]))
                if hit:
                    found.extend(hit)
                    at += size - 1
                    break
            at += 1
        return found


def features(words: list[str], lexicon: Lexicon) -> dict[str, float]:
    """Feature → weight. Prefixes tell kinds apart: w word, b pair, c piece of a word, k concept, n under a negation."""
    stems = [stem(w) for w in words]
    found: dict[str, float] = {}
    for s in stems:
        found["w" + s] = 1.0
    for one, two in zip(["^", *stems], [*stems, "$"]):
        found[f"b{one} {two}"] = 0.7
    for one, two in zip(stems, stems[2:]):
        found[f"s{one} {two}"] = 0.4
    for word in words:
        padded = f"^{word}$"
        for at in range(len(padded) - PIECE + 1):
            found["c" + padded[at:at + PIECE]] = PIECE_WEIGHT
    named = lexicon.concepts(stems)
    for concept in named:
        found["k" + concept] = 0.5
    for one, two in itertools.pairwise(named):
        found[f"j{one} {two}"] = 0.25
    negated = False
    for word, s in zip(words, stems):
        if negated:
            found["n" + s] = 0.5
        negated = negated or word in NEGATIONS
    norm = sum(v * v for v in found.values()) ** 0.5 or 1.0
    return {name: value / norm for name, value in found.items()}
