"""A what-if that is set up in words of somebody's own, read as one that begins with `what if`: `thought experiment: no rockets in the bag`."""
from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from guide.knowledge.language import Opening
from guide.patterns import pattern

_LEAD = r"(?P<lead>(?:^|(?<=[.!?;:] ))(?:(?:and|but|so|ok|okay|right|now|then|well|oh|ah|alright|only|just|please|next|also)[ ,:]+)*)"
"""Where a what-if may begin, and what may stand before it."""
_WORD = pattern(r"[a-z]+")
_ENDS = pattern(r"[.!?;] ")
_SETS_UP = pattern(r"\b(?:what if|suppos\w+|imagine|if)\b", re.IGNORECASE)


class _Row(NamedTuple):
    signs: frozenset[str]
    words: re.Pattern[str]
    instead: str
    anywhere: bool


class Supposing:
    """Knows the openings of one knowledge."""

    def __init__(self, openings: Iterable[Opening]) -> None:
        self._rows = [_Row(frozenset(each.signs), pattern(rf"\b(?:{each.words})(?![\w'])" if each.anywhere else rf"{_LEAD}(?:{each.words})(?![\w'])[ ,:;.-]*(?=\S)", re.IGNORECASE),
                           each.instead, each.anywhere) for each in openings]

    def patterns(self) -> Iterator[object]:
        """The patterns of the openings."""
        for row in self._rows:
            yield row.words

    def put(self, text: str) -> str:
        """A text with the first opening that it has as `what if`; as it is where it has none."""
        words = frozenset(_WORD.findall(text.lower()))
        for row in self._rows:
            found = row.words.search(text) if not row.signs.isdisjoint(words) else None
            if found:
                return _marked(text, found, row.instead) if row.anywhere else f"{text[:found.start()]}{found['lead']}{row.instead} {text[found.end():]}"
        return text


def _marked(text: str, found: re.Match[str], instead: str) -> str:
    """A text with `what if` before the sentence in which these words stand, and without them; as it is where that supposes already."""
    start = max((stop.end() for stop in _ENDS.finditer(text, 0, found.start())), default=0)
    stop = _ENDS.search(text, found.end())
    end = stop.start() if stop else len(text)
    head, tail = text[start:found.start()], text[found.end():end]
    if _SETS_UP.search(head + tail):
        return text
    _, colon, behind = tail.partition(":")
    said = behind if colon and behind.strip() else f"{head.rstrip(' ,(')}{tail}"
    return f"{text[:start]}{instead} {said.lstrip(' ,;:.-)')}{text[end:]}" if said.strip(" ,;:.!?") else text
