"""Amounts that figures need, read from a sentence or from the short answer to a question for them.

The reader of sentences tells facts; here is what no fact holds (a cloth's area, a bridge's height), and what a bare `9`,
`about six of us` or `half past five` means in the turn after the guide asked for it. Nothing is read where nothing was asked.
"""
from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from types import MappingProxyType
from typing import NamedTuple

from guide.knowledge.base import Knowledge
from guide.knowledge.computed import Quantity, Unit
from guide.language.numbers import Number, numbers, split
from guide.language.positions import PLACE, position
from guide.language.units import HOURS, KCAL, KNOTS, LITRES, METRES, Units
from guide.language.wording import regular
from guide.patterns import pattern

_FILLER = frozenset("about around roughly approximately nearly almost maybe perhaps probably say i think guess reckon it is it's we have got only just or "
                    "so ish and now left still the a an all that was well er um ok okay yes yeah right , . !".split())
"""Words that may stand beside a bare number in an answer. `one in the water` is none, nor is `two of us`."""
_LOOSE = _FILLER | frozenset("of are there them they our my with in total for at on by to from since until till its been will would be water".split())
"""The same where every number has its unit."""
_ABOARD = ("aboard", "on board", "in here", "in the raft", "here", "souls aboard")
"""Said after a number of people."""
_BETWEEN = frozenset(("or", "to", "-", "maybe"))
_ELSEWHERE = (["off"], ["away"], ["distant"], ["apart"])
"""After a length these make it the distance to something, which no figure here is fed from."""
_NEAR = 4
"""Words that may stand between a number and the word that says what it measures."""
_BY = frozenset(("by", "x", "times", "*", "×"))
_NO_IDEA = pattern(r"^(?:i |we |sorry |well )*(?:do not know|no idea|not sure|can not (?:tell|say)|no clue|unknown|could not say|have no idea|pass|skip)\b.{0,30}$")
_MORNING = pattern(r"\bam\b|\ba m\b|\bin the morning\b|\bthis morning\b")
_EVENING = pattern(r"\bpm\b|\bp m\b|\bin the (?:afternoon|evening)\b|\bthis (?:afternoon|evening)\b|\btonight\b|\bat night\b")
_TIME = pattern(
    r"\b(?P<noon>noon|midday)\b|\b(?P<midnight>midnight)\b|\b(?P<h24>\d{1,2}) ?: ?(?P<m24>\d\d)\b|\b(?P<four>[012]\d[0-5]\d)\b(?: hours| utc)?"
    r"|\b(?P<part>half|quarter|\d{1,2})(?: minutes?)? (?P<side>past|to|after|before) (?P<hour>\d{1,2})\b"
    r"|\b(?P<full>\d{1,2}) ?(?:oclock|o clock|(?=[ap] ?m\b)|(?=in the (?:morning|afternoon|evening))|(?=at night))")
_TABLES: Mapping[str, Mapping[str, float]] = MappingProxyType({"L": LITRES, "h": HOURS, "kn": KNOTS, "m": METRES, "kcal": KCAL})
_DEGREES = (*((form, 1.0, 0.0) for form in ("degrees", "degree", "deg", "c", "celsius", "degrees c", "degrees celsius")),
            *((form, 1 / 1.8, -32 / 1.8) for form in ("f", "fahrenheit", "degrees f", "degrees fahrenheit")))
_PARTS = {"half": 30, "quarter": 15}


class Question(NamedTuple):
    """What a turn's figures were about, for the turn that follows: the answer to what was wanted, or a what-if."""

    topic: str
    text: str
    """The sentence that asked for the figures."""
    said: Mapping[str, float]
    """Quantities that it, or an answer, brought."""
    wants: tuple[str, ...] = ()
    """Facts and quantities that the guide asked for by name."""
    figures: bool = False
    """Figures were told, which a what-if can change."""
    listed: bool = False
    """A pack's list was told; the next turn may ask the same of another pack or number."""


