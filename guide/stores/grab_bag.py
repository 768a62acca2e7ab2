"""What a grab bag adds to a pack so that every priority is covered for a time: how much, how heavy, what first."""
from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from guide.figures import catalogue
from guide.knowledge.base import Knowledge
from guide.knowledge.problems import did_you_mean
from guide.knowledge.records import BagItem, Pack, Priority
from guide.stores.packs import KJ_PER_KCAL, StoresError, shown

CARRIED_KG = 10.0
"""What one person can grab and throw; common practice."""


@dataclass(frozen=True, slots=True)
class Voyage:
    """What the bag is for. `miles` are nautical, from the coast; `days` count from leaving the ship."""

    pack: Pack
    persons: int
    miles: float
    water: str
    """cold or warm."""
    days: float
    needs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class BagLine:
    """So many pieces of an item."""

    item: BagItem
    name: str
    priority: Priority
    number: int

    @property
    def weight_kg(self) -> float:
        """Of all pieces."""
        return self.number * self.item.weight_kg

    @property
    def volume_l(self) -> float:
        """Of all pieces."""
        return self.number * self.item.volume_l


def check_needs(knowledge: Knowledge, needs: Sequence[str]) -> tuple[str, ...]:
    """The needs, each once. Raises StoresError for one this guide does not know."""
    known = [item.need for item in knowledge.stores.bag.values() if item.need]
    for need in needs:
        if need not in known:
            raise StoresError(f'unknown need "{shown(need)}"; the needs are {", ".join(known)}{did_you_mean(need, known)}')
    return tuple(dict.fromkeys(needs))


def bag(knowledge: Knowledge, voyage: Voyage) -> list[BagLine]:
    """What to add to the pack, what is worth its weight first: by worth, and the lighter before the heavier."""
    lines = []
    for item in knowledge.stores.bag.values():
        number = _pieces(item, voyage) if _asked_for(item, voyage) else 0
        if number:
            priority = knowledge.priorities[knowledge.stores.serves[item.id].priority]
            lines.append(BagLine(item, knowledge.equipment[item.id].name, priority, number))
    return sorted(lines, key=lambda line: (line.item.worth, line.weight_kg))


def _asked_for(item: BagItem, voyage: Voyage) -> bool:
    return (item.water in ("any", voyage.water) and voyage.miles > item.beyond and voyage.days >= item.days
            and (not item.need or item.need in voyage.needs))


def _pieces(item: BagItem, voyage: Voyage) -> int:
    """What is wanted in all, less what the pack holds."""
    if item.figure:
        return _fewest(lambda pieces: _lasts(item, voyage, pieces), _most(item, voyage))
    wanted = item.each * voyage.persons if item.each else item.pieces
    for miles in sorted(item.farther):
        if voyage.miles >= miles:
            wanted = item.farther[miles]
    line = voyage.pack.items.get(item.id)
    held = line.number(voyage.persons) if line is not None else 0.0
    return max(0, math.ceil(wanted - held))


def _fewest(enough: Callable[[int], bool], most: int) -> int:
    """The least whole number up to `most` that is enough; what is enough stays so with more."""
    low, high = 0, most
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if enough(middle) else (middle + 1, high)
    return high


def _most(item: BagItem, voyage: Voyage) -> int:
    """As many pieces as the figure takes on top of the pack."""
    stock = next(wanted for wanted in catalogue.find(item.figure).inputs if wanted.name.startswith("stock_"))
    held = held_water(voyage) if item.figure == "water_days" else held_food(voyage)
    return int((stock.high - held) / item.size)


def _lasts(item: BagItem, voyage: Voyage, pieces: int) -> bool:
    """Whether the pack and so many pieces last, as the figure has it. Water is drunk, and food eaten, from day one."""
    result = catalogue.compute(item.figure, stock_inputs(item, voyage, pieces))
    return result.value >= voyage.days - 1e-9


def stock_inputs(item: BagItem, voyage: Voyage, pieces: int) -> dict[str, object]:
    """The inputs of the item's figure for the pack and so many pieces."""
    a_day = item.a_day[voyage.water]
    if item.figure == "water_days":
        stock = held_water(voyage) + pieces * item.size
        return {"persons": voyage.persons, "stock_l": stock, "ration_l": a_day, "first_day_l": a_day}
    return {"persons": voyage.persons, "stock_kcal": held_food(voyage) + pieces * item.size, "kcal_each_per_day": a_day}


def held_water(voyage: Voyage) -> float:
    """Litres in the pack."""
    line = voyage.pack.items.get("drinking_water")
    return line.number(voyage.persons) if line is not None else 0.0


def held_food(voyage: Voyage) -> float:
    """Kilocalories in the pack."""
    line = voyage.pack.items.get("food_ration")
    return float(round(line.number(voyage.persons) / KJ_PER_KCAL)) if line is not None else 0.0


def figure_lines(knowledge: Knowledge, voyage: Voyage, lines: Sequence[BagLine]) -> list[str]:
    """What water, food and signals come to with pack and bag together, as the figures say it."""
    numbers = {line.item.id: line.number for line in lines}
    said = []
    for item in knowledge.stores.bag.values():
        if item.figure:
            said.append(catalogue.compute(item.figure, stock_inputs(item, voyage, numbers.get(item.id, 0))).sentence)
    signals: dict[str, object] = {}
    for name, item_id in (("rockets", "rocket_flare"), ("hand_flares", "hand_flare"), ("smokes", "smoke_signal")):
        line = voyage.pack.items.get(item_id)
        signals[name] = numbers.get(item_id, 0) + (int(line.number(voyage.persons)) if line is not None else 0)
    burns = catalogue.compute("signal_burn_time", signals)
    return [*said, f"Rockets {signals['rockets']}, hand flares {signals['hand_flares']}, smokes {signals['smokes']}. {burns.sentence}"]


@dataclass(frozen=True, slots=True)
class Cover:
    """What serves a priority: names of what the pack holds, and of what the bag adds."""

    priority: Priority
    packed: tuple[str, ...]
    added: tuple[str, ...]


def coverage(knowledge: Knowledge, voyage: Voyage, lines: Sequence[BagLine]) -> list[Cover]:
    """Each priority and what covers it."""
    covers = []
    for priority in knowledge.priorities.values():
        packed = tuple(knowledge.equipment[item].name for item in voyage.pack.items
                       if knowledge.stores.serves[item].priority == priority.id)
        covers.append(Cover(priority, packed, tuple(line.name for line in lines if line.priority == priority)))
    return covers


def as_json(knowledge: Knowledge, voyage: Voyage, lines: Sequence[BagLine]) -> dict[str, object]:
    """The bag as plain data."""
    return {"pack": voyage.pack.id, "persons": voyage.persons, "miles": voyage.miles, "water": voyage.water,
            "days": voyage.days, "needs": list(voyage.needs),
            "add": [{"item": line.item.id, "name": line.name, "number": line.number, "unit": line.item.unit,
                     "worth": line.item.worth, "priority": line.priority.id, "weight_kg": round(line.weight_kg, 2),
                     "volume_l": round(line.volume_l, 2), "why": line.item.why,
                     "sources": [knowledge.cite(source) for source in line.item.sources]} for line in lines],
            "weight_kg": round(sum(line.weight_kg for line in lines), 1),
            "volume_l": round(sum(line.volume_l for line in lines), 1),
            "figures": figure_lines(knowledge, voyage, lines),
            "covered": {c.priority.id: {"pack": list(c.packed), "bag": list(c.added)} for c in coverage(knowledge, voyage, lines)}}
