"""Whether something is so: a crew that asks is told what was noted and asked back, and `yes` or `no` then tells it."""
from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from typing import NamedTuple

from guide.knowledge.base import Knowledge
from guide.language.clauses import affirmed, asking_word, has_verb, lead_off
from guide.language.facts import OF_SOMEBODY, Told
from guide.language.reading import Reader
from guide.language.utterances import Reading, Utterance
from guide.language.wording import regular
from guide.patterns import pattern

_ASKS = pattern(r"^(?:(?:and|but|so|ok|okay|right|then|well|hey|sir|skipper|boss|wait|are you sure|is it true(?: that)?)[, ]+)*(?:is|are|has|have|did|do we have|does) (?:not )?\w")
"""A question for yes or no about how things are."""
_ADVICE = pattern(r"\b(?:safe|ok|okay|alright|right|wise|sensible|good|bad|best|better|worth|possible|normal|allowed|necessary|needed|important|true|late|soon|time|enough|supposed|"
                  r"meant|to|if|when|while|because|before|after|unless|without|instead|or (?!not\b)|any (?:use|point|good|danger|risk)|there|else|other|another|more)\b")
"""Words of a question for advice, or about a case."""
_THERE_IS = pattern(r"^(?:is|are) there (?:a|an|any|still (?:a|any)?) ?(?=\w)")
_IN_SHORT = pattern(r"^(?:the |our |all )?(?!how\b|what\b|who\b|why\b|when\b|where\b|which\b|and\b|or\b|with\b|a\b|an\b|one\b|any\b)\w+ (?:out|on|off|up|set|streamed|closed|shut|open|pumped|sent|posted|taken|plugged|cut|dry|firm|hard|named|aboard|in)$")
"""A question for yes or no in two or three words: `drogue out?`, `the canopy closed?`"""
_ANYONE = pattern(r"^any ?(?:one|body) (?!else\b|got\b|know|seen?\b|want|need|have\b|has\b)(?:in the (?:water|sea)|\w+)$")
"""The same of people: `anyone seasick?`"""
_ANY = pattern(r"\bany(?= ?(?:one|body)\b)")
"""`is anyone bleeding` asks whether somebody is: `anyone` by itself is heard in denials."""
SOUNDS, LEAD = -0.15, 0.5
"""Evidence that such a question must have for telling a fact, were it a statement, and its lead over every other fact."""


class Whether(NamedTuple):
    """A fact that is asked about, and the value that `yes` would give it."""

    fact: str
    value: bool


def asked_whether(utterance: Utterance, knowledge: Knowledge, reader: Reader) -> Whether | None:
    """The yes/no fact that an utterance asks after; None where it asks anything else, or says more."""
    if len(utterance.readings) != 1 or utterance.readings[0].kind != "question":
        return None
    text = lead_off(utterance.readings[0].clause).rstrip(" ?!.")
    if utterance.text.rstrip().endswith("?") and len(text.split()) <= NAME and not has_verb(text) and reader.naming.is_name(text):
        return next_asked(f"and the {text}", reader.naming.facts_about(text), knowledge, reader)  # `drogue?`
    if not (_ASKS.match(text) or _IN_SHORT.match(text) or _ANYONE.match(text)) or _ADVICE.search(_THERE_IS.sub("", text)) or asking_word(text):
        return None
    text = _ANY.sub("some", text)
    ranked = sorted(((value, label) for label, value in reader.matcher.evidence("facts", text).items()), reverse=True)
    fact, _, value = ranked[0][1].partition("=") if ranked else ("", "", "")
    rival = next((other for other, label in ranked if label.partition("=")[0] != fact), -1.0)
    if fact not in knowledge.facts or knowledge.facts[fact].type != "bool" or ranked[0][0] < SOUNDS or ranked[0][0] - rival < LEAD:
        return None
    return Whether(fact, value == "true" or _DOES.match(text) is not None)


