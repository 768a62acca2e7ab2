"""What each sentence of the bank teaches: examples by topic, by fact, by what it does, and by amount, each with its writer."""
from __future__ import annotations

import re
import zlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from guide.knowledge.base import Knowledge
from guide.knowledge.language import Phrase
from guide.knowledge.records import NOTHING
from guide.language import amount_labels
from guide.language.clauses import asks, supposed_part
from guide.language.cutting import cut, stated
from guide.language.features import Lexicon, in_context, unit_length
from guide.language.labels import NONE, OUTSIDE
from guide.language.mentions import Mention, mentions, shown
from guide.language.numbers import countable, split
from guide.language.units import Units
from guide.language.wording import regular

HOUSE = "house"
"""The voice of the knowledge itself."""

Example = tuple[str, ...]
"""Sentence, label, voice, and the topic that was spoken of before where there is one."""
YES_NO = ("=true", "=false")
_ANYWHERE = 0.3
"""The share of sentences that are plain by themselves which are learned as said in a talk, whatever it is of."""


def topic_examples(k: Knowledge) -> Iterator[Example]:
    """Sentences by topic, those outside the subject and those that lean on a talk among them."""
    for phrase in (*k.language.questions, *k.language.reports, *k.language.orders):
        yield phrase.text, phrase.means, phrase.voice, *_anywhere(phrase.text, k)
    for phrase in k.language.outside:
        yield phrase.text, OUTSIDE, phrase.voice, *_anywhere(phrase.text, k)
    for phrase in k.language.follow_ups:
        spoken_of, _, means = phrase.means.partition(">")
        yield phrase.text, means, phrase.voice, spoken_of
    yield from house_examples(k)


def _anywhere(text: str, k: Knowledge) -> tuple[str, ...]:
    """Some topic that was spoken of before a sentence that does not lean on it; none for most sentences."""
    number, topics = zlib.crc32(text.encode()), tuple(k.topics)
    return (topics[number % len(topics)],) if number / 2 ** 32 < _ANYWHERE else ()


def house_examples(k: Knowledge) -> Iterator[Example]:
    """The knowledge's own names for things, plainly asked about: a topic by its title, an item by its names."""
    for topic in k.topics.values():
        plain = topic.id.replace("_", " ")
        for text in (topic.title, plain, f"how do we {plain}", f"tell me about {topic.title}"):
            yield text, topic.id, HOUSE
        item = k.equipment.get(topic.id)
        for name in (item.name, *item.also) if item else ():
            for text in (name, f"what is the {name} for", f"where is the {name}", f"is there a {name}", f"how do i use the {name}"):
                yield text, topic.id, HOUSE


def told_in_talk(k: Knowledge) -> Iterator[tuple[Phrase, str]]:
    """What is told in a talk, without what is asked beside it, as phrases that mean what they tell, with the topic that was spoken of before;
    what only asks is left out, as it would tell something if it were stated."""
    for phrase in k.language.tellings:
        spoken_of, _, means = phrase.means.partition(">")
        text = stated(phrase.text)
        if means != NOTHING or not asks(text):
            yield phrase._replace(means=means, text=text), spoken_of


def report_examples(k: Knowledge) -> Iterator[Example]:
    """Statements by topic."""
    for phrase in k.language.reports:
        yield phrase.text, phrase.means, phrase.voice
    for phrase in k.language.facts:
        fact, _, value = phrase.means.partition("=")
        topics = k.facts[fact].topics
        yield phrase.text, topics.get(value, topics.get("any", "")), phrase.voice
    for phrase, _ in told_in_talk(k):
        fact, _, value = phrase.means.partition("=")
        if value in ("true", "false") and "," not in fact:  # it tells that alone
            topics = k.facts[fact].topics
            yield phrase.text, topics.get(value, topics.get("any", "")), phrase.voice


