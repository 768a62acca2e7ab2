"""What is counted without being named: `we burned two of them`, after the flares were counted."""
from __future__ import annotations

import re
from collections.abc import Sequence

from guide.knowledge.base import Knowledge
from guide.knowledge.records import Fact
from guide.language.facts import Told
from guide.language.reading import Reader, Utterance
from guide.language.wording import LONGEST, regular
from guide.patterns import pattern
from guide.state.facts import Event, State
from guide.turn import Turn

COUNTED = ("rocket_flares", "hand_flares", "smoke_signals", "thermal_aids")
"""Facts that one sentence may be about as well as another, where it does not name the thing."""
_MEASURED = {"water": "water pouches", "food": "food bars"}
"""Facts that are measured, and what `them` is of them: what was counted of the containers."""
_ONE = pattern(r"\b(another|one more|(?:a|the) (?:second|third|next|last|other)) one\b|\b(one|another)(?=\s*(?:$|[.,;!]| (?:already|now|so far|off|up|at|on|left)\b))", re.IGNORECASE)
_SOME = pattern(r"\b(two|three|four|five|six|both|[2-9])(?=\s*(?:$|[.,;!]| (?:already|now|so far|more|left)\b))", re.IGNORECASE)
_THEM = pattern(r"\bof (?:them|those|these|'?em)\b", re.IGNORECASE)
_OF_IT = pattern(r"\bof (?:it|that|this)\b", re.IGNORECASE)
_IT, _THEY, _ONE_OF = pattern(r"\bit\b"), pattern(r"\b(?:they|them|it)\b"), pattern(r"\b(?:one|theirs|his|hers|mine)\b")
_SHORT = 10
"""Words of a sentence in which `it` is what was spoken of before."""
RECENT = 4
"""Turns after which nobody says `them` of a thing any more."""


def recent_count(events: Sequence[Event], state: State, last: Turn | None, topic: str | None, knowledge: Knowledge) -> str | None:
    """The fact that counts the thing spoken of last: what the turn before counted, the item that the talk is about, what was counted
    lately, or the only one known."""
    said = [told.fact for reading in last.readings for told in reading.told if told.fact in (*COUNTED, *_MEASURED)] if last else []
    item = knowledge.equipment.get(topic or "")
    if said or item is not None and item.amount in COUNTED:
        return said[-1] if said else item.amount if item else None
    now = events[-1].turn if events else 0
    for event in reversed(events):
        if event.turn < now - RECENT:
            break
        if event.kind == "fact" and event.by == "crew" and event.name in (*COUNTED, *_MEASURED):
            return event.name
    known = [fact for fact in COUNTED if state.value(fact) is not None]
    return known[0] if len(known) == 1 else None


def named(text: str, fact: str | None, knowledge: Knowledge, reader: Reader) -> str:
    """A short text about using or having some, with the thing counted last in the place of `one`, `them` and `of it`, where it names no
    other: `fired another one`."""
    if fact is None or any(reader.names(other, text) for other in (*COUNTED, *_MEASURED)) or not reader.uses(text, _SHORT):
        return text
    nouns = knowledge.language.words[f"noun_{fact}"]
    if fact in _MEASURED:
        return _THEM.sub(f"of the {_MEASURED[fact]}", _OF_IT.sub(f"of {nouns[0]}", text))
    one, several = (next(noun for noun in nouns if noun.endswith("s") == many) for many in (False, True))
    return _SOME.sub(rf"\1 {several}", _ONE.sub(lambda m: f"{m[1] or m[2]} {one}", _THEM.sub(f"of the {several}", text)))


def spelt_out(text: str, fact: Fact) -> str | None:
    """A short statement with the fact's thing in the place of `it` or `they`; None where it has neither."""
    said = regular(text)
    if not fact.thing or len(said.split()) > _SHORT:
        return None
    pronoun = _ONE_OF if fact.thing.startswith("a ") else _THEY if fact.thing.endswith("s") else _IT
    found, number = pronoun.subn(fact.thing, said, count=1)
    return found if number else None


def counted_as(utterance: Utterance, reader: Reader, recent: str | None) -> Utterance:
    """The utterance with what it counts without naming it as the thing counted last; where it tells of no use, nothing is counted:
    `another plane`."""
    if reader.corrects(utterance.text):
        return utterance

    def meant(told: Told, clause: str) -> Told | None:
        if told.fact not in COUNTED or reader.names(told.fact, utterance.text):
            return told
        if recent in COUNTED and reader.uses(clause, LONGEST):
            return told._replace(fact=recent)
        return None if told.value == 1 and told.how != "set" else told

    readings = (reading._replace(told=tuple(filter(None, (meant(told, reading.clause) for told in reading.told)))) for reading in utterance.readings)
    return utterance._replace(readings=tuple(readings))


def tells_nothing(utterance: Utterance) -> bool:
    """Whether an utterance states, and tells no fact."""
    return all(reading.kind in ("report", "command") and not reading.told for reading in utterance.readings)