class Answered(NamedTuple):
    """What an answer gives for each thing wanted; `unclear` where it has numbers but not which is which; `moment` where it names
    a moment of the day instead of a number."""

    values: Mapping[str, float]
    unclear: bool
    moment: bool = False


class _Found(NamedTuple):
    """A value and the words it takes up."""

    value: float
    start: int
    stop: int


class _Form(NamedTuple):
    """A unit as words: value = number × factor + offset."""

    words: tuple[str, ...]
    factor: float
    offset: float


def no_idea(text: str) -> bool:
    """Whether an answer says that it is not known."""
    return bool(_NO_IDEA.match(regular(text).strip(" .!")))


def _forms(unit: str, nouns: tuple[str, ...], lists: Mapping[str, tuple[str, ...]], more: Iterable[Unit] = ()) -> list[_Form]:
    """Every way a unit is said, the longest first."""
    scales = [*((name, factor, 0.0) for name, factor in _TABLES.get(unit, {}).items()), *((noun, 1.0, 0.0) for noun in nouns),
              *(_DEGREES if unit == "degC" else ()), *more]
    found = [_Form(tuple(split(form)), factor, offset) for name, factor, offset in scales for form in lists.get(name, (name,))]
    return sorted(found, key=lambda each: -len(each.words))


def adds_nothing(text: str) -> bool:
    """Whether words beside an answer tell nothing of their own: `i think`, `or so`."""
    return set(split(regular(text))) <= _LOOSE


