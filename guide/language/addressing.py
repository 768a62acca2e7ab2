"""Whether a text is said to the guide as to a program, of its own orders, insides or manner of speech."""
from __future__ import annotations

from collections.abc import Iterable, Iterator

from guide.knowledge.language import Addressed
from guide.language.wording import regular
from guide.patterns import pattern

_WORD = pattern(r"[a-z]+")


class Addressing:
    """Knows the words of one knowledge that are said to a program."""

    def __init__(self, addressed: Iterable[Addressed]) -> None:
        self._rows = [(frozenset(each.signs), pattern(rf"\b(?:{each.words})\b"), each.because) for each in addressed]

    def patterns(self) -> Iterator[object]:
        """The patterns of the words."""
        for _, words, _ in self._rows:
            yield words

    def because(self, text: str) -> str:
        """Why a text is said to a program; nothing where it has none of the words."""
        said = regular(text)
        there = frozenset(_WORD.findall(said))
        return next((because for signs, words, because in self._rows if not signs.isdisjoint(there) and words.search(said)), "")
