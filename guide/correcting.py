"""What puts right what was told before: `no wait, seven`, `it was only two`."""
from __future__ import annotations

import itertools
import re
from collections.abc import Collection, Sequence
from typing import NamedTuple, TypeGuard

from guide import asides
from guide.knowledge.base import Knowledge
from guide.language import muster
from guide.language.clauses import only_filler
from guide.language.facts import Told
from guide.language.mentions import Mention
from guide.language.numbers import NUMBER_WORDS, Number, numbers, split
from guide.language.reading import Reader
from guide.language.units import FORCE_KN
from guide.language.utterances import Lent, Reading, Utterance, telling_nothing, told_in
from guide.language.wording import clean, regular
from guide.patterns import pattern
from guide.state.facts import Event, last_undoable
from guide.turn import Turn, in_short

_STOP = pattern(r"\s*[.,;:!?\u2013-]+\s+|\s+(?=(?:no|sorry|wait|correction|so|cos|because|with)\b|(?:i|we) (?:forgot|missed|miscounted|left|counted)\b)", re.IGNORECASE)
"""Where a correction may begin, and what is said behind it."""
_MOST_STOPS = 6
"""Stops of a text that are looked at: nobody puts himself right later than that."""
_SO_MANY = rf"(?:\d+|{'|'.join(sorted(set(NUMBER_WORDS) - {'a', 'an', 'another', 'no'}))})"
_RESTARTED = pattern(rf"\b{_SO_MANY},? (?:no|sorry|wait|er|rather|i mean|make that)[, ]+(?={_SO_MANY} [a-z]{{3}})", re.IGNORECASE)
"""A number that is put right before what it counts is named: `four, no, three hand flares`."""
_REST_IS_RIGHT = pattern(r"[,.;] (?:and |but )?(?:the )?(?:rest|others?|other \w+(?: \w+)?|everything else|all else|\w+) (?:is|are|was|were)(?: still| all)? (?:right|ok|okay|fine|correct|as it was|as said)\W*$", re.IGNORECASE)
"""Says that what else was told stands: `it's four rockets, the other two numbers are right`."""
_SENTENCES = pattern(r"(?<=[.!?;:])\s+")
_BACK = {"used": "found", "found": "used"}
"""How what was used or found is taken back."""
_TAKING_BACK = 9
"""Words, and signs, of a text that takes back what was noted last without a word of undoing: `no, that was wrong`."""
_PLAINLY = 0.3
"""Evidence of being about taking back with which a statement or an order without a word of correcting does so: a wrong one would lose a report."""


class Corrected(NamedTuple):
    """An utterance with what it puts right."""

    utterance: Utterance
    unclear: bool = False
    """It may put several amounts right."""


