"""What an utterance is about: the topic, or a question back, or a refusal."""
from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

from guide.knowledge.base import Knowledge
from guide.language.labels import OUTSIDE
from guide.language.matching import Matcher
from guide.language.utterances import Utterance
from guide.language.weighing import Weighing
from guide.talk.before import Talk
from guide.talk.clues import FEW_WORDS, Clues, Sentence, SpokenOf, candidates, sentence

CLEAR = 0.8
"""Share of all that speaks for anything with which a topic is answered, however little its words say."""
LEAST = 0.35
"""Share below which it is asked, whatever the words say: `the plastic thing` may be one of three."""
LEAD, SURE = 0.25, -0.7
"""How much it counts by how many nepers the best topic's share leads the second's, beside the evidence of its words, and where the two
together suffice: found on 3,300 questions, of which one that is answered wrongly costs more than ten that are asked back."""
WEAK = -0.93
"""Evidence below which nothing in the bank speaks for the best topic: refuse rather than guess."""
TIE = 0.4
"""Share of a topic for which its words speak that is asked after rather than refused, although being outside has a little more."""
WHAT_NOW = "what_now"
ALARM = 0.05
"""Share of a grave matter from which what states something is asked back about rather than refused: of 480 strange sentences one is so, and of 50 alarms two more are
not turned away."""
RIVAL = 0.2
"""Share, and evidence of its words, of another topic that is asked after rather than answered from the talk alone, of which no word speaks."""
_BARE = 6
"""Words of a question that has nothing but a circumstance: `and if it is dark?`"""
NO_SECOND = 1e6
"""The lead of a topic that is alone."""
PLAIN = 0.5
"""Evidence of its words with which a topic goes before what is spoken of, for which no word speaks."""
LIKELY = 0.5
"""Share with which a statement is about what its words speak for, whatever else it tells: `it's dark, and the lamp inside is dead`. In 13 labelled talk books
that were not learned what it tells was put first wrongly 11 times, rightly once."""
SILENT = -0.8
"""Evidence of a topic's words below which it is answered only because the talk is about it."""
UNSAID = -1.0
"""Evidence of its words below which a statement that does not lean on the talk is about anything else rather."""
CHOICES = 3


LOOKED_AT, SETTLED = 5, 0.98
"""Topics whose clues are taken together, the likeliest first, and the share of the likeliest from which there is no need to."""


class Weighed(NamedTuple):
    """A topic that an utterance may be about, its share of all that speaks for any of them, and its clues."""

    topic: str
    share: float
    clues: Clues
    together: float = 0.0
    """What the clues add taken together."""


class Decision(NamedTuple):
    """`answered`, `unsure` or `outside`, with the topics in order, the best first."""

    outcome: str
    topics: tuple[str, ...]
    sounds: str | None = None
    """The topic that what is refused sounds most like."""
    weighed: tuple[Weighed, ...] = ()
    """The likeliest topics with their clues, where clues decided."""


class Deciding:
    """Decides by the evidence and the weights of one weights file. Holds no state of a talk."""

    def __init__(self, matcher: Matcher) -> None:
        self._matcher = matcher

    def decide(self, talk: Talk, utterance: Utterance) -> Decision:
        """The topics of an utterance in order. An emergency that it tells goes before a question about what can wait."""
        said = sentence(talk, utterance)
        if _is_nothing(talk, said):
            return Decision("outside", ())
        ranked = _of_what_is_named(talk, said, _of_what_is_told(talk, said, self.weighed(talk, said)))
        return _decided(talk, said, ranked)._replace(weighed=tuple(ranked[:CHOICES]))

    def weighed(self, talk: Talk, said: Sentence) -> list[Weighed]:
        """All that a sentence may be about, the likeliest first."""
        return weigh(candidates(talk, said, self.spoken_of(talk, said)), self._matcher.clues)

    def spoken_of(self, talk: Talk, said: Sentence) -> SpokenOf:
        """What was spoken of in the talk and in the sentence itself."""
        def lent(topic: str | None) -> Mapping[str, float]:
            return self._matcher.spoken_of(topic) if topic else {}

        return SpokenOf(lent(talk.subject if talk.begun else None), lent(said.told[0] if said.told and said.asks else None), lent(said.first))


def _decided(talk: Talk, said: Sentence, ranked: list[Weighed]) -> Decision:
    best, *others = ranked
    if said.circumstances and talk.subject and said.length <= _BARE and (said.own < FEW_WORDS or best.share < CLEAR):  # `and if it is dark?` asks about what was spoken of
        return _answer(talk.subject, best.topic, *said.supposed)
    only_context = best.topic == talk.subject and best.clues["words"] < 0.0
    if said.supposed and not said.goes_on and said.own <= FEW_WORDS and (best.share < CLEAR or only_context):  # `what if it rains` asks about rain
        return _answer(*said.supposed, best.topic)
    topics = tuple(each.topic for each in (best, *others) if each.topic != OUTSIDE)
    urgent = _urgent(talk.knowledge, said)
    over = best.topic in said.told and best.topic not in said.begun
    if urgent and (best.topic == OUTSIDE or over or not _fits(talk.knowledge, best.topic, urgent)):
        return _answer(urgent, *topics)
    if not said.told and best.topic == talk.subject and best.clues["words"] < SILENT and any(each.topic != OUTSIDE and min(each.share, each.clues["words"]) >= RIVAL for each in others):
        return Decision("unsure", topics[:CHOICES])
    if best.topic != OUTSIDE and (best.share >= CLEAR or best.share >= LEAST and sureness(best, *others[:1]) >= SURE):
        return _answer(*topics)
    if said.told and not (said.numbers and said.asks):  # what was told is noted: the answer is about that, whatever else it may be about
        return _answer(*topics) if topics[0] in said.told else _answer(*said.told, *topics)
    tie = bool(others) and others[0].share >= TIE and others[0].clues["words"] > 0.0
    if best.topic == OUTSIDE and not tie and not said.at_a_loss and not (others and others[0].share >= ALARM and _may_be_grave(talk.knowledge, said, others[0].topic)):
        return Decision("outside", (), topics[0])
    return Decision("unsure", topics[:CHOICES])


