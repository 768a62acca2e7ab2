"""What few words tell of what was asked, or told, just before: `yes`, `only the cook`, `the transponder is`, `two`, `no, it's not`."""
from __future__ import annotations

from collections.abc import Collection, Iterable

from guide.knowledge.base import Knowledge
from guide.language.clauses import affirmed, has_verb
from guide.language.facts import OF_SOMEBODY, Told
from guide.language.reading import Reader
from guide.language.utterances import Reading
from guide.language.wording import regular
from guide.patterns import pattern
from guide.whether import Whether

_YES = pattern(r"^(?:(?:oh|ah|um|er|sir|skipper|boss|now)[, ]+)*(?:yes|yeah|yep|yup|aye|ay|affirmative|sure|correct|it is|it has|it does|it did|they are|they have|they do|they did|we have|we did|we are|he is|she is|he has|she has|he did|she did)\b(?:[, ]+(?:it is|they are|we have|we are|he is|she is|he has|"
               r"she has|it has|sir|skipper|skip|boss|mate|captain|po|now|already|all good))*[ .!]*$")
_NO = pattern(r"^(?:(?:oh|ah|um|er|sir|skipper|boss)[, ]+)*(?:no|nope|nah|naw|negative|not yet|no not yet|it is not|they are not|we have not|he is not|she is not)\b(?:[, ]+(?:it is not|they are not|we have not|not yet|it has not|"
              r"sir|skipper|skip|boss|mate|captain|po|yet))*[ .!]*$")
_NOBODY = pattern(r"^(?:no one|nobody|none)(?: of us)?(?: is)?(?: missing)?[ .!]*$")
_NUMBER = r"(?:one|two|three|four|five|six|seven|eight|nine|ten|\d+|a few|some|most|half|several)"
_SOMEBODY = (r"(?:\w+ )?(?:son|daughter|wife|husband|mother|father|mum|mom|dad|brother|sister|cousin|uncle|aunt|gran|nan|grandad|grandma|boy|girl|kid|child|baby|lad|man|woman|mate|friend|"
             r"skipper|captain|cook|engineer|bosun|deckhand|crewman|mechanic|pilot|passenger|leader|lookout|instructor|doctor|nurse|kids|boys|girls|children|lads|passengers)")
_ALL = pattern(r"^(?:all|everyone|everybody|the (?:lot|whole lot|whole crew)|every one)(?: (?:of (?:us|them|the (?:crew|lads)))|here)?[ .!]*$")
_SOME = pattern(rf"^(?:(?:only |just |yes )?(?:{_NUMBER}(?: of (?:us|them|the \w+)| men| women| people| lads| crew)?|me|i am|i have)|(?:only|just) (?:the|my|our) \w+|(?:the|my|our) {_SOMEBODY})[ .!]*$")
_NAME_ALONE = pattern(r"^(?!(?:Yes|No|Maybe|Soon|Dunno|Done|Sorry|Ok|Help|Not|What|Why|How|Nobody|None|All|Gone|Almost|Never|Undo|Wait|Please|Thanks)\b)[A-Z][a-z]+[.!]*$")
"""Somebody by name, as an answer: `Jim`."""
_YES_AND = pattern(r"^(?:yes|yeah|yep|aye)[, ]+(?!but\b|no\b|not\b|why\b|how\b|what\b|and\b)(?:(?!not\b|no\b|never\b|but\b|off\b|only\b|half\b)[\w']+[ ,.!]*){1,5}$")
"""A `yes` with no more than a name for what is so: `yes, both doors`."""
_THING_IS = pattern(r"^(?:the |our |my )?(?!one\b|some\b|half\b|it\b|he\b|she\b|they\b|that\b|this\b|who\b|what\b|where\b|nobody\b|none\b|nothing\b)\w+(?: \w+)? (?:is|are|has|have)[ .!]*$")
"""`The doors are`, `the cook is`."""
_BOTH = pattern(r"^(?:(?:yes|yeah|aye)[, ]+)?(?:both|all)(?: of (?:them|it))?(?: (?:doors|sides|ends|flaps|tubes|chambers|are|is))?[ .!]*$")
"""`Both of them`, where two things go by the name."""
_NONE = pattern(r"^(?:nobody|no one|none|not one|not a soul)(?: of (?:us|them))?[ .!]*$")
_TOO = pattern(r"^(?:(?:yes|yeah|aye|no|and|but|only|just|so|ok)[,. ]+)*(?:the |our )?\w+(?: \w+)?(?: (?:is|are)(?: too| as well| on)?| too| as well| also)[ .!]*$"
               r"|^(?:no[,. ]+)?(?:only|just) (?:the |our )?\w+(?: \w+)?[ .!]*$")
