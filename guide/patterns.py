"""Regular expressions that are compiled when they are first used: a sentence needs few of them, and a start waits for none. What is left
may be compiled while nobody waits."""
from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any, cast


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


def compile_among(values: Iterable[object]) -> None:
    """Compile those of these values that are patterns: for a moment in which nobody waits."""
    for value in values:
        if isinstance(value, _Later):
            value.compile()
