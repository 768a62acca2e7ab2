"""What a turn has to do with the turn before: it answers what was asked for, asks with another input, or says that it is done."""
from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import NamedTuple

from guide.computing import Computing
from guide.knowledge.base import Knowledge
from guide.knowledge.records import Step
from guide.language import clauses, orders
from guide.language.beside import STORED
from guide.language.facts import Told
from guide.language.labels import OUTSIDE
from guide.language.matching import Candidate
from guide.language.mentions import TEMPERATURES
from guide.language.numbers import numbers, split
from guide.language.utterances import Reading, Utterance, told_in
from guide.language.vocabulary import Vocabulary
from guide.language.wording import clean, regular, tokens
from guide.packing import RATED, answered_pack, asked_again
from guide.patterns import pattern
from guide.planning.items import View
from guide.planning.planner import plan
from guide.planning.readiness import settled
from guide.quantities import Answered, Question, adds_nothing
from guide.talk.deciding import Decision
from guide.turn import Change, Turn

_VARIES = pattern(r"^(?:and|but|or)\b|^(?:what|how) about\b")
_ANOTHER_NUMBER = pattern(r"^(?:(?:and|but|or|so|ok|then|now)[, ]+)*(?:(?:what|how) about |what if )?(?:(?P<people>with|for)|(?P<measure>at)) (?:only |just |about )?(?P<number>[^ ,.;]+(?: (?!degrees?\b|deg\b|c\b|of\b|people\b)[^ ,.;]+)?)(?P<unit>(?: (?:of us|people|degrees?|deg|c|celsius))*)$")
"""The figures before with one number more than they had, or less, which says no more of what: `and with six?`, `and at 3 degrees`."""
_ASKS = pattern(r"\b(?:how(?! about)|what(?! about)|why|when|where|who|which|if|do|does|did|should|shall|can|could|will|would|is|are|was)\b")
"""A question of its own, or a what-if: not the figure before with another name."""
_ASKS_FOR = pattern(r"\bhow (?!about\b)|\b(?:when|where)\b")
"""A what-if that says itself which figure it is about."""
_HOW = pattern(r"^(?:(?:and|but|so|ok|then|which way|what way)[, ]+)*how(?:$| (?:do|does|is|can|should|would|to|am|are|must|d'?you|we|i|it)\b)")
_ASKS_HOW_FAR = pattern(r"^(?:(?:and|so|ok|okay|then|now|well|but)[, ]+)*(?:(?:for|over|in) (?:how many days|\w+ (?:days|hours))\b.*\b(?:the )?(?:rest|remainder|that|it|this|they|those|them|what is left|what remains)\b.*"
                        r"|how (?:many days|long) (?:does|do|will|would|can|is|are) (?:the )?(?:rest|remainder|that|it|this|they|those|what is left|what remains)\b.*\b(?:last|reach|do|go|hold out|stretch|enough)\b.*"
                        r"|how much (?:is|does|makes?) (?:that|it|this)(?: come to| make| be| give)? (?:per (?:head|person|man|day)|each|a (?:head|person|man|day)|for (?:each|one|a day))\b.*)$")
"""Asks how far the stock goes that was spoken of, which it does not name."""
_HOW_MANY_LEFT = pattern(r"^(?:(?:and|so|ok|okay|then|now|well|but)[, ]+)*how (?:many|much)\b(?: \w+){1,7} (?:left|remain|remains|remaining|still)(?: now| then| over| in all| aboard| in the (?:bag|pack|raft))*$")
"""Asks how much of a stock is left, by its name."""
_ASKS_LEFT = pattern(r"^(?:(?:and|so|right|ok|okay|then|now|well|but)[, ]+)*(?:how (?:much|many)|what)\b(?: (?:more|of (?:it|that|those|them|these)|have|do|does|is|are|we|i|there|got|that|it|us|still|now|then|all in|in all))*"
                     r"(?: (?:left|remain|remains|remaining))?(?: (?:now|then|over|still|for us))*$|^(?:(?:and|so) )*(?:leaving|(?:which|that) leaves)(?: us| me)?(?: with)? (?:what|how (?:much|many))$")
_LEFT = pattern(r"\b(?:left|have|remain\w*|leav\w+|still)\b")
_AND_IF = pattern(r"^(?:and|or|plus|with)\b(?!.*\b(?:now|just|done)\b)")
PERSONS = "persons"
_PLAIN = 0.5
"""Evidence of its words with which a what-if is plainly about another figure than the turn before."""
_SHORT = 10
"""Words of a sentence that can be nothing but an answer, or the figure before with another input."""


