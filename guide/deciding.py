"""What an utterance is about: the topic, or a question back, or a refusal."""
from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from operator import attrgetter
from typing import NamedTuple

from guide.knowledge.base import Knowledge
from guide.language.facts import Told
from guide.language.labels import OUTSIDE
from guide.language.matching import Candidate
from guide.language.reading import Utterance
from guide.language.wording import tokens
from guide.patterns import pattern

LEAD = 2.0
"""How much the lead over the second topic counts beside the best one's own evidence."""
SURE = -0.15
"""Evidence and lead together above which the guide answers instead of asking which is meant."""
WEAK = -0.93
"""Evidence below which nothing in the bank speaks for the best topic: refuse rather than guess."""
REFUSE = -0.35
"""How far the evidence of being outside the subject must lead the best topic's, with the two below, before the guide refuses.
How the three weigh was found by logistic regression on seven voices left out, the bar itself by how many wrong refusals it costs:
five in a hundred of two hard voices left out, none or one in three hundred of plain ones (`python -m tests.benchmarks language`)."""
TAKEN = 0.1
"""Evidence at which a topic that leads that of being outside is never refused."""
ADRIFT = 0.3
"""How much more has to speak for a refusal once the crew is in the raft: what they say then is rarely about something else."""
SCOPE_PULL = 0.28
"""How much the score that only tells inside from outside counts beside the topics' own."""
FOREIGN_PULL = 0.56
"""How much words unknown to the subject speak for a refusal."""

WHOLE = 0.9
"""How much the utterance as one counts for its topic; the rest is its last question by itself."""
LEAN = 0.6
"""Evidence that the topic of the turn before has in a question that points back to it."""
ABOVE_COUNTS = 1.0
"""Evidence at which a statement that tells only numbers is about something else: `split the watches among six of us`."""
ASKED = 0.3
"""Evidence at which a what-if is about what it asks rather than what it supposes."""
KNOWN_LEAN, SIGHT_LEAN = 0.12, 0.25
"""The same for topics of what is known now: `she` is the ship in sight, or the vessel that the painter still holds."""
URGENT_LEAN = 1.6
"""The same where that topic is an emergency: nobody changes the subject then."""
OWN_SUBJECT = 0.0
"""Evidence at which a sentence has a subject of its own, unless an emergency is still on: `where's the hole, how do I find it`."""
POINTS_BACK_WITHIN = 14
"""Words within which `it` points back to the turn before; a longer sentence carries its own subject."""
_POINTERS = frozenset("it its that this them they those these him he his her she".split())
_THERE = pattern(r"\bthere\b(?!'?s\b| is\b| are\b| was\b| were\b)", re.IGNORECASE)
"""`there` points back, `there is` does not."""
_EVIDENCE = attrgetter("evidence")
_NOT_A_SUBJECT = frozenset(("what_now", "what_done", "why", "take_back", "what_can_you_do"))


class Decision(NamedTuple):
    """`answered`, `unsure` or `outside`, with the topics in order, the best first."""

    outcome: str
    topics: tuple[str, ...]


def decide(knowledge: Knowledge, utterance: Utterance, last_topic: str | None = None,
           known: Mapping[str, object] | None = None) -> Decision:
    """An emergency told goes before a question, a question before a report. A question that points back (`it`, `that one`)
    leans to the topic of the turn before and its neighbours."""
    if any(reading.kind == "what_if" for reading in utterance.readings):
        return _supposed(knowledge, utterance, known or {})
    told = [t for reading in utterance.readings if reading.kind == "report" for t in reading.told]
    about = told_topics(knowledge, told, known or {})
    begun = set(told_topics(knowledge, (t for t in told if t.value is not False), known or {}))
    urgent = [topic for topic in about if topic in begun and knowledge.topics[topic].band != "ordered"]
    asked = any(reading.kind == "question" for reading in utterance.readings)
    counted = all(isinstance(t.value, (int, float)) and not isinstance(t.value, bool) for t in told)
    own_subject = about and last_topic not in about
    ranked = _leaning(knowledge, _ranked(utterance), utterance.text, None if own_subject else last_topic, known or {})
    if asked or not about:
        decision = _by_evidence(ranked, utterance, patience=ADRIFT if (known or {}).get("aboard_raft") is True else 0.0)
        if about and counted and decision.outcome == "unsure":
            return decision  # a number beside a question does not say what is asked
        if about and (decision.outcome != "answered" or urgent and not _fits(knowledge, decision.topics[0])):
            return Decision("answered", tuple(urgent or about))
        return decision
    if counted and ranked and ranked[0].evidence >= ABOVE_COUNTS and ranked[0].label in knowledge.topics:
        return Decision("answered", (ranked[0].label, *about))
    return Decision("answered", _closer(knowledge, about, ranked))


def _closer(knowledge: Knowledge, about: list[str], ranked: list[Candidate]) -> tuple[str, ...]:
    """A report's own topic, or the neighbour of it that the words clearly speak for (a ship: alongside; a helicopter: its wire)."""
    best = ranked[0] if ranked else None
    if knowledge.topics[about[0]].band == "emergency" and best and best.label in knowledge.topics and knowledge.topics[best.label].band == "ordered":
        return tuple(about)
    if best and best.evidence > 0.0 and best.label not in about and best.label in knowledge.topics[about[0]].see:
        return (best.label, *about)
    return tuple(about)


