"""Clues to what a sentence is about: its words, what it tells, and what the talk was about before.

Each topic that it may be about, and being no business of this guide's, has clues by name with a strength. What a clue weighs is
learned from labelled talks (`guide.learning`); nothing here decides.
"""
from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType
from typing import NamedTuple

from guide.language.clauses import asks_what_to_do
from guide.language.facts import Told
from guide.language.labels import OUTSIDE
from guide.language.utterances import Utterance, told_in
from guide.language.wording import tokens
from guide.talk.before import NOT_A_SUBJECT, PERSON, Talk, goes_on, points_back

MOST = 11
"""Topics that are looked at, the likeliest by their words first; those that what is told or was said speaks for are besides."""
FEW_WORDS, MANY_WORDS = 2, 10
"""Words of its own up to which a sentence may have no subject of its own, and words beyond which it has one."""
NOT_HEARD, TELLS_NOTHING = -1.1, -0.6
"""Evidence where nothing was learned of a topic: some below the least that is learned, and for topics that no fact tells of."""
_WHOLE = 0.9
"""How much the utterance as one counts for its topic; the rest is its last question by itself."""
MIXED = 0.5
"""The same where something else is told beside the question."""
SORTS = ("asks", "states", "supposes", "follows", "few words")
BY_SORT = ("words", "context", "words as a statement", "sounds like telling of it", "words for a neighbour")
"""Clues that count for more or less by the sort of sentence."""
_BY_SORT = {sort: [(what, f"{what}, {sort}") for what in BY_SORT] for sort in SORTS}
_OWN_MOST = 8

Clues = dict[str, float]


class Sentence(NamedTuple):
    """What a sentence shows, whatever it is about."""

    words: Mapping[str, float]
    """Topic → evidence of its words."""
    named: frozenset[str]
    """The topics whose item it calls by a name."""
    asked: Mapping[str, float]
    """Topic → evidence of its last question alone, where it says more than that."""
    besides: Mapping[str, float]
    """Topic → evidence of its statements that tell no fact, where others do."""
    first: str | None
    """What its clauses before its last question, or its last clause, are likeliest about, where their words speak for it."""
    stated: Mapping[str, float]
    """The same, were it a statement."""
    sounding: Mapping[str, float]
    """Topic → evidence of its words for telling a fact that is about it."""
    told: Sequence[str]
    """The topics of what it tells, the most urgent first."""
    begun: Sequence[str]
    """Those of them that are not about something over."""
    numbers: bool
    """It tells only numbers."""
    supposed: Sequence[str]
    goes_on: bool
    circumstances: bool
    """It goes on, and supposes nothing but what happens by itself: `and if it is dark?`"""
    asks: bool
    supposes: bool
    states: bool
    """It does nothing but state."""
    length: int
    own: int
    """Words that mean something by themselves."""
    points: bool
    follows: bool
    """It goes on with what was said before."""
    person: bool
    """It says him or her."""
    why: bool
    """It says why."""
    foreign: float
    reports: bool
    """It states something, whatever else it does."""
    at_a_loss: bool
    """It says something, and ends with asking what the crew is to do."""


class SpokenOf(NamedTuple):
    """Topic → what it adds to its evidence that something was spoken of: each empty where nothing is."""

    subject: Mapping[str, float] = MappingProxyType({})
    """The subject of the talk."""
    told: Mapping[str, float] = MappingProxyType({})
    """What the sentence tells first, where it asks as well."""
    first: Mapping[str, float] = MappingProxyType({})
    """What it says first."""