class Given(NamedTuple):
    """An answer: the facts it tells, as an utterance, and the question with the quantities it gives."""

    utterance: Utterance
    question: Question
    topic: str
    """What the answer is about: the question's, or that of a value that matters more."""
    unclear: bool


class Following:
    """Reads a turn against the question that the turn before left. Holds no state of a conversation."""

    def __init__(self, knowledge: Knowledge, computing: Computing) -> None:
        self._knowledge, self._computing = knowledge, computing

    def given(self, text: str, question: Question | None, now: str) -> Given | None:
        """A short answer to what was asked for by name: `9`, `about six of us`, `half past five`."""
        again = asked_again(text, question, self._knowledge) if question else None
        if again:
            asks = Reading(clean(text), "question", (Candidate(again.topic, 1.0),), ())
            return Given(Utterance(clean(text), (asks,), {}, 0.0, False), again, again.topic, unclear=False)
        if question is None or not question.wants:
            return None
        pack = answered_pack(text, self._knowledge) if "pack" in question.wants else None
        counts = [name for name in question.wants if name != "pack"] or (list(RATED) if pack and pack[1] else [])
        found = self._computing.quantities.answered(pack[1] if pack else text, counts, now) if counts else None
        if found is None and not pack:
            return None
        found = found or Answered({}, unclear=False)
        facts = {name: value for name, value in found.values.items() if name in self._knowledge.facts}
        told = tuple(Told(name, int(value) if value.is_integer() and self._knowledge.facts[name].type == "int" else value, "set")
                     for name, value in facts.items()) + ((Told("pack", pack[0], "set"),) if pack else ())
        reading = Reading(clean(text), "report", (Candidate(question.topic, 1.0),), told)
        said = {**question.said, **{name: value for name, value in found.values.items() if name not in facts}}
        asked = f"{question.text} {clean(text)}" if found.moment else question.text
        return Given(Utterance(clean(text), (reading,), {}, 0.0, False), question._replace(said=said, text=asked),
                     self._own_topic(told) or question.topic, found.unclear)

    def _own_topic(self, told: Iterable[Told]) -> str:
        """The topic that an answer's very value has, as water at 0; else nothing."""
        facts = self._knowledge.facts
        return next((topic for item in told if isinstance(item.value, (int, float)) and (topic := facts[item.fact].topics.get(f"{item.value:g}", ""))), "")

    def told(self, utterance: Utterance, decision: Decision, question: Question | None, now: str) -> Question | None:
        """The question, where a statement of its own tells what was wanted and nothing else that matters more."""
        if question is None or not question.wants or any(r.kind == "question" for r in utterance.readings):
            return None
        if any(not r.told and not adds_nothing(r.clause) for r in utterance.readings) and any(r.told for r in utterance.readings):
            return None
        told = {t.fact for t in told_in(utterance.readings, "report")}
        own = {topic for name in told.intersection(question.wants) for topic in self._knowledge.facts[name].topics.values()}
        if own and (decision.outcome == "outside" or decision.topics[0] in {*own, question.topic}):
            return question
        if told or len(tokens(utterance.text)) > _SHORT:
            return None
        said = self._quantities(utterance.text, question, now)
        return question._replace(said={**question.said, **said}) if said else None

    def _quantities(self, text: str, question: Question, now: str) -> Mapping[str, float]:
        return self._computing.quantities.said(text, [name for name in question.wants if name not in self._knowledge.facts], now)

    def varies(self, utterance: Utterance, question: Question | None) -> bool:
        """`and for eight people?`, `how about 20 knots`: a figure just told, asked again with another input."""
        facts = {t.fact for t in told_in(utterance.readings)}
        return bool(question and question.figures and _VARIES.match(regular(utterance.text)) and len(tokens(utterance.text)) <= _SHORT
                    and not any(r.kind == "report" for r in utterance.readings)
                    and not _ASKS.search(regular(utterance.text)) and not clauses.asks_judgement(utterance.text)
                    and self._computing.varies(question.topic, utterance.text, facts, named=True))

    def with_number(self, utterance: Utterance, question: Question | None) -> Utterance:
        """The utterance as a question that gives the figures of the turn before another number: `and with six?` is of so many people."""
        found = _ANOTHER_NUMBER.match(regular(utterance.text).strip(" .?!")) if question and question.figures else None
        counted = numbers(split(found["number"])) if found else []
        if question is None or found is None or len(counted) != 1 or counted[0].stop != len(split(found["number"])):
            return utterance
        takes = self._computing.takes(question.topic)
        fact = next((name for name in ((PERSONS,) if found["people"] else TEMPERATURES) if name in takes), "")
        if not fact or found["people"] and not counted[0].value.is_integer() or any(told.fact != fact for told in told_in(utterance.readings)):
            return utterance
        told = Told(fact, int(counted[0].value) if found["people"] else counted[0].value, "set")
        return utterance._replace(readings=(Reading(clean(utterance.text), "question", (Candidate(question.topic, 1.0),), (told,)),))

    def supposed(self, utterance: Utterance, facts: Collection[str], before: Question | None, now: str) -> tuple[Question, Question] | None:
        """The figures that a what-if is about, those it names or those of the turn before: as supposed, and as they are."""
        text, computing = utterance.text, self._computing
        named = max((label for label in utterance.whole if label != OUTSIDE), key=utterance.whole.__getitem__, default="")
        if _ASKS_FOR.search(regular(text)) and computing.varies(named, text, facts) and not (before and before.topic == named):
            return computing.question(named, text, now), Question(named, "", {})
        elliptic = bool(_VARIES.match(regular(text))) and not _ASKS.search(regular(text))
        another = named not in ("", before.topic if before else "") and utterance.whole[named] >= _PLAIN and bool(computing.takes(named))
        if before is None or before.listed or another or not computing.varies(before.topic, text, facts, named=elliptic):
            return None
        then = computing.question(before.topic, text, now)
        return then._replace(text=f"{text} {before.text}", said={**before.said, **then.said}), before


