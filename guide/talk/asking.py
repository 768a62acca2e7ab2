"""What is asked beside what is told: `the drogue is out, how do I treat a burn` is about the burn."""
from __future__ import annotations

import re

from guide.knowledge.base import Knowledge
from guide.language.facts import OF_SOMEBODY
from guide.language.pronouns import in_post
from guide.language.reading import Reader
from guide.language.utterances import Lent, Utterance, told_in
from guide.language.wording import regular, tokens
from guide.patterns import pattern
from guide.talk.before import NOT_A_SUBJECT, PATIENT, Talk, points_back
from guide.talk.deciding import CHOICES, Deciding, Decision

_HEARD, _PLAIN = -0.1, 0.3
"""Evidence that the words of a question must have for what it is about by itself; the same beside an emergency that is told."""
_LEAD_OF_TOLD, LIKELY_BESIDE = 1.25, 0.6
"""How far that must lead what is told beside it, and how likely it must be. Labelled talks: of 24 questions that were taken by less for one about something
else, 21 leaned on what was told (`the beacon is off. correct practice?`)."""
FULL = 3
"""Words that such a question has."""
_SILENT, RATHER = -1.1, 0.2
"""Evidence of words that would be refused or asked back, and how far those for what goes on must lead."""
_WHOLE = 4
"""Words that a question has which leans on nothing: `what words` goes on with what was spoken of."""
_ALONE, _INSTEAD = -0.2, -0.1
"""Evidence that its words must have for what it is about by itself; the same where it would be refused or asked back."""
_LIKELY, FAR = 0.5, 0.6
"""How likely that must be, and how far its words must lead what was spoken of."""
DOUBTFUL, RECALLED = 0.7, 0.85
"""How likely what a statement is about must be not to be about a trouble that was told before, and how likely that must be."""
LATELY = 3
"""Troubles that are come back to."""
_SOMEBODY = pattern(r"\bthe (?:man|woman|patient|casualty|boy|girl|lad|child|fellow|chap|bloke|guy|swimmer|other|others|rest|same)\b", re.IGNORECASE)
"""Somebody, or something, who was spoken of."""
_LEAD = pattern(r"^(?:(?:and|but|so|ok|okay|well|oh|now|right|hey|sir|skipper)[, ]+)*")

_POSTS = "posts"
"""The list of the lexicon of facts that put somebody in a post, whose thing is what he or she is called."""
_WHO_IS_HURT = "who_is_hurt"
"""The list of the lexicon of texts that ask whether anyone is hurt."""
_LEANING, _OR_NEAR = "leaning", "leaning_or_near"
"""The lists of the lexicon of texts that are about whatever is spoken of, or a neighbour of that; `leaning_` and a topic, of those that are while that is
spoken of, or a trouble that was told; `leaning_patient`, of one who is ill or hurt."""