class Quantities:
    """Reads the quantities that a knowledge lists. Holds no state of a conversation."""

    def __init__(self, knowledge: Knowledge) -> None:
        self._quantities, self._facts = knowledge.quantities, knowledge.facts
        self._lists = knowledge.language.words
        self._known: dict[str, list[_Form]] = {}

    @cached_property
    def _lengths(self) -> Units:
        return Units({name: self._lists.get(name, ()) for name in METRES})

    def _forms(self, name: str) -> list[_Form]:
        """Every way the unit of a fact or quantity is said; made when it is first asked for."""
        if name not in self._known:
            fact, quantity = self._facts.get(name), self._quantities.get(name)
            unit, more = (quantity.unit, quantity.units) if quantity else ("", ())
            nouns: tuple[str, ...] = (f"noun_{name}",) if fact and fact.unit in ("persons", "items") else ()
            nouns += _ABOARD if name == "persons" else ()
            self._known[name] = _forms(unit or (fact.unit if fact else ""), nouns, self._lists, more)
        return self._known[name]

    def said(self, text: str, names: Iterable[str], now: str) -> dict[str, float]:
        """The value of each named quantity that a sentence tells, in its own unit. A span of values tells none."""
        plain = regular(text)
        words = split(plain)
        told = {}
        for name in names:
            value = self._told(self._quantities[name], plain, words, now)
            if value is not None:
                told[name] = value
        return told

    def _told(self, quantity: Quantity, plain: str, words: list[str], now: str) -> float | None:
        found = list(self._measured(quantity.id, words)) or list(self._sides(quantity, words, bare=False))
        if quantity.near:
            found = _nearest(found, words, quantity.near)
        phrases = [phrase for phrase in quantity.words if re.search(rf"\b{re.escape(phrase)}\b", plain)]
        values = {each.value for each in found} or {
            quantity.words[each] for each in phrases if not any(each in other for other in phrases if other != each)}
        if len(values) == 1:
            return values.pop()
        return hours_by_clock(plain, quantity.clock, now) if quantity.clock and not values else None

    def _measured(self, name: str, words: list[str]) -> Iterator[_Found]:
        """Each number with a unit of the fact or quantity behind it."""
        found, quantity = numbers(words), self._quantities.get(name)
        left = _ELSEWHERE if quantity and quantity.near else ()
        for number in found:
            for form in self._forms(name):
                at = number.stop + (words[number.stop:number.stop + 1] == ["of"] and form.words[0] != "of")
                stop = at + len(form.words)
                if tuple(words[at:stop]) == form.words:
                    if not _spans(words, found, number) and words[stop:stop + 1] not in left:
                        yield _Found(number.value * form.factor + form.offset, number.start, stop)
                    break

    def _sides(self, quantity: Quantity, words: list[str], *, bare: bool) -> Iterator[_Found]:
        """`2 by 3 metres`: lengths multiplied; the last must have a unit unless `bare`, where metres are meant."""
        found = numbers(words) if quantity.sides else []
        for first in range(len(found) - quantity.sides + 1 if found else 0):
            group = found[first:first + quantity.sides]
            sized = [self._lengths.unit(METRES, words, each.stop) for each in group]
            ends = [end or each.stop for each, (_, end) in zip(group, sized, strict=True)]
            joined = all(words[end:after.start] and set(words[end:after.start]) <= _BY
                         for end, after in zip(ends, group[1:], strict=False))
            factor = sized[-1][0] or (1.0 if bare else 0.0)
            if joined and factor:
                yield _Found(math.prod(each.value * (own or factor) for each, (own, _) in zip(group, sized, strict=True)),
                             group[0].start, ends[-1])

    def answered(self, text: str, wants: Sequence[str], now: str) -> Answered | None:
        """What a short answer gives for what was asked; None where it is no such answer but a sentence of its own."""
        place = position(f"position {text}") if set(PLACE).intersection(wants) else []
        if place:
            return Answered({angle.fact: angle.value for angle in place}, unclear=False)
        plain = regular(text).replace("?", " ? ")
        words = split(plain)
        if self._moment(plain, wants):
            return Answered({}, unclear=False, moment=True)
        values: dict[str, float] = {}
        used: set[int] = set()
        for name in wants:
            quantity = self._quantities.get(name)
            for found in (*self._measured(name, words), *(self._sides(quantity, words, bare=True) if quantity else ())):
                if name not in values and not used.intersection(range(found.start, found.stop)):
                    values[name] = round(found.value, 4)
                    used.update(range(found.start, found.stop))
            hours = hours_by_clock(plain, quantity.clock, now) if quantity and quantity.clock and name not in values else None
            if hours is not None:
                return Answered({**values, name: hours}, unclear=False) if _only(_TIME.sub(" ", _in_digits(words))) else None
        numbers_left = [n for n in numbers(words) if not used.intersection(range(n.start, n.stop)) and words[n.start] not in ("a", "an", "no")]
        rest = [word for at, word in enumerate(words) if at not in used and not any(n.start <= at < n.stop for n in numbers_left)]
        if not numbers_left and rest == ["none"]:
            numbers_left, rest = [Number(0.0, 0, 1, False)], []
        if not set(rest) <= (_FILLER if numbers_left else _LOOSE) or not (values or numbers_left):
            return None
        return self._bare(values, numbers_left, wants)

    def _moment(self, plain: str, wants: Iterable[str]) -> bool:
        """Whether the answer is nothing but a moment of the day: `till dawn`."""
        events = [word for name in wants if name in self._quantities for word in self._quantities[name].events]
        named = [word for word in events if re.search(rf"\b{re.escape(word)}\b", plain)]
        return bool(named) and set(split(re.sub("|".join(map(re.escape, named)), " ", plain))) <= _LOOSE | {"first", "light"}

    def _bare(self, values: dict[str, float], left: Sequence[Number], wants: Sequence[str]) -> Answered:
        """Numbers without a unit are what is still wanted, in the order asked: the first, or all of it; else it is not clear which."""
        open_wants = [name for name in wants if name not in values and self._takes_bare(name)]
        if len(left) not in (0, 1, len(open_wants)) or len(left) > len(open_wants):
            return Answered(values, unclear=True)
        return Answered({**values, **{name: number.value for name, number in zip(open_wants, left, strict=False)}}, unclear=False)

    def _takes_bare(self, name: str) -> bool:
        return name not in self._quantities or self._quantities[name].bare

    def asking(self, names: Iterable[str]) -> str:
        """The line that asks for what is missing, by name."""
        names = tuple(names)
        asked = [self.ask(name) for name in names]
        order = " Numbers alone are taken in that order." if len(names) > 1 and all(map(self._takes_bare, names)) else ""
        return f"To work it out I need: {'; '.join(asked)}.{order}"

    def ask(self, name: str) -> str:
        """A fact or quantity in the words it is asked for by."""
        quantity = self._quantities.get(name)
        return quantity.ask if quantity and quantity.ask else self._facts[name].about