class Correcting:
    """Reads a correction against what was said before. Holds no state of a conversation."""

    def __init__(self, knowledge: Knowledge, reader: Reader) -> None:
        self._knowledge, self._reader = knowledge, reader

    def read(self, text: str, lent: Lent, last: Turn | None) -> Corrected:
        """The readings of a text, with what it puts right in itself (`five flares, no, six`) or of the turn before."""
        text = _RESTARTED.sub("", clean(text))
        text = _REST_IS_RIGHT.sub("", text) if last else text
        head, _, rest = text.partition(". ")
        if rest and self._counts_again(head, last):  # `a litre and a half, not two. Ove stopped them`
            return self._first(text, self._before(self._reader.read(head, lent)._replace(corrects=True), last, lent), self._reader.read(rest, lent))
        again = self._said_again(text, last, lent)
        if again and not self._denies_what_was_told(text, last):
            return again
        right = self._corrected(text, lent, last)
        return right if again is None or right.unclear or _tells_amount(right.utterance) else again

    def _corrected(self, text: str, lent: Lent, last: Turn | None) -> Corrected:
        """The readings of a text with what it puts right, as it stands in its own words."""
        if not self._reader.words.may_correct(text):
            plain = self._reader.read(text, lent)
            if self._counts_again(text, last):
                return self._before(plain._replace(corrects=True), last, lent)
            if self._may_count_again(text, last):
                return Corrected(telling_nothing(plain), unclear=True)
            if not _tells_amount(plain) and _denied(split(regular(text))):
                return Corrected(self._instead(plain, lent))  # `persons is 14, not 13`
            return Corrected((last and asides.counts_it(text) and self._of_another_kind(plain, last)) or plain)
        if self.recounts(text, last):  # `nine sir, nine! i forgot myself`
            return self._before(self._reader.read(text, lent), last, lent)
        counted = _told_amount(last)
        for stop in itertools.islice(_STOP.finditer(text), _MOST_STOPS):
            head, tail = text[:stop.start()], text[stop.end():]
            itself = self._itself(text, head, tail, lent) if self._reader.words.corrects(tail) or self._reader.words.corrects(head) else None
            if itself is not None:
                return Corrected(itself)
            if counted and self._reader.words.corrects(text) and self._recounts(head, last) is not None:
                return self._first(text, self._before(self._reader.read(head, lent), last, lent), self._reader.read(tail, lent))
            so_many = tail.lower().removeprefix("so ")
            if counted and so_many != tail.lower() and not _IN_ALL.search(so_many) and self._reader.words.corrects(head) and self._recounts(so_many, last) is not None:  # `no, one of them was a bin bag, so two`
                return self._first(text, self._before(self._reader.read(so_many, lent)._replace(corrects=True), last, lent), self._reader.read(head, lent))
        return self._before(self._reader.read(text, lent), last, lent)

    def _said_again(self, text: str, last: Turn | None, lent: Lent) -> Corrected | None:
        """What the turn before told, with the one of its numbers that a text puts right, and what the text says behind that: `biscuits, two packs, 2400 kcal
        a pack`, `three packs, not two, Rory sat on one`; None where it puts none right, or not in its words."""
        if last is None or not _told_amount(last):
            return None
        head, _, rest = text.partition(". ")
        words, before = split(regular(head)), split(regular(last.text))
        found, denied = numbers(words), _denied(words)
        right = [number for number in found if words[number.start] != "no" and (denied is None or number.start != denied.start)]
        wrong = [number for number in numbers(before) if self._puts_right(words, right[0], before, number, denied)] if right else []
        was = [t for t in told_in(last.readings) if _is_amount(t)]
        if len(wrong) != 1 or len(right) != 1 and denied is not None:
            return None
        said = " ".join((*before[:wrong[0].start], f"{right[0].value:g}", *before[wrong[0].stop:]))
        told = [t for t in told_in(self._reader.read(said, lent).readings) if _is_amount(t)]
        if [(t.fact, t.how) for t in told] != [(t.fact, t.how) for t in was]:
            return None
        clause = Reading(said, "report", tuple(self._reader.matcher.rank("reports", last.text)), tuple(told))
        more = self._reader.read(rest, lent)._replace(text=text) if rest else self._reader.read(text, lent)
        others = [reading._replace(told=tuple(t for t in reading.told if t.fact not in {each.fact for each in told})) for reading in more.readings] if rest else []
        return Corrected(more._replace(readings=(clause, *others), corrects=True))

    def _denies_what_was_told(self, text: str, last: Turn | None) -> bool:
        """Whether a text of one sentence denies an amount as it was told, `three, not two`: what it puts right is plain from its own words."""
        denied = _denied(split(regular(text)))
        return denied is not None and ". " not in text and any(t.value == denied.value for reading in (last.readings if last else ()) for t in reading.told)

    def _puts_right(self, words: list[str], right: Number, before: list[str], wrong: Number, denied: Number | None) -> bool:
        """Whether a number of the turn before is the one that a text puts right: the one that it denies, or one of the same holders with which the text begins."""
        if wrong.value == right.value or wrong.bare_article:
            return False
        if denied is not None:
            return wrong.value == denied.value
        kind = self._reader.amounts.holders.kind
        return right.start == 0 and kind(words, right.stop) is not None and kind(words, right.stop) == kind(before, wrong.stop)

    def _itself(self, text: str, head: str, tail: str, lent: Lent) -> Utterance | None:
        """What was said first, with the number that the tail begins with as its last amount that it may be, and what is said behind
        that; None where there is no such number or amount."""
        ends = [(tail[:stop.start()], tail[stop.end():]) for stop in itertools.islice(_STOP.finditer(tail), _MOST_STOPS)]
        again = self._named_in(head)
        number, rest = next(((found, rest) for part, rest in [(tail, ""), *reversed(ends)] if (found := self._reader.amounts.alone(part, (), again))), (None, ""))
        if number is None:
            return None
        said = self._reader.read(head, lent)
        fitting = [told for told in told_in(said.readings) if self._fits(told, number) and (told.fact, told.value) != (muster.MISSING, 0)]
        if not fitting:  # nor does `nobody is missing, all ten here` put right how many are missing
            return None
        readings = tuple(reading._replace(kind="report", told=tuple(self._right(t, (reading.clause, head), number) if t is fitting[-1] else t for t in reading.told))
                         if fitting[-1] in reading.told else reading for reading in said.readings)
        more = (reading._replace(told=tuple(told for told in reading.told if told.fact != fitting[-1].fact))
                for reading in (self._reader.read(rest, lent).readings if rest else ()))
        return said._replace(text=text, readings=(*readings, *more))

    def _first(self, text: str, right: Corrected, rest: Utterance) -> Corrected:
        """`make that 23, there is a baby as well`: what puts a number right, and what is said behind it of other things; that makes clear what the number
        alone does not: `it was two. We are ten`."""
        facts = {told.fact for told in told_in(right.utterance.readings)}
        others = [reading._replace(told=tuple(told for told in reading.told if told.fact not in facts)) for reading in rest.readings]
        clear = any(_is_amount(told) and told.how == "set" for told in told_in(others))
        return Corrected(rest._replace(text=text, readings=(*right.utterance.readings, *others), corrects=True), unclear=right.unclear and not clear)

    def _instead(self, utterance: Utterance, lent: Lent) -> Utterance:
        """A number instead of one that is denied and is what is known of one fact: `no, not four litres, it is three and a half`, `the water is not
        six litres but five`."""
        text = next((part for part in _SENTENCES.split(utterance.text) if _denied(split(regular(part)))), utterance.text)
        words = split(regular(text))
        denied = _denied(words)
        measured = self._reader.words.measured_in(utterance.text)
        was = [Told(fact, value, "set") for fact, value in lent.known.items() if denied and _is_number(value) and value in (denied.value, _of_force(fact, denied.value))
               and (not measured or fact in measured)]
        others = [number for number in numbers(words) if denied and number.value and number.start != denied.start]
        said = f"{others[0].value:g}" if len(others) == 1 and denied and words[denied.start - 1] == "said" else text  # `I said eight hours, it was six by the watch`
        number = self._reader.amounts.alone(said, [f"noun_{was[0].fact}"], was[0].fact.split("_")) if len(was) == 1 else None
        if number is None or not self._fits(was[0], number):
            return utterance
        by_force = denied is not None and was[0].value != denied.value
        right = was[0]._replace(value=_of_force(was[0].fact, number.number)) if by_force else self._right(was[0], (text,), number)
        clause = Reading(utterance.text, "report", utterance.likeliest(), (right,))
        return utterance._replace(readings=(clause,))

    def _before(self, utterance: Utterance, last: Turn | None, lent: Lent) -> Corrected:
        """A number by itself is the amount told before, counted as that was: `no wait, two` after three were caught means two
        caught; so is one that recounts it: `it was only two litres`."""
        told = [(reading, t) for reading in last.readings for t in reading.told if _is_amount(t)] if last else []
        if utterance.corrects and not told:
            return Corrected(self._instead(utterance, lent))
        if not (utterance.corrects and told):
            return Corrected(utterance)
        number = self._recounts(utterance.text, last)
        if number is not None:
            said = last.text if last else ""
            denied = _denied(split(regular(utterance.text)))
            named = [t for _, t in told if self._reader.words.names(t.fact, utterance.text)] or [t for _, t in told if denied and t.value == denied.value] or [t for _, t in told]
            right = [self._right(t, (reading.clause, said), number) for reading, t in told if t in named and self._fits(t, number)]
            clause = Reading(utterance.text, "report", utterance.likeliest(), tuple(right[:1] if len(right) == 1 else ()))
            return Corrected(utterance._replace(readings=(clause,)), unclear=len(right) != 1)  # of another turn: `no, two litres` after a rocket was fired
        other = self._of_another_kind(utterance, last)
        if other:
            return Corrected(other)
        how = {t.fact: t.how for _, t in told} if asides.recounts(utterance.text) else {}
        return Corrected(utterance._replace(readings=tuple(_how_it_was(reading, how) for reading in utterance.readings)))

    def _counts_again(self, text: str, last: Turn | None) -> bool:
        """Whether a few words say how many it was that the turn before told: `it was one`, `three rockets, not two`, `we only fired one`."""
        told = [t for t in told_in(last.readings, "report") if _is_amount(t)] if last else []
        if len(told) != 1 or self._recounts(text, last) is None:
            return False
        words = split(regular(text))
        done = told[0].how != "set" and self._reader.words.does_some(text)
        denied = any(number.value == told[0].value and words[number.start - 1:number.start] == ["not"] for number in numbers(words))
        return asides.counts_it(text) or denied or (done or told[0].how == "set") and asides.puts_after_all(text)

    def _may_count_again(self, text: str, last: Turn | None) -> bool:
        """Whether a bare `only one` may be how many were used or found in the turn before, or how many are left."""
        told = [t for t in told_in(last.readings, "report") if _is_amount(t)] if last else []
        return len(told) == 1 and told[0].how != "set" and asides.puts_after_all(text) and self._recounts(text, last) is not None

    def _of_another_kind(self, utterance: Utterance, last: Turn | None) -> Utterance | None:
        """What was used or found is put right as another thing, `fired a rocket`, `it was a hand flare`: that is given back and this is used; None where
        nothing else is counted."""
        was = [t for t in told_in(last.readings, "report") if _is_amount(t)] if last else []
        now = [t for t in told_in(utterance.readings) if _is_amount(t)]
        kinds = [self._reader.amounts.is_item(t.fact) for t in (*was, *now)]
        if len(was) != 1 or len(now) != 1 or was[0].fact == now[0].fact or was[0].how not in _BACK or not all(kinds):
            return None
        back = was[0]._replace(how=_BACK[was[0].how])
        return utterance._replace(corrects=False, readings=(Reading(utterance.text, "report", utterance.likeliest(), (now[0]._replace(how=was[0].how), back)),))

    def recounts(self, text: str, last: Turn | None) -> bool:
        """Whether a text corrects an amount of the turn before, and says no more than how many there are."""
        return _told_amount(last) and self._reader.words.may_correct(text) and self._reader.words.corrects(text) and self._recounts(clean(text), last) is not None

    def _recounts(self, text: str, last: Turn | None) -> Mention | None:
        """The one quantity of a text that says no more than how many there are, in words of what it puts right, in containers too, or where some were
        used how many were: `no no, two we burned`."""
        how = {t.how for t in told_in(last.readings)} if last else set()
        more = (*(("spending",) if how.difference(("set",)) else ()), *(("adding",) if "found" in how else ()))
        return self._reader.amounts.alone(text, ("holder", *more), self._named_in(last.text, *(t.fact for t in told_in(last.readings))) if last else ())

    def _named_in(self, text: str, *facts: str) -> Collection[str]:
        """The words of a text, and those that the things go by which it or these facts count: `a hand flare` are `two hand flares` as well."""
        lists = self._knowledge.language.words
        counted = {*facts, *(fact for fact in self._knowledge.facts if self._reader.words.names(fact, text))}
        return {*split(regular(text)), *(word for fact in counted for name in lists.get(f"noun_{fact}", ()) for word in name.split())}

    def _fits(self, told: Told, number: Mention) -> bool:
        return _is_amount(told) and (number.sort == "bare" or told.fact in number.values)

    def _right(self, told: Told, said: Sequence[str], number: Mention) -> Told:
        """The amount put right; a number without a unit has that of the clause, or the text, which told the wrong one."""
        value = number.values[told.fact] if number.sort != "bare" else self._reader.amounts.instead(said, told.fact, float(str(told.value)), number.number)
        whole = self._knowledge.facts[told.fact].type == "int" and value.is_integer()
        return told._replace(value=int(value) if whole else round(value, 4))


