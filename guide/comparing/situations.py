"""Two situations as values: their next steps, what they lack, their stores and figures, and how all that differs."""
from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from guide.computing import Computing
from guide.knowledge.records import Value
from guide.planning.differing import Difference, Lack, differ, lacks
from guide.planning.items import View
from guide.planning.planner import NextStep, plan
from guide.state.facts import supposing
from guide.stores.packs import KJ_PER_KCAL

SHOWN = 9


@dataclass(frozen=True, slots=True)
class Situation:
    """What is known, and what follows from it."""

    view: View
    next: tuple[NextStep, ...]
    lacking: tuple[Lack, ...]
    figures: Mapping[str, Mapping[str, object]]
    """The name of a figure, or its id, → its result."""


@dataclass(frozen=True, slots=True)
class Stock:
    """How much of an item each situation has: a number in `unit`, True (there, not counted) or None (not known)."""

    item: str
    one: float | bool | None
    two: float | bool | None
    unit: str


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two situations and how the second differs."""

    one: Situation
    two: Situation
    supposed: Mapping[str, Value]
    difference: Difference
    stores: tuple[Stock, ...]
    """Every item of which the amount or the presence is known in one of them."""
    figures: tuple[str, ...]
    """The figures that both can compute."""


def compare(view: View, supposed: Mapping[str, Value], now_at: str) -> Comparison:
    """The situation of `view` and the same with the facts `supposed`, at the ISO time `now_at`; nothing is changed."""
    other = View(view.knowledge, supposing(view.state, supposed), view.positions)
    one, two = _situation(view, now_at), _situation(other, now_at)
    return Comparison(one, two, supposed, differ(one.next, two.next), _stores(view, other),
                      tuple(name for name in one.figures if name in two.figures))


def _situation(view: View, now_at: str) -> Situation:
    computing = Computing(view.knowledge)
    topics = dict.fromkeys(computed.topic for computed in view.knowledge.computed)
    figures = {str(figure.get("name") or figure["id"]): figure for topic in topics
               for figure in computing.of(computing.question(topic, "", now_at), view, {}, now_at).figures}
    return Situation(view, tuple(plan(view, now_at, SHOWN)), lacks(view), figures)


def _stores(one: View, two: View) -> tuple[Stock, ...]:
    equipment = one.knowledge.equipment
    listed = [item for pack in one.knowledge.packs.values() for item in pack.items if item in equipment]
    counted = {equipment[item].amount or item: item for item in reversed([*listed, *equipment])}  # items that share a count stand once
    items = [item for item in dict.fromkeys([*listed, *equipment]) if counted[equipment[item].amount or item] == item]
    rows = (Stock(item, _amount(one, item), _amount(two, item), _unit(one, item)) for item in items if not equipment[item].always)
    return tuple(row for row in rows if row.one is not None or row.two is not None)


def _amount(view: View, item: str) -> float | bool | None:
    """What was counted; else what the pack holds for the persons the raft is approved for, or aboard."""
    counted = view.state.value(view.knowledge.equipment[item].amount)
    if isinstance(counted, (int, float)) and not isinstance(counted, bool):
        return counted
    has = view.has(item)
    if not has:
        return 0.0 if has is False else None
    pack = view.knowledge.packs.get(str(view.lookup("pack")))
    persons = view.lookup("raft_capacity") or view.lookup("persons")
    line = pack.items.get(item) if pack is not None else None
    if line is None or not isinstance(persons, (int, float)):
        return True
    unit, number = _unit(view, item), line.number(int(persons))
    if (line.unit, unit) == ("kJ", "kcal"):
        return round(number / KJ_PER_KCAL)
    return number if line.unit == unit else True


def _unit(view: View, item: str) -> str:
    """The unit in which an item is counted: of its fact, else of the first pack line."""
    fact = view.knowledge.facts.get(view.knowledge.equipment[item].amount)
    if fact is not None:
        return "" if fact.unit == "items" else fact.unit
    return next((pack.items[item].unit for pack in view.knowledge.packs.values() if item in pack.items), "")
