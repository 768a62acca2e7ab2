"""What labelled talks teach the evidence of words: each turn as a sentence of the bank, under the topic spoken of before it."""
from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from guide.knowledge.base import Knowledge
from guide.knowledge.language import Phrase
from guide.knowledge.records import NOTHING, Value
from guide.language.clauses import asks, only_filler
from guide.language.cutting import stated
from guide.language.labels import OUTSIDE
from guide.language.mentions import mentions
from guide.language.numbers import countable, numbers, split
from guide.language.teaching import YES_NO
from guide.language.units import Units
from guide.language.wording import regular
from guide.talk.before import subject
from guide.talk.examples import Example, Said

SECTIONS = ("questions", "reports", "orders", "suppose", "facts", "amounts", "outside", "follow_ups", "tellings")
"""The sections of the bank that a turn may belong to."""
TAKE_BACK = "take_back"
_NEAR = 0.021
"""How far an amount in words may be from its label, as a share of it, for what labels round."""


def with_lessons(knowledge: Knowledge, talks: Iterable[Example]) -> Knowledge:
    """The knowledge with the turns of these talks among the sentences that it is learned from."""
    units = Units(knowledge.language.words)
    items = {item.amount: item.id for item in knowledge.equipment.values() if item.amount and item.id in knowledge.topics}
    more: dict[str, list[Phrase]] = {section: [] for section in SECTIONS}
    for talk in talks:
        for section, phrase in _of_talk(talk, units, items):
            more[section].append(phrase)
    bank = knowledge.language
    return knowledge._replace(language=bank._replace(
        questions=(*bank.questions, *more["questions"]), reports=(*bank.reports, *more["reports"]), orders=(*bank.orders, *more["orders"]),
        suppose=(*bank.suppose, *more["suppose"]), facts=(*bank.facts, *more["facts"]), amounts=(*bank.amounts, *more["amounts"]), outside=(*bank.outside, *more["outside"]), follow_ups=(*bank.follow_ups, *more["follow_ups"]),
        tellings=(*bank.tellings, *more["tellings"])))


def _of_talk(talk: Example, units: Units, items: Mapping[str, str]) -> Iterator[tuple[str, Phrase]]:
    """Each turn as phrases, with the section of the bank that they belong to. `items`: fact → the item that it counts."""
    known: dict[str, Value | None] = dict(talk.given)
    about: str | None = None
    for said in talk.turns:
        topic = said.topics[0] if said.topics else ""
        if topic == OUTSIDE:
            yield "outside", Phrase(said.text, "", talk.voice, said.place)
        elif topic and about:
            yield "follow_ups", Phrase(said.text, f"{about}>{topic}", talk.voice, said.place)
        elif topic and (section := _sort(said, alone=len(talk.turns) == 1)):
            yield section, Phrase(said.text, topic, talk.voice, said.place)
        if said.supposes and said.told:
            yield "suppose", Phrase(said.text, ", ".join(f"{fact}={_words(value)}" for fact, value in said.told.items()), talk.voice, said.place)
        elif said.told:
            yield from _told(said, known, about, talk.voice, units)
            known.update(said.told)
        counted = [items[fact] for fact in said.told or () if fact in items]
        about = subject(topic if topic and topic != OUTSIDE else None, about, counted[0] if len(counted) == 1 else None)


def _sort(said: Said, *, alone: bool) -> str:
    """The section that a sentence belongs to which does not lean on a talk; nothing where its labels do not say. Of a sentence that stands
    alone they say whether it was put as a statement."""
    if said.told is None or said.supposes or asks(said.text):
        return "questions"
    return "reports" if said.told else "orders" if alone else ""


def _told(said: Said, known: Mapping[str, Value | None], about: str | None, voice: str, units: Units) -> Iterator[tuple[str, Phrase]]:
    """What a turn tells, where the words show all of it and it says more than `done`; without what it asks beside that."""
    text = stated(said.text)
    labels = [f"{fact}={_words(value)}" if isinstance(value, bool) else _amount(text, fact, value, known.get(fact), units)
              for fact, value in (said.told or {}).items()]
    if not all(labels) or only_filler(text):
        return
    if TAKE_BACK in said.topics and not numbers(split(regular(text))):  # what is undone was not told: `scratch that`
        yield "tellings", Phrase(text, f"{about or ''}>{NOTHING}", voice, said.place)
        return
    plain = not about and len({label.endswith(YES_NO) for label in labels}) == 1 and (len(labels) == 1 or not labels[0].endswith(YES_NO))
    section = "tellings" if not plain else "facts" if labels[0].endswith(YES_NO) else "amounts"
    yield section, Phrase(text, (f"{about or ''}>" if section == "tellings" else "") + ", ".join(labels), voice, said.place)


def _words(value: object) -> str:
    return str(value).lower() if isinstance(value, bool) else f"{value:g}" if isinstance(value, float) else str(value)


def _amount(text: str, fact: str, value: object, was: object, units: Units) -> str:
    """How a text tells an amount: `fact=4` where it says how much there is, `fact-2` where it says how much less; nothing where it may say both."""
    if not isinstance(value, (int, float)):
        return ""
    said = [each.values[fact] for each in mentions(split(countable(regular(text))), units) if fact in each.values]
    change = value - was if isinstance(was, (int, float)) and not isinstance(was, bool) else 0.0
    able = [f"{fact}={value:g}"] if _among(value, said) else []
    able += [f"{fact}{change:+g}"] if change and _among(abs(change), said) else []
    if not able:  # told without a number
        able = [f"{fact}=0"] if value == 0 else []
        able += [f"{fact}{change:+g}"] if change in (-1, 1) else []
    return able[0] if len(able) == 1 else ""


def _among(value: float, said: Sequence[float]) -> bool:
    return any(abs(each - value) <= _NEAR * max(abs(value), 1.0) for each in said)
