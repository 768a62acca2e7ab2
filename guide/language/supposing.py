"""A what-if that is set up in words of somebody's own, read as one that begins with `what if`: `thought experiment: no rockets in the bag`."""
from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from guide.knowledge.language import Opening
from guide.patterns import pattern

_LEAD = r"(?P<lead>(?:^|(?<=[.!?;] ))(?:(?:and|but|so|ok|okay|right|now|then|well|oh|ah|alright|only|please|next|also)[ ,:]+)*)"
"""Where a what-if may begin, and what may stand before it."""


class Supposing:
    """Knows the openings of one knowledge."""

    def __init__(self, openings: Iterable[Opening]) -> None:
        self._openings = [(opening.signs, pattern(rf"{_LEAD}(?:{opening.words})(?![\w'])[ ,:;.-]*(?=\S)", re.IGNORECASE), opening.instead) for opening in openings]

    def patterns(self) -> Iterator[object]:
        """The patterns of the openings."""
        for _, found, _ in self._openings:
            yield found

    def put(self, text: str) -> str:
        """A text with the first opening that it has as `what if`; as it is where it has none."""
        lowered = text.lower()
        for signs, opening, instead in self._openings:
            found = opening.search(text) if any(sign in lowered for sign in signs) else None
            if found:
                return f"{text[:found.start()]}{found['lead']}{instead} {text[found.end():]}"
        return text
