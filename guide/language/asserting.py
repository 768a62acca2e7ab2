"""Whether a statement asserts anything, or words of plan, wish, hearsay or doubt keep it from that."""
from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from guide.knowledge.language import Unasserted
from guide.language.clauses import without_announcing
from guide.patterns import pattern

_ASSIGNED = pattern(r"\w=\s*\w|_\w*\s*=|[{}]")
"""Not words that a person says, but for a note, `sea temp = 3`: text that would give the guide orders is only text."""


class Asserting:
    """Knows the words of one knowledge that assert nothing."""

    def __init__(self, unasserted: Iterable[Unasserted]) -> None:
        words = "|".join(each.words for each in unasserted)
        self._unasserted = pattern(rf"\b(?:{words})\b" if words else r"(?!)")
        self.never = lru_cache(maxsize=256)(self._never)

    def _never(self, text: str) -> bool:
        """Whether a statement is none, whatever else it says."""
        return bool(self._unasserted.search(without_announcing(text))) or bool(_ASSIGNED.search(text))
