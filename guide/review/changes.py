"""How two states of the knowledge differ: advice added, dropped, reworded, re-sourced, its conditions and all else."""
from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Protocol

from guide.knowledge.base import Knowledge
from guide.knowledge.claims import Fielded, Row, rows_of
from guide.knowledge.problems import Place
from guide.knowledge.records import Dispute, Pack
from guide.review.situations import Difference, Situation, differences

ADDED, DROPPED, REWORDED, SOURCED, CONDITIONS, OTHERWISE = "added", "dropped", "reworded", "re-sourced", "conditions", "otherwise"
HOW = (ADDED, DROPPED, REWORDED, SOURCED, CONDITIONS, OTHERWISE)
"""In the order in which they are told."""
_CONDITIONS = frozenset(("when", "unless", "done when", "sooner when"))
_WORDS = frozenset(("say", "why", "question", "because", "care", "name", "what", "where", "use", "looks", "also", "title", "about",
                    "says", "calls for", "lacks", "marked", "waters", "short", "follows"))


class _Record(Fielded, Protocol):
    """A record with its place in the files."""

    @property
    def place(self) -> Place: ...


@dataclass(frozen=True, slots=True)
class Change:
    """One field of one record that is not what it was."""

    kind: str
    id: str
    how: str
    """One of HOW."""
    field: str
    """The field, or nothing where the whole record came or went."""
    old: str
    new: str
    place: Place
    """In the new knowledge; of what was dropped, in the old."""


@dataclass(frozen=True, slots=True)
class Changes:
    """All that differs."""

    records: tuple[Change, ...]
    situations: tuple[Difference, ...]

    def __bool__(self) -> bool:
        return bool(self.records or self.situations)


def changes(old: Knowledge, new: Knowledge, standard: tuple[Situation, ...]) -> Changes:
    """What differs between two states, record by record, and in the standard situations."""
    found = list(_order(old, new))
    before, after = _tables(old), _tables(new)
    for kind, records in after.items():
        was = before[kind]
        found += [Change(kind, name, DROPPED, "", _says(was[name]), "", was[name].place) for name in was if name not in records]
        for name, record in records.items():
            if name not in was:
                found.append(Change(kind, name, ADDED, "", "", _says(record), record.place))
            else:
                found += _fields(kind, name, record.place, _rows(old, was[name]), _rows(new, record))
    return Changes(tuple(sorted(found, key=lambda c: HOW.index(c.how))), differences(old, new, standard))


def _tables(k: Knowledge) -> dict[str, Mapping[str, _Record]]:
    """Kind → id → record. The yes/no fact that an item brings with it changes with the item and is left out."""
    facts = {name: fact for name, fact in k.facts.items() if name.removeprefix("has_") not in k.equipment}
    presumed = {f"{p.fact} is {str(p.value).lower()}": p for p in k.presumptions}
    return {"step": k.steps, "caution": k.cautions, "topic": k.topics, "item": k.equipment, "pack": k.packs, "dispute": k.disputes,
            "work": k.sources, "clause": k.clauses, "fact": facts, "presumption": presumed, "priority": k.priorities,
            "figure": {f"{c.topic}.{c.figure}": c for c in k.computed}, "shown with a figure": k.shown_with,
            "waters": k.stores.waters, "substitute": k.stores.substitutes, "bag": k.stores.bag, "serves": k.stores.serves}


def _order(old: Knowledge, new: Knowledge) -> Iterator[Change]:
    was, now = ["; ".join(k.priorities) for k in (old, new)]
    if was != now and sorted(old.priorities) == sorted(new.priorities):
        yield Change("priority", "all", OTHERWISE, "order", was, now, next(iter(new.priorities.values())).place)


def _says(record: _Record) -> str:
    return next((text for _, text in rows_of(record)), "")


def _rows(k: Knowledge, record: _Record) -> dict[str, str]:
    return {**dict(rows_of(record)), **dict(_sourced(k, record))}


def _sourced(k: Knowledge, record: object) -> Iterator[Row]:
    """What each part rests on, as it is cited; an id of a clause that is cited alike is no change."""
    if isinstance(record, Pack):
        yield from ((f"sources of {line.item}", _cited(k, line.sources)) for line in record.items.values())
    elif isinstance(record, Dispute):
        yield from ((f"sources of {side.id}", _cited(k, side.sources)) for side in record.positions)
    elif sources := getattr(record, "sources", ()):
        yield "sources", _cited(k, sources)


def _cited(k: Knowledge, sources: tuple[str, ...]) -> str:
    return "; ".join(k.cite(source) for source in sources)


def _fields(kind: str, name: str, place: Place, old: Mapping[str, str], new: Mapping[str, str]) -> Iterator[Change]:
    for field in dict.fromkeys((*new, *old)):
        was, now = old.get(field, ""), new.get(field, "")
        if was != now:
            yield Change(kind, name, _how(kind, field), field, was, now, place)


def _how(kind: str, field: str) -> str:
    if field.startswith("sources") or kind == "clause":
        return SOURCED
    if field in _CONDITIONS:
        return CONDITIONS
    return REWORDED if field in _WORDS or field.startswith("position ") else OTHERWISE