def next_asked(text: str, facts: Collection[str], knowledge: Knowledge, reader: Reader) -> Whether | None:
    """The next fact of a roll call: `is the drogue out`, `yes`, `and the beacon`; None where a text says more. `facts`: those whose thing it names."""
    said = regular(text).rstrip(" ?!.")
    name = _AND_NEXT.sub("", said)
    if name == said and not (len(said.split()) == 1 or reader.naming.is_name(said)) or len(name.split()) > NAME or _SAYS_SO.search(name):
        return None
    done = {fact for step in knowledge.steps.values() for fact in step.sets}
    asked = [fact for fact in sorted(facts, key=lambda fact: (fact not in done, fact)) if knowledge.facts[fact].type == "bool" and knowledge.facts[fact].thing]  # what is done before what befalls
    likeliest = reader.likeliest(name)
    fact = likeliest if not asked and reader.sounds(name, likeliest) >= SOUNDS else asked[0] if asked else ""
    return Whether(fact, True) if fact in knowledge.facts and knowledge.facts[fact].type == "bool" else None


def says_yes_or_no(text: str) -> bool:
    """Whether a text is a bare `yes` or `no`."""
    said = regular(text)
    return bool(_YES.match(said) or _NO.match(said))


def asked_back(whether: Whether, knowledge: Knowledge, value: object) -> tuple[Whether, str]:
    """What to ask back, and its words: whether what was told of the fact is still so; where nothing was told, whether it is so."""
    says = knowledge.facts[whether.fact].says
    if isinstance(value, bool):
        return whether._replace(value=value), f"As told: {says[str(value).lower()]}. Is that still so, yes or no?"
    return whether, f"Nobody has told me yet that {says[str(whether.value).lower()]}. Is it so, yes or no?"


NAME = 4
"""Words of the next thing of a roll call."""
_AND_NEXT = pattern(r"^and (?:what about |how about )?(?:the |our |a |an )?|^(?:what|how) about (?:the |our )?")
_SAYS_SO = pattern(r"\b(?:is|are|was|were|am|has|have|had|did|does|do|will|can|we|i|he|she|they|it|too|also|not|no|another|more|one|two|three|\d+)\b")
_DOES = pattern(r"^did (?:you|we|i|he|she|they|someone|somebody|anyone|anybody) (?:send|take|give|post|read|make|do)\b", re.IGNORECASE)
"""Asks whether something was done: `did you send a mayday`."""
_NOBODY = pattern(r"^(?:no one|nobody|none)(?: of us)?(?: is)?(?: missing)?[ .!]*$")
_YES = pattern(r"^(?:(?:oh|ah|um|er|sir|skipper|boss|now)[, ]+)*(?:yes|yeah|yep|yup|aye|ay|affirmative|sure|correct|it is|it has|it does|it did|they are|they have|they do|they did|we have|we did|we are|he is|she is|he has|she has|he did|she did)\b(?:[, ]+(?:it is|they are|we have|we are|he is|she is|he has|"
               r"she has|it has|sir|skipper|skip|boss|mate|captain|po|now|already|all good))*[ .!]*$")
_NO = pattern(r"^(?:(?:oh|ah|um|er|sir|skipper|boss)[, ]+)*(?:no|nope|nah|naw|negative|not yet|no not yet|it is not|they are not|we have not|he is not|she is not)\b(?:[, ]+(?:it is not|they are not|we have not|not yet|it has not|"
              r"sir|skipper|skip|boss|mate|captain|po|yet))*[ .!]*$")


_NUMBER = r"(?:one|two|three|four|five|six|seven|eight|nine|ten|\d+|a few|some|most|half|several)"
_SOMEBODY = (r"(?:\w+ )?(?:son|daughter|wife|husband|mother|father|mum|mom|dad|brother|sister|cousin|uncle|aunt|gran|nan|grandad|grandma|boy|girl|kid|child|baby|lad|man|woman|mate|friend|"
             r"skipper|captain|cook|engineer|bosun|deckhand|crewman|mechanic|pilot|passenger|leader|lookout|instructor|doctor|nurse|kids|boys|girls|children|lads|passengers)")
