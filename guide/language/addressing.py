"""Whether a text is said to the guide as to a program, of its own orders, insides or manner of speech."""
from __future__ import annotations

from collections.abc import Iterable, Iterator

from guide.knowledge.language import Addressed
from guide.language.wording import regular
from guide.patterns import signed, words_in


class Addressing:
    """Knows the words of one knowledge that are said to a program."""

    def __init__(self, addressed: Iterable[Addressed]) -> None:
        self._rows = [(signed(each.signs, rf"\b(?:{each.words})\b"), each.because) for each in addressed]

    def patterns(self) -> Iterator[object]:
        """The patterns of the words."""
        return (row.words for row, _ in self._rows)

    def because(self, text: str) -> str:
        """Why a text is said to a program; nothing where it has none of the words."""
        said = regular(text)
        there = words_in(said)
        return next((because for row, because in self._rows if row.search(said, there)), "")
