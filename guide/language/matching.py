"""Sentence → ranked labels, each with the evidence for it. The one home of rapidfuzz."""
from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import NamedTuple

from guide.language.clauses import mask_amounts
from guide.language.features import CONTEXT, CONTEXT_WEIGHT, weighed
from guide.language.numbers import NUMBER_WORDS
from guide.language.orders import made_behind_a_name
from guide.language.weights import Learned, Scored, Shown, Together
from guide.language.wording import respelt, stem
from guide.patterns import pattern

_SHARPNESS = 3.0
_NAME = pattern(r"\b[A-Z][a-z]{2,}\b(?!')|\b[A-Z][a-z]{2,}(?='s\b)")
_CRIED = pattern(r"^([A-Z]{3,})\b(?=(?:\W+(\w+))?)")
"""The name with which a cry may begin: `ROSS, GET IN`."""
LONG_WORD, NEARLY = 6, 0.85
SPELT = 0.79
"""Likeness from which an unknown word is a number, a unit or a counted thing misspelt."""


class Candidate(NamedTuple):
    """A label with its evidence; above 0 speaks for it."""

    label: str
    evidence: float


def shares(candidates: Sequence[Candidate]) -> list[float]:
    """How likely each is among these, 0 to 1; together 1."""
    top = max((c.evidence for c in candidates), default=0.0)
    found = [math.exp(_SHARPNESS * (c.evidence - top)) for c in candidates]
    return [each / sum(found) for each in found]


def nearest(word: str, vocabulary: Sequence[str], likeness: float = 0.74) -> str:
    """The word of a vocabulary that is most like a misspelt one and begins as it does; nothing where none is like it."""
    from rapidfuzz import process
    from rapidfuzz.distance import DamerauLevenshtein
    hit = process.extractOne(word, vocabulary, scorer=DamerauLevenshtein.normalized_similarity, score_cutoff=likeness)
    return hit[0] if hit and hit[0][0] == word[0] else ""


def alike(text: str, others: Sequence[str], likeness: float) -> list[tuple[int, float]]:
    """The numbers of the texts whose words, in any order, are at least so like those of one, with how like, from 0 to 100."""
    from rapidfuzz import fuzz, process
    found = process.extract(text, others, scorer=fuzz.token_sort_ratio, score_cutoff=likeness, limit=None)
    return [(at, score) for _, score, at in found]