_ALL = pattern(r"^(?:all|everyone|everybody|the (?:lot|whole lot|whole crew)|every one)(?: (?:of (?:us|them|the (?:crew|lads)))|here)?[ .!]*$")
_SOME = pattern(rf"^(?:(?:only |just |yes )?(?:{_NUMBER}(?: of (?:us|them|the \w+)| men| women| people| lads| crew)?|me|i am|i have)|(?:only|just) (?:the|my|our) \w+|(?:the|my|our) {_SOMEBODY})[ .!]*$")
_NAME_ALONE = pattern(r"^(?!(?:Yes|No|Maybe|Soon|Dunno|Done|Sorry|Ok|Help|Not|What|Why|How|Nobody|None|All|Gone|Almost|Never|Undo|Wait|Please|Thanks)\b)[A-Z][a-z]+[.!]*$")
"""Somebody by name, as an answer: `Jim`."""
_YES_AND = pattern(r"^(?:yes|yeah|yep|aye)[, ]+(?!but\b|no\b|not\b|why\b|how\b|what\b|and\b)(?:(?!not\b|no\b|never\b|but\b|off\b|only\b|half\b)[\w']+[ ,.!]*){1,5}$")
_THING_IS = pattern(r"^(?:the |our |my )?(?!one\b|some\b|half\b|it\b|he\b|she\b|they\b|that\b|this\b|who\b|what\b|where\b|nobody\b|none\b|nothing\b)\w+(?: \w+)? (?:is|are|has|have)[ .!]*$")
_BOTH = pattern(r"^(?:(?:yes|yeah|aye)[, ]+)?(?:both|all)(?: of (?:them|it))?(?: (?:doors|sides|ends|flaps|tubes|chambers|are|is))?[ .!]*$")
_NONE = pattern(r"^(?:nobody|no one|none|not one|not a soul)(?: of (?:us|them))?[ .!]*$")


def answered_whether(text: str, whether: Whether, about: Collection[str] = ()) -> Told | None:
    """What a bare `yes` or `no` tells of what was asked after, or of whom it is so: `is anybody seasick`, `only the cook`; None for any other words. `about`: the
    facts that the text may be about by what it names: `is the canopy closed`, `the doors are`."""
    said = regular(text)
    if _YES_AND.match(said) and not has_verb(said) or _THING_IS.match(said) and (whether.fact.startswith(OF_SOMEBODY) or whether.fact in about) or _BOTH.match(said) and not whether.fact.startswith(OF_SOMEBODY):
        return Told(whether.fact, whether.value, "set")  # `yes, both doors`
    if _YES.match(said) or _NO.match(said):
        return Told(whether.fact, whether.value if _YES.match(said) else not whether.value, "set")
    value = True if whether.fact.startswith(OF_SOMEBODY) and _NAME_ALONE.match(text.strip()) else _of_whom(said, whether.fact)
    return None if value is None else Told(whether.fact, value, "set")


def _of_whom(said: str, fact: str) -> bool | None:
    """The value that a fact has which is so of somebody, where it is said to be so of all, some or none; None for other facts and words."""
    if not fact.startswith(OF_SOMEBODY):
        return None
    return True if _ALL.match(said) or _SOME.match(said) else False if _NONE.match(said) else None


_TOO = pattern(r"^(?:(?:yes|yeah|aye|no|and|but|only|just|so|ok)[,. ]+)*(?:the |our )?\w+(?: \w+)?(?: (?:is|are)(?: too| as well| on)?| too| as well| also)[ .!]*$"
               r"|^(?:no[,. ]+)?(?:only|just) (?:the |our )?\w+(?: \w+)?[ .!]*$")


_NEXT_ASKED = pattern(r"^(?:and )?(?:the |our )\w+(?: (?!is\b|are\b|has\b|too\b|also\b|now\b)\w+)?[ .?]*$")
"""The next thing that is asked after: `is the beacon on`, `and the transponder`."""