_NEXT_ASKED = pattern(r"^(?:and )?(?:the |our )\w+(?: (?!is\b|are\b|has\b|too\b|also\b|now\b)\w+)?[ .?]*$")
"""The next thing that is asked after: `is the beacon on`, `and the transponder`."""
_OPENS = r"^(?:(?:yes|yeah|no|nope|nah|sorry|oops|wait|hang on|correction|actually|but|forgive me|pardon me|excuse me|pardon|i beg your pardon|i am sorry|oh)[, .]+)*"
_DENIES = pattern(rf"{_OPENS}(?:it|they|he|she|we|that|i) (?:is|are|am|was|were|has|have|had|did|does|do) not(?: (?:now|yet|true|right|any more|really|at all|after all))?[ .!]*$")
_AFFIRMS = pattern(rf"{_OPENS}(?:it|they|he|she|we|i) (?:is|are|am|was|were|has|have|had|did|does|do)(?: (?:now|already|after all))?[ .!]*$")
_OF_A_PERSON = pattern(rf"{_OPENS}(?:he|she)\b")
_FALSE_ALARM = pattern(r"^(?:(?:no|sorry|oops|wait|ok)[, .]+)*(?:it was )?a? ?false alarms?[ .!]*$")


def says_yes_or_no(text: str) -> bool:
    """Whether a text is a bare `yes` or `no`."""
    said = regular(text)
    return bool(_YES.match(said) or _NO.match(said))


def answered_whether(text: str, whether: Whether, about: Collection[str] = ()) -> Told | None:
    """What a bare `yes` or `no` tells of what was asked after, or of whom it is so: `is anybody seasick`, `only the cook`; None for any other words. `about`: the
    facts that the text may be about by what it names: `is the canopy closed`, `the doors are`."""
    value = _answer(text, whether, about)
    return None if value is None else Told(whether.fact, value, "set")


def _answer(text: str, whether: Whether, about: Collection[str]) -> bool | None:
    """What the fact asked after is by these words; None where they do not say."""
    said, of_somebody = regular(text), whether.fact.startswith(OF_SOMEBODY)
    if _YES_AND.match(said) and not has_verb(said):
        return whether.value  # `yes, both doors`
    if _THING_IS.match(said) and (of_somebody or whether.fact in about):
        return whether.value
    if _BOTH.match(said) and not of_somebody:
        return whether.value
    if _YES.match(said):
        return whether.value
    if _NO.match(said):
        return not whether.value
    if of_somebody and _NAME_ALONE.match(text.strip()):
        return True
    return _of_whom(said) if of_somebody else None


def _of_whom(said: str) -> bool | None:
    """Whether it is so of anybody, where it is said to be so of all, some or none; None for other words."""
    if _ALL.match(said) or _SOME.match(said):
        return True
    return False if _NONE.match(said) else None


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
    if denied:
        turned = _AFFIRMS.match(said)
    else:
        turned = _DENIES.match(said) or (_FALSE_ALARM.match(said) if fact.value else None)
    return fact._replace(value=not fact.value) if turned else None
