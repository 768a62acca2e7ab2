"""Regular expressions that are compiled when they are first used: a sentence needs few of them, and a start waits for none. What is left
may be compiled while nobody waits."""
from __future__ import annotations

import re
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
_waiting: list[_Later] = []


def pattern(text: str, flags: int = 0) -> re.Pattern[str]:
    """As `re.compile`, but an expression that is no good raises re.error at its first use."""
    later = _Later(text, flags)
    _waiting.append(later)
    return cast("re.Pattern[str]", later)


def compile_waiting() -> None:
    """Compile all that were made so far: for a moment in which nobody waits."""
    while _waiting:
        _waiting.pop().compile()
