"""Regular expressions that are compiled when they are first used: a sentence needs few of them, and a start waits for none."""
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


def pattern(text: str, flags: int = 0) -> re.Pattern[str]:
    """As `re.compile`, but an expression that is no good raises re.error at its first use."""
    return cast("re.Pattern[str]", _Later(text, flags))