def _tells_amount(utterance: Utterance) -> bool:
    return any(_is_amount(told) for told in told_in(utterance.readings))


def _told_amount(last: Turn | None) -> bool:
    """Whether the turn before told an amount."""
    return any(_is_amount(told) for reading in (last.readings if last else ()) for told in reading.told)


def _denied(words: list[str]) -> Number | None:
    """The number of a text that is said to be wrong: `eleven, not ten`, `I said eight`."""
    return next((number for number in numbers(words) if words[number.start - 1:number.start] in (["not"], ["said"])), None)


def wrong_turn(utterance: Utterance, events: Sequence[Event]) -> int | None:
    """The turn whose count of something used or found is told anew; None where none is."""
    turn = last_undoable(events) if utterance.corrects else None
    if turn is None:
        return None
    counted = {t.fact for t in told_in(utterance.readings, "report") if t.how != "set"}
    return turn if counted.intersection(told_in_turn(turn, events)) else None


def takes_back(utterance: Utterance) -> bool:
    """Whether an utterance that is about taking back does so, rather than asking about it or saying no more than `no`."""
    words = split(regular(utterance.text))
    if not asides.has_word_of_undoing(utterance.text) and (len(words) > _TAKING_BACK or any(number.value > 1 for number in numbers(words))):
        return False  # it says what it should be, which was not understood: what was noted last may have nothing to do with it
    if only_filler(utterance.text) or _denied(words) or asides.is_of_a_thing(utterance.text) or any(reading.told or reading.kind in ("question", "what_if") for reading in utterance.readings):
        return False
    return utterance.corrects or utterance.likeliest()[0].evidence >= _PLAINLY


