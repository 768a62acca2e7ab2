"""Units and nouns of the lexicon, looked up on lists of words; and what the units come to in those of the facts."""
from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache

from guide.language.numbers import split

LITRES = {"unit_L": 1.0, "unit_ml": 0.001, "unit_cl": 0.01, "unit_dl": 0.1, "unit_gallon": 3.785411784, "unit_pint": 0.473176473,
          "unit_quart": 0.946352946, "unit_floz": 0.0295735296}
HOURS = {"unit_s": 1 / 3600, "unit_min": 1 / 60, "unit_h": 1.0, "unit_day": 24.0, "unit_week": 168.0}
KNOTS = {"unit_kn": 1.0, "unit_ms": 1.943844, "unit_kmh": 0.539957, "unit_mph": 0.868976}
METRES = {"unit_m": 1.0, "unit_cm": 0.01, "unit_ft": 0.3048}
KCAL = {"unit_kcal": 1.0, "unit_kJ": 1 / 4.184}
FORCE_KN = (0.5, 2.0, 5.0, 8.5, 13.5, 19.0, 24.5, 30.5, 37.0, 44.0, 51.5, 59.5, 64.0)
"""Middle of each wind force's range in knots (WMO table of wind forces; force 12 has no upper end)."""


class _Forms(dict[str, dict[str, list[list[str]]]]):
    """List → first word → the forms that begin with it, the longest first. A list is looked through when it is first asked for."""

    def __init__(self, lists: Mapping[str, tuple[str, ...]]) -> None:
        super().__init__()
        self._lists = lists

    def __missing__(self, name: str) -> dict[str, list[list[str]]]:
        by_word: dict[str, list[list[str]]] = {}
        for form in sorted((split(form) for form in self._lists.get(name, ())), key=len, reverse=True):
            by_word.setdefault(form[0], []).append(form)
        self[name] = by_word
        return by_word


class Units:
    """The unit and noun lists of the lexicon, looked up on lists of words."""

    def __init__(self, lists: Mapping[str, tuple[str, ...]]) -> None:
        self._names, self._forms = tuple(lists), _Forms(lists)
        self.lists = lru_cache(maxsize=None)(self._begin_so)
        self._first = lru_cache(maxsize=None)(lambda names: self.first_words(*names))

    def at(self, name: str, words: list[str], at: int) -> int:
        """Where the form of list `name` that starts at `at` ends; 0 where none does."""
        if at >= len(words):
            return 0
        for form in self._forms[name].get(words[at], ()):
            if words[at:at + len(form)] == form:
                return at + len(form)
        return 0

    def behind(self, words: list[str], *names: str) -> int:
        """Where the forms of these lists, and signs among them, with which the words begin, end."""
        at = 0
        while at < len(words):
            end = max(self.at(name, words, at) for name in names)
            if not end and words[at][0].isalnum():
                break
            at = end or at + 1
        return at

    def without(self, name: str, words: list[str]) -> list[str]:
        """The words without the forms of a list."""
        left, at = [], 0
        while at < len(words):
            end = self.at(name, words, at)
            left += [] if end else [words[at]]
            at = end or at + 1
        return left

    def find(self, name: str, words: list[str], start: int = 0, stop: int | None = None) -> int:
        """Where the first form of list `name` begins between `start` and `stop`; -1 where none does."""
        forms = self._forms[name]
        for at in range(max(start, 0), len(words) if stop is None else min(stop, len(words))):
            if words[at] in forms and self.at(name, words, at):
                return at
        return -1

    def first_words(self, *prefixes: str) -> frozenset[str]:
        """The words with which the forms of all lists of these names begin."""
        return frozenset(word for name in self._names if name.startswith(prefixes) for word in self._forms[name])

    def last(self, name: str, words: list[str]) -> int:
        """Where the last form of list `name` begins; -1 where none does."""
        forms = self._forms[name]
        return -1 if forms.keys().isdisjoint(words) else max((at for at, word in enumerate(words) if word in forms and self.at(name, words, at)), default=-1)

    def _begin_so(self, prefix: str) -> tuple[str, ...]:
        """The lists whose names begin so."""
        return tuple(name for name in self._names if name.startswith(prefix))

    def among(self, word: str, names: Iterable[str]) -> bool:
        """Whether a word is a form of one of these lists."""
        return any(self.at(name, [word], 0) for name in names)

    def any(self, name: str, words: list[str]) -> bool:
        """Whether list `name` occurs."""
        return not self._forms[name].keys().isdisjoint(words) and self.find(name, words) >= 0

    def unit(self, table: Mapping[str, float], words: list[str], at: int) -> tuple[float, int]:
        """Factor of the unit at `at` and where it ends; (0, 0) where there is none."""
        best = (0.0, 0)
        if at >= len(words) or words[at] not in self._first(tuple(table)):
            return best
        for name, factor in table.items():
            end = self.at(name, words, at)
            if end > best[1]:
                best = (factor, end)
        return best
