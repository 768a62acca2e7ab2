"""Words that say nothing of their own, or say it in the form of notes, put as a sentence says it: `hours: 9`, `every man, without exception, has taken one`."""
from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from guide.knowledge.language import Reworded
from guide.patterns import pattern

_WORD = pattern(r"[a-z]+")


class _Row(NamedTuple):
    signs: frozenset[str]
    words: re.Pattern[str]
    instead: str


class Rewording:
    """Knows the rules of one knowledge."""

    def __init__(self, rules: Iterable[Reworded]) -> None:
        self._rows = [_Row(frozenset(each.signs), pattern(each.words, re.IGNORECASE), each.instead) for each in rules]
        self._signs = frozenset(sign for row in self._rows for sign in row.signs)

    def patterns(self) -> Iterator[object]:
        """The patterns of the rules."""
        return (row.words for row in self._rows)

    def put(self, text: str) -> str:
        """A text as it is read, rule after rule; as it is where nothing of it would be left."""
        words = frozenset(_WORD.findall(text.lower()))
        if self._signs.isdisjoint(words):
            return text
        said = text
        for row in self._rows:
            if not row.signs.isdisjoint(words):
                said = row.words.sub(row.instead, said)
        return said.strip(" ,") or text if said != text else text
