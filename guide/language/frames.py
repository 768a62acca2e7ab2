"""Patterns of plain reports, written as knowledge: `(ship|boat) ... (gone|out of sight)` tells ship_in_sight=false.

The learned evidence is broad; these few patterns are sure. A pattern without a denial matches only where nothing is denied.
"""
from __future__ import annotations

import re
from collections.abc import Iterable

from guide.knowledge.records import Phrase
from guide.language.features import NEGATIONS

_PART = re.compile(r"\^|\$|\.\.\.|\([^)]*\)|[^\s()]+")
_DENIES = NEGATIONS | {"longer"}


def _pattern(text: str) -> re.Pattern[str]:
    """A pattern as a regular expression over words with single blanks."""
    pieces = []
    for part in _PART.findall(text):
        if part in ("^", "$"):
            pieces.append(part)
        elif part == "...":
            pieces.append(r"(?:\S+ ){0,8}")
        else:
            choices = part.strip("()").split("|")
            pieces.append("(?:" + "|".join(re.escape(c) for c in choices) + r")(?: |$)")
    body = "".join(pieces)
    return re.compile(body if body.startswith("^") else r"(?:^|(?<= ))" + body)


class Frames:
    """The compiled patterns of one knowledge."""

    def __init__(self, phrases: Iterable[Phrase]) -> None:
        self._frames = [(_pattern(p.text), bool(_DENIES.intersection(p.text.replace("|", " ").replace("(", " ").replace(")", " ").split())), p.means)
                        for p in phrases]

    def told(self, regular: str) -> str | None:
        """The one `fact=value` that patterns agree on; None where none matches or they disagree about a fact."""
        words = re.findall(r"[a-z0-9]+", regular)
        text = " ".join(words)
        denied = bool(_DENIES.intersection(words))
        found = {means for pattern, denies, means in self._frames if (denies or not denied) and pattern.search(text)}
        denials = {means for pattern, denies, means in self._frames if denies and denied and pattern.search(text)}
        found = denials or found
        return found.pop() if len(found) == 1 else None
