"""What comes next, and why: a pure function of knowledge and state.

Order: emergencies, a fleeting chance of being seen, the first actions, then the rest, of which what is urgent (due again,
or made so by conditions) goes first; within each by priority, then by how urgent it is, then in the order of the topics.
Of the rest the shorter job goes first. Whatever has to come before comes before.
"""
from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from guide.knowledge.records import BANDS, Step
from guide.planning.items import View
from guide.planning.readiness import absent, allowed, done, due_words, hindrance, lacking, ready, urgency
from guide.planning.reasons import Reason, headline, item_reason, missing_words, standing, support

__all__ = ["ADVICE_LIMIT", "SHOWN", "NextStep", "Reason", "answer", "compare", "open_reason", "plan"]

ADVICE_LIMIT = 9
SHOWN = 3
URGENT = ("emergency", "chance")


@dataclass(frozen=True, slots=True)
class NextStep:
    """A step that the crew can do now."""

    step: Step
    reason: Reason
    line: str
    """The reason in one line."""


@dataclass(frozen=True, slots=True)
class _Open:
    """A step that can be done now, the first of those it stands in for, and the open steps of its band to do before it."""

    step: Step
    instead_of: Step | None
    before: tuple[str, ...]


def plan(view: View, now_at: str, limit: int | None = SHOWN) -> list[NextStep]:
    """The open steps, most urgent first; `now_at` is the ISO time by which returning steps are due."""
    return [_explained(view, item, ahead, now_at) for ahead, item in enumerate(_ordered(view, now_at)[:limit])]


def open_reason(view: View, step: Step, now_at: str = "") -> Reason:
    """Why a step is, or is not, next. Without `now_at` (ISO) the time of the last event counts."""
    now_at = now_at or view.state.at
    if step.band == "note":
        return Reason("blocked", "it answers a question and is no job", (Reason("rule", step.why),))
    hindered = hindrance(view, step, now_at)
    if hindered is not None:
        return Reason("blocked", "not now", (hindered,))
    if lacking(view, step):
        return _lacking_reason(view, step, now_at)
    items = _ordered(view, now_at)
    ahead = next(n for n, item in enumerate(items) if item.step.id == step.id)
    found = _explained(view, items[ahead], ahead, now_at).reason
    if ahead < SHOWN:
        return found
    first = tuple(Reason("rule", item.step.say) for item in items[:SHOWN])
    return Reason("rule", f"it can be done now, but {ahead} others go first", (*first, found))


def answer(view: View, step_ids: Iterable[str], skip_done: bool = False) -> tuple[list[Step], list[str]]:
    """At most nine steps to show as advice, and one sentence for each item missing without a stand-in.

    Left out: what must not be done now, the side not taken in a dispute, and what lacks an item;
    with `skip_done` what is done as well, unless it returns.
    """
    shown: dict[str, Step] = {}
    missing: dict[str, None] = {}
    for name in step_ids:
        step = view.knowledge.steps[name]
        if not view.chosen(step.dispute) or (skip_done and not step.again_s and done(view, step)):
            continue
        usable = _usable(view, step)
        if usable is not None:
            shown.setdefault(usable.id, usable)
        else:
            missing.update(dict.fromkeys(missing_words(view, item) for item in absent(view, step)))
    return list(shown.values())[:ADVICE_LIMIT], list(missing)


def compare(before: Sequence[NextStep], after: Sequence[NextStep]) -> dict[str, object]:
    """How one plan differs from an earlier one, by step ids."""
    old, new = [item.step.id for item in before], [item.step.id for item in after]
    return {"added": [name for name in new if name not in old], "dropped": [name for name in old if name not in new],
            "first": new[0] if new else None}


def _stand_ins(view: View, step: Step) -> Iterator[Step]:
    """The step, then what stands in for it while each one lacks an item."""
    seen: set[str] = set()
    while step.id not in seen:
        yield step
        seen.add(step.id)
        if lacking(view, step) and step.instead in view.knowledge.steps:
            step = view.knowledge.steps[step.instead]


def _usable(view: View, step: Step) -> Step | None:
    """The step as advice, or what stands in for it where it lacks an item; None where nothing does."""
    if not allowed(view, step):
        return None
    return next((s for s in _stand_ins(view, step) if allowed(view, s) and not lacking(view, s)), None)


def _possible(view: View, step: Step, now_at: str) -> Step | None:
    """The step to do: itself, or the first stand-in that is a job, is ready and lacks nothing."""
    for candidate in _stand_ins(view, step):
        if candidate.band == "note" or not ready(view, candidate, now_at):
            return None
        if not lacking(view, candidate):
            return candidate
    return None


def _open(view: View, now_at: str) -> dict[str, _Open]:
    steps = view.knowledge.steps
    doing = {step.id: found for step in view.knowledge.jobs if (found := _possible(view, step, now_at)) is not None}
    originals: dict[str, Step] = {}
    for name, step in doing.items():
        if name != step.id:
            originals.setdefault(step.id, steps[name])
    items = {}
    for step in doing.values():
        original = originals.get(step.id)
        after = (*step.after, *(original.after if original is not None else ()))
        before = tuple(doing[name].id for name in after if name in doing and doing[name].id != step.id and doing[name].band == step.band)
        items[step.id] = _Open(step, original, before)
    return items


def _ordered(view: View, now_at: str) -> list[_Open]:
    items = _open(view, now_at)

    def order(item: _Open) -> tuple[int, bool, int, int, float, int]:
        step = item.step
        rank, place = view.knowledge.places[step.id]
        pressing = urgency(view, step, now_at)
        waits = step.band == "ordered"
        return BANDS.index(step.band), waits and not pressing, rank, -pressing, step.takes_s if waits else 0.0, place

    return _spread(list(_dependent(sorted(items.values(), key=order), items)))


def _dependent(ranked: Sequence[_Open], items: Mapping[str, _Open]) -> Iterator[_Open]:
    """The same steps, each behind those that have to come before it."""
    seen: set[str] = set()

    def emit(item: _Open) -> Iterator[_Open]:
        if item.step.id in seen:
            return
        seen.add(item.step.id)
        for name in item.before:
            yield from emit(items[name])
        yield item

    for item in ranked:
        yield from emit(item)


def _spread(items: list[_Open]) -> list[_Open]:
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


def _explained(view: View, item: _Open, ahead: int, now_at: str) -> NextStep:
    step = item.step
    parts = [headline(view, step)]
    if item.instead_of is not None:
        parts = [missing_words(view, name).rstrip(".") + ": this stands in" for name in lacking(view, item.instead_of)]
    line = "; ".join(part for part in (*parts, due_words(view, step, now_at), standing(step, ahead)) if part)
    instead = () if item.instead_of is None else tuple(item_reason(view, n) for n in lacking(view, item.instead_of))
    return NextStep(step, Reason("rule", line, (*instead, *support(view, step))), line)


def _lacking_reason(view: View, step: Step, now_at: str) -> Reason:
    found = tuple(item_reason(view, item) for item in lacking(view, step))
    stand_in = _possible(view, step, now_at)
    words = "nothing stands in for it" if stand_in is None else f"instead: {stand_in.say}"
    return Reason("blocked", "something it needs is missing", (*found, Reason("rule", words)))
