"""What an utterance is about: the topic, or a question back, or a refusal."""
from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from guide.knowledge.base import Knowledge
from guide.language.facts import Told
from guide.language.labels import OUTSIDE
from guide.language.matching import Candidate
from guide.language.reading import Utterance
from guide.language.wording import tokens
from guide.leaning import ABOUT_THE_TALK, EVIDENCE, NOT_A_SUBJECT, OWN_SUBJECT, Talk, goes_on

LEAD = 2.0
"""How much the lead over the second topic counts beside the best one's own evidence."""
SURE = -0.15
"""Evidence and lead together above which the guide answers instead of asking which is meant."""
WEAK = -0.93
"""Evidence below which nothing in the bank speaks for the best topic: refuse rather than guess."""
REFUSE = -0.25
"""How far the evidence of being outside the subject must lead the best topic's, with the two below, before the guide refuses.
How the three weigh was found by logistic regression on seven voices left out, the bar itself by how many wrong refusals it costs:
five in a hundred of two hard voices left out, none or one in three hundred of plain ones (`python -m tests.benchmarks language`)."""
LEAST_OUTSIDE = -0.6
"""Evidence of being outside the subject below which the guide asks rather than refuses: on six voices left out this lowers the questions
that are refused wrongly from 22 to 18 in a thousand, and lets two in a thousand of what is outside through to be asked about."""
TAKEN = 0.1
"""Evidence at which a topic that leads that of being outside is never refused."""
SCOPE_PULL = 0.28
"""How much the score that only tells inside from outside counts beside the topics' own."""
FOREIGN_PULL = 0.56
"""How much words unknown to the subject speak for a refusal."""

WHOLE = 0.9
"""How much the utterance as one counts for its topic; the rest is its last question by itself."""
ABOVE_COUNTS = 1.0
"""Evidence at which a statement that tells only numbers is about something else: `split the watches among six of us`."""
ASKED = 0.3
"""Evidence at which a what-if is about what it asks rather than what it supposes."""


class Decision(NamedTuple):
    """`answered`, `unsure` or `outside`, with the topics in order, the best first."""

    outcome: str
    topics: tuple[str, ...]


def decide(talk: Talk, utterance: Utterance) -> Decision:
    """An emergency told goes before a question, a question before a report. A question that points back (`it`, `that one`)
    leans to what is spoken of and its neighbours."""
    knowledge = talk.knowledge
    if any(reading.kind == "what_if" for reading in utterance.readings):
        return _supposed(talk, utterance)
    told = [t for reading in utterance.readings if reading.kind == "report" for t in reading.told]
    about = told_topics(talk, told)
    ranked = (talk._replace(subject=None) if about and talk.subject not in about else talk).leaning(_ranked(utterance), utterance.text)
    if _asks(talk, utterance, ranked, bool(about)) or not about:
        return _asked(talk, utterance, ranked, told, about)
    if _only_counts(told) and ranked and ranked[0].evidence >= ABOVE_COUNTS and ranked[0].label in knowledge.topics:
        return Decision("answered", (ranked[0].label, *about))
    over = _over(knowledge, told)
    return Decision("answered", _closer(knowledge, about, [c for c in ranked if c.label in about or c.label not in over]))


def _over(knowledge: Knowledge, told: list[Told]) -> set[str]:
    """The emergencies and chances that are said to be over."""
    ended = {knowledge.facts[t.fact].topics.get("true", "") for t in told if t.value is False}
    return {topic for topic in ended if topic in knowledge.topics and knowledge.topics[topic].band != "ordered"}


def _asks(talk: Talk, utterance: Utterance, ranked: list[Candidate], tells: bool) -> bool:
    """Whether something is asked that what is told does not answer to: `not bailed yet, what with` asks about that."""
    questions = [reading.clause for reading in utterance.readings if reading.kind == "question"]
    bare = not any(map(talk.own_words, questions)) and ranked != [] and ranked[0].evidence < OWN_SUBJECT
    return bool(questions) and not (tells and bare)


def _asked(talk: Talk, utterance: Utterance, ranked: list[Candidate], told: list[Told], about: list[str]) -> Decision:
    """What is asked, unless an emergency told beside it goes first or it is not clear and something is told."""
    decision = _by_evidence(ranked, utterance, talk.patience(ranked))
    if about and decision.outcome == "unsure" and _only_counts(told):
        return decision  # a number beside a question does not say what is asked
    begun = set(told_topics(talk, (t for t in told if t.value is not False)))
    urgent = [topic for topic in about if topic in begun and talk.knowledge.topics[topic].band != "ordered"]
    if about and (decision.outcome != "answered" or urgent and not _fits(talk.knowledge, decision.topics[0], urgent[0])):
        return Decision("answered", tuple(urgent or about))
    return decision


def _only_counts(told: list[Told]) -> bool:
    return all(isinstance(t.value, (int, float)) and not isinstance(t.value, bool) for t in told)