def fact_examples(k: Knowledge) -> Iterator[Example]:
    """Statements and suppositions by the one yes/no fact they are about, or none."""
    told = {topic for fact in k.facts.values() for topic in fact.topics.values()}
    for phrase in k.language.facts:
        yield phrase.text, phrase.means, phrase.voice, *_anywhere(phrase.text, k)
    for phrase, spoken_of in told_in_talk(k):
        labels = _yes_no(phrase)
        if len(labels) == 1 or not labels and not _counts_people(phrase):
            yield phrase.text, labels[0] if labels else NONE, phrase.voice, *([spoken_of] if spoken_of else ())
    for phrase in k.language.suppose:
        if phrase.means.count("=") == 1 and phrase.means.endswith(YES_NO):
            yield supposed_part(phrase.text), phrase.means, phrase.voice
    for phrase in k.language.reports:
        if phrase.means not in told:
            yield phrase.text, NONE, phrase.voice
    for phrase in k.language.amounts:
        if not _counts_people(phrase):
            yield phrase.text, NONE, phrase.voice


def _counts_people(phrase: Phrase) -> bool:
    """Whether a phrase that tells amounts may tell more than its label says: `five people inside`."""
    return "persons=" in phrase.means


def _yes_no(phrase: Phrase) -> list[str]:
    """The yes/no facts that a phrase tells, as labels."""
    return [part for part in phrase.means.split(", ") if part.endswith(YES_NO)]


def kind_examples(k: Knowledge) -> Iterator[Example]:
    """Sentences by what they do: ask, report, suppose, or none of these (orders, plans, wishes, hearsay)."""
    for kind, section in (("question", k.language.questions), ("report", k.language.reports), ("report", k.language.facts),
                          ("report", k.language.amounts), ("idle", k.language.nothing), ("idle", k.language.orders), ("what_if", k.language.suppose)):
        for phrase in section:
            yield phrase.text, kind, phrase.voice
    for phrase, _ in told_in_talk(k):
        if phrase.means != NOTHING:
            yield phrase.text, "report", phrase.voice


Seen = tuple[dict[str, float], str, str]
"""Features, label, voice."""
_TOLD = re.compile(r"(?P<fact>\w+)(?P<how>[=+-])(?P<value>-?[\d.]+|\?)")
_HOW = {"=": "set", "-": "used", "+": "found"}
DOERS = ("we", "i", "he", "they", "Somebody")
_COUNTS_PEOPLE = ("aboard_raft", "all_accounted")
"""Facts whose sentences often count people as well, which their labels do not say."""


def _exchanged(phrase: Phrase, nouns: Mapping[str, Sequence[str]]) -> Iterator[Phrase]:
    """A sentence about one counted thing said of the others as well: what is said of using up rockets is said of flares."""
    fact = re.split("[=+-]", phrase.means)[0]
    mine = next((noun for noun in nouns.get(fact, ()) if re.search(rf"\b{re.escape(noun)}\b", phrase.text, re.IGNORECASE)), "")
    for other, names in nouns.items() if mine and "," not in phrase.means else ():
        name = next(name for name in names if name.endswith("s") == mine.endswith("s"))
        if other != fact:
            yield phrase._replace(means=phrase.means.replace(fact, other), text=re.sub(rf"\b{re.escape(mine)}\b", name, phrase.text, flags=re.IGNORECASE))


def _with_doers(phrase: Phrase, units: Units) -> Iterator[Phrase]:
    """A sentence that begins with what was done, `fired two rockets`, said of whoever may have done it."""
    words = split(phrase.text.lower())
    if 1 in (units.at("past", words, 0), units.at("spending", words, 0)):
        for doer in DOERS:
            yield phrase._replace(text=f"{doer} {phrase.text[0].lower()}{phrase.text[1:]}")


