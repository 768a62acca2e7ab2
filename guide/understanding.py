"""A sentence read in the light of the talk: what it counts without naming, what `it` is, which number it puts right."""
from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from guide.correcting import Corrected, Correcting
from guide.knowledge.base import Knowledge
from guide.knowledge.records import Fact
from guide.language.facts import Told
from guide.language.pronouns import spelt_out
from guide.language.reading import Reader
from guide.language.utterances import Lent, Utterance, telling_nothing, told_in
from guide.language.wording import clean, tokens
from guide.referring import Referring, supposes_of_it
from guide.state.facts import Event, State
from guide.talk.before import says_over
from guide.turn import Turn

_LEAST_SOUND = -0.7
"""Evidence that a sentence by itself must have for a fact before `it` is taken for the fact's thing: on 46 sentences made for this, those
that tell the fact have -0.6 and more (`it's out`), the others -0.85 and less (`it's ok now`, `it was cold last night`)."""

NAME_ONLY = 4
"""Words of a text that names no more than a pack: `and the coastal one`."""


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
        self._correcting, self._referring = Correcting(knowledge, reader), Referring(knowledge, reader)

    def read(self, text: str, before: Before) -> Corrected:
        """The readings of a text, with what it leaves to be understood from what was said before."""
        counted = self._referring.done_with(text, before.state) or self._counted(before)
        said = text if self._correcting.recounts(text, before.last) else self._spelt_out(text, before, counted)
        read = self._correcting.read(said, _lent(before, counted), before.last)
        supposed = self._supposed_of_subject(text, before) if supposes_of_it(read.utterance) else None
        of_subject = self._ended(read.utterance, before) or supposed or self._put_right(read.utterance, before)
        utterance = of_subject or self._referring.of_the_thing_counted_last(read.utterance._replace(text=clean(text)), counted)
        if before.last and self._answers_of_others(text, before.last):
            utterance = telling_nothing(utterance)
        elif before.last and self._asks_after_pack(text, utterance, before.last):
            utterance = telling_nothing(utterance._replace(readings=tuple(reading._replace(kind="question") for reading in utterance.readings)))
        named = utterance.named if utterance.text == clean(text) else self._reader.naming.named(text)
        return read._replace(utterance=utterance._replace(text=clean(text), named=named))

    def _spelt_out(self, text: str, before: Before, counted: str | None) -> str:
        """A text with what it leaves to be understood in words."""
        referring, text = self._referring, self._reader.supposing.put(text)
        said = referring.in_parts(referring.as_one(referring.left_of_water(text, before.last), before.state), before.state)
        return referring.named(referring.measured(said, before.events), counted)

    def _answers_of_others(self, text: str, last: Turn) -> bool:
        """Whether a bare amount answers a question that is not after what there is: `how much did we drink?`, `a litre`."""
        return self._reader.words.asks_of_others(last.text) and self._reader.amounts.alone(text) is not None

    def _asks_after_pack(self, text: str, utterance: Utterance, last: Turn) -> bool:
        """Whether the name of a pack goes on with a question about packs: `what's in the coastal pack?`, `and solas a`."""
        asked = any(reading.kind == "question" for reading in last.readings) and not self._reader.words.asks_which_pack(last.text)
        return asked and len(tokens(text)) <= NAME_ONLY and any(told.fact == "pack" for told in told_in(utterance.readings))

    def refers(self, text: str, before: Before) -> bool:
        """Whether a text speaks of what was counted last, without naming it: `three left`."""
        return self._referring.named(text, self._counted(before)) != text

    def counted_item(self, turn: Turn) -> str | None:
        """The item that a turn which was about a count counted."""
        return self._referring.counted_item(turn)

    def _counted(self, before: Before) -> str | None:
        return self._referring.recent(before.events, before.state, before.last, before.subject)

    def _facts_about(self, topics: Sequence[str]) -> Iterator[Fact]:
        """The yes/no facts that reports of these topics tell or their steps bring about."""
        about = {fact for topic in topics for fact in self._knowledge.facts_about.get(topic, ())}
        yield from (fact for fact in self._knowledge.facts.values() if fact.id in about and not self._is_sighting(fact))

    def _is_sighting(self, fact: Fact) -> bool:
        """Whether a fact is that something is seen or heard: `can't see it` does not say that it is gone."""
        topic = self._knowledge.topics.get(fact.topics.get("true", ""))
        return topic is not None and topic.band == "chance"

    def _ended(self, utterance: Utterance, before: Before) -> Utterance | None:
        """`stopped now`, of the one thing spoken of that is known to go on; None where it is anything else."""
        known = before.state.known()
        able = self._knowledge.language.words.get("may_stop", ())
        going_on = [fact for fact in able if before.subject and known.get(fact) is True and self._knowledge.facts[fact].topics.get("true") == before.subject]
        if len(going_on) != 1 or not utterance.readings or not says_over(utterance.text):
            return None
        ended = utterance.readings[0]._replace(kind="report", told=(Told(going_on[0], False, "set"),))
        return utterance._replace(readings=(ended, *utterance.readings[1:]))

    def _put_right(self, utterance: Utterance, before: Before) -> Utterance | None:
        """What is told and in the same breath put right, `the beacon is on, no sorry, it is not on`: as it is put right; None where nothing is."""
        told = [(at, each) for at, reading in enumerate(utterance.readings) for each in reading.told if reading.kind == "report" and isinstance(each.value, bool)]
        if len(told) != 1 or not self._reader.words.may_correct(utterance.text):
            return None
        (at, wrong), fact = told[0], self._knowledge.facts[told[0][1].fact]
        corrects = False
        for later, reading in enumerate(utterance.readings[at + 1:], at + 1):
            corrects = corrects or self._reader.words.corrects(reading.clause)
            said = spelt_out(reading.clause, fact)
            read = self._reader.read(said, _lent(before, None)) if said and corrects and reading.kind == "report" else None
            right = wrong._replace(value=not wrong.value)
            if read and any(right in each.told for each in read.readings):
                return utterance._replace(readings=tuple(
                    each._replace(told=(right,)) if n == later else each._replace(told=()) if n == at else each for n, each in enumerate(utterance.readings)))
        return None

    def _supposed_of_subject(self, text: str, before: Before) -> Utterance | None:
        """What is supposed of `it` as it supposes a fact of what is spoken of, or of its neighbours: `what if it tears off`; None where it
        supposes none. What is told of `it` is for the clues (`guide.talk.telling`)."""
        asked = [reading.candidates[0].label for reading in before.last.readings if reading.candidates] if before.last else []
        topics = [*asked, *([before.subject] if before.subject else [])]
        near = [other for name in topics if name in self._knowledge.topics for other in self._knowledge.topics[name].see]
        for fact in (*self._facts_about(topics), *self._facts_about(near)):
            said = spelt_out(text, fact)
            fits = said and self._reader.sounds(text, fact.id) >= _LEAST_SOUND and self._reader.likeliest(said) == fact.id
            read = self._reader.read(said, _lent(before, None)) if said and fits else None
            if read and any(told.fact == fact.id for told in told_in(read.readings, "what_if")):
                return read
        return None


def _lent(before: Before, counted: str | None) -> Lent:
    return Lent(before.state.known(), before.subject, counted)