def _closer(knowledge: Knowledge, about: list[str], ranked: list[Candidate]) -> tuple[str, ...]:
    """A report's own topic, or the neighbour of it that the words clearly speak for (a ship: alongside; a helicopter: its wire). What
    is just being in the raft gives way to what the words speak for most."""
    best = ranked[0] if ranked else None
    if best and best.label in about and about[0] in NOT_A_SUBJECT:
        return tuple(dict.fromkeys((best.label, *about)))
    if knowledge.topics[about[0]].band == "emergency" and best and best.label in knowledge.topics and knowledge.topics[best.label].band == "ordered":
        return tuple(about)
    if best and best.evidence > 0.0 and best.label not in about and best.label in knowledge.topics[about[0]].see:
        return (best.label, *about)
    return tuple(about)


def _supposed(talk: Talk, utterance: Utterance) -> Decision:
    """A what-if is about what it supposes; without a fact, or where its words clearly ask about something else, about what they say:
    `how do we stop the gear going out of the door if we flip`."""
    told = [t for r in utterance.readings if r.kind == "what_if" for t in r.told]
    about = told_topics(talk, told)
    if about and talk.subject and goes_on(utterance.text) and all(talk.is_circumstance(t.fact) for t in told):
        return Decision("answered", (talk.subject, *about))  # `and if it is dark?`
    ranked = (talk._replace(subject=None) if about else talk).leaning(_ranked(utterance), utterance.text)
    best = next((c for c in ranked if c.label != OUTSIDE), None)
    if about and best and best.label not in about and best.evidence >= ASKED and best.label in talk.knowledge.topics:
        return Decision("answered", (best.label, *about))
    return Decision("answered", tuple(about)) if about else _by_evidence(ranked, utterance, talk.patience(ranked))


def told_topics(talk: Talk, told: Iterable[Told]) -> list[str]:
    """The topics that reports of these facts are about, emergencies and chances first, what is over last. What was so and has ended may be
    about something else than what never was: a drogue lost, a drogue not yet out."""
    found: list[str] = []
    over: set[str] = set()
    for item in told:
        fact = talk.knowledge.facts[item.fact]
        ended = fact.topics.get("ended", "") if item.value is False and talk.known.get(item.fact) is True else ""
        topic = ended or fact.topic(item.value)
        over.update([topic] if item.value is False else ())
        if topic and topic in talk.knowledge.topics and topic not in found:
            found.append(topic)
    order = {"emergency": 0, "chance": 1}
    return sorted(found, key=lambda topic: (topic in over, order.get(talk.knowledge.topics[topic].band, 2)))


def _fits(knowledge: Knowledge, topic: str, urgent: str) -> bool:
    """Whether a question's topic may stand before what a report says is urgent: it is as urgent itself, or is how to use a chance."""
    asked, told = knowledge.topics[topic], knowledge.topics[urgent]
    return asked.band in ("emergency", "chance") or asked.priority == "protection" or told.band == "chance" and topic in told.see


def _ranked(utterance: Utterance) -> list[Candidate]:
    """The utterance as one and its last question, their evidence put together."""
    questions = [r for r in utterance.readings if r.kind == "question"]
    reports = not questions and utterance.readings and utterance.readings[-1].kind == "report"
    second = questions[-1].candidates if questions else utterance.readings[-1].candidates if reports else ()
    if not second or len(utterance.readings) == 1 and not reports:
        return list(utterance.whole)
    evidence = {c.label: WHOLE * c.evidence for c in utterance.whole}
    floor_one = min((c.evidence for c in utterance.whole), default=-1.0)
    floor_two = min(c.evidence for c in second)
    merged = {label: value + (1 - WHOLE) * floor_two for label, value in evidence.items()}
    for c in second:
        merged[c.label] = evidence.get(c.label, WHOLE * floor_one) + (1 - WHOLE) * c.evidence
    return sorted(map(Candidate._make, merged.items()), key=EVIDENCE, reverse=True)


def _by_evidence(ranked: list[Candidate], utterance: Utterance, patience: float) -> Decision:
    """One score chooses the topic, another decides whether to answer at all."""
    unsaid = ABOUT_THE_TALK.difference(tokens(utterance.text))
    topics = [c for c in ranked if c.label != OUTSIDE and (c.evidence >= 0.0 or c.label not in unsaid)]
    if not topics or topics[0].evidence < WEAK:
        return Decision("outside", ())
    names = tuple(c.label for c in topics)
    best = topics[0].evidence
    second = topics[1].evidence if len(topics) > 1 else -2.0
    outside = next((c.evidence for c in ranked if c.label == OUTSIDE), -1.2)
    if outside >= LEAST_OUTSIDE and (best < TAKEN or best < outside) and outside - best + SCOPE_PULL * utterance.outside + FOREIGN_PULL * utterance.foreign > REFUSE + patience:
        return Decision("outside", ())
    if best + LEAD * (best - second) >= SURE:
        return Decision("answered", names)
    return Decision("unsure", names[:3])