class Matcher:
    """Looks sentences up in the learned evidence; spelling of unknown words is mended first."""

    def __init__(self, learned: Learned) -> None:
        self._models, self.lexicon, self.clues, self.tells = learned.models, learned.lexicon, learned.clues, learned.tells
        self._together = Together(self._models)
        self._vocabulary: dict[str, list[str]] = {}
        """Words of the bank by their first letter, which a misspelt word keeps."""
        self._mend = lru_cache(maxsize=4096)(self._mended)
        self._features = lru_cache(maxsize=256)(self._shown)
        self._kept = lru_cache(maxsize=256)(self._scored)
        self._kept_alone = lru_cache(maxsize=256)(self._scored_alone)
        self._contexts = lru_cache(maxsize=256)(self._context)

    def _mended(self, word: str) -> str:
        root = stem(word)
        return word if len(root) < 4 or self._knows(root) or not root.isalpha() else self._alike(root) or word

    def _knows(self, root: str) -> bool:
        return self._models["topics"].knows("w" + root)

    def _alike(self, root: str, likeness: float = 0.74) -> str:
        """The word of the bank that a misspelt one is most like; nothing where none is."""
        if not self._vocabulary:
            for name in self._models["topics"].words():
                if len(name) > 3:
                    self._vocabulary.setdefault(name[0], []).append(name)
        return nearest(root, self._vocabulary.get(root[:1], []), likeness)

    def mended(self, word: str, more: Mapping[str, Sequence[str]]) -> str:
        """A word as one of these, which stand by their first letter, where it is misspelt; itself where the bank or they have it."""
        alike = more.get(word[:1], ())
        if len(word) < 4 or word in alike or not word.isalpha():
            return word
        if not self._knows(stem(word)):
            return nearest(word, [other for others in more.values() for other in others], SPELT) or word
        near = [other for other in alike if len(word) >= LONG_WORD and abs(len(word) - len(other)) < 2 and len(set(word) ^ set(other)) < 2]
        return near and nearest(word, near, NEARLY) or word  # the bank has misspellings too

    def without_names(self, text: str) -> str:
        """The text with `Somebody` for each name that the bank has never seen, or it would be taken for a word misspelt: `Rasa is in the water`."""
        if text.islower():
            return text
        return _CRIED.sub(self._called, text) if text.isupper() else _NAME.sub(self._somebody, text)

    def _called(self, found: re.Match[str]) -> str:
        return "Somebody" if made_behind_a_name(found[2]) else self._somebody(found)

    def _somebody(self, found: re.Match[str]) -> str:
        word = found[0].lower()
        root = stem(word)
        return found[0] if word in NUMBER_WORDS or respelt(word) or self._knows(root) or self._alike(root, SPELT) else "Somebody"

    def may_be_name(self, word: str) -> bool:
        """Whether a word, with a capital, may be somebody's name: the lexicon has no concept for it, as it has for `Dressing`."""
        return not self.lexicon.concepts([stem(word.lower())])

    def shown(self, text: str) -> Shown | None:
        """The features of a sentence, misspellings mended, that the bank knows; None for text without words."""
        return self._features(mask_amounts(text))

    def _shown(self, plain: str) -> Shown | None:
        words = [self._mend(word) for word in plain.split()]
        return self._models["topics"].table.shown(weighed(words, self.lexicon)) if words else None

    def foreign(self, text: str) -> float:
        """The share of a sentence's longer words that the bank has never seen."""
        words = [w for w in mask_amounts(text).split() if len(w) > 3]
        unknown = [w for w in words if not self._knows(stem(self._mend(w)))]
        return len(unknown) / len(words) if words else 0.0

    def evidence(self, family: str, text: str) -> Mapping[str, float]:
        """Label → evidence of a family; empty for text without words. To be read only, as it is kept: the same words with other stops
        are asked for again and again."""
        scored = self._kept(mask_amounts(text))
        return scored.family(family) if scored else {}

    def alone(self, family: str, text: str) -> Mapping[str, float]:
        """As `evidence`, of words of which no other family is asked: a family by itself is worked out sooner than all together."""
        return self._kept_alone(family, mask_amounts(text))

    def _scored_alone(self, family: str, plain: str) -> dict[str, float]:
        shown, model = self._features(plain), self._models[family]
        return dict(zip(model.labels, model.score(shown))) if shown else {}

    def _scored(self, plain: str) -> Scored | None:
        shown = self._features(plain)
        return self._together.score(shown) if shown else None

    def rank(self, family: str, text: str, most: int = 6) -> list[Candidate]:
        """The best labels of a family, best first; empty for text without words."""
        scores = self.evidence(family, text)
        return [Candidate(label, scores[label]) for label in sorted(scores, key=scores.__getitem__, reverse=True)[:most]]

    def weigh(self, family: str, found: Mapping[str, int]) -> dict[str, float]:
        """Label → evidence of a family for features made elsewhere."""
        model = self._models[family]
        return dict(zip(model.labels, model.score(model.table.shown(found))))

    def spoken_of(self, topic: str, family: str = "topics") -> Mapping[str, float]:
        """Label → what it adds to its evidence that the talk is of this topic; empty where nothing was learned of that."""
        return self._contexts(topic, family)

    def _context(self, topic: str, family: str) -> Mapping[str, float]:
        model = self._models[family]
        shown = model.table.shown({CONTEXT + topic: CONTEXT_WEIGHT})
        return dict(model.added(shown.features[0][2], CONTEXT_WEIGHT)) if shown.features else {}

    def rests_on(self, family: str, text: str, label: str, most: int = 6) -> list[tuple[float, str]]:
        """The features that speak most for a label, for `--explain`."""
        shown = self.shown(text)
        return self._models[family].contributions(shown, label)[:most] if shown else []

    def weighs(self, family: str, found: Mapping[str, int], label: str, most: int = 6) -> list[tuple[float, str]]:
        """As `rests_on`, for features made elsewhere."""
        model = self._models[family]
        return model.contributions(model.table.shown(found), label)[:most]
