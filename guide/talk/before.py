"""What a talk lends to the sentence that goes on with it: `how do I fix that`, `and in the dark?`, `who goes first`."""
from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import NamedTuple

from guide.knowledge.base import Knowledge
from guide.language.clauses import lead_off
from guide.language.wording import tokens
from guide.patterns import pattern

NOT_A_SUBJECT = frozenset(("what_now", "what_done", "why", "take_back", "what_can_you_do"))
"""Topics that nothing said later points back to."""
_POINTERS = frozenset("it its that this them they those these him he his her she".split())
PATIENT = "patient"
"""The list of the lexicon with the topics of one who is ill or hurt."""
PERSON = frozenset("him he his her she".split())
_OTHERS = frozenset(("one", "ones", "another"))
"""Words for one more of what was spoken of."""
_OVER = pattern(r"^(?:and |but |so )?(?:it |that )?(?:has |is )?(?:all |just |finally )*(?:stopped|ceased|over)(?: now| again| at last| sir| skipper)*\W*$")
"""Says that something is over, and not what. Nobody is spoken of: `he has stopped` may be his breathing. What may be over so stands in the
lexicon: breathing that stopped has not begun again."""
_NO_NAME = r"(?!The\b|It\b|He\b|She\b|They\b|We\b|You\b|That\b|This\b|Our\b|My\b|His\b|Her\b|No\b|Nobody\b|None\b|All\b|Every|There\b|Some|One\b|Two\b|Both\b|Yes\b|Ok\b|And\b|But\b|Now\b|So\b|Still\b|Is\b|Are\b|Boy\b|Girl\b|Man\b|Woman\b|Lad\b|Kid\b|Child\b|Patient\b|Casualty\b|Swimmer\b|Skipper\b|Captain\b|Cook\b)"
_WHO = pattern(rf"^(?:(?:[Aa]nd|[Bb]ut|[Nn]ow|[Oo]k|[Ss]o)[, ]+)*(I(?:'?m| am| feel)(?= \w)|{_NO_NAME}[A-Z][a-z]+(?='s \w|"
               r" (?:is|isn't|was|wasn't|has|hasn't|does|doesn't|did|didn't|looks?|seems?|feels?|woke|came|says?|stopped|started|can|can't|got|gets)\b))")
_NAMED = pattern(rf"\b{_NO_NAME}[A-Z][a-z]+\b")
_SEVERAL = pattern(r"\b(?:two|three|four|five|six|seven|eight|[2-9]|several|both)\b(?! ?(?:m|metres?|meters?|feet|miles?|hours?|minutes?|days?|times|litres?|fingers?|toes?|hands?|legs?|arms?|eyes?|of his|of her|degrees?|knots?)\b)"
                   r"|\b(?:[A-Z][a-z]+|[Tt]he \w+|[Hh]e|[Ss]he) and (?:[A-Z][a-z]+|the \w+|I|me|my \w+) (?:are|were|have|both)\b", 0)
_JUST_ONE = pattern(r"\b(?:one|he|him|she|her|his|the first)\b(?! (?:more|other)\b)|^(?:[Tt]he|[Oo]ur|[Mm]y) (?!bleeding\b|blood\b|vomiting\b|leak\b|hole\b|others?\b)\w+ (?:is|was|has) ")
_NOT_JUST_ONE = pattern(r"\b(?:other|another|last|both|all|none|nobody|no one|no more|not one|everyone|everybody|two|three|they|them)\b(?<!of them)")
_NEXT = pattern(r"[,.;!:]+|\b(?:but|and|so|with)\b(?= (?:[A-Z]\w+|the \w+|our \w+|my \w+|he|she|there|one|it)(?: is\b| has\b|'s\b| was\b| fell\b| went\b| hit\b| cut\b| got\b)| (?:we|there|they) (?:are|have)\b)")
_PARTS = pattern(r"\b(?:upper|lower|top|bottom|front|rear|first|second)\b")
"""Parts of a thing that has several of them: tubes, doors."""
_SAME_PART = {"top": "upper", "bottom": "lower"}
_ONESELF = pattern(r"\b(?:[Ii]|[Ii]'m|[Mm]y|[Mm]e|[Ii]m)\b")
_ASKS_ON = pattern(r"^(?:and |but |so |ok )*(?:why(?: not)?|how come|where|when|who|how|how (?:long|far|often|much|many|so)|which one|what for|says who|since when|with what)"
                   r"(?: (?:does|do|did|is|was|would|will|can|should) (?:it|that|this|he|she|they|one)(?: \w+){0,2})?\W*$")