class Asking:
    """Looks at the question of a sentence by itself. Holds no state of a talk."""

    def __init__(self, knowledge: Knowledge, reader: Reader, deciding: Deciding) -> None:
        self._knowledge, self._reader, self._deciding = knowledge, reader, deciding
        self._of_somebody = frozenset(fact.topics.get("true") for fact in knowledge.facts.values() if fact.id.startswith(OF_SOMEBODY))
        """The topics of what is so of somebody."""

    def settled(self, talk: Talk, utterance: Utterance, text: str, decision: Decision) -> Decision:
        """What an utterance is about, where a question in it may stand by itself, go on with what was told before, or be one that is never refused."""
        decision = self.anew(talk, utterance, self.beside(talk, utterance, decision))
        return self.not_refused(text, self.of_post(talk, utterance, self.recalled(talk, utterance, decision)))

    def beside(self, talk: Talk, utterance: Utterance, decision: Decision) -> Decision:
        """The decision, or where it is about what the utterance tells and its one question plainly asks something else, one about that."""
        questions = [reading.clause for reading in utterance.readings if reading.kind == "question"]
        if len(questions) != 1 or len(utterance.readings) < 2 or decision.outcome != "answered":
            return decision
        told = {self._knowledge.facts[each.fact].topic(each.value) for each in told_in(utterance.readings, "report")}
        if decision.topics[0] not in told or points_back(questions[0]) or _SOMEBODY.search(questions[0]) \
                or len(tokens(questions[0])) < FULL or not talk.own_words(questions[0]) or questions[0].startswith("or "):
            return decision
        asked = self._reader.read(questions[0])
        alone = self.anew(talk, asked, self._deciding.decide(talk, asked))
        if alone.outcome != "answered" or alone.topics[0] in (*told, *NOT_A_SUBJECT):
            return decision
        words = self._reader.matcher.evidence("topics", questions[0])
        says, least = words.get(alone.topics[0], -1.0), _PLAIN if self._knowledge.topics[decision.topics[0]].band == "emergency" else _HEARD
        if says < least or says - max(words.get(topic or "", -1.0) for topic in told) < _LEAD_OF_TOLD or self._share_alone(talk, asked, alone.topics[0]) < LIKELY_BESIDE:
            return decision
        return Decision("answered", tuple(dict.fromkeys((alone.topics[0], *decision.topics))), weighed=alone.weighed)

    def _share_alone(self, talk: Talk, asked: Utterance, topic: str) -> float:
        """How likely a question is about a topic as the first of a talk."""
        fresh = self._deciding.decide(Talk(self._knowledge, known=talk.known), asked)
        return next((each.share for each in fresh.weighed if each.topic == topic), 0.0)

    def anew(self, talk: Talk, utterance: Utterance, decision: Decision) -> Decision:
        """The decision, or where a question that leans on nothing said before would plainly be about something else as the first of a talk, one about
        that: `Tom is bleeding`, `how do I do CPR`."""
        text = utterance.text
        if not talk.subject or [reading.kind for reading in utterance.readings] != ["question"] or not talk.own_words(text) \
                or len(tokens(text)) < _WHOLE or points_back(text) or _SOMEBODY.search(text):
            return decision
        answered = decision.outcome == "answered"
        was = next((each.clues["words"] for each in decision.weighed if each.topic == decision.topics[0]), -1.0) if answered else -1.0
        least = max(_ALONE if answered else _INSTEAD, was + FAR)
        if max(utterance.whole.values(), default=-1.0) < least:
            return decision  # most questions: nothing else is said so plainly
        fresh = self._deciding.decide(Talk(self._knowledge, known=talk.known), utterance)
        if fresh.outcome != "answered" or fresh.topics[0] in (*decision.topics[:1], *NOT_A_SUBJECT) or not fresh.weighed or fresh.weighed[0].share < _LIKELY:
            return decision
        return fresh if fresh.weighed[0].clues["words"] >= least else decision

    def recalled(self, talk: Talk, utterance: Utterance, decision: Decision) -> Decision:
        """The decision, or where no word of a question speaks for what was spoken of since, one about an emergency or a sighting that was told before and
        goes on: `a ship is in sight`, `how do we fish`, `should I fire`."""
        about = decision.topics[0] if decision.topics else ""
        if [reading.kind for reading in utterance.readings] == ["report"]:
            return self._recalled_by_report(talk, utterance, decision)
        if [reading.kind for reading in utterance.readings] != ["question"] or decision.outcome == "answered" and about != talk.subject:
            return decision
        words = self._reader.matcher.evidence("topics", utterance.text)
        was = words.get(about, -1.0) if decision.outcome == "answered" else _SILENT
        found = [alone for topic in self._lately(talk)
                 if max(words.get(near, -1.0) for near in (topic, *self._knowledge.topics[topic].see)) - was >= RATHER
                 and (alone := self._deciding.decide(talk._replace(subject=topic, last=topic), utterance)).outcome == "answered"
                 and alone.topics[0] in (topic, *self._knowledge.topics[topic].see) and words.get(alone.topics[0], -1.0) - was >= RATHER]
        return found[0] if len(found) == 1 else decision

    def _recalled_by_report(self, talk: Talk, utterance: Utterance, decision: Decision) -> Decision:
        """The same for a statement that points back, tells nothing and is not plainly about anything else: `he hit his head`, `how do we fish`, `he is dizzy`."""
        if utterance.readings[0].told or not points_back(utterance.text) or decision.outcome == "answered" and (not decision.weighed or decision.weighed[0].share >= DOUBTFUL):
            return decision
        found = ((topic, self._deciding.decide(talk._replace(subject=topic, last=topic), utterance)) for topic in self._lately(talk))
        return next((alone for topic, alone in found if alone.topics[:1] == (topic,) and alone.weighed and alone.weighed[0].share >= RECALLED), decision)

    def _lately(self, talk: Talk) -> list[str]:
        """The few troubles that were told last, without what is spoken of."""
        return [topic for topic in self._troubles(talk) if topic != talk.subject][:LATELY]

    def _troubles(self, talk: Talk) -> list[str]:
        """The troubles that were reported and are not known to be over, then the emergencies and sightings that are known to go on, the last first."""
        facts = self._knowledge.facts
        over = {facts[fact].topics.get("true") for fact, value in talk.known.items() if value is False and fact in facts}
        known = (facts[fact].topics["true"] for fact, value in reversed([*talk.known.items()]) if value is True and self._knowledge.is_alarm(fact))
        return [*dict.fromkeys((*(topic for topic in talk.troubles if topic not in over), *known))]

    def of_post(self, talk: Talk, utterance: Utterance, decision: Decision) -> Decision:
        """The decision, or where it is about another matter than the post in which somebody is, and that is spoken of, what a question asks with the post in the
        place of `her`: `Nan is on watch`, `how long before somebody relieves her`."""
        facts, topic = self._knowledge.facts, self._knowledge.topics.get(talk.subject or "")
        if topic is None or [reading.kind for reading in utterance.readings] != ["question"]:
            return decision
        near = (topic.id, *topic.see)
        held = (fact for fact in self._knowledge.language.words.get(_POSTS, ()) if talk.known.get(fact) is True and topic.id in facts[fact].topics.values())
        post = next((facts[fact].thing for fact in held), "")
        said = in_post(utterance.text, post) if post and not (decision.outcome == "answered" and decision.topics[0] in near) else None
        if said is None:
            return decision
        asked = self._deciding.decide(talk, self._reader.read(said, Lent(talk.known, talk.subject)))
        return asked if asked.outcome == "answered" and asked.topics[0] in near else decision

    def not_refused(self, text: str, decision: Decision) -> Decision:
        """The decision; a text that asks whether anyone is hurt is never refused, but asked back what befell him."""
        lists, said = self._knowledge.language.words, _LEAD.sub("", regular(text)).strip(" .?!")
        return Decision("unsure", lists[PATIENT][:CHOICES]) if decision.outcome == "outside" and said in lists[_WHO_IS_HURT] else decision

    def leans(self, talk: Talk, text: str, decision: Decision) -> str:
        """The topic that is spoken of where a text only goes on with it: `what if it gets worse`; nothing for other texts."""
        topic = self._knowledge.topics.get(talk.subject or "")
        if topic is None:
            return ""
        lists, said = self._knowledge.language.words, _LEAD.sub("", regular(text)).strip(" .?!")
        able: list[str] = [topic.id, *([] if topic.id in lists[PATIENT] or topic.id in self._of_somebody else self._troubles(talk))]
        for spoken_of in able:
            if said in lists.get(f"{_LEANING}_{spoken_of}", ()) or spoken_of in lists[PATIENT] and said in lists[f"{_LEANING}_{PATIENT}"]:
                return spoken_of
        near = decision.outcome == "answered" and decision.topics[0] in topic.see
        return topic.id if said in lists[_LEANING] or said in lists[_OR_NEAR] and not near else ""
