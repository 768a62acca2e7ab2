"""What a crew knows when a drill begins: place, weather and light, how many they are, and what the pack holds."""
from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from guide.drills.records import Setting
from guide.knowledge.base import Knowledge
from guide.knowledge.records import Value
from guide.stores.packs import KJ_PER_KCAL

TELLS: Mapping[str, str] = MappingProxyType({
    "wind_kn": "wind_speed", "air_c": "air_temperature", "sea_c": "sea_temperature", "wave_m": "wave_height",
    "latitude": "latitude", "longitude": "longitude"})
"""Number of a setting → the fact that the crew knows by it."""


def facts_at_start(setting: Setting, knowledge: Knowledge, *, dark: bool) -> dict[str, Value]:
    """The facts that hold before anything is typed; what the scenario gives goes before what pack and numbers tell."""
    facts: dict[str, Value] = {"pack": setting.pack, "persons": setting.persons, "raft_capacity": setting.rated}
    facts |= {fact: setting.numbers[name] for name, fact in TELLS.items()}
    facts |= {"night": dark, "raining": setting.numbers["rain_mm_h"] > 0}
    return {**facts, **_packed(setting, knowledge), **setting.given}


def _packed(setting: Setting, knowledge: Knowledge) -> dict[str, Value]:
    """The amounts in the pack of a raft for so many, in the units of their facts.

    Pieces that the pack does not hold are none. Water and food are not known then: people bring their own.
    """
    counted = {item.amount for item in knowledge.equipment.values() if item.amount}
    amounts: dict[str, Value] = {name: 0 for name in sorted(counted) if knowledge.facts[name].type == "int"}
    pack = knowledge.packs.get(setting.pack)
    for line in pack.items.values() if pack else ():
        fact = knowledge.facts.get(knowledge.equipment[line.item].amount)
        if fact is not None:
            number = line.number(setting.rated) / (KJ_PER_KCAL if fact.unit == "kcal" else 1)
            amounts[fact.id] = int(number) if fact.type == "int" else round(number, 1)
    return amounts