_IT = pattern(r"^(?:(?:and|but|now|then|so) )*it\b")
_GOES_ON = (["and"], ["but"], ["or"])
_THERE = pattern(r"\bthere\b(?!'?s\b| is\b| are\b| was\b| were\b)", re.IGNORECASE)
"""`there` points back, `there is` does not."""


class Talk(NamedTuple):
    """What was said before, as far as it helps to understand what is said now."""

    knowledge: Knowledge
    subject: str | None = None
    """The topic that is spoken of."""
    known: Mapping[str, object] = MappingProxyType({})
    last: str | None = None
    """The topic of the turn before, whatever it was."""
    coming: frozenset[str] = frozenset()
    """Topics of the jobs that the plan shows next."""
    begun: bool = False
    """Something was said before."""
    said: Mapping[str, str] = MappingProxyType({})
    """Fact → the words in which the crew told it last."""
    troubles: tuple[str, ...] = ()
    """The topics of emergencies and sightings that were reported, the last first."""

    def own_words(self, text: str) -> set[str]:
        """The words of a text that mean something without what was said before."""
        return set(tokens(text)) - self.knowledge.generic

    def is_circumstance(self, fact: str) -> bool:
        """Whether a fact only happens, and to nobody: night, rough seas, rain."""
        topic = self.knowledge.topics.get(self.knowledge.facts[fact].topics.get("true", ""))
        return topic is not None and topic.band == "ordered" and not fact.startswith("someone_") and not any(fact in step.sets for step in self.knowledge.steps.values())

    def is_emergency_on(self, topic: str) -> bool:
        """Whether a topic is an emergency that was told and is not over."""
        facts = self.knowledge.facts
        return self.knowledge.topics[topic].band == "emergency" and any(
            value is True and fact in facts and facts[fact].topics.get("true") == topic for fact, value in self.known.items())


def goes_on(text: str) -> bool:
    """Whether a text begins as one that goes on, or speaks of one more of the same."""
    words = tokens(text)
    return words[:1] in _GOES_ON or not _OTHERS.isdisjoint(words[words[:1] == ["one"]:])  # `one left the raft` is somebody


def points_back(text: str) -> bool:
    """Whether a text has a word that stands for something said before."""
    return bool(_POINTERS.intersection(tokens(text)) or _THERE.search(text))


def says_it(text: str) -> bool:
    """Whether a text begins with `it`, of whatever is spoken of."""
    return bool(_IT.match(lead_off(text)))


def says_over(text: str) -> bool:
    """Whether a text says that something is over and not what: `it has stopped`."""
    return bool(_OVER.match(lead_off(text)))


def asks_on(text: str) -> bool:
    """Whether a text only asks on about what was said before it: `why`, `how long does it take`."""
    return bool(_ASKS_ON.match(lead_off(text)))


def of_another(text: str, before: str, is_name: Callable[[str], bool]) -> bool:
    """Whether a text is about somebody, named or oneself, who is not the one that was named before. `is_name`: whether a word may be a name."""
    who = _WHO.match(text)
    if who is None or not before:
        return False
    if who[1].startswith(("I ", "I'")) or who[1] == "Im":
        return _ONESELF.search(before) is None
    return who[1] not in before and is_name(who[1]) and _NAMED.search(before) is not None


def parted(text: str) -> list[str]:
    """What a text says of one after the other: `we are six and Tom is bleeding`; `Tom and Jim are bleeding` is one."""
    return [part for part in _NEXT.split(text) if part.strip()]


def of_one_of_several(text: str, before: str) -> bool:
    """Whether a text is about one of several of whom, or of which, something was said before: `two are bleeding`, `one is bandaged`."""
    parts, named = ({_SAME_PART.get(part, part) for part in _PARTS.findall(said)} for said in (text, before))
    if parts and named and parts.isdisjoint(named):  # the lower tube, but not `upper and lower`
        return True
    if not _SEVERAL.search(before) or _NOT_JUST_ONE.search(text):
        return False
    return len(_NAMED.findall(text)) == 1 or bool(_JUST_ONE.search(text))


def troubles(knowledge: Knowledge, reported: str | None, before: tuple[str, ...]) -> tuple[str, ...]:
    """The topics of emergencies and sightings that were reported, the last first, with what a turn reported."""
    topic = knowledge.topics.get(reported or "")
    if topic is None or topic.band not in ("emergency", "chance") and topic.id not in knowledge.language.words[PATIENT]:
        return before
    return (topic.id, *(each for each in before if each != topic.id))


def subject(topic: str | None, before: str | None, counted: str | None) -> str | None:
    """What the next turn may point back to: the item that this turn counted, else its topic, or where that is none to point back to that
    of the turn before."""
    return before if topic is None or topic in NOT_A_SUBJECT else counted or topic
