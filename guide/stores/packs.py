"""The list of a pack for a rated number of persons, grouped by the priority that each item serves."""
from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from guide.knowledge.base import Knowledge
from guide.knowledge.problems import did_you_mean
from guide.knowledge.records import Equipment, Pack, PackLine, Priority
from guide.safe import safe

KJ_PER_KCAL = 4.184
"""The thermochemical calorie."""


class StoresError(ValueError):
    """A call that cannot be carried out: one line that names what is wrong and what is allowed."""


@dataclass(frozen=True, slots=True)
class Held:
    """An item, and how much of it each pack holds (in the pack line's unit; 0 none)."""

    item: Equipment
    numbers: tuple[float, ...]
    lines: tuple[PackLine | None, ...]

    @property
    def notes(self) -> tuple[str, ...]:
        """What the lists say besides, each once."""
        return tuple(dict.fromkeys(line.note for line in self.lines if line is not None and line.note))


@dataclass(frozen=True, slots=True)
class Group:
    """The items that serve one priority."""

    priority: Priority
    held: tuple[Held, ...]


def find_pack(knowledge: Knowledge, kind: str) -> Pack:
    """The pack by id, by name or by what stands on the container. Raises StoresError with the nearest kind."""
    names: dict[str, Pack] = {}
    for pack in knowledge.packs.values():
        for name in (pack.id, pack.id.removeprefix("solas_"), _key(pack.name), _key(pack.marked)):
            names.setdefault(name, pack)
    found = names.get(_key(kind)) or names.get(kind)
    if found is None:
        hint = did_you_mean(_key(kind), knowledge.packs)
        raise StoresError(f'there is no pack "{shown(kind)}"; the kinds are {", ".join(knowledge.packs)}{hint}')
    return found


def _key(kind: str) -> str:
    words = re.findall(r"[a-z0-9]+", kind.lower())
    return "_".join(word for word in words if word != "pack")


def shown(text: str) -> str:
    """Typed text short enough and safe to print on one line."""
    plain = safe(text).replace("\n", "?")
    return plain if len(plain) <= 40 else plain[:40] + "..."


def groups(knowledge: Knowledge, packs: Sequence[Pack], persons: int) -> list[Group]:
    """All that any of the packs holds for a raft rated for `persons`, by priority and then in the order of the lists."""
    items = dict.fromkeys(item for pack in packs for item in pack.items)
    found = []
    for priority in knowledge.priorities.values():
        served = [item for item in items if knowledge.stores.serves[item].priority == priority.id]
        if served:
            found.append(Group(priority, tuple(_held(knowledge, item, packs, persons) for item in served)))
    return found


def _held(knowledge: Knowledge, item: str, packs: Iterable[Pack], persons: int) -> Held:
    lines = tuple(pack.items.get(item) for pack in packs)
    numbers = tuple(0.0 if line is None else line.number(persons) for line in lines)
    return Held(knowledge.equipment[item], numbers, lines)


def not_held(knowledge: Knowledge, pack: Pack) -> list[Equipment]:
    """What other packs hold and this one does not, in the order of their lists."""
    others = dict.fromkeys(item for other in knowledge.packs.values() for item in other.items)
    return [knowledge.equipment[item] for item in others if item not in pack.items]


def amount(number: float, unit: str) -> str:
    """A number with its unit as a person reads it: `4`, `1 set`, `9 L`, `60,000 kJ`, `1 two-day supply`."""
    written = f"{number:,.2f}".rstrip("0").rstrip(".") if "." in f"{number:,.2f}" else f"{number:,}"
    if number == 1 and unit.endswith("supplies"):
        unit = unit.removesuffix("ies") + "y"
    plural = "s" if unit == "set" and number != 1 else ""
    return f"{written} {unit}{plural}".strip()


def as_json(knowledge: Knowledge, packs: Sequence[Pack], persons: int) -> dict[str, object]:
    """The lists as plain data, one object for each pack."""
    return {"persons": persons, "packs": [
        {"pack": pack.id, "name": pack.name, "marked": pack.marked, "waters": pack.waters, "lacks": pack.lacks,
         "items": [_json_line(knowledge, group.priority.id, held) for group in groups(knowledge, [pack], persons)
                   for held in group.held],
         "not_held": [item.id for item in not_held(knowledge, pack)]} for pack in packs]}


def _json_line(knowledge: Knowledge, priority: str, held: Held) -> dict[str, object]:
    line = held.lines[0]
    sources = [] if line is None else [knowledge.cite(source) for source in line.sources]
    unit = "" if line is None else line.unit
    return {"item": held.item.id, "name": held.item.name, "number": held.numbers[0], "unit": unit, "priority": priority,
            "for": held.item.what, "note": "; ".join(held.notes), "sources": sources}
