"""A what-if that is set up in words of somebody's own, read as one that begins with `what if`: `thought experiment: no rockets in the bag`."""
from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from guide.knowledge.language import Opening
from guide.patterns import pattern, signed, words_in

_LEAD = r"(?P<lead>(?:^|(?<=[.!?;:] ))(?:(?:and|but|so|ok|okay|right|now|then|well|oh|ah|alright|only|just|please|next|also)[ ,:]+)*)"
"""Where a what-if may begin, and what may stand before it."""
_ENDS = pattern(r"[.!?;] ")
_SETS_UP = pattern(r"\b(?:what if|suppos\w+|imagine|if)\b", re.IGNORECASE)


class Supposing:
    """Knows the openings of one knowledge."""

    def __init__(self, openings: Iterable[Opening]) -> None:
        self._rows = [(signed(each.signs, rf"\b(?:{each.words})(?![\w'])" if each.anywhere else rf"{_LEAD}(?:{each.words})(?![\w'])[ ,:;.-]*(?=\S)", re.IGNORECASE), each)
                      for each in openings]

    def patterns(self) -> Iterator[object]:
        """The patterns of the openings."""
        return (row.words for row, _ in self._rows)

    def put(self, text: str) -> str:
        """A text with the first opening that it has as `what if`; as it is where it has none."""
        there = words_in(text)
        for row, opening in self._rows:
            found = row.search(text, there)
            if found:
                return _marked(text, found, opening.instead) if opening.anywhere else f"{text[:found.start()]}{found['lead']}{opening.instead} {text[found.end():]}"
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
