"""What was asserted as events: amounts counted on from what is known, and what a report brings with it."""
from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence

from guide.knowledge.base import Knowledge
from guide.language.beside import counts_beside, goes_on
from guide.language.clauses import affirmed
from guide.language.facts import Told
from guide.language.numbers import numbers, split
from guide.language.utterances import Reading, Utterance, told_in
from guide.language.vocabulary import Vocabulary
from guide.language.wording import regular
from guide.patterns import pattern
from guide.state.facts import Event, State, same
from guide.talk.deciding import Decision

NEXT_TO, SPOKEN_OF = 3, 0.0
"""Topics among which one counts as spoken of beside the first, where the words as such speak for it most and above this evidence."""
_MISSING, ALL_HERE, _PERSONS, IN_WATER = "persons_missing", "all_accounted", "persons", "person_in_water"
_WERE = pattern(r"\b(?:was|were|had)\b")
_SOME_MORE = pattern(r"\b(?:another|more|extra|additional|further)\b")
_MORE = 4
"""Words of a clause that only counts some more."""
Happening = Callable[[str, object, object], Event]
"""Makes the event that a fact is so now, from the fact, its value and the value before."""
Tells = Callable[[Told, str, str, Mapping[str, object]], bool]
"""Whether a fact is told by a clause of a sentence, with what is known."""


_FLARES = pattern(r"\b(?:\d+|one|two|three|four|five|six|seven|eight|nine|ten|a|last|few) (?:more |last )?flares?\b(?! (?:gun|pistol))")


def counts_some_flares(utterance: Utterance) -> bool:
    """Whether a statement counts flares and does not say which: parachute rockets are counted apart from hand flares."""
    kinds = {reading.kind for reading in utterance.readings}
    return kinds == {"report"} and bool(_FLARES.search(regular(utterance.text))) and not any(told_in(utterance.readings))


class Reporting:
    """Turns readings into events with one knowledge. Holds no state of a conversation."""

    def __init__(self, knowledge: Knowledge, tells: Tells, words: Vocabulary) -> None:
        """`tells`: whether a clause tells a fact, and does not only seem to (`Reader.after_all`)."""
        self._facts, self._tells, self._words = knowledge.facts, tells, words
        self._brought = [fact for fact in knowledge.facts.values() if fact.told_by or fact.ends_with or fact.ended_by]
        """The facts that a report of something else may bring with it."""

    def asserted(self, utterance: Utterance, state: State, happens: Happening, before: Iterable[Told] = ()) -> tuple[list[Event], list[str]]:
        """The events of what was asserted, and what has to be asked. `before`: what the turn before told."""
        events: list[Event] = []
        notes: list[str] = []
        values: dict[str, object] = {}
        hows = {told.fact: told.how for told in before if not isinstance(told.value, (bool, str))}
        used_before = frozenset(fact for fact, how in hows.items() if how == "used")
        used, here = used_before, set[str]()
        for reading in utterance.readings:
            for told in _all_told(reading, used) if reading.kind == "report" else ():
                if told.fact in used and told.how == "found" and goes_on(reading.clause):
                    told = told._replace(how="used")  # `fired one. then another`
                told = self._done_as_well(told, reading.clause, set(hows.values()))
                if told.fact == _PERSONS and (told.how == "found" and (state.value(_MISSING) or state.value(IN_WATER) is True) or told.how in ("used", "found") and _PERSONS in here):
                    continue  # those who come are the crew's own; `we are four now, two were lifted off`
                if told.fact == _PERSONS and told.how == "set" and not _WERE.search(regular(reading.clause)):
                    here.add(_PERSONS)
                if told.fact in used_before and self._told_before(told, reading.clause) or told.fact in used and told.how == "used" and self._words.tells_again(reading.clause):
                    continue  # `fired a rocket, and another. that's two fired`
                used = used | {told.fact} if told.how == "used" else used - {told.fact}
                was = values.get(told.fact, state.value(told.fact))
                adds = told.how == "found" and was is None and (told.fact == _PERSONS or _SOME_MORE.search(regular(reading.clause)))  # to what nobody told
                value = None if adds else self._typed(told.fact, counted(told, was, state))
                if value is None:
                    notes.append(f"How much is left now: {self._facts[told.fact].about}?")
                elif not self.allowed(told.fact, value):
                    notes.append(f"{value} is not possible for: {self._facts[told.fact].about}. Say it again?")
                elif not same(value, was):
                    values[told.fact] = value
                    events.append(happens(told.fact, value, was))
        return events, notes

    def _told_before(self, told: Told, clause: str) -> bool:
        """Whether a clause tells of what the turn before told some used of no more than what became of that."""
        became = told.how == "used" and told.value == 1 or told.how == "set" and told.value == 0
        return self._words.tells_again(clause) or became and self._words.tells_of_the_one(told.fact, clause)

    def _typed(self, fact: str, value: object) -> object:
        """A whole number for what is counted."""
        return int(value) if self._facts[fact].type == "int" and isinstance(value, float) and value.is_integer() else value

    def _done_as_well(self, told: Told, clause: str, hows: Collection[str]) -> Told:
        """An amount that a clause without a verb counts beside what was used or found: `fired a rocket`, `and two hand flares`."""
        same = hows if len(hows) == 1 and told.how in ("set", "found") and told.how not in hows and self._facts[told.fact].type in ("int", "float") and counts_beside(clause) else ()
        return told._replace(how=next(iter(same))) if same else told

    def implied(self, utterance: Utterance, decision: Decision, events: Sequence[Event], state: State, happens: Happening) -> list[Event]:
        """The events that a report brings with it by its topic, and those of facts that another ends, by its end or by being told to be so."""
        told_now = {t.fact: t.value for t in told_in(utterance.readings, "report")}
        ended = {e.name for e in events if e.kind == "fact" and e.value is False}
        kinds = {reading.kind for reading in utterance.readings}
        stated = "report" in kinds and "question" not in kinds and affirmed(utterance.text) is None
        found = []
        for fact in self._brought:
            was = state.value(fact.id)
            begun = told_now.get(fact.ends_with) is True and decision.topics[:1] == (fact.told_by,)  # `helicopter! what do I do with the wire`
            told = bool(fact.told_by) and decision.outcome == "answered" and (begun or stated and _speaks_of(fact.told_by, utterance, decision))
            if told and was is not True and self._tells(Told(fact.id, True, "set"), utterance.text, utterance.text, state.known()):
                found.append(happens(fact.id, True, was))
            elif was is True and (fact.ends_with in ended or told_now.get(fact.ended_by) is True and fact.id not in told_now):
                found.append(happens(fact.id, False, was))
        return [*found, *_all_found(told_now, state, happens)]

    def allowed(self, fact: str, value: object) -> bool:
        """Whether a fact can have this value."""
        limits = self._facts[fact]
        return isinstance(value, (bool, str)) or isinstance(value, (int, float)) and limits.low <= value <= limits.high \
            and (limits.type != "int" or float(value).is_integer())


