"""What is told and in the same breath undone or taken back: `the drogue is out but we lost it`, `the beacon is on - only joking`."""
from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property

from guide.knowledge.language import Turned
from guide.language import muster
from guide.language.facts import OF_SOMEBODY, Told
from guide.language.numbers import split
from guide.language.units import Units
from guide.language.utterances import Reading
from guide.language.wording import regular, tokens
from guide.patterns import pattern

_LEAD = pattern(r"^(?:(?:no|nope|sorry|and|but|then|now|so|it|that|this|he|she|they|we|i|have|has|had|is|was|are|were|just|soon|straight|after|already|somebody|someone|all|both|only|yet)\b[ ,]*(?!$))*")
"""Words with which the undoing clause may begin: who did it to what was told, and when."""
_OTHER_IS = pattern(r"^(?:and |but )*(?!it\b|that\b|this\b|there\b)(?:the |my |our |his |her )?\w+ (?:is|are|has|does|did|was|were)( not)?$")
"""Another one of whom the same is said, or its opposite: `Jim is`, `the cook isn't`."""
_IS_NOW = pattern(r"^(?:and |but )*(?:(?:it|he|she|they|that|somebody) (?:is|are|has been|has|have|does)(?: on| out| in| up| back)? (?:now|again|at last|finally)|\w+ (?:is|are|has|have|does) (?:now|again|at last|finally)|it is back(?: on)?|now (?:it|he|she|they|that|somebody|\w+) (?:is|are|has|have|does))\W*$")
_SOMEWHERE = pattern(r"\b(?:in|out|up|back)\b")
_IS_NOT_NOW = pattern(r"^(?:and |but )*(?:it|he|she|they|that) (?:is|are|has|does) not (?:now|any ?more|any longer)\W*$|^(?:and |but )*now (?:it|he|she|they) (?:is|are) not\W*$")
_DENIES_ALL = pattern(r"\b(?:nobody|no one|none|no|nothing|not anyone|not anybody)\b")
_OF_PEOPLE = (*OF_SOMEBODY, "person_in_water")
_UNDOING = 4
"""Words of a turn that may undo what the turn before told."""
_NO_MORE = pattern(r"(?:(?:but|it|he|she) )*(?:is )?not (?:any ?more|now|any longer)")
_ENDS_SO = "vessel_afloat"
"""The fact whose end is an event that may be told so: `she wasn't gone but she is now`."""
_NEXT = 2
"""Clauses behind that which tells within which it is undone."""
_ASKS_WHETHER = pattern(r"\bor (?:do|should|shall|can|will|is|are|leave|keep|wait|not)\b")
"""`shut it or do we choke` shuts nothing."""


class Turning:
    """Turns round what is undone in the same breath, with one knowledge. Holds no state of a conversation."""

    def __init__(self, turned: Iterable[Turned], units: Units) -> None:
        self._turned, self._units = turned, units

    @cached_property
    def _then(self) -> Mapping[tuple[str, bool], re.Pattern[str]]:
        return {(each.fact, each.value): pattern(rf"(?:{each.then})") for each in self._turned}

    def patterns(self) -> Iterator[object]:
        """The patterns of what undoes a fact."""
        yield from self._then.values()

    def turned(self, readings: Sequence[Reading]) -> tuple[Reading, ...]:
        """The readings of an utterance with what is true in the end; nothing of them where its last words take all of it back."""
        readings = [_but_for_some(reading) for reading in readings]
        if len(readings) < 2:
            return tuple(readings)
        if self._takes_back(readings[-1]) and all(reading.kind == "report" for reading in readings):
            return tuple(reading._replace(told=()) for reading in readings)
        left = [_in_the_end(reading) if at else reading for at, reading in enumerate(readings)]
        for at, told in self._told(left):
            undone = next((later for later in range(at + 1, min(at + 1 + _NEXT, len(left))) if self._undoes(told, left[at], left[later])), None)
            if undone is None:
                continue
            right = told._replace(value=not told.value)
            left[at] = left[at]._replace(told=tuple(each for each in left[at].told if each != told))
            left[undone] = left[undone]._replace(kind="report", told=(*(each for each in left[undone].told if each.fact != told.fact), right))
        return tuple(left)

    def undone(self, text: str, told: Told | None) -> Told | None:
        """What a few words tell that undo what the turn before told: `the canopy is shut`, `open again`; None for any other words."""
        said = regular(text).strip(" .!")
        if told is None or not isinstance(told.value, bool) or len(said.split()) > _UNDOING or text.rstrip().endswith("?"):
            return None
        then = self._then.get((told.fact, told.value))
        undoes = then is not None and then.fullmatch(_LEAD.sub("", said)) or told.value and _NO_MORE.fullmatch(said)
        return told._replace(value=not told.value) if undoes else None

    def _takes_back(self, last: Reading) -> bool:
        """Whether a clause takes back what was said before it: `only joking`."""
        words = split(regular(last.clause))
        return not last.told and bool(words) and self._units.at("takes_all_back", words, 0) == len(words)

    def _told(self, readings: Sequence[Reading]) -> Iterator[tuple[int, Told]]:
        yield from ((at, told) for at, reading in enumerate(readings) for told in reading.told if reading.kind == "report" and isinstance(told.value, bool))

    def _undoes(self, told: Told, reading: Reading, later: Reading) -> bool:
        """Whether a later clause undoes what one tells, and does not tell it again."""
        if later.kind == "question" or _ASKS_WHETHER.search(regular(later.clause)) or any(each.fact == told.fact and each.value == told.value for each in later.told):
            return False
        said = regular(later.clause)
        if told.fact.startswith(_OF_PEOPLE) and not told.value and len(tokens(said)) <= 4:
            other = _OTHER_IS.match(said)
            if other:  # `Tom isn't bleeding, Jim is`; `Tom is awake, Jim isn't`
                return bool(other[1]) != (" not " in f" {regular(reading.clause)} ")
        if _IS_NOW.match(said):
            return not told.value  # `it wasn't out but it is now`
        if _IS_NOT_NOW.match(said):
            return bool(told.value)
        then = self._then.get((told.fact, told.value is True))
        return then is not None and bool(then.match(_LEAD.sub("", said)))


def _in_the_end(reading: Reading) -> Reading:
    """A later clause that says no more than that something is so now, `it wasn't out but it is now`, denies nothing; she who sank is so now as well, and
    who is out now, or in now, is out of the water."""
    said = regular(reading.clause)
    if not _IS_NOW.match(said):
        return reading
    kept = (_ENDS_SO, *(_OF_PEOPLE if _SOMEWHERE.search(said) else ()))
    return reading._replace(told=tuple(told._replace(value=True) if told.value is False and not told.fact.startswith(kept) else told for told in reading.told))


def _but_for_some(reading: Reading) -> Reading:
    """A reading that leaves somebody or something out tells nothing of all, and of none that there are some: `nobody is bleeding except Tom`."""
    if not reading.told or not muster.spares_some(reading.clause):
        return reading
    denied = _DENIES_ALL.search(regular(reading.clause)) is not None
    kept = (told for told in reading.told if not (told.fact in muster.OF_ALL and told.value is True))
    return reading._replace(told=tuple(told._replace(value=True) if denied and told.value is False and told.fact.startswith((*_OF_PEOPLE, "leak_open")) else told for told in kept))
