"""A sentence read in the light of the talk: what it counts without naming, what `it` is, which number it puts right."""
from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property
from typing import NamedTuple

from guide.correcting import Corrected, Correcting
from guide.knowledge.base import Knowledge
from guide.knowledge.records import Fact
from guide.language.reading import Reader, Utterance
from guide.language.wording import clean
from guide.referring import counted_as, named, recent_count, spelt_out, tells_nothing
from guide.state.facts import Event, State
from guide.turn import Turn


class Before(NamedTuple):
    """What was said before."""

    events: Sequence[Event]
    state: State
    last: Turn | None
    subject: str | None
    """The topic that is spoken of."""


class Understanding:
    """Reads sentences of a talk. Holds no state of it."""

    def __init__(self, knowledge: Knowledge, reader: Reader) -> None:
        self._knowledge, self._reader = knowledge, reader
        self._correcting = Correcting(knowledge, reader)

    def read(self, text: str, before: Before) -> Corrected:
        """The readings of a text, with what it leaves to be understood from what was said before."""
        counted = recent_count(before.events, before.state, before.last, before.subject, self._knowledge)
        said = named(text, counted, self._knowledge, self._reader)
        read = self._correcting.read(said, before.state.known(), before.last)
        of_subject = self._of_subject(text, before) if tells_nothing(read.utterance) else None
        utterance = of_subject or counted_as(read.utterance._replace(text=clean(text)), self._reader, counted)
        return read._replace(utterance=utterance._replace(text=clean(text)))

    @cached_property
    def _brought(self) -> Mapping[str, set[str]]:
        """Topic → the facts that its steps bring about."""
        found: dict[str, set[str]] = {}
        for step in self._knowledge.steps.values():
            found.setdefault(step.topic, set()).update(step.sets)
        return found

    def _facts_about(self, topics: Sequence[str]) -> Iterator[Fact]:
        """The yes/no facts that reports of these topics tell or their steps bring about."""
        brought = {fact for topic in topics for fact in self._brought.get(topic, ())}
        for fact in self._knowledge.facts.values():
            if fact.type == "bool" and (fact.id in brought or not set(topics).isdisjoint(fact.topics.values())):
                yield fact

    def _of_subject(self, text: str, before: Before) -> Utterance | None:
        """A statement that tells nothing by itself as it tells a fact of what is spoken of, or of its neighbours: `it is on now`; None
        where it tells none."""
        asked = [reading.candidates[0].label for reading in before.last.readings if reading.candidates] if before.last else []
        topics = [*asked, *([before.subject] if before.subject else [])]
        near = [other for name in topics if name in self._knowledge.topics for other in self._knowledge.topics[name].see]
        for fact in (*self._facts_about(topics), *self._facts_about(near)):
            said = spelt_out(text, fact)
            read = self._reader.read(said, before.state.known()) if said and self._reader.likeliest(said) == fact.id else None
            if read and any(told.fact == fact.id for reading in read.readings if reading.kind == "report" for told in reading.told):
                return read
        return None