def _supposed(knowledge: Knowledge, utterance: Utterance, known: Mapping[str, object]) -> Decision:
    """A what-if is about what it supposes; without a fact, or where its words clearly ask about something else, about what they say:
    `how do we stop the gear going out of the door if we flip`."""
    about = told_topics(knowledge, [t for r in utterance.readings if r.kind == "what_if" for t in r.told], known)
    ranked = _ranked(utterance)
    best = next((c for c in ranked if c.label != OUTSIDE), None)
    if about and best and best.label not in about and best.evidence >= ASKED and best.label in knowledge.topics:
        return Decision("answered", (best.label, *about))
    return Decision("answered", tuple(about)) if about else _by_evidence(ranked, utterance)


def told_topics(knowledge: Knowledge, told: Iterable[Told], known: Mapping[str, object]) -> list[str]:
    """The topics that reports of these facts are about, emergencies and chances first. What was so and has ended may be
    about something else than what never was: a drogue lost, a drogue not yet out."""
    found: list[str] = []
    for item in told:
        topics = knowledge.facts[item.fact].topics
        value = f"{item.value:g}" if isinstance(item.value, float) else str(item.value).lower()
        ended = topics.get("ended", "") if item.value is False and known.get(item.fact) is True else ""
        topic = ended or topics.get(value, topics.get("any", ""))
        if topic and topic in knowledge.topics and topic not in found:
            found.append(topic)
    order = {"emergency": 0, "chance": 1}
    return sorted(found, key=lambda topic: order.get(knowledge.topics[topic].band, 2))


def _fits(knowledge: Knowledge, topic: str) -> bool:
    """Whether a question's topic is itself urgent enough to stand before a report's emergency."""
    return knowledge.topics[topic].band in ("emergency", "chance") or knowledge.topics[topic].priority == "protection"


def _leaning(knowledge: Knowledge, ranked: list[Candidate], text: str, last_topic: str | None,
             known: Mapping[str, object]) -> list[Candidate]:
    """The evidence with what the conversation adds for words that point back."""
    words = tokens(text)
    if not _POINTERS.intersection(words) and not _THERE.search(text):
        return ranked
    near = {topic: SIGHT_LEAN if knowledge.topics[topic].band == "chance" else KNOWN_LEAN for topic in _known_topics(knowledge, known)}
    urgent = last_topic is not None and last_topic in knowledge.topics and _still_on(knowledge, last_topic, known)
    own = next((c.evidence for c in ranked if c.label in knowledge.topics), -1.0)
    if last_topic is not None and last_topic in knowledge.topics and last_topic not in _NOT_A_SUBJECT and len(words) <= POINTS_BACK_WITHIN and (
            urgent or own < OWN_SUBJECT):
        lean = URGENT_LEAN if urgent else LEAN
        for name, more in {**dict.fromkeys(knowledge.topics[last_topic].see, lean / 2), last_topic: lean, OUTSIDE: -lean}.items():
            near[name] = near.get(name, 0.0) + more
    leaning = [c._replace(evidence=c.evidence + near[c.label]) if c.label in near else c for c in ranked]
    return sorted(leaning, key=_EVIDENCE, reverse=True)


def _still_on(knowledge: Knowledge, topic: str, known: Mapping[str, object]) -> bool:
    """Whether the topic is an emergency that nobody has said is over."""
    over = any(known.get(fact) is False for fact in knowledge.facts if knowledge.facts[fact].topics.get("true") == topic)
    return knowledge.topics[topic].band == "emergency" and not over


def _known_topics(knowledge: Knowledge, known: Mapping[str, object]) -> set[str]:
    """The topics that the yes/no facts known now are about."""
    found = (knowledge.facts[fact].topics.get(str(value).lower(), "") for fact, value in known.items() if isinstance(value, bool))
    return {topic for topic in found if topic in knowledge.topics}


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
    return sorted((Candidate(label, value, 0.0) for label, value in merged.items()), key=_EVIDENCE, reverse=True)


def _by_evidence(ranked: list[Candidate], utterance: Utterance, patience: float = 0.0) -> Decision:
    """One score chooses the topic, another decides whether to answer at all."""
    topics = [c for c in ranked if c.label != OUTSIDE]
    if not topics or topics[0].evidence < WEAK:
        return Decision("outside", ())
    names = tuple(c.label for c in topics)
    best = topics[0].evidence
    second = topics[1].evidence if len(topics) > 1 else -2.0
    outside = next((c.evidence for c in ranked if c.label == OUTSIDE), -1.2)
    if (best < TAKEN or best < outside) and outside - best + SCOPE_PULL * utterance.outside + FOREIGN_PULL * utterance.foreign > REFUSE + patience:
        return Decision("outside", ())
    if best + LEAD * (best - second) >= SURE:
        return Decision("answered", names)
    return Decision("unsure", names[:3])