def _all_found(told: Mapping[str, object], state: State, happens: Happening) -> list[Event]:
    """Where people were missing, nobody is when all are here, and all are here when nobody is."""
    missing, all_here = state.value(_MISSING), state.value(ALL_HERE)
    if not missing:
        return []
    if told.get(ALL_HERE) is True and _MISSING not in told:
        return [happens(_MISSING, 0, missing)]
    return [happens(ALL_HERE, True, all_here)] if told.get(_MISSING) == 0 and ALL_HERE not in told and all_here is not True else []


def _all_told(reading: Reading, used: Collection[str]) -> tuple[Told, ...]:
    """What a reading tells; one that only counts some more, `then another one`, tells of the one thing that was used before it."""
    words = split(regular(reading.clause))
    if reading.told or len(used) != 1 or len(words) > _MORE or not goes_on(reading.clause):
        return reading.told
    count = next((number.value for number in numbers(words)), 1.0)
    return (Told(next(iter(used)), count, "used"),)


def uncounted(utterance: Utterance, events: Sequence[Event], state: State) -> list[str]:
    """Facts of which some was used while nobody knows how much there was: what is left is to be asked for."""
    kept = {event.name for event in events}
    return list(dict.fromkeys(t.fact for t in told_in(utterance.readings, "report")
                              if t.how == "used" and t.fact not in kept and state.value(t.fact) is None))


def _speaks_of(topic: str, utterance: Utterance, decision: Decision) -> bool:
    """Whether an utterance is about a topic, or its words are next to what it is about."""
    return decision.topics[:1] == (topic,) or topic in decision.topics[:NEXT_TO] and any(
        each.label == topic and each.evidence > SPOKEN_OF for each in utterance.likeliest())


def counted(told: Told, was: object, state: State) -> object:
    """The value after a report; None where an amount used from an unknown stock, or by an unknown number, has to be asked."""
    if told.how == "set" or told.value is None and told.how == "used":
        return told.value
    if not isinstance(was, (int, float)) or not isinstance(told.value, (int, float)):
        return told.value if told.how == "found" else None
    if told.how == "issued":
        persons = state.value("persons")
        return max(0, round(was - told.value * persons, 3)) if isinstance(persons, int) else None
    left = was - told.value if told.how == "used" else was + told.value
    return max(0, round(left, 3))
