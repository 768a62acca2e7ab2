"""The order of the open steps.

Emergencies, a fleeting chance of being seen, the first actions, then the rest, of which what is urgent (due again, or made
so by conditions) goes first; within each by priority, then by how urgent it is, then in the order of the topics. Of the rest
the shorter job goes first. Whatever has to come before comes before.
"""
from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from guide.knowledge.records import BANDS, Step
from guide.planning.items import View
from guide.planning.readiness import lacking, ready, urgency

SHOWN = 3
URGENT = ("emergency", "chance")


class Rank(NamedTuple):
    """What puts a step before another: the first of these that differs, the lower one first."""

    band: int
    waits: bool
    """It is of the rest, and nothing presses it."""
    priority: int
    urgency: int
    """Points, negative so that more go first."""
    takes_s: float
    """Only of the rest."""
    place: int


class Open(NamedTuple):
    """A step that can be done now, the first of those it stands in for, and the open steps of its band to do before it."""

    step: Step
    instead_of: Step | None
    before: tuple[str, ...]
    rank: Rank


def stand_ins(view: View, step: Step) -> Iterator[Step]:
    """The step, then what stands in for it while each one lacks an item."""
    seen: set[str] = set()
    while step.id not in seen:
        yield step
        seen.add(step.id)
        if lacking(view, step) and step.instead in view.knowledge.steps:
            step = view.knowledge.steps[step.instead]


def possible(view: View, step: Step, now_at: str) -> Step | None:
    """The step to do: itself, or the first stand-in that is a job, is ready and lacks nothing."""
    for candidate in stand_ins(view, step):
        if candidate.band == "note" or not ready(view, candidate, now_at):
            return None
        if not lacking(view, candidate):
            return candidate
    return None


def _open(view: View, now_at: str) -> dict[str, Open]:
    steps = view.knowledge.steps
    doing = {step.id: found for step in view.called() if (found := possible(view, step, now_at)) is not None}
    originals: dict[str, Step] = {}
    for name, step in doing.items():
        if name != step.id:
            originals.setdefault(step.id, steps[name])
    items = {}
    for step in doing.values():
        original = originals.get(step.id)
        after = (*step.after, *(original.after if original is not None else ()))
        before = tuple(doing[name].id for name in after if name in doing and doing[name].id != step.id and doing[name].band == step.band)
        items[step.id] = Open(step, original, before, _rank(view, step, now_at))
    return items


def ordered(view: View, now_at: str) -> list[Open]:
    """The open steps in their order, by the ISO time `now_at`."""
    items = _open(view, now_at)
    return _spread(list(_dependent(sorted(items.values(), key=lambda item: item.rank), items)))


def _rank(view: View, step: Step, now_at: str) -> Rank:
    priority, place = view.knowledge.places[step.id]
    points = urgency(view, step, now_at)
    waits = step.band == "ordered"
    return Rank(BANDS.index(step.band), waits and not points, priority, -points, step.takes_s if waits else 0.0, place)


def _dependent(ranked: Sequence[Open], items: Mapping[str, Open]) -> Iterator[Open]:
    """The same steps, each behind those that have to come before it."""
    seen: set[str] = set()

    def emit(item: Open) -> Iterator[Open]:
        if item.step.id in seen:
            return
        seen.add(item.step.id)
        for name in item.before:
            yield from emit(items[name])
        yield item

    for item in ranked:
        yield from emit(item)


def _spread(items: list[Open]) -> list[Open]:
    """Three different jobs in front, so that three people can start; what is urgent keeps its order."""
    front = [item for item in items if item.step.band in URGENT]
    rest = items[len(front):]
    while len(front) < SHOWN:
        topics = {item.step.topic for item in front}
        waiting = {item.step.id for item in rest}
        new = next((i for i in rest if i.step.topic not in topics and not waiting.intersection(i.before)), None)
        if new is None:
            break
        front.append(new)
        rest.remove(new)
    return front + rest
