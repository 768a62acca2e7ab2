"""The word that may have been meant by one that is not known."""
from __future__ import annotations

from collections.abc import Iterable

_SHORT = range(1, 6)


def nearest(word: str, known: Iterable[str]) -> str:
    """The known word that is near enough to be offered, or nothing. A short word may have one slip, or be the beginning: of what
    is further from it, chance finds something nearly always."""
    from difflib import get_close_matches
    words = list(known)
    near = get_close_matches(word, words, n=1, cutoff=max(0.6, 1 - 1.05 / len(word)) if len(word) in _SHORT else 0.6)
    begun = [other for other in words if other.startswith(word)] if 3 < len(word) else []
    return next(iter([*near, *begun]), "")
