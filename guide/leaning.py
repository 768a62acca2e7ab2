"""What a talk lends to the sentence that goes on with it: `how do I fix that`, `and in the dark?`, `who goes first`."""
from __future__ import annotations

import re
from collections.abc import Mapping
from operator import attrgetter
from types import MappingProxyType
from typing import NamedTuple

from guide.knowledge.base import Knowledge
from guide.language.labels import OUTSIDE
from guide.language.matching import Candidate
from guide.language.wording import tokens
from guide.patterns import pattern

LEAN = 0.6
"""Evidence that the topic of the turn before has in a sentence that points back to it."""
STAYS = 0.3
"""The same for a sentence that points nowhere: in twenty talks (4,570 turns) it is right in 2 of 1,000 turns more than without, and 0.5 is
no better."""
NO_SUBJECT, FEW_WORDS, BARE_LEAN = -0.3, 2, 1.5
"""Evidence below which a sentence with so few words that mean something by themselves has no subject of its own, and the evidence that
the topic of the turn before has then."""
OWN_SUBJECT = 0.0
"""Evidence at which a sentence has a subject of its own, unless an emergency is still on: `where's the hole, how do I find it`."""
NOT_BARE, BARELY = 0.7, -0.31
"""Evidence below which a sentence without any word of its own has no subject of its own."""
URGENT_LEAN, URGENT_OWN, URGENT_PERSON = 1.6, 0.45, 0.9
"""The lean to an emergency that is still on: nobody changes the subject then, unless it clearly is another one; more clearly where
`him` or `her` is the person in danger."""
KNOWN_LEAN, SIGHT_LEAN = 0.12, 0.25
"""The lean to topics of what is known now: `she` is the ship in sight, or the vessel that the painter still holds."""
POINTS_BACK_WITHIN = 14
"""Words within which `it` points back to the turn before; a longer sentence carries its own subject."""
CLEARLY = 0.5
"""Evidence at which what sounds as if it pointed back is about the talk itself after all: `why is that`."""
ADRIFT = 0.3
"""How much more has to speak for a refusal once the crew is in the raft: what they say then is rarely about something else."""
GOES_ON, GOES_NEAR = 0.9, 0.3
"""The same for what is likeliest about the topic of the turn before (`how do I flip the beast`), and about a neighbour of it."""
NOT_A_SUBJECT = frozenset(("what_now", "what_done", "why", "take_back", "what_can_you_do"))
"""Topics that nothing said later points back to."""
ABOUT_THE_TALK = frozenset(("why", "take_back", "what_can_you_do"))
"""Of these, those that words which only point back sound like: `how do I do that`."""
_POINTERS = frozenset("it its that this them they those these him he his her she".split())
_PERSON = frozenset("him he his her she".split())
_OTHERS = frozenset(("one", "ones", "another"))
"""Words for one more of what was spoken of."""
_GOES_ON = (["and"], ["but"], ["or"])
_THERE = pattern(r"\bthere\b(?!'?s\b| is\b| are\b| was\b| were\b)", re.IGNORECASE)
"""`there` points back, `there is` does not."""
EVIDENCE = attrgetter("evidence")