def sentence(talk: Talk, utterance: Utterance) -> Sentence:
    """What an utterance shows by itself."""
    text, spoken = utterance.text, evidence(utterance)
    words, own = tokens(text), len(talk.own_words(text))
    kinds = {reading.kind for reading in utterance.readings}
    points = points_back(text)
    reported = list(told_in(utterance.readings, "report"))
    supposed = list(told_in(utterance.readings, "what_if"))
    return Sentence(spoken, utterance.named & talk.knowledge.topics.keys(), _asked(utterance), _besides(utterance), _first(utterance), utterance.stated, _sounding(talk, utterance), told_topics(talk, reported, spoken), told_topics(talk, (told for told in reported if told.value is not False), spoken),
                    bool(reported) and all(map(_is_number, reported)), told_topics(talk, supposed, spoken), goes_on(text),
                    bool(supposed) and goes_on(text) and all(talk.is_circumstance(told.fact) for told in supposed), "question" in kinds, "what_if" in kinds,
                    kinds == {"report"}, len(words), own, points, points or goes_on(text) or not own, not PERSON.isdisjoint(words), "why" in words, utterance.foreign, "report" in kinds, own > 2 and asks_what_to_do(text))


def _asked(utterance: Utterance) -> Mapping[str, float]:
    questions = [reading for reading in utterance.readings if reading.kind == "question"]
    return dict(questions[-1].candidates) if questions and len(utterance.readings) > 1 else {}


def _besides(utterance: Utterance) -> Mapping[str, float]:
    states = [reading for reading in utterance.readings if reading.kind == "report"]
    found: dict[str, float] = {}
    for reading in states if any(reading.told for reading in states) else ():
        for each in reading.candidates if not reading.told else ():
            found[each.label] = max(each.evidence, found.get(each.label, NOT_HEARD))
    return found


def _first(utterance: Utterance) -> str | None:
    if len(utterance.readings) < 2:
        return None
    questions = [reading for reading in utterance.readings if reading.kind == "question"]
    last = (questions or utterance.readings)[-1]
    before = [each for reading in utterance.readings if reading is not last for each in reading.candidates if each.label != OUTSIDE]
    best = max(before, key=lambda each: each.evidence, default=None)
    return best.label if best and best.evidence > 0.0 else None


def _is_number(told: Told) -> bool:
    return isinstance(told.value, (int, float)) and not isinstance(told.value, bool)


def _sounding(talk: Talk, utterance: Utterance) -> Mapping[str, float]:
    found: dict[str, float] = {}
    about = talk.knowledge.told_about
    for label, value in utterance.sounding.items():
        topic = about.get(label, "")
        if value > found.get(topic, -9.0):
            found[topic] = value
    return found


def evidence(utterance: Utterance) -> Mapping[str, float]:
    """Topic → what speaks for it in the utterance as one and in its last question, put together."""
    questions = [reading for reading in utterance.readings if reading.kind == "question"]
    reports = not questions and utterance.readings and utterance.readings[-1].kind == "report"
    second = questions[-1].candidates if questions else utterance.readings[-1].candidates if reports else ()
    if not second or len(utterance.readings) == 1 and not reports:
        return utterance.whole
    mixed = bool(questions) and any(reading.told for reading in utterance.readings if reading.kind == "report")
    share = MIXED if mixed else _WHOLE
    whole = {label: share * value for label, value in utterance.whole.items()}
    floor_one = min(utterance.whole.values(), default=-1.0)
    floor_two = (1 - share) * min(value for _, value in second)
    merged = {label: value + floor_two for label, value in whole.items()}
    for label, value in second:
        merged[label] = whole.get(label, share * floor_one) + (1 - share) * value
    return merged


