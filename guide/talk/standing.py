"""What a clause tells of a thing that was named before it: `there are tablets in the bag and nobody has taken one`.

The clause is read again with the thing in the place of the word that stands for it, and tells what it then tells of that very thing.
"""
from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from guide.knowledge.base import Knowledge
from guide.knowledge.language import SIGHTED
from guide.knowledge.records import Fact
from guide.language.clauses import has_verb
from guide.language.facts import Told
from guide.language.pronouns import spelt_out
from guide.language.reading import Reader
from guide.language.utterances import Lent, Reading, Utterance
from guide.patterns import pattern
from guide.talk.before import NOT_A_SUBJECT, Talk
from guide.talk.hints import Hinting, label_of, likely

_ENOUGH = 0.75
"""How likely a clause must tell it with the thing named."""
_LEAST_SOUND = -1.0
"""Evidence that a clause by itself must have for the fact: `it's ok now` may be of anything."""
_SOUNDS = -0.6
"""The same of the clause that may name the thing: `the first rain tasted salty` names no rain catcher."""
ABOUT = 0.0
"""Evidence that a clause before must have for being about the thing, where it does not call it by a name."""

_AS_WELL = pattern(r"\b(?:as well|too|also|likewise)\W*$", re.IGNORECASE)


class Standing:
    """Finds what stands for a thing named before, with one knowledge. Holds no state of a talk."""

    def __init__(self, knowledge: Knowledge, reader: Reader, hinting: Hinting) -> None:
        self._knowledge, self._reader, self._hinting = knowledge, reader, hinting

    def told(self, talk: Talk, utterance: Utterance) -> Utterance:
        """The utterance with what its clauses tell of things that were named before them."""
        readings = list(utterance.readings)
        if any(reading.kind == "what_if" for reading in readings):
            return utterance
        for at, reading in enumerate(readings):
            same = self._as_well(readings[:at], reading)
            if same:
                readings[at] = reading._replace(kind="report", told=(same,))
            if reading.kind == "report" and has_verb(reading.clause) and not reading.told and not self._names_thing(reading.clause):
                told = next(self._of_things(talk, readings[:at], reading), None)
                if told and all(told.fact != each.fact for other in readings[at:] for each in other.told):
                    readings[:at] = [_without(told.fact, other) for other in readings[:at]]  # the last word stands
                    readings[at] = reading._replace(told=(told,))
        return utterance._replace(readings=tuple(readings))

    def _as_well(self, before: list[Reading], reading: Reading) -> Told | None:
        """What is told of a second thing as of the one before it: `the beacon is on, and the radar transponder as well`."""
        if reading.kind != "report" or reading.told or not before or not _AS_WELL.search(reading.clause) or has_verb(reading.clause):
            return None
        told = next((each for each in before[-1].told if isinstance(each.value, bool)), None)
        said = self._knowledge.facts[told.fact].said_of_thing if told else ""
        others = [fact for fact in self._reader.naming.facts_about(reading.clause) if said and told and fact != told.fact and self._knowledge.facts[fact].said_of_thing == said]
        return told._replace(fact=others[0]) if told and len(others) == 1 else None

    def _names_thing(self, clause: str) -> bool:
        return any(self._knowledge.facts[fact].thing for fact in self._reader.naming.facts_about(clause))

    def _of_things(self, talk: Talk, before: list[Reading], reading: Reading) -> Iterator[Told]:
        """What a clause tells of each thing that a word in it may stand for."""
        weighing = self._reader.matcher.tells
        for fact in self._things(talk, before):
            said = spelt_out(reading.clause, fact)
            if said is None or self._reader.sounds(reading.clause, fact.id) < _LEAST_SOUND:
                continue
            again = self._reader.read(said, Lent(talk.known, talk.subject))
            for label, hint in self._hinting.hints(talk, again).items():
                told = next((each for each in again.readings[hint.at].told if label_of(each) == label and each.fact == fact.id), None)
                if told and talk.known.get(fact.id) is not told.value and likely(hint.clues, weighing) >= _ENOUGH:
                    yield told

    def _things(self, talk: Talk, before: list[Reading]) -> Iterator[Fact]:
        """The facts of what was named last before a clause: in the same breath, else what is spoken of."""
        names = next((named for named in map(self._named, reversed(before)) if named is not None), None)
        if names is None:
            names = (*self._knowledge.facts_about.get(talk.subject or "", ()), *self._knowledge.facts_about.get(talk.last or "", ()))
        return (fact for name in dict.fromkeys(names or ()) if name in self._knowledge.facts for fact in (self._knowledge.facts[name],) if fact.thing and name not in SIGHTED)

    def _named(self, reading: Reading) -> Sequence[str] | None:
        """The facts of what a clause names, tells or is plainly about, or nothing where that has none, so that nothing before it is meant either; None where a
        clause is about nothing: `0510`, `he has seen to that`."""
        if reading.told:
            return [told.fact for told in reading.told]
        evidence = self._reader.matcher.evidence("topics", reading.clause)
        about = max(evidence, key=evidence.__getitem__, default="")
        plain = evidence.get(about, ABOUT) > ABOUT and about not in NOT_A_SUBJECT  # `correction:`
        facts = [fact.id for fact in self._knowledge.facts.values() if plain and about in fact.topics.values() and self._reader.sounds(reading.clause, fact.id) >= _SOUNDS]
        named = [*sorted(self._reader.naming.facts_about(reading.clause)), *facts, *sorted(self._reader.naming.named(reading.clause))]
        return named if named or plain else None


def _without(fact: str, reading: Reading) -> Reading:
    return reading._replace(told=tuple(told for told in reading.told if told.fact != fact))
