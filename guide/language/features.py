"""What a sentence shows of itself to the weights: stems, pairs, pieces of words, concepts."""
from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping
from functools import cached_property, lru_cache

from guide.language.wording import stem, tokens

PIECE = 4
"""Letters in a piece of a word; pieces of 3 to 5 letters together tell no more and cost three times as much."""
LEAST_PIECED = 6
"""Letters of a word from which it shows its pieces: on six voices left out those of shorter words tell nothing, and cost a quarter of the time."""
UNIT = 20
"""Weights of features are whole twentieths, so that sums of them are exact in whatever order they are made."""
PIECE_WEIGHT = 8
CONTEXT, CONTEXT_WEIGHT = "x", 10
"""Prefix and weight of the one feature that is no part of a sentence: the topic that was spoken of before it."""
NEGATIONS = frozenset("not no never nobody none nothing without nowt neither nor cannot hardly no-one noone".split())


class Lexicon:
    """Concepts by the words they go by; phrases of up to four words are found longest first.

    `forms` maps the stems of a word or phrase, with blanks between, to the concepts that it names, with blanks between as well.
    """

    def __init__(self, forms: Mapping[str, str]) -> None:
        self.forms = forms

    @cached_property
    def _most(self) -> Mapping[str, int]:
        """Word → how many words the longest form has that begins with it: most words of a sentence begin none."""
        found: dict[str, int] = {}
        for form in self.forms:
            word, _, rest = form.partition(" ")
            size = rest.count(" ") + 2 if rest else 1
            if size > found.get(word, 0):
                found[word] = size
        return found

    @classmethod
    def of(cls, concepts: Mapping[str, Iterable[str]]) -> Lexicon:
        """From the words that each concept goes by, as they are written."""
        found: dict[str, list[str]] = {}
        for concept, forms in concepts.items():
            for form in forms:
                key = " ".join(stem(t) for t in tokens(form))
                if key:
                    found.setdefault(key, []).append(concept)
        return cls({form: " ".join(named) for form, named in found.items()})

    def concepts(self, stems: list[str]) -> list[str]:
        """The concepts named in a sentence, in order, each as often as it is named."""
        found: list[str] = []
        past, most = 0, self._most
        for at, word in enumerate(stems):
            for size in range(most[word], 0, -1) if at >= past and word in most else ():
                hit = self.forms.get(" ".join(stems[at:at + size]))
                if hit:
                    found.extend(hit.split())
                    past = at + size
                    break
        return found


def features(words: list[str], lexicon: Lexicon) -> dict[str, float]:
    """Feature → weight, all of length 1 together, to learn from."""
    return unit_length(weighed(words, lexicon))


def in_context(found: Mapping[str, float], topic: str) -> dict[str, float]:
    """Features of a sentence, of length 1, with that of the topic that was spoken of before it."""
    return {**found, CONTEXT + topic: CONTEXT_WEIGHT / UNIT}


def unit_length(found: Mapping[str, int]) -> dict[str, float]:
    """Features in twentieths as numbers, of length 1 together."""
    size = length(found)
    return {name: value / UNIT / size for name, value in found.items()}


def length(found: Mapping[str, int]) -> float:
    """The length of the features taken as a vector; 1 for none."""
    return sum(value * value for value in found.values()) ** 0.5 / UNIT or 1.0


def weighed(words: list[str], lexicon: Lexicon) -> dict[str, int]:
    """Feature → weight in twentieths. Prefixes tell kinds apart: w word, b pair, c piece of a word, k concept, n under a negation."""
    stems = [stem(w) for w in words]
    found: dict[str, int] = {}
    for word in words:
        found.update(_of_word(word))
    for one, two in zip(["^", *stems], [*stems, "$"]):
        found[f"b{one} {two}"] = 14
    for one, two in zip(stems, stems[2:]):
        found[f"s{one} {two}"] = 8
    named = lexicon.concepts(stems)
    for concept in named:
        found["k" + concept] = 10
    for one, two in itertools.pairwise(named):
        found[f"j{one} {two}"] = 5
    negated = False
    for word, s in zip(words, stems):
        if negated:
            found["n" + s] = 10
        negated = negated or word in NEGATIONS
    return found


@lru_cache(maxsize=4096)
def _of_word(word: str) -> Mapping[str, int]:
    """What a word shows by itself; kept, as people use the same words again and again."""
    found = {"w" + stem(word): UNIT}
    if len(word) >= LEAST_PIECED:
        padded = f"^{word}$"
        found.update({"c" + padded[at:at + PIECE]: PIECE_WEIGHT for at in range(len(padded) - PIECE + 1)})
    return found
