"""What is counted without being named: `we burned two of them`, after the flares were counted."""
from __future__ import annotations

import re
from collections.abc import Sequence

from guide.knowledge.base import Knowledge
from guide.knowledge.records import Fact
from guide.language.reading import Reader, Utterance
from guide.language.wording import regular
from guide.patterns import pattern
from guide.state.facts import Event, State

COUNTED = ("rocket_flares", "hand_flares", "smoke_signals", "thermal_aids")
"""Facts that one sentence may be about as well as another, where it does not name the thing."""
_MEASURED = ("water", "food")
_ONE = pattern(r"\b(another|one more|(?:a|the) (?:second|third|next|last|other)) one\b|\b(one|another)(?=\s*(?:$|[.,;!]| (?:already|now|so far|off|up|at|on)\b))", re.IGNORECASE)
_SOME = pattern(r"\b(two|three|four|five|six|both|[2-9])(?=\s*(?:$|[.,;!]| (?:already|now|so far|more)\b))", re.IGNORECASE)
_THEM = pattern(r"\bof (?:them|those|these)\b", re.IGNORECASE)
_OF_IT = pattern(r"\bof (?:it|that|this)\b", re.IGNORECASE)
_IT, _THEY = pattern(r"\bit\b"), pattern(r"\b(?:they|them|it)\b")
_SHORT = 10
"""Words of a sentence in which `it` is what was spoken of before."""
RECENT = 4
"""Turns after which nobody says `them` of a thing any more."""


def recent_count(events: Sequence[Event], state: State, topic: str | None, knowledge: Knowledge) -> str | None:
    """The fact that counts the thing spoken of last: the item that the talk is about, or what was counted lately, or the only one known."""
    item = knowledge.equipment.get(topic or "")
    if item is not None and item.amount in COUNTED:
        return item.amount
    now = events[-1].turn if events else 0
    for event in reversed(events):
        if event.turn < now - RECENT:
            break
        if event.kind == "fact" and event.by == "crew" and event.name in (*COUNTED, *_MEASURED):
            return event.name
    known = [fact for fact in COUNTED if state.value(fact) is not None]
    return known[0] if len(known) == 1 else None


def named(text: str, fact: str | None, knowledge: Knowledge, reader: Reader) -> str:
    """The text with the thing counted last in the place of `one`, `them` and `of it`, where it names no other: `fired another one`."""
    if fact is None or any(reader.names(other, text) for other in (*COUNTED, *_MEASURED)) or reader.amounts.alone(text) is not None:
        return text
    nouns = knowledge.language.words[f"noun_{fact}"]
    if fact in _MEASURED:
        return _OF_IT.sub(f"of {nouns[0]}", text)
    one, several = (next(noun for noun in nouns if noun.endswith("s") == many) for many in (False, True))
    return _SOME.sub(rf"\1 {several}", _ONE.sub(lambda m: f"{m[1] or m[2]} {one}", _THEM.sub(f"of the {several}", text)))


def facts_about(topics: Sequence[str], knowledge: Knowledge) -> list[Fact]:
    """The yes/no facts that reports of these topics tell or their steps bring about."""
    brought = {fact for step in knowledge.steps.values() if step.topic in topics for fact in step.sets}
    return [fact for fact in knowledge.facts.values() if fact.type == "bool" and (fact.id in brought or not set(topics).isdisjoint(fact.topics.values()))]


def spelt_out(text: str, fact: Fact) -> str | None:
    """A short statement with the fact's thing in the place of `it` or `they`; None where it has neither."""
    said = regular(text)
    if not fact.thing or len(said.split()) > _SHORT:
        return None
    found, number = (_THEY if fact.thing.endswith("s") else _IT).subn(fact.thing, said, count=1)
    return found if number else None


def counted_as(utterance: Utterance, reader: Reader, recent: str | None) -> Utterance:
    """The utterance with what it counts without naming it as the thing counted last."""
    if recent is None:
        return utterance
    readings = []
    for reading in utterance.readings:
        told = tuple(t._replace(fact=recent) if t.fact in COUNTED and recent in COUNTED and not reader.names(t.fact, reading.clause) else t for t in reading.told)
        readings.append(reading._replace(told=told))
    return utterance._replace(readings=tuple(readings))


def tells_nothing(utterance: Utterance) -> bool:
    """Whether an utterance states, and tells no fact."""
    return all(reading.kind in ("report", "command") and not reading.told for reading in utterance.readings)
