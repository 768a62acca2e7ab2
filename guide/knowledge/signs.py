"""The signs of a regular expression: words of which one stands in whatever it matches, so that other texts need not be searched, nor the expression compiled."""
from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from importlib import import_module
from typing import Any

_UNKNOWN = "("
"""What stands for letters that are not known, `imagin\\w*`, in a word that is begun."""
_APART = frozenset(("CATEGORY_DIGIT", "CATEGORY_SPACE", "CATEGORY_NOT_WORD"))
"""Classes of characters none of which is a letter."""
_COMMON = frozenset("a about after all an and are as at be can does for from had has have he her him how i in is it its just let me my no not of on one or our out "
                    "she so that the them then there these they this those to up us was we what when where which will with would you your".split())
"""Words that stand in every other text, so that as signs they spare little."""
_Ways = frozenset[str]
"""The ways through an expression as far as it was followed, each by the letters of the word that is going on."""


def signs(expression: str) -> tuple[str, ...]:
    """Words in small letters, one of which stands in each text that a good expression matches: of those that are enough the longest, which are
    the rarest. None where no word is sure."""
    parts = _read(expression)
    needed = sorted(whole_words(expression), key=lambda word: (word not in _COMMON, len(word), word))
    if _Words(needed).follow(parts):
        return ()
    for word in tuple(needed):
        others = [other for other in needed if other != word]
        if not _Words(others).follow(parts):
            needed = others
    return tuple(sorted(needed))


def whole_words(expression: str) -> frozenset[str]:
    """The words in small letters that may stand, letter by letter, in what a good expression matches."""
    words = _Words(())
    words.follow(_read(expression))
    return frozenset(words.seen)


def _read(expression: str) -> Sequence[Any]:
    parser: Any = import_module("re._parser")  # the library's own, so that nothing is read in two ways; it has no annotations
    parts: Sequence[Any] = parser.parse(expression)
    return parts


class _Words:
    """Follows the ways through an expression that have none of some words; what only narrows it is left out, for with it fewer texts match."""

    def __init__(self, words: Collection[str]) -> None:
        self._words = frozenset(words)
        self.seen: set[str] = set()
        """The words that stand on some way."""

    def follow(self, parts: Iterable[Any], ways: _Ways = frozenset((_UNKNOWN,))) -> _Ways:
        """The ways past the parts of an expression, one after the other."""
        for kind, value in parts:
            ways = self._past(kind.name, value, ways) if ways else ways
        return ways

    def _past(self, kind: str, value: Any, ways: _Ways) -> _Ways:
        match kind:
            case "LITERAL":
                return self._letter(chr(value).lower(), ways)
            case "CATEGORY":
                return self._ended(ways) if value.name in _APART else _unknown(ways)
            case "IN":
                return frozenset(way for each in value for way in self._past(each[0].name, each[1], ways))
            case "SUBPATTERN":
                return self.follow(value[3], ways)
            case "BRANCH":
                return frozenset(way for branch in value[1] for way in self.follow(branch, ways))
            case "MAX_REPEAT" | "MIN_REPEAT":
                least, most, again = value
                return self._repeated(least, most, again, ways)
            case "ASSERT" if value[0] > 0:  # what follows stands in the text as well, but the way goes on before it
                return frozenset(way for way in ways if self.follow(value[1], frozenset((way,))))
            case "ASSERT":
                return self._behind(value[1], ways)
            case "ASSERT_NOT":
                return ways
            case "AT":
                return ways if value.name == "AT_NON_BOUNDARY" else self._ended(ways)
        return _unknown(ways)

    def _repeated(self, least: int, most: int, parts: Sequence[Any], ways: _Ways) -> _Ways:
        """The ways past what stands several times: as past one, and past two with anything between them."""
        once = self.follow(parts, ways)
        more = self.follow(parts, _unknown(once)) if most > 1 else frozenset()
        return once | more | (ways if not least else frozenset())

    def _behind(self, parts: Sequence[Any], ways: _Ways) -> _Ways:
        """The ways where something stands before: no word goes on behind a stop or a blank."""
        return ways if self.follow(parts) - {""} else self._ended(ways)

    def _letter(self, character: str, ways: _Ways) -> _Ways:
        return frozenset(way + character for way in ways) if "a" <= character <= "z" else self._ended(ways)

    def _ended(self, ways: _Ways) -> _Ways:
        """The ways past the end of a word, or of none."""
        self.seen |= {way for way in ways if way and _UNKNOWN not in way}
        return frozenset("" for way in ways if way not in self._words)


def _unknown(ways: _Ways) -> _Ways:
    """The ways past any characters at all."""
    return frozenset(_UNKNOWN for _ in ways)
