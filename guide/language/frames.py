"""Patterns of plain reports, written as knowledge: `(ship|boat) ... (gone|out of sight)` tells ship_in_sight=false.

The learned evidence is broad; these few patterns are sure. A pattern without a denial matches only where nothing is denied.
"""
from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property, lru_cache
from typing import NamedTuple

from guide.knowledge.language import Phrase
from guide.language.features import NEGATIONS
from guide.patterns import pattern

_NO_MORE = pattern(r"\b(?:no|any) (?:more|longer)\b(?! (?!now\b|today\b|at\b|lads?\b|mate\b)\w)|\banymore\b|\byet\b")
_PART = pattern(r"\^|\$|\.\.\.|\([^)]*\)|[^\s()]+")
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
    return pattern(body if body.startswith("^") else r"(?:^|(?<= ))" + body)


def _rarest(text: str) -> frozenset[str]:
    """Words of which a text must hold one for the pattern to match: those of its part with the fewest choices."""
    parts = [part.strip("()").split("|") for part in _PART.findall(text) if part not in ("^", "$", "...")]
    return frozenset(choice.split(" ")[0] for choice in min(parts, key=len, default=[]))


class _Frame(NamedTuple):
    pattern: re.Pattern[str]
    denies: bool
    means: str


class Frames:
    """The patterns of one knowledge."""

    def __init__(self, phrases: Sequence[Phrase]) -> None:
        self._phrases = phrases
        self.told = lru_cache(maxsize=64)(self._told)

    @cached_property
    def _by_word(self) -> Mapping[str, list[_Frame]]:
        """The patterns by words of which a text must hold one. A question needs none of them."""
        found: dict[str, list[_Frame]] = {}
        for phrase in self._phrases:
            words = phrase.text.replace("|", " ").replace("(", " ").replace(")", " ").split()
            frame = _Frame(_pattern(phrase.text), not _DENIES.isdisjoint(words), phrase.means)
            for word in _rarest(phrase.text):
                found.setdefault(word, []).append(frame)
        return found

    def patterns(self) -> Iterator[object]:
        """All patterns."""
        yield from (frame.pattern for found in self._by_word.values() for frame in found)

    def _told(self, regular: str) -> str | None:
        """The one `fact=value` that patterns agree on; None where none matches or they disagree about a fact."""
        words = re.findall(r"[a-z0-9]+", regular)
        text = " ".join(words)
        near = {frame for word in words for frame in self._by_word.get(word, ())}
        matches = [(frame, match) for frame in near if (match := frame.pattern.search(text))]
        found = [frame for frame, match in matches if frame.denies or not _denied(text, match.end())]
        sure = {frame.means for frame in found if frame.denies} or {frame.means for frame in found}
        return sure.pop() if len(sure) == 1 else None


def _denied(text: str, end: int) -> bool:
    """Whether something is denied up to there, or taken back after it: `is on fire no more`, but not `is on fire can not put it out`."""
    return not _DENIES.isdisjoint(text[:end].split()) or _NO_MORE.search(text, end) is not None