def told_too(text: str, last: Told | Whether | None, knowledge: Knowledge, reader: Reader) -> Told | None:
    """What a text tells that says the same of another thing as was asked or told before: `is the beacon on`, `the transponder is`; None for any other words."""
    if last is None or not _TOO.match(regular(text)) or isinstance(last, Whether) and _NEXT_ASKED.match(regular(text)):
        return None
    named = [fact for item in reader.naming.named(text) for fact in knowledge.facts_about.get(item, ()) if knowledge.facts[fact].thing]
    if len(named) != 1 or named[0] == last.fact or not isinstance(last.value, bool):
        return None
    one, other = (knowledge.facts[fact].said_of_thing for fact in (named[0], last.fact))
    return Told(named[0], last.value, "set") if one and one == other else None


def told_missing(text: str, asked: str, reader: Reader) -> tuple[Told, ...]:
    """What a bare number tells where it was asked who is missing: `is anyone missing`, `two`; nothing for any other words."""
    if reader.asks_missing(asked) and _NOBODY.match(regular(text)):
        return Told("persons_missing", 0, "set"), Told("all_accounted", True, "set")
    number = reader.amounts.alone(text) if reader.asks_missing(asked) else None
    if number is None or number.sort != "bare" or number.number != int(number.number):
        return ()
    missing = int(number.number)
    return (Told("persons_missing", missing, "set"), *((Told("all_accounted", False, "set"),) if missing else ()))


def told_measure(text: str, readings: Iterable[Reading], topic: str | None, knowledge: Knowledge, reader: Reader) -> tuple[Told, ...]:
    """What a bare measure tells where these readings of the turn before, which was about the topic, asked about the one thing that it may measure: `how high are the waves`, `three metres`."""
    number = reader.amounts.alone(text) if any(reading.kind == "question" for reading in readings) else None
    if number is None or number.sort == "bare":
        return ()
    facts = knowledge.counts_about.get(topic or "", frozenset()).intersection(number.values)
    return tuple(Told(fact, number.values[fact], "set") for fact in facts) if len(facts) == 1 else ()


_OPENS = r"^(?:(?:yes|yeah|no|nope|nah|sorry|oops|wait|hang on|correction|actually|but|forgive me|pardon me|excuse me|pardon|i beg your pardon|i am sorry|oh)[, .]+)*"
_DENIES = pattern(rf"{_OPENS}(?:it|they|he|she|we|that|i) (?:is|are|am|was|were|has|have|had|did|does|do) not(?: (?:now|yet|true|right|any more|really|at all|after all))?[ .!]*$")
_AFFIRMS = pattern(rf"{_OPENS}(?:it|they|he|she|we|i) (?:is|are|am|was|were|has|have|had|did|does|do)(?: (?:now|already|after all))?[ .!]*$")
_OF_A_PERSON = pattern(rf"{_OPENS}(?:he|she)\b")
_FALSE_ALARM = pattern(r"^(?:(?:no|sorry|oops|wait|ok)[, .]+)*(?:it was )?a? ?false alarms?[ .!]*$")


def contradicted(text: str, readings: Iterable[Reading]) -> Told | None:
    """What a bare `no, it's not` tells of the one yes/no fact that these readings of the turn before told, or `yes it is` of one that they denied; None for
    any other words."""
    told = [(each, reading.clause) for reading in readings if reading.kind == "report" for each in reading.told]
    if len(told) != 1 or not isinstance(told[0][0].value, bool):
        return None
    (fact, clause), said = told[0], regular(text)
    denied = affirmed(clause) is not None or fact.value is False and _NO.match(regular(clause)) is not None
    if _OF_A_PERSON.match(said) and not fact.fact.startswith(OF_SOMEBODY):
        return None  # `he's not right` is of no drogue
    turned = _AFFIRMS.match(said) if denied else _DENIES.match(said) or fact.value and _FALSE_ALARM.match(said)
    return fact._replace(value=not fact.value) if turned else None