def noted_nothing(last: Turn | None) -> bool:
    """Whether the turn before was a statement of which nothing was noted."""
    if last is None or last.outcome == "outside" or last.changes or last.notes or last.topic == "take_back":
        return False
    kinds = {reading.kind for reading in last.readings}
    return "report" in kinds and kinds.isdisjoint(("question", "what_if"))


def taken_back_by_name(text: str, reader: Reader) -> Collection[str]:
    """The facts whose thing a text takes back by name: `scrap what I said about the rockets`, `undo the drogue`."""
    if not asides.takes_back_what_was_said(text) and not asides.names_what_it_takes_back(text):
        return ()
    return reader.naming.facts_about(text) or reader.words.measured_in(text) or {reader.likeliest(text)}


def turn_taken_back(text: str, last: Turn | None, events: Sequence[Event], reader: Reader) -> int | None:
    """The turn that a text takes back, the last that told of what it names; None where there is none: `take back the knife` loses no report. A number may
    tell what is meant where no name does: `what I said about the 20 knots`."""
    named = taken_back_by_name(text, reader)
    turn = last_undoable(events, named) if named else None
    if turn is not None or named and (reader.naming.facts_about(text) or not numbers(split(regular(text)))):
        return turn
    return None if asides.takes_back_that(text) and noted_nothing(last) else last_undoable(events)


