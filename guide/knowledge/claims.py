"""The claims: each piece of the knowledge that a person is told, with its sources, and a digest of what it says.

A claim is what somebody answers for: a step, a caution, an item and its use, a pack's list, a dispute, a rule of the waters,
what stands in for an item, what a grab bag adds. Clauses are what claims rest on; they are no claims themselves.
"""
from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Protocol

from guide.knowledge.base import Knowledge
from guide.knowledge.conditions import Condition
from guide.knowledge.problems import Place
from guide.knowledge.records import (
    COMMON_PRACTICE,
    BagItem,
    Caution,
    Dispute,
    Equipment,
    Pack,
    PackLine,
    Position,
    StandIn,
    Step,
    Substitute,
    WatersRule,
)

Row = tuple[str, str]
"""A field as a person reads it: what it is, and what it says."""
Record = Step | Caution | Equipment | Pack | Dispute | WatersRule | Substitute | BagItem

PRACTICE = "practice"
NO_CLAUSE = "unverified"
CLAIM_MARKS = ("read", "secondary", "memory", PRACTICE, NO_CLAUSE)
"""How well a claim's source was read; practice is a rule of the trade, unverified has no clause at all."""
_UNSEEN = frozenset(("id", "place", "sources"))
_CALLED = {"takes_s": "takes", "again_s": "again", "pieces": "count"}
"""Fields that a person reads under another name; `count` is the file's, which every tuple has as a method."""
_UNUSED = ("", "0", "-1", "inf", "-inf")
"""What a field holds where nothing was said. A number that means none is no row."""


@dataclass(frozen=True, slots=True)
class Claim:
    """What is told, where it stands and what it rests on."""

    id: str
    """`kind:id`; kinds: step, caution, item, pack, dispute, waters, substitute, bag."""
    place: Place
    topic: str
    """The topic that it belongs to, or nothing."""
    priority: str
    rows: tuple[Row, ...]
    """Every field that says something; the first is what a person sees first."""
    sources: tuple[str, ...]
    """Ids of clauses, or common_practice, or unverified."""
    marks: tuple[str, ...]
    """The mark of each source, without repetition."""
    works: tuple[str, ...]
    """Ids of the works that its sources belong to, without repetition."""
    digest: str
    """16 hex digits of all that is said and what it rests on; another digest is another content."""

    @property
    def kind(self) -> str:
        """The part of the id before the colon."""
        return self.id.partition(":")[0]

    @property
    def says(self) -> str:
        """The first row's words."""
        return self.rows[0][1]

    @property
    def family(self) -> str:
        """The file that it stands in, without its ending."""
        return self.place.file.rpartition("/")[2].removesuffix(".yaml")


def claims(knowledge: Knowledge) -> tuple[Claim, ...]:
    """Every claim, in the order of kinds, then of the files."""
    stores = knowledge.stores
    groups: tuple[tuple[str, tuple[Record, ...]], ...] = (
        ("step", tuple(knowledge.steps.values())), ("caution", tuple(knowledge.cautions.values())),
        ("item", tuple(knowledge.equipment.values())), ("pack", tuple(knowledge.packs.values())),
        ("dispute", tuple(knowledge.disputes.values())), ("waters", tuple(stores.waters.values())),
        ("substitute", tuple(stores.substitutes.values())), ("bag", tuple(stores.bag.values())))
    return tuple(claim_of(knowledge, kind, record) for kind, records in groups for record in records)


def claim_of(knowledge: Knowledge, kind: str, record: Record) -> Claim:
    """One record as a claim."""
    rows = tuple(rows_of(record))
    owned = tuple(_sources(record))
    sources = tuple(dict.fromkeys(source for _, source in owned))
    grounds = [f"{owner}: {knowledge.cite(s)}: {knowledge.clauses[s].says if s in knowledge.clauses else ''}" for owner, s in owned]
    content = "\n".join([*(f"{label}={text}" for label, text in rows), *grounds])
    works = dict.fromkeys(knowledge.clauses[s].source for s in sources if s in knowledge.clauses)
    return Claim(f"{kind}:{record.id}", record.place, record.topic if isinstance(record, Step) else "",
                 record.priority if isinstance(record, Step) else "", rows, sources,
                 tuple(dict.fromkeys(mark_of(knowledge, s) for s in sources)), tuple(works),
                 hashlib.sha256(content.encode()).hexdigest()[:16])


def mark_of(knowledge: Knowledge, source: str) -> str:
    """The mark of a source id: one of CLAIM_MARKS."""
    if source == COMMON_PRACTICE:
        return PRACTICE
    return knowledge.clauses[source].mark if source in knowledge.clauses else NO_CLAUSE


class Fielded(Protocol):
    """A named tuple, whichever."""

    def _asdict(self) -> dict[str, Any]: ...


def rows_of(record: Fielded) -> Iterator[Row]:
    """Each field of a record that says something, in words; a list of parts (a pack's lines, a dispute's sides) gives a row a part."""
    named = record._asdict()
    first = [name for name in ("say", "question", "use", "calls_for", "says", "name") if name in named][:1]
    for name in dict.fromkeys([*first, *named]):
        value = named[name]
        if name in _UNSEEN:
            continue
        for label, text in _parts(name, value):
            if text not in _UNUSED:
                yield label, text


def _parts(name: str, value: object) -> Iterator[Row]:
    label = _CALLED.get(name, name.replace("_", " "))
    if isinstance(value, tuple) and value and isinstance(value[0], Position):
        yield from ((f"position {side.id}", side.says) for side in value)
    elif isinstance(value, dict) and value and isinstance(next(iter(value.values())), PackLine):
        yield from ((f"holds {line.item}", _line(line)) for line in value.values())
    elif name in ("takes_s", "again_s") and isinstance(value, float):
        yield label, duration(value) if value else ""
    else:
        yield label, in_words(value)


def _line(line: PackLine) -> str:
    shown = [f"{label} {text}" for label, text in rows_of(line) if label != "item"]
    return ", ".join(shown)


def in_words(value: object) -> str:
    """A field's value as text: conditions in words, lists with semicolons, numbers short."""
    if isinstance(value, Condition):
        return value.words()
    if isinstance(value, StandIn):
        return f"{value.item}: {value.how}"
    if isinstance(value, bool):
        return "yes" if value else ""
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, dict):
        return "; ".join(f"{in_words(key)}: {str(part).lower() if isinstance(part, bool) else in_words(part)}"
                         for key, part in value.items())
    return "; ".join(map(in_words, value)) if isinstance(value, tuple) else str(value)


def duration(seconds: float) -> str:
    """Seconds as the knowledge writes a time: `2 min`, `6 h`, `1 day`."""
    for unit, size in (("day", 86400), ("h", 3600), ("min", 60)):
        if seconds >= size and seconds % size == 0:
            return f"{seconds / size:g} {unit}{'s' if unit == 'day' and seconds > size else ''}"
    return f"{seconds:g} s"


def _sources(record: Record) -> Iterator[tuple[str, str]]:
    """Each source with the part of the record that rests on it; the whole has no name."""
    if isinstance(record, Pack):
        yield from ((line.item, source) for line in record.items.values() for source in line.sources)
    elif isinstance(record, Dispute):
        yield from ((side.id, source) for side in record.positions for source in side.sources)
    else:
        yield from (("", source) for source in record.sources)