def _of_what_is_told(talk: Talk, said: Sentence, ranked: list[Weighed]) -> list[Weighed]:
    """What a statement tells of first, or a neighbour of that: `the sun has come up` is about nothing else."""
    if not said.told and said.states and not said.follows:  # says something of its own, of which no word speaks for what was spoken of
        return sorted(ranked, key=lambda each: each.clues["words"] < UNSAID)
    best = ranked[0]
    if not said.told or not said.states or said.numbers or best.share >= LIKELY and (best.topic != talk.subject or best.clues["words"] >= 0.0):
        return ranked
    able = {*said.told, *talk.knowledge.topics[said.told[0]].see}
    return sorted(ranked, key=lambda each: each.topic not in able)


def _of_what_is_named(talk: Talk, said: Sentence, ranked: list[Weighed]) -> list[Weighed]:
    """What a sentence plainly speaks of, or the one thing that a question calls by name, changes places with what was spoken of where no word speaks for that:
    `where do we put the beacon`."""
    best, *others = ranked
    if best.topic != talk.subject:
        return ranked
    second = others[0] if others else best
    if best.clues["words"] < 0.0 and second.clues["words"] >= PLAIN and second.share >= RIVAL:  # `the next one didn't go off`, of rockets
        return [second._replace(share=best.share), best._replace(share=second.share), *others[1:]]
    if best.topic in said.named or best.clues["words"] >= SILENT or len(said.named) != 1:
        return ranked
    named = next((each for each in ranked if each.topic in said.named and each.share >= RIVAL), None)
    if named is None:
        return ranked
    others = [each for each in ranked if each not in (best, named)]
    return [named._replace(share=best.share), best._replace(share=named.share), *others]


def _answer(*topics: str) -> Decision:
    return Decision("answered", tuple(dict.fromkeys(topics)))


def weigh(found: Mapping[str, Clues], weighing: Weighing) -> list[Weighed]:
    """All that a sentence may be about, the likeliest first."""
    points = {topic: weighing.points(clues) for topic, clues in found.items()}
    looked_at = short_list(points)
    together = {topic: weighing.together(found[topic]) for topic in looked_at}
    shares = shares_of({topic: value + together.get(topic, 0.0) for topic, value in points.items()})
    return sorted((Weighed(topic, share, found[topic], together.get(topic, 0.0)) for topic, share in shares.items()), key=_by_share)


def short_list(points: Mapping[str, float]) -> list[str]:
    """The topics whose clues are worth taking together, by what each clue comes to by itself; none where one topic is settled."""
    ranked = sorted(points, key=lambda topic: (-points[topic], topic))
    return [] if shares_of(points)[ranked[0]] > SETTLED else ranked[:LOOKED_AT]


def shares_of(points: Mapping[str, float]) -> dict[str, float]:
    """The share of each topic, together 1, where so much speaks for them in nepers."""
    top = max(points.values())
    shares = {topic: math.exp(value - top) for topic, value in points.items()}
    total = sum(shares.values())
    return {topic: share / total for topic, share in shares.items()}


def sureness(best: Weighed, second: Weighed | None = None) -> float:
    """How sure the best topic is: the evidence of its words, and its lead over the second."""
    return best.clues["words"] + best.clues["context"] + LEAD * math.log(best.share / second.share if second and second.share else NO_SECOND)


def _by_share(weighed: Weighed) -> tuple[float, str]:
    return -weighed.share, weighed.topic


def _is_nothing(talk: Talk, said: Sentence) -> bool:
    """Whether no word of a sentence speaks for anything, and it does not lean on the talk, nor ask what to do about something that it tells."""
    if said.told or said.supposed or talk.subject and said.follows or said.reports and said.asks:
        return False
    return not any(value >= WEAK and label != OUTSIDE for label, value in said.words.items())


def _may_be_grave(knowledge: Knowledge, said: Sentence, topic: str) -> bool:
    """Whether a sentence states something that may be about leaving the vessel, people missing, an emergency or a chance of being seen, or asks what to do at all."""
    about = knowledge.topics[topic]
    return topic == WHAT_NOW or said.reports and (about.priority in ("leave", "account") or about.band != "ordered")


def _urgent(knowledge: Knowledge, said: Sentence) -> str:
    """The emergency or sighting that a sentence tells has begun."""
    return next((topic for topic in said.told if topic in said.begun and knowledge.topics[topic].band != "ordered"), "")


def _fits(knowledge: Knowledge, topic: str, urgent: str) -> bool:
    """Whether a topic may stand before what is told to be urgent: it is as urgent itself, or is how to use a chance."""
    asked, told = knowledge.topics[topic], knowledge.topics[urgent]
    return asked.band in ("emergency", "chance") or asked.priority == "protection" or told.band == "chance" and topic in told.see