def told_in_turn(turn: int, events: Sequence[Event]) -> set[str]:
    """The facts that were told in a turn."""
    return {event.name for event in events if event.turn == turn and event.kind == "fact"}


def told_by_name(turn: int, events: Sequence[Event], names: Collection[str]) -> list[Event]:
    """The events of a turn that tell facts of these names, where it told others beside; none where it told nothing else."""
    told = [event for event in events if event.turn == turn and event.kind == "fact" and event.value != event.was]
    named = [event for event in told if event.name in names]
    return named if len(named) < len(told) else []


def _is_amount(told: Told) -> bool:
    return _is_number(told.value)


def _is_number(value: object) -> TypeGuard[float]:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _of_force(fact: str, number: float) -> float | None:
    """What a number is as a force of the wind, in knots; None of anything else."""
    return FORCE_KN[int(number)] if fact == "wind_speed" and number in range(len(FORCE_KN)) else None


_IN_ALL = pattern(r"\b(?:altogether|in all|all told|in total)\b", re.IGNORECASE)


def _how_it_was(reading: Reading, how: dict[str, str]) -> Reading:
    """The reading with each amount set, used or found as the wrong one was."""
    if _IN_ALL.search(reading.clause):
        return reading  # `it was two more litres, so seven altogether`
    return reading._replace(told=tuple(told._replace(how=how.get(told.fact, told.how)) for told in reading.told))


def taken_back(events: Sequence[Event], turn: int, knowledge: Knowledge) -> str:
    """What an undo of a turn took back, in words: the step that was done, or what was said."""
    undone = [event for event in events if event.turn == turn and event.kind != "undo"]
    steps = [knowledge.steps[event.name].say for event in undone if event.kind == "done" and event.name in knowledge.steps]
    if steps:
        return f'Taken back: no longer noted as done: "{in_short(steps[0])}"'
    return f'Taken back: "{undone[0].text if undone else ""}".'