def amount_examples(k: Knowledge, lexicon: Lexicon) -> Iterator[Seen]:
    """Quantities in statements and suppositions by the fact that each tells, or none; and clauses by what they tell without a number."""
    units = Units(k.language.words)
    for phrase, said, *spoken_of in _with_amounts(k, units):
        told = [match.groupdict() for part in phrase.means.split(",") if (match := _TOLD.fullmatch(part.strip()))]
        for text in dict.fromkeys((said, *cut(said))) if told else ():
            yield from _in_talk(spoken_of, _amounts_in(text, told, units, lexicon, phrase.voice, whole=text == said))
    for phrase, *spoken_of in _without_amounts(k):
        yield from _in_talk(spoken_of, _amounts_in(phrase.text, [], units, lexicon, phrase.voice, whole=True))
    counted = {topic for fact in k.facts.values() if fact.type in ("int", "float") for topic in fact.topics.values()}
    for phrase in k.language.reports:
        words = split(countable(regular(phrase.text)))
        if phrase.means not in counted and not mentions(words, units):
            yield unit_length(shown(words, [], None, lexicon)), NONE, phrase.voice


def _in_talk(spoken_of: Sequence[str], found: Iterable[Seen]) -> Iterator[Seen]:
    for features_of, label, voice in found:
        yield (in_context(features_of, spoken_of[0]) if spoken_of else features_of), label, voice


def _with_amounts(k: Knowledge, units: Units) -> Iterator[tuple[Any, ...]]:
    """Sentences that tell or suppose amounts, what is learned of each, and the topic that was spoken of before where there is one."""
    nouns = {fact: k.language.words[f"noun_{fact}"] for fact in ("rocket_flares", "hand_flares", "smoke_signals", "thermal_aids")}
    exchanged = [other for phrase in k.language.amounts for other in _exchanged(phrase, nouns)]
    done = (other for phrase in (*k.language.amounts, *exchanged) for other in _with_doers(phrase, units))
    for phrase in (*k.language.amounts, *exchanged, *done):
        yield phrase, phrase.text, *_anywhere(phrase.text, k)
    for phrase, spoken_of in told_in_talk(k):
        yield phrase, phrase.text, *([spoken_of] if spoken_of else ())
    for phrase in k.language.suppose:
        yield phrase, supposed_part(phrase.text)


def _without_amounts(k: Knowledge) -> Iterator[tuple[Any, ...]]:
    """Sentences that tell no amounts, with the topic that was spoken of before where there is one."""
    for phrase in (*k.language.nothing, *k.language.orders, *(p for p in k.language.facts if not p.means.startswith(_COUNTS_PEOPLE))):
        yield phrase, *_anywhere(phrase.text, k)
    for phrase, spoken_of in told_in_talk(k):
        if all(part.endswith(YES_NO) and not part.startswith(_COUNTS_PEOPLE) for part in phrase.means.split(", ") if part != NOTHING):
            yield phrase, *([spoken_of] if spoken_of else ())


def _amounts_in(text: str, told: list[dict[str, str]], units: Units, lexicon: Lexicon, voice: str, whole: bool) -> Iterator[Seen]:
    words = split(countable(regular(text)))
    found = mentions(words, units, units.any("unit_fahrenheit", words))
    left = {each["fact"]: each for each in told}
    labels = {id(mention): _label(mention, left) for mention in reversed(found)}
    without = [each for each in left.values() if each["value"] in ("0", "1", amount_labels.NOT_SAID)]
    if left and not without and whole:  # its number is not one that the grammar finds, nor one that words without a number tell
        yield unit_length(shown(words, found, None, lexicon)), NONE, voice
        return
    for mention in found:
        yield unit_length(shown(words, found, mention, lexicon)), labels[id(mention)], voice
    if whole:
        one = without[0] if without else None
        label = amount_labels.label(one["fact"], _HOW[one["how"]], one["value"]) if one else NONE
        yield unit_length(shown(words, found, None, lexicon)), label, voice


def _label(mention: Mention, left: dict[str, dict[str, str]]) -> str:
    """What a quantity tells of what its phrase is said to tell, which is then no longer left."""
    for fact, each in left.items():
        if fact in mention.values and each["value"] != amount_labels.NOT_SAID and _near(mention.values[fact], float(each["value"])):
            del left[fact]
            return amount_labels.label(fact, _HOW[each["how"]])
    return NONE


def _near(one: float, two: float) -> bool:
    """Whether they are the same but for rounding in the bank."""
    return abs(one - two) <= max(0.021 * abs(two), 0.051)
