"""What is kept in holders: so many pouches of so much each, and what is left out of a measure that was said before."""
from __future__ import annotations

from collections.abc import Callable, Sequence

from guide.language.mentions import Mention
from guide.language.numbers import countable, numbers, split
from guide.language.units import Units
from guide.language.wording import regular, stem
from guide.patterns import pattern

MEASURED = {"litre": "litres", "kcal": "kcal"}
"""Sort of quantity that holders have → its unit."""
SUMS = pattern(r"^(?:and |so |which |that |this |it |all )*(?:is|was|makes?|made|making|leaves|leaving|comes? to|adds up to|totals?|in all|all told|altogether)\b")
"""With which a piece begins that sums up those before it."""
_TO_HOLDER = 4
"""Words behind a number within which the holder stands that it counts."""
_BEFORE_HOLDERS = frozenset("of the them those these our whole full more other water food entire small little big".split())
"""What may stand between a number and the holders that it counts."""


_NOW = frozenset("now only just so then today left there is are and but".split())
"""Beside these a number is as much of what was measured before: `10 litres, only 8`."""
_WE = frozenset("we i and then but already".split())
_LEFT = frozenset(f"{left}{now}" for left in ("left", "remaining", "remain", "remains", "left over", "to go") for now in ("", " now"))


class Holders:
    """Finds holders in texts with the lists of one lexicon."""

    def __init__(self, units: Units, read: Callable[[str], tuple[list[str], Sequence[Mention]]]) -> None:
        """`read`: a text as words, spelling mended, with its quantities."""
        self._units, self._read = units, read

    def held(self, text: str, fact: str) -> tuple[str, float] | None:
        """The holder that a text counts and what one of them has of a fact's amount: `pouch`, 0.5 of `nine pouches, half a litre in each`."""
        words, quantities = self._read(text)
        each = {mention.number: mention.values[fact] / mention.number for mention in quantities if mention.number > 1 and fact in mention.values}
        found = ((self._at(words, number.stop), each[number.value]) for number in numbers(words) if number.value in each)
        return next(((stem(holder[0]), size) for holder, size in found if holder), None)

    def kind(self, words: list[str], at: int) -> str | None:
        """The kind of holder that stands in a list of words there: `bottle`; None where none does."""
        found = self._at(words, at)
        return stem(found[0]) if found else None

    def count(self, text: str) -> float:
        """How many holders a text counts; 0 where it counts none."""
        words, _ = self._read(text)
        return next((number.value for number in numbers(words) if self._at(words, number.stop)), 0.0)

    def measured(self, text: str, holder: str, each: float, measure: str) -> str:
        """A text with holders of one kind as what they have: `two of the bottles` as `2 litres of water`."""
        words = split(countable(regular(text)))
        for number in numbers(words):
            found = self._at(words, number.stop)
            if found and stem(found[0]) == holder:
                return " ".join([*words[:number.start], f"{number.value * each:g} {measure}", *words[found[1]:]])
        return text

    def measured_before(self, before: Sequence[str], piece: str) -> str:
        """A piece with the unit of what was measured before it, where its number is of a holder, or the sum: `3 litres in the can and two in the bag, so 5`."""
        words = split(regular(piece)) if before else []
        found = numbers(words)
        if len(found) != 1 or self._has_unit(words, found[0].stop) or not (SUMS.match(" ".join(words)) or _NOW.issuperset([*words[:found[0].start], *words[found[0].stop:]]) or self._in_one(words[found[0].stop:]) or self._only_spends(words, found[0].start, found[0].stop)):
            return piece
        sort = next((each.sort for text in reversed(before) for each in self._read(text)[1] if each.sort in MEASURED), None)
        return " ".join([*words[:found[0].stop], MEASURED[sort], *words[found[0].stop:]]) if sort and not found[0].bare_article else piece

    def _has_unit(self, words: list[str], at: int) -> bool:
        """Whether a unit or a counted thing stands here: `it was 30 degrees`."""
        return any(self._units.at(name, words, at) for name in (*self._units.lists("unit_"), *self._units.lists("noun_"), "degrees", "of_people"))

    def _at(self, words: list[str], at: int) -> tuple[str, int] | None:
        """The holder that is counted by a number which ends here, and where it ends: `two of the bottles`."""
        for start in range(at, min(at + _TO_HOLDER, len(words))):
            end = self._units.at("holder", words, start)
            if end:
                return words[start], end
            if words[start] not in _BEFORE_HOLDERS:
                break
        return None

    def _only_spends(self, words: list[str], start: int, stop: int) -> bool:
        """Whether words say of a number no more than that so much was used or found: `caught three litres and drank one`."""
        rest = [word for word in (*words[:start], *words[stop:]) if word not in _WE]
        return bool(rest) and all(self._units.among(word, ("spending", "gathering", "losing")) and not self._units.among(word, self._units.lists("done_")) for word in rest)

    def _in_one(self, behind: list[str]) -> bool:
        """Whether words behind a number tell of so much in a holder, or of what is left: `more in the can`."""
        if " ".join(behind) in _LEFT:
            return True
        at = 1 if behind[:1] in (["more"], ["left"]) else 0
        return behind[at:at + 1] == ["in"] and any(self._units.at("holder", behind, start) for start in (at + 1, at + 2, at + 3))
