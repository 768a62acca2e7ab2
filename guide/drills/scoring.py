"""Points of a drill, from what was watched: a pure function, so that the same log gives the same score."""
from __future__ import annotations

from collections.abc import Mapping, Sequence

from guide.drills.records import Expectation, HarmDone, Moment, Result, Scenario, Score
from guide.drills.watching import Watch

FIRST = 3
"""As many steps as the guide shows as next."""


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


def score(scenario: Scenario, moments: Sequence[Moment], met: Sequence[Result], harmed: Sequence[HarmDone], help_level: str) -> Score:
    """What it comes to. Advice costs points only where it is given on request."""
    jobs = [(step, [shown.step for shown in moment.next]) for moment in moments for step in moment.steps]
    as_planned = sum(step in first for step, first in jobs)
    asked = sum(moment.asked for moment in moments)
    order = scenario.weights.order * as_planned / len(jobs) if jobs else 0.0
    of = sum(one.of for one in met) + scenario.weights.order
    helped = scenario.weights.help * asked if help_level == "asked" else 0.0
    return Score(sum(one.points for one in met), order, sum(one.points for one in harmed), helped, of, len(jobs), as_planned, asked)