def told_topics(talk: Talk, told: Iterable[Told], words: Mapping[str, float]) -> list[str]:
    """The topics that reports of these facts are about, emergencies and chances first, what is over last. What was so and has ended may be
    about something else than what never was, as is known or as the words say: a drogue lost, a drogue not yet out."""
    found: list[str] = []
    over: set[str] = set()
    told = list(told)
    now = {**talk.known, **{item.fact: item.value for item in told}}
    for item in told:
        fact = talk.knowledge.facts[item.fact]
        topic, ended = fact.topic(item.value, now.get), fact.topics.get("ended", "") if item.value is False else ""
        if ended and (talk.known.get(item.fact) is True or words.get(ended, NOT_HEARD) > words.get(topic or "", NOT_HEARD)):
            topic = ended
        worded = fact.topics.get(f"{str(item.value).lower()} as worded", "")
        if worded and words.get(worded, NOT_HEARD) > words.get(topic or "", NOT_HEARD):
            topic = worded
        over.update([topic] if item.value is False else ())
        if topic and topic in talk.knowledge.topics and topic not in found:
            found.append(topic)
    order = {"emergency": 0, "chance": 1}
    return sorted(found, key=lambda topic: (topic in over, order.get(talk.knowledge.topics[topic].band, 2)))


def candidates(talk: Talk, said: Sentence, spoken_of: SpokenOf) -> dict[str, Clues]:
    """What the sentence may be about, each with its clues."""
    topics, context = talk.knowledge.topics, spoken_of.subject
    about = topics.get(talk.subject or "")
    best = sorted(said.words, key=said.words.__getitem__, reverse=True)
    lent = {label: value + context.get(label, 0.0) for label, value in said.words.items()} if context else said.words
    in_talk = sorted(lent, key=lent.__getitem__, reverse=True) if context else best
    names = [*best[:MOST], *(in_talk[:MOST // 2] if context else ())]
    names += [name for name in (talk.last or "", *((about.id, *about.see) if about else ()), *said.told, *said.supposed) if name in topics]
    floor = said.words[best[-1]] if best else -1.0
    known = _known(talk)
    rival = next((lent[label] for label in in_talk if label not in (talk.subject, OUTSIDE)), -1.0)
    found: dict[str, Clues] = {}
    sorts = [by_sort for sort in _sorts(said) for by_sort in _BY_SORT[sort]]
    for name in dict.fromkeys((*names, OUTSIDE)):
        clues = found[name] = _of_words(talk, said, name, said.words.get(name, floor), context.get(name, 0.0))
        clues.update(_of_what_stands_before(said, name, spoken_of))
        if name == OUTSIDE:
            clues.update(_of_outside(talk, said))
        elif talk.begun:
            clues.update(_of_talk(talk, said, name, known, rival))
        clues.update([(named, clues[what]) for what, named in sorts if what in clues])
    return found


def _sorts(said: Sentence) -> list[str]:
    """What sort of sentence it is."""
    return [sort for sort, so in zip(SORTS, (said.asks, said.states, said.supposes, said.follows, said.own <= FEW_WORDS)) if so]


def plain(clue: str) -> str:
    """The name of a clue whatever the sort of sentence: `words` for `words, asks`."""
    what, _, sort = clue.rpartition(", ")
    return what if sort in SORTS and what in BY_SORT else clue


def _known(talk: Talk) -> frozenset[str]:
    """The topics that what is known is about, so or not so."""
    facts = talk.knowledge.facts
    return frozenset(topic for fact in talk.known if fact in facts for topic in facts[fact].topics.values())


def _of_words(talk: Talk, said: Sentence, name: str, words: float, context: float) -> Clues:
    """What its words, what it tells and what it supposes say for a topic."""
    topics = talk.knowledge.topics
    clues = {"words": words, "context": context, "words as a statement": said.stated.get(name, NOT_HEARD),
             "sounds like telling of it": said.sounding.get(name, TELLS_NOTHING)}
    if name in topics:
        clues["words for a neighbour"] = max((said.words.get(other, NOT_HEARD) for other in topics[name].see), default=NOT_HEARD)
    if said.asked:
        clues["words of the question"] = said.asked.get(name, NOT_HEARD)
    if said.besides:
        clues["words besides what is told"] = clues["words besides numbers told" if said.numbers else "words besides facts told"] = said.besides.get(name, NOT_HEARD)
    if name in said.named:
        clues.update({"named": 1.0, "named, asks": float(said.asks), "named, tells": float(bool(said.told)), "nothing else is named": float(len(said.named) == 1)})
    elif said.named:
        clues["another is named"] = 1.0
    if not said.told and not said.supposed:
        clues["words alone"] = words
    if said.told and not said.asks:
        clues["words that only tell"] = words
        clues["words that only count"] = words if said.numbers else 0.0
    if said.supposed:
        clues["words that suppose"] = words
    if said.told and name in topics:
        if name == said.told[0]:
            clues["told first"] = 1.0
            clues["told first beside a question"] = float(said.asks)
            clues["told first, only numbers"] = float(said.numbers)
            clues["told first, only numbers, beside a question"] = float(said.numbers and said.asks)
        elif name in said.told:
            clues["told as well"] = 1.0
        elif name in topics[said.told[0]].see:
            clues["near what is told"] = 1.0
            clues["near what is told, words"] = max(0.0, words)
    if said.supposed and name in topics:
        if name == said.supposed[0]:
            clues["supposed first"] = 1.0
        elif name not in said.supposed and name in topics[said.supposed[0]].see:
            clues["near what is supposed"] = 1.0
    if name in NOT_A_SUBJECT:
        clues["about the talk"] = float(said.points and said.own <= FEW_WORDS)
        clues[f"about {name}"] = 1.0
        if name == "why":
            clues["about why, says so"] = float(said.why)
    return clues


def _of_what_stands_before(said: Sentence, name: str, spoken_of: SpokenOf) -> Clues:
    """What is told or said first in the same breath says for a topic: `we got two rockets. how do I hold one`."""
    clues = {"context of what is told": spoken_of.told.get(name, 0.0)} if spoken_of.told else {}
    if spoken_of.first:
        clues["context of what is said first"] = spoken_of.first.get(name, 0.0)
        clues["context of what is said first, asks"] = said.asks * spoken_of.first.get(name, 0.0)
    return clues


def _of_outside(talk: Talk, said: Sentence) -> Clues:
    """What speaks for being no business of this guide's."""
    return {"outside, words unknown": said.foreign, "outside, long": said.length / 10 if talk.begun else 0.0, "outside, in a talk": float(talk.begun),
            "outside, goes on": float(said.follows), "outside, tells": float(bool(said.told))}


def _of_talk(talk: Talk, said: Sentence, name: str, known: frozenset[str], rival: float) -> Clues:
    """What was said before says for a topic."""
    topic, about = talk.knowledge.topics[name], talk.knowledge.topics.get(talk.subject or "")
    few = float(said.own <= FEW_WORDS)
    clues = {"known": float(name in known), "an emergency still on": float(name in known and talk.is_emergency_on(name)), "comes next": float(name in talk.coming)}
    if said.asks:
        clues[f"asked about: {topic.band}"] = 1.0
    if name == talk.last:
        clues["of the turn before"] = 1.0
        clues["of the turn before, goes on"] = float(said.follows)
    if about is None:
        return clues
    if name == about.id:
        clues.update({"subject, few words": few, "subject, no words": float(not said.own), "subject, long": float(said.length > MANY_WORDS),
                      "subject, words of its own": min(said.own, _OWN_MOST) / _OWN_MOST, "subject, a rival": max(-1.0, min(1.0, rival)),
                      "subject, tells": float(bool(said.told)), "subject, asks": float(said.asks), "subject, states": float(said.states),
                      "subject, supposes": float(said.supposes), "subject, him or her": float(said.person), f"subject: {topic.band}": 1.0})
        return clues
    clues["of the same priority"] = float(topic.priority == about.priority)
    if name in about.see:
        clues.update({"near": 1.0, "near, few words": few, "near, supposes": float(said.supposes)})
    if about.id in topic.see:
        clues["looks to the subject, goes on"] = float(said.follows)
    return clues