class Talk(NamedTuple):
    """What was said before, as far as it helps to understand what is said now."""

    knowledge: Knowledge
    subject: str | None = None
    """The topic that is spoken of."""
    known: Mapping[str, object] = MappingProxyType({})

    def own_words(self, text: str) -> set[str]:
        """The words of a text that mean something without what was said before."""
        return set(tokens(text)).difference(self.knowledge.language.words.get("generic", ()))

    def leaning(self, ranked: list[Candidate], text: str) -> list[Candidate]:
        """The evidence for each topic with what the talk adds for words that point back."""
        words, points = tokens(text), _points(text)
        near = self._known_near() if points else {}
        if self.subject in self.knowledge.topics and self.follows(text) and len(words) <= POINTS_BACK_WITHIN:
            for name, more in self._subject_near(ranked, words, len(self.own_words(text)), points).items():
                near[name] = near.get(name, 0.0) + more
        elif self.subject in self.knowledge.topics:
            near |= {**dict.fromkeys(self._neighbours(), STAYS / 2), str(self.subject): STAYS}
        leaning = [c._replace(evidence=c.evidence + near[c.label]) if c.label in near else c for c in ranked]
        return sorted(leaning, key=EVIDENCE, reverse=True)

    def follows(self, text: str) -> bool:
        """Whether a text goes on with what was said before it."""
        return _points(text) or goes_on(text) or not self.own_words(text)

    def is_circumstance(self, fact: str) -> bool:
        """Whether a fact only happens: night, rough seas, rain."""
        topic = self.knowledge.topics.get(self.knowledge.facts[fact].topics.get("true", ""))
        return topic is not None and topic.band == "ordered" and not any(fact in step.sets for step in self.knowledge.steps.values())

    def patience(self, ranked: list[Candidate]) -> float:
        """How much more has to speak for a refusal than for one at the beginning of a talk."""
        best = next((c.label for c in ranked if c.label != OUTSIDE), "")
        goes_on = GOES_ON if best == self.subject else GOES_NEAR if best in self._neighbours() else 0.0
        return goes_on + (ADRIFT if self.known.get("aboard_raft") is True else 0.0)

    def _neighbours(self) -> tuple[str, ...]:
        topic = self.knowledge.topics.get(self.subject or "")
        return topic.see if topic else ()

    def _known_near(self) -> dict[str, float]:
        """The lean to the topics that the yes/no facts known now are about."""
        topics, facts = self.knowledge.topics, self.knowledge.facts
        found = {facts[fact].topics.get(str(value).lower(), "") for fact, value in self.known.items() if isinstance(value, bool)}
        return {topic: SIGHT_LEAN if topics[topic].band == "chance" else KNOWN_LEAN for topic in found if topic in topics}

    def _subject_near(self, ranked: list[Candidate], words: list[str], own_words: int, points: bool) -> dict[str, float]:
        """The lean to the subject and its neighbours, and away from what the words only sound like."""
        talk = ABOUT_THE_TALK.difference(words)  # `why` in so many words is about the talk
        if points and not own_words:
            talk |= {"what_now"}  # `what do I do for her`
        own = next((c.evidence for c in ranked if c.label in self.knowledge.topics and (c.label not in talk or c.evidence >= CLEARLY)), -1.0)
        if not own_words and own < NOT_BARE:
            own = min(own, BARELY)  # `how do I get it out of them` has no subject of its own, whatever it sounds like
        lean = self._lean(own, own_words, URGENT_OWN if _PERSON.isdisjoint(words) else URGENT_PERSON)
        away = dict.fromkeys((OUTSIDE, *talk), -lean if own_words <= FEW_WORDS else 0.0)
        return {**away, **dict.fromkeys(self._neighbours(), lean / 2), str(self.subject): lean}

    def _lean(self, own: float, own_words: int, urgent_own: float) -> float:
        """The lean to the subject, by the evidence for another one and the words that may be one."""
        if own < urgent_own and self._still_on():
            return URGENT_LEAN
        if own >= OWN_SUBJECT:
            return 0.0
        return BARE_LEAN if own < NO_SUBJECT and own_words <= FEW_WORDS else LEAN

    def _still_on(self) -> bool:
        """Whether the subject is an emergency that nobody has said is over."""
        over = any(self.known.get(fact.id) is False for fact in self.knowledge.facts.values() if fact.topics.get("true") == self.subject)
        return self.knowledge.topics[str(self.subject)].band == "emergency" and not over


def goes_on(text: str) -> bool:
    """Whether a text begins as one that goes on, or speaks of one more of the same."""
    words = tokens(text)
    return words[:1] in _GOES_ON or not _OTHERS.isdisjoint(words[words[:1] == ["one"]:])  # `one left the raft` is somebody


def _points(text: str) -> bool:
    return bool(_POINTERS.intersection(tokens(text)) or _THERE.search(text))


def subject(topic: str | None, before: str | None, counted: str | None) -> str | None:
    """What the next turn may point back to: the item that this turn counted, else its topic, or where that is none to point back to that
    of the turn before."""
    return before if topic is None or topic in NOT_A_SUBJECT else counted or topic
