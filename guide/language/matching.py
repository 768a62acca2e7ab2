"""Sentence → ranked labels, each with the evidence for it. The one home of rapidfuzz."""
from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from guide.language.clauses import mask_amounts
from guide.language.features import weighed
from guide.language.weights import Learned, Shown
from guide.language.wording import stem

_SHARPNESS = 3.0


class Candidate(NamedTuple):
    """A label with its evidence (above 0 speaks for it) and its share among its rivals, 0 to 1."""

    label: str
    evidence: float
    share: float


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
        self._models, self._lexicon = learned.models, learned.lexicon
        self._vocabulary: list[str] = []
        self._mend = lru_cache(maxsize=4096)(self._mended)
        self.shown = lru_cache(maxsize=256)(self._shown)

    def _mended(self, word: str) -> str:
        root = stem(word)
        if len(root) < 4 or self._models["topics"].knows("w" + root) or not root.isalpha():
            return word
        if not self._vocabulary:
            self._vocabulary = [name for name in self._models["topics"].words() if len(name) > 3]
        return nearest(root, self._vocabulary) or word

    def _shown(self, text: str) -> Shown | None:
        """The features of a sentence, misspellings mended, that the bank knows; None for text without words."""
        words = [self._mend(word) for word in mask_amounts(text).split()]
        return self._models["topics"].table.shown(weighed(words, self._lexicon)) if words else None

    def foreign(self, text: str) -> float:
        """The share of a sentence's longer words that the bank has never seen."""
        words = [w for w in mask_amounts(text).split() if len(w) > 3]
        unknown = [w for w in words if not self._models["topics"].knows("w" + stem(self._mend(w)))]
        return len(unknown) / len(words) if words else 0.0

    def rank(self, family: str, text: str, most: int = 6) -> list[Candidate]:
        """The best labels of a family, best first; empty for text without words."""
        shown = self.shown(text)
        if shown is None:
            return []
        model = self._models[family]
        scores = model.score(shown)
        top = max(scores)
        parts = [math.exp(_SHARPNESS * (s - top)) for s in scores]
        total = sum(parts)
        best = sorted(range(len(scores)), key=scores.__getitem__, reverse=True)[:most]
        return [Candidate(model.labels[n], scores[n], parts[n] / total) for n in best]

    def rests_on(self, family: str, text: str, label: str, most: int = 6) -> list[tuple[float, str]]:
        """The features that speak most for a label, for `--explain`."""
        shown = self.shown(text)
        return self._models[family].contributions(shown, label)[:most] if shown else []
