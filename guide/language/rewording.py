"""Words that say nothing of their own, or say it in the form of notes, put as a sentence says it: `hours: 9`, `every man, without exception, has taken one`."""
from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from guide.knowledge.language import Reworded
from guide.patterns import signed, words_in


class Rewording:
    """Knows the rules of one knowledge."""

    def __init__(self, rules: Iterable[Reworded]) -> None:
        self._rows = [(signed(each.signs, each.words, re.IGNORECASE), each.instead) for each in rules]

    def patterns(self) -> Iterator[object]:
        """The patterns of the rules."""
        return (row.words for row, _ in self._rows)

    def put(self, text: str) -> str:
        """A text as it is read, rule after rule; as it is where nothing of it would be left."""
        there, said = words_in(text), text
        for row, instead in self._rows:
            said = row.sub(instead, said, there)
        return said.strip(" ,") or text if said != text else text
