"""Points of a drill, from what was watched: a pure function, so that the same log gives the same score."""
from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from guide.drills.records import Expectation, HarmDone, Moment, Result, Scenario, Score
from guide.drills.watching import Watch

FIRST = 3
"""As many jobs as the guide shows as next."""


class Ordered(NamedTuple):
    """Jobs that one act settled, and the whole plan as it stood just before."""

    steps: tuple[str, ...]
    plan: tuple[str, ...]


def results(watch: Watch, ended_s: float) -> tuple[Result, ...]:
    """How each expectation was met."""
    done = {name: mark.t_s for name, mark in watch.met.items()}
    return tuple(_result(watch.scenario, one, watch.opened.get(one.id), done, ended_s) for one in watch.scenario.expect)


def _result(scenario: Scenario, one: Expectation, opened: float | None, done: Mapping[str, float], ended_s: float) -> Result:
    """Nothing counts whose window never opened, or was still open when the drill ended."""
    if opened is None:
        return Result(one, None, None, None, in_time=False, in_order=False, points=0.0, of=0.0)
    due, at = opened + one.within_s, done.get(one.id)
    in_time = at is not None and at <= due
    in_order = at is not None and all(name in done and done[name] <= at for name in one.after)
    share = 0.0 if at is None else (1.0 if in_time else scenario.weights.late) * (1.0 if in_order else scenario.weights.unordered)
    counts = at is not None or due <= ended_s
    return Result(one, opened, due, at, in_time, in_order, one.weight * share, one.weight if counts else 0.0)


def harms(watch: Watch) -> tuple[HarmDone, ...]:
    """Each harm that was done; it costs its points once."""
    return tuple(HarmDone(harm, tuple(mark.t_s for mark in watch.harms[harm.id]), harm.weight)
                 for harm in watch.scenario.harmful if harm.id in watch.harms)


def score(scenario: Scenario, moments: Sequence[Moment], orders: Sequence[Ordered], met: Sequence[Result], harmed: Sequence[HarmDone],
          help_level: str) -> Score:
    """What it comes to. Advice costs points only where it is given on request.

    A job is as planned where the plan had fewer than three jobs before it that this crew did later: three people can start.
    What was never done is missed, and does not count against the order of the rest.
    """
    jobs = [step for order in orders for step in order.steps]
    as_planned = sum(_early(step, order, set(jobs)) for order in orders for step in order.steps)
    asked = sum(moment.asked for moment in moments)
    counted = sum(one.of > 0 for one in met)
    order = scenario.weights.order * as_planned / max(len(jobs), counted) if jobs else 0.0  # one job alone is no order
    of = sum(one.of for one in met) + scenario.weights.order
    helped = scenario.weights.help * asked if help_level == "asked" else 0.0
    return Score(sum(one.points for one in met), order, sum(one.points for one in harmed), helped, of, len(jobs), as_planned, asked)


def _early(step: str, order: Ordered, done: set[str]) -> bool:
    before = order.plan[:order.plan.index(step)]
    return sum(name in done and name not in order.steps for name in before) < FIRST
