"""Why one step stands before another: the first thing in which their ranks differ, with facts, rules and sources of both."""
from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from guide.knowledge.records import Step
from guide.planning.items import View
from guide.planning.ordering import URGENT, Open, ordered, possible
from guide.planning.planner import open_reason
from guide.planning.readiness import due_words, span
from guide.planning.reasons import Reason, holding, standing, support


def why_before(view: View, one: Step, two: Step, now_at: str) -> Reason:
    """Why `one` stands before `two` at the ISO time `now_at`, or that it is the other way round.

    A step that cannot be done now has no place in the order: then that is said, with what keeps it.
    """
    items = {item.step.id: item for item in ordered(view, now_at)}
    doing = [possible(view, step, now_at) for step in (one, two)]
    closed = [step for step, found in zip((one, two), doing, strict=True) if found is None]
    if closed:
        return Reason("blocked", "they stand in no order now", tuple(_closed(view, step, now_at) for step in closed))
    asked = [items[found.id] for found in doing if found is not None]
    places = list(items)
    first, second = sorted(asked, key=lambda item: places.index(item.step.id))
    if first is second:
        return Reason("rule", "both are done by the same job", (_told(view, first, now_at),))
    words = _grounds(view, list(items.values()), first, second)
    if first is not asked[0]:
        words = f"it is the other way round: {words}"
    return Reason("rule", words, (_told(view, first, now_at), _told(view, second, now_at)))


def behind_first(view: View, step: Step, now_at: str) -> str:
    """What puts the first step of the plan before this one, in words; empty where it is the first itself, or not to be done now."""
    items = ordered(view, now_at)
    found = next((item for item in items if item.step.id == step.id), None)
    if found is None or found is items[0]:
        return ""
    return f'"{items[0].step.say.split(". ")[0].rstrip(".")}" goes before it: {_grounds(view, items, items[0], found)}'


def _closed(view: View, step: Step, now_at: str) -> Reason:
    return Reason("blocked", f'"{step.say}"', (open_reason(view, step, now_at),))


def _told(view: View, item: Open, now_at: str) -> Reason:
    """A step with what presses it and what it rests on."""
    pressing = tuple(holding(view, condition) for condition in item.step.sooner_when if view.holds(condition))
    due = due_words(view, item.step, now_at)
    return Reason("rule", f'"{item.step.say}"', (*pressing, *([Reason("said", due)] if due else []), *support(view, item.step)))


def _grounds(view: View, items: Sequence[Open], first: Open, second: Open) -> str:
    """What puts the first before the second, in words."""
    by_id = {item.step.id: item for item in items}
    if first.step.id in _needed(second, by_id):
        return "the first has to come before the second"
    if first.rank > second.rank:
        pulled = next((item for item in items if item.rank < second.rank and first.step.id in _needed(item, by_id)), None)
        if pulled is not None:
            return f'the first has to come before "{pulled.step.say}", which goes before the second'
        return "three different jobs stand in front, so that three people can start"
    return _difference(view, first, second)


def _difference(view: View, first: Open, second: Open) -> str:
    one, two = first.rank, second.rank
    titles = [view.knowledge.priorities[item.step.priority].title if item.step.priority in view.knowledge.priorities else item.step.priority
              for item in (first, second)]
    if one.band != two.band:
        return standing(first.step, 1) if first.step.band in URGENT else "the first is one of the first actions, the second is not"
    if one.waits != two.waits:
        return "the first is pressing now, and the second can wait"
    if one.priority != two.priority:
        return f"{titles[0]} goes before {titles[1]}"
    if one.urgency != two.urgency:
        return "more speaks for haste in the first"
    if one.takes_s != two.takes_s:
        return f"both can wait alike, and the first is the shorter: {span(one.takes_s)} against {span(two.takes_s)}"
    return "they rank alike, and the plan lists them in this order"


def _needed(item: Open, items: Mapping[str, Open]) -> frozenset[str]:
    """All that has to come before a step, and before that."""
    found: set[str] = set()

    def gather(one: Open) -> Iterator[str]:
        for name in one.before:
            if name not in found:
                found.add(name)
                yield name
                yield from gather(items[name])

    return frozenset(gather(item))