def goes_on_supposing(utterance: Utterance) -> bool:
    """Whether a short statement goes on with a what-if of the turn before: `and someone is in the water`."""
    said = regular(utterance.text)
    return bool(_AND_IF.match(said)) and len(tokens(said)) <= _SHORT and all(reading.kind in ("report", "command") for reading in utterance.readings)


def supposing_as_well(utterance: Utterance, supposed: Iterable[Change]) -> Utterance:
    """The utterance as a what-if beside what was supposed before."""
    before = tuple(Told(change.fact, change.now, "set") for change in supposed if isinstance(change.now, (bool, int, float, str)))
    readings = [reading._replace(kind="what_if") for reading in utterance.readings]
    readings[0] = readings[0]._replace(told=(*before, *readings[0].told))
    return utterance._replace(readings=tuple(readings))


def stock_asked(text: str, last: Turn | None, knowledge: Knowledge, words: Vocabulary) -> str:
    """The fact of the one stock that a question how much is left names, or that the turn before counted, where a few words ask how much
    of it there is now, `shot one rocket`, `how many of those do we still have`, or how far it goes: `how many days does the rest last`.
    Nothing for other texts."""
    if last is None:
        return ""
    said = regular(text).strip(" .?!")
    stocks = {item.amount for item in knowledge.equipment.values() if item.amount}
    named = {fact for fact in stocks if words.names(fact, said)} if _HOW_MANY_LEFT.match(said) else set()
    if len(named) == 1:
        return named.pop()
    far = bool(_ASKS_HOW_FAR.match(said))
    if not far and not (_ASKS_LEFT.match(said) and _LEFT.search(said)):
        return ""
    counted = {told.fact for told in told_in(last.readings, "report") if told.fact in stocks}
    if len(counted) != 1 or far and counted.isdisjoint(STORED):
        return ""
    return counted.pop()


def meant_by_done(last: Turn, view: View, at: str) -> list[Step]:
    """What `done` is about at the ISO time `at`: after a question or an order the first job of its answer, an open one before others,
    unless an emergency or a sighting comes next and it was not asked how to do that, nor ordered; else the step shown as next; both
    where the reply showed another job before that one."""
    untold = not last.changes and {reading.kind for reading in last.readings} == {"report"}  # something the plan knows nothing of
    shown = [advice.step for advice in last.advice if (untold or advice.step.band != "note") and not settled(view, advice.step, at)]
    open_now = {item.step.id for item in plan(view, at, None)}
    first_open = next((step for step in shown if step.id in open_now), None)
    coming = [item.step for item in last.next[:1]]
    pressing = any(step.band in ("emergency", "chance") for step in coming)
    ordered = any(reading.kind == "command" and orders.is_order(reading.clause) for reading in last.readings)
    asked = ordered or any(reading.kind == "question" for reading in last.readings)
    how = ordered or any(_HOW.match(clauses.lead_off(text)) for text in (last.text, *(reading.clause for reading in last.readings if reading.kind == "question")))
    first_action = next((step for step in shown if how and step.band not in ("note", "ordered")), None)
    job = first_open if first_open and (how or not pressing) else first_action
    if job and asked:
        return [job]  # what was asked how to do also where the plan would not have it yet: `how do I cut us loose`, `done`
    jobs = [first_open or shown[0], *coming] if shown and coming else coming
    return list({step.id: step for step in jobs}.values())
