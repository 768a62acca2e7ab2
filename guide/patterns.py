"""Regular expressions that are compiled when they are first used: a sentence needs few of them, and a start waits for none. What is left
may be compiled while nobody waits."""
from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any, NamedTuple, cast


class _Later:
    """Stands for a compiled expression until one of its methods is asked for."""

    def __init__(self, text: str, flags: int) -> None:
        self._text, self._flags = text, flags

    def __getattr__(self, name: str) -> Any:
        """What the compiled expression has by that name, kept so that the next use finds it at once."""
        if name.startswith("_"):
            raise AttributeError(name)
        found = getattr(re.compile(self._text, self._flags), name)
        setattr(self, name, found)
        return found

    def compile(self) -> None:
        """Compile it now; the module of regular expressions keeps what was compiled last, but not so many."""
        compiled = re.compile(self._text, self._flags)
        for name in _METHODS:
            setattr(self, name, getattr(compiled, name))


_METHODS = ("search", "match", "fullmatch", "sub", "findall", "finditer", "split")


def pattern(text: str, flags: int = 0) -> re.Pattern[str]:
    """As `re.compile`, but an expression that is no good raises re.error at its first use."""
    return cast("re.Pattern[str]", _Later(text, flags))


_WORD = pattern(r"[a-z]+")


def compile_among(values: Iterable[object]) -> None:
    """Compile those of these values that are patterns: for a moment in which nobody waits."""
    for value in values:
        if isinstance(value, _Later):
            value.compile()


class Signed(NamedTuple):
    """A pattern with its signs, words of which one stands in whatever it matches: no other text is searched, nor is the pattern compiled for it."""

    signs: frozenset[str]
    words: re.Pattern[str]

    def search(self, text: str, there: frozenset[str]) -> re.Match[str] | None:
        """Where the pattern is found in a text, of which these are the words."""
        return None if self.signs.isdisjoint(there) else self.words.search(text)

    def sub(self, instead: str, text: str, there: frozenset[str]) -> str:
        """A text, of which these are the words, with something else wherever the pattern is found."""
        return text if self.signs.isdisjoint(there) else self.words.sub(instead, text)


def signed(signs: Iterable[str], text: str, flags: int = 0) -> Signed:
    """As `pattern`, with the signs of the expression."""
    return Signed(frozenset(signs), pattern(text, flags))


def words_in(text: str) -> frozenset[str]:
    """The words of a text as signs are written, in small letters."""
    return frozenset(_WORD.findall(text.lower()))

