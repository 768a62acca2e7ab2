"""Many drills together, a class or a season: what is missed most, how long it takes, whether it gets better."""
from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from statistics import median

from guide.debriefs.debrief import Debrief, Judged
from guide.debriefs.drawing import moment_words, rising, time_words

VERSION = 1
"""Of the JSON."""
_MOST_MISSED = 10


@dataclass(frozen=True, slots=True)
class Run:
    """One drill of the season."""

    file: str
    started: str
    crew: tuple[str, ...]
    percent: float
    missed: int
    harms: int
    lasted_s: float

    @property
    def begun_words(self) -> str:
        """`2026-11-20 10:00 UTC`."""
        return moment_words(self.started)


@dataclass(frozen=True, slots=True)
class StepTally:
    """One expectation over all runs of its scenario in which its moment came."""

    id: str
    label: str
    drill: str
    """The scenario's title."""
    counted: int
    missed: int
    late: int
    """Late, or before what it comes after."""
    median_s: float | None
    """From the opening of its window to the deed, over the runs in which it was done."""
    best_s: float | None

    @property
    def missed_words(self) -> str:
        """`missed 2 of 5, 1 late or out of order`."""
        late = f", {self.late} late or out of order" if self.late else ""
        return f"missed {self.missed} of {self.counted}{late}"

    @property
    def times_words(self) -> str:
        """`median 3 min, best 1 min`, or that it was never done."""
        if self.median_s is None or self.best_s is None:
            return "never done"
        return f"median {time_words(self.median_s)}, best {time_words(self.best_s)}"

    @property
    def missed_percent(self) -> float:
        """Runs in which it was missed, in per cent of those in which it counted."""
        return 100 * self.missed / self.counted


@dataclass(frozen=True, slots=True)
class Course:
    """All runs of one scenario, in order of date."""

    scenario: str
    title: str
    runs: tuple[Run, ...]
    tallies: tuple[StepTally, ...]
    """Most missed first."""

    @property
    def gain(self) -> float | None:
        """Points of per cent gained from one run to the next, on average; None for a single run."""
        return rising([run.percent for run in self.runs])

    @property
    def improvement_words(self) -> str:
        """How the score went from the first run to the last, in per cent."""
        if self.gain is None:
            return "Played once: nothing to compare yet."
        first, last = self.runs[0].percent, self.runs[-1].percent
        return (f"Played {len(self.runs)} times: {first:.0f} % at first, {last:.0f} % at last, "
                f"{self.gain:+.1f} points of per cent from one to the next. The crews may differ.")


@dataclass(frozen=True, slots=True)
class Season:
    """A folder of logs."""

    courses: tuple[Course, ...]
    problems: tuple[str, ...]

    @property
    def summary(self) -> str:
        """How many drills of how many scenarios, from which day to which."""
        runs = [run for course in self.courses for run in course.runs]
        if not runs:
            return "No drill could be read."
        days = sorted(run.started[:10] for run in runs)
        return (f"{len(runs)} drill{'' if len(runs) == 1 else 's'} of {len(self.courses)} scenario{'' if len(self.courses) == 1 else 's'}, "
                f"{days[0]} to {days[-1]}.")

    @property
    def missed_most(self) -> tuple[StepTally, ...]:
        """The ten steps missed most often."""
        tallies = [t for course in self.courses for t in course.tallies if t.missed]
        return tuple(sorted(tallies, key=lambda t: (-t.missed, -t.missed_percent, t.drill, t.id))[:_MOST_MISSED])

    def as_json(self) -> dict[str, object]:
        """The season as plain data."""
        return {"season": VERSION, "problems": list(self.problems), "courses": [{
            "scenario": c.scenario, "title": c.title, "gain_percent_points": c.gain,
            "runs": [{"file": r.file, "started": r.started, "crew": list(r.crew), "percent": round(r.percent, 1), "missed": r.missed,
                      "harms": r.harms, "lasted_s": r.lasted_s} for r in c.runs],
            "expected": [{"id": t.id, "says": t.label, "counted": t.counted, "missed": t.missed, "late": t.late,
                          "median_s": t.median_s, "best_s": t.best_s} for t in c.tallies]} for c in self.courses]}


def season(drills: Sequence[tuple[str, Debrief]], problems: Sequence[str] = ()) -> Season:
    """The season of debriefs, each with the name of its file."""
    ordered = sorted(drills, key=lambda item: (item[1].scenario, item[1].started, item[0]))
    courses = tuple(_course(list(group)) for _, group in groupby(ordered, key=lambda item: item[1].scenario))
    return Season(courses, tuple(problems))


def _course(drills: Sequence[tuple[str, Debrief]]) -> Course:
    runs = tuple(Run(file, d.started, d.crew, d.score.percent, sum(j.outcome == "missed" for j in d.judged), len(d.harms), d.lasted_s)
                 for file, d in drills)
    last = drills[-1][1]
    tallies = [_tally(last.title, [j for _, d in drills for j in d.judged if j.id == wanted.id]) for wanted in last.judged]
    counted = [t for t in tallies if t.counted]
    return Course(last.scenario, last.title, runs, tuple(sorted(counted, key=lambda t: (-t.missed_percent, -t.late, t.id))))


def _tally(drill: str, judged: Sequence[Judged]) -> StepTally:
    counted = [j for j in judged if j.outcome != "open"]
    took = [max(0.0, j.done_s - j.opened_s) for j in counted if j.done_s is not None and j.opened_s is not None]
    return StepTally(judged[0].id, judged[0].label, drill, len(counted), sum(j.outcome == "missed" for j in counted),
                     sum(j.outcome in ("late", "unordered") for j in counted), median(took) if took else None, min(took, default=None))