def _nearest(found: list[_Found], words: list[str], near: Iterable[str]) -> list[_Found]:
    """The values that stand nearest to one of the words; none where no such word is there."""
    places = [at for at, word in enumerate(words) if word in near]
    if not places:
        return []
    gaps = [min(min(abs(at - each.start), abs(at - each.stop)) for at in places) for each in found]
    return [each for each, gap in zip(found, gaps, strict=True) if gap == min(gaps) <= _NEAR]


def _spans(words: list[str], found: list[Number], number: Number) -> bool:
    """Whether the number is one end of a span: `5 to 10 mm`, `5 or 6`, `between 5 and 10`, `5-10`."""
    before = next((n for n in reversed(found) if n.stop <= number.start and not n.bare_article), None)
    after = next((n for n in found if n.start >= number.stop and not n.bare_article), None)
    if before is None and after is None:
        return False
    joins = [words[a.stop:b.start] for a, b in ((before, number), (number, after)) if a and b]
    between = "between" in words
    return any(len(join) <= 1 and (not join or join[0] in _BETWEEN or between and join == ["and"]) for join in joins)


def _only(text: str) -> bool:
    return set(split(text)) <= _LOOSE | {"morning", "afternoon", "evening", "tonight", "night", "am", "pm", "utc", "this", "m", "p"}


def _in_digits(words: list[str]) -> str:
    """The words with whole numbers as digits: `half past five` → `half past 5`."""
    shown = list(words)
    for number in numbers(words):
        if number.value == int(number.value) and not number.bare_article and words[number.start] not in ("no", "half"):
            shown[number.start:number.stop] = [words[number.start] if words[number.start].isdigit() else f"{number.value:.0f}"] \
                + [""] * (number.stop - number.start - 1)
    return " ".join(word for word in shown if word)


def hours_by_clock(plain: str, side: str, now: str) -> float | None:
    """Hours from now `until` a time of day in the text, or `since` it; None where there is none. UTC, as the clock runs.

    A time on a twelve-hour face without morning or evening is the next one, or the last one.
    """
    match = _TIME.search(_in_digits(split(plain)))
    minutes = _minutes(match, plain) if match else None
    if minutes is None:
        return None
    from datetime import datetime
    at = datetime.fromisoformat(now)
    gaps = [((minute - at.hour * 60 - at.minute) % 1440 if side == "until" else (at.hour * 60 + at.minute - minute) % 1440) for minute in minutes]
    return round(min(gaps) / 60, 1)


def _minutes(match: re.Match[str], plain: str) -> tuple[int, ...] | None:
    """Minutes after midnight that a time of day may mean: one, or two on a twelve-hour face."""
    if match["noon"] or match["midnight"]:
        return (720 if match["noon"] else 0,)
    if match["four"]:
        return (int(match["four"][:2]) * 60 + int(match["four"][2:]),) if int(match["four"][:2]) < 24 else None
    if match["h24"]:
        hour, minute = int(match["h24"]), int(match["m24"])
    elif match["full"]:
        hour, minute = int(match["full"]), 0
    else:
        part = _PARTS[match["part"]] if match["part"] in _PARTS else int(match["part"])
        hour, minute = int(match["hour"]), part if match["side"] in ("past", "after") else -part
    if not (0 <= hour <= 23 and -60 < minute < 60):
        return None
    total = hour * 60 + minute
    if hour > 12 or match["h24"] and match["h24"].startswith("0"):
        return (total % 1440,)
    if _MORNING.search(plain) or _EVENING.search(plain):
        return ((total % 720 + (720 if _EVENING.search(plain) else 0)) % 1440,)
    return total % 720, total % 720 + 720
