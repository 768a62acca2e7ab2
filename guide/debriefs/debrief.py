"""A played drill as a debrief: what was expected and done, what did harm, moment by moment. Text, page and JSON show this one value."""
from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from guide.debriefs.drawing import moment_words, number_words, time_words
from guide.debriefs.form import Record
from guide.drills.records import QUANTITIES, Expectation, HarmDone, Moment, Played, Result, Sample, Score

VERSION = 1
"""Of the JSON."""
LIMITS = ("Raft, weather and bodies are simulated, after published figures and teaching assumptions: `guide drill model` prints them "
          "with their sources. They do not foretell what people survive. No point rests on an unverified source.")
_HELP = {"full": "full advice after every line", "asked": "advice on request, counted", "none": "no advice"}
_OUTCOMES = {"done": "Done in time.", "late": "Done, but late.", "unordered": "Done, but before what it comes after.",
             "missed": "Not done.", "open": "Does not count: its moment had not come, or its time was not over."}
_SAMPLES = 240
_STRAY = 6
"""How many jobs done against the guide's order are told; more is a list that nobody talks through."""

Cite = Callable[[str], str]
"""A source id as a person reads it."""


@dataclass(frozen=True, slots=True)
class Judged:
    """An expectation and how it was met."""

    id: str
    label: str
    outcome: str
    """done, late, unordered (before what it comes after), missed or open (its moment had not come, or its time was not over, at the end)."""
    opened_s: float | None
    due_s: float | None
    done_s: float | None
    points: float
    of: float
    why: str
    sources: tuple[str, ...]
    assumed: bool
    """Whether the time allowed is a teaching assumption."""

    @property
    def outcome_words(self) -> str:
        """How it came out, as a person reads it."""
        return _OUTCOMES[self.outcome]

    @property
    def window_words(self) -> str:
        """The time allowed: `by 10 min`, `within 3 min from 16 min`."""
        if self.opened_s is None or self.due_s is None:
            return "from an event that did not come"
        if self.opened_s <= 0:
            return f"by {time_words(self.due_s)}"
        return f"within {time_words(self.due_s - self.opened_s)} from {time_words(self.opened_s)}"

    @property
    def done_words(self) -> str:
        """When it was done, from the opening of its window: `after 3 min`, `at 12 min` where that was the start, `no`."""
        if self.done_s is None:
            return "no"
        if not self.opened_s:
            return f"at {time_words(self.done_s)}"
        return f"after {time_words(self.done_s - self.opened_s)}" if self.done_s > self.opened_s else "already before that"

    @property
    def points_words(self) -> str:
        """`1.5 of 2`, or that it does not count."""
        return "not counted" if self.outcome == "open" else f"{number_words(self.points)} of {number_words(self.of)}"

    @property
    def allowed_words(self) -> str:
        """The time allowed as a sentence, and what it rests on."""
        return f"Time allowed: {self.window_words}{' (a teaching assumption)' if self.assumed else ''}."


@dataclass(frozen=True, slots=True)
class Harmed:
    """A harmful act or neglect."""

    id: str
    label: str
    times_s: tuple[float, ...]
    typed: str
    """What was typed when it first happened; empty for neglect."""
    points: float
    why: str
    sources: tuple[str, ...]

    @property
    def when(self) -> str:
        """Each time it happened: `12 min, 1 h 5 min`."""
        return ", ".join(time_words(t) for t in self.times_s)

    @property
    def points_words(self) -> str:
        """What it costs, as a sentence."""
        return f"It costs {number_words(self.points)} point{'' if self.points == 1 else 's'}."


class Advised(NamedTuple):
    """A step that the guide would have put next, and why."""

    step: str
    say: str
    line: str

    @property
    def first(self) -> str:
        """Its first sentence."""
        return re.split(r"(?<=[.!?])\s", self.say, maxsplit=1)[0]


@dataclass(frozen=True, slots=True)
class Shown:
    """A moment of the drill."""

    t_s: float
    done_s: float
    """When the act was over; `t_s` for what is no act."""
    kind: str
    """said, event, sign, wait or end."""
    who: str
    text: str
    understood: tuple[str, ...]
    said: tuple[Advised, ...]
    """What the guide would have put next just before."""
    again: bool
    """Whether that is the same as at the moment before."""

    @property
    def when(self) -> str:
        """`12 min`, or `30 min to 40 min` for an act."""
        begun, over = time_words(self.t_s), time_words(self.done_s)
        return begun if self.kind == "wait" or begun == over else f"{begun} to {over}"


@dataclass(frozen=True, slots=True)
class Stray:
    """A job that was done while the guide would have put others first."""

    t_s: float
    text: str
    first: str
    """What the guide would have put first."""

    @property
    def when(self) -> str:
        """When it was done: `12 min`."""
        return time_words(self.t_s)


@dataclass(frozen=True, slots=True)
class Series:
    """One quantity of the simulated raft over time."""

    name: str
    title: str
    unit: str
    samples: tuple[tuple[float, float], ...]
    """(seconds, value) in order of time."""


@dataclass(frozen=True, slots=True)
class Debrief:
    """What a played drill shows."""

    scenario: str
    title: str
    about: str
    crew: tuple[str, ...]
    started: str
    help: str
    lasted_s: float
    finished: bool
    score: Score
    judged: tuple[Judged, ...]
    harms: tuple[Harmed, ...]
    moments: tuple[Shown, ...]
    strays: tuple[Stray, ...]
    series: tuple[Series, ...]
    questions: tuple[str, ...]
    record: Record
    problems: tuple[str, ...]

    @property
    def begun_words(self) -> str:
        """`2026-11-20 10:00 UTC`."""
        return moment_words(self.started)

    @property
    def missed(self) -> tuple[Judged, ...]:
        """What was missed first, then what was late or out of order."""
        order = ("missed", "late", "unordered")
        return tuple(item for outcome in order for item in self.judged if item.outcome == outcome)

    @property
    def help_words(self) -> str:
        """How much the guide advised, and how often it was asked."""
        asked = self.score.asked
        return f"{_HELP[self.help]}; asked {asked} time{'' if asked == 1 else 's'}"

    @property
    def lasted_words(self) -> str:
        """How long it lasted, and whether it came to its end."""
        return time_words(self.lasted_s) + ("" if self.finished else ", broken off before its end")

    @property
    def score_words(self) -> str:
        """`31.5 of 40 points (79 %)`, and what it is made of."""
        s = self.score
        return f"{number_words(s.points)} of {number_words(s.of)} points ({s.percent:.0f} %)"

    @property
    def parts_words(self) -> str:
        """What the points are made of: `done 30, order 2, harm -1, help -0.5`."""
        s = self.score
        return (f"done {number_words(s.met)}, order {number_words(s.order)}, "
                f"harm {number_words(-s.harmed)}, help {number_words(-s.helped)}")

    @property
    def order_words(self) -> str:
        """How many jobs came in the order of the plan, and what that means."""
        s = self.score
        return (f"Of {s.settled} job{'' if s.settled == 1 else 's'} done, {s.as_planned} came when the guide's plan puts them: with fewer than "
                "three jobs before them that were done later.")

    @property
    def strays_words(self) -> str:
        """What stands over the strays."""
        return "Done while the guide would have put something else first, which was done later or never:"

    def as_json(self) -> dict[str, object]:
        """The debrief as plain data."""
        s = self.score
        return {
            "debrief": VERSION, "scenario": self.scenario, "title": self.title, "crew": list(self.crew), "started": self.started,
            "help": self.help, "lasted_s": self.lasted_s, "finished": self.finished,
            "score": {"points": s.points, "of": s.of, "percent": round(s.percent, 1), "met": s.met, "order": s.order,
                      "harmed": s.harmed, "helped": s.helped, "settled": s.settled, "as_planned": s.as_planned, "asked": s.asked},
            "expected": [{"id": j.id, "says": j.label, "outcome": j.outcome, "opened_s": j.opened_s, "due_s": j.due_s, "done_s": j.done_s,
                          "points": j.points, "of": j.of, "why": j.why, "sources": list(j.sources),
                          "time_is_assumed": j.assumed} for j in self.judged],
            "harms": [{"id": h.id, "says": h.label, "times_s": list(h.times_s), "typed": h.typed, "points": h.points, "why": h.why,
                       "sources": list(h.sources)} for h in self.harms],
            "moments": [{"t_s": m.t_s, "done_s": m.done_s, "kind": m.kind, "who": m.who, "text": m.text, "understood": list(m.understood),
                         "guide": [{"step": a.step, "say": a.say, "why": a.line} for a in m.said]} for m in self.moments],
            "against_order": [{"t_s": x.t_s, "text": x.text, "guide_first": x.first} for x in self.strays],
            "series": [{"name": c.name, "title": c.title, "unit": c.unit, "samples": [list(p) for p in c.samples]} for c in self.series],
            "questions": list(self.questions), "record": self.record.as_json(), "problems": list(self.problems), "limits": LIMITS}


def debrief(played: Played, record: Record, cite: Cite) -> Debrief:
    """The debrief of a played drill; `cite` gives a source as a person reads it."""
    scenario, log = played.scenario, played.log
    return Debrief(
        scenario.id, scenario.title, scenario.about, log.crew, log.started, log.help, played.ended_s, played.finished, played.score,
        tuple(_judged(result, cite) for result in played.results), tuple(_harmed(harm, played, cite) for harm in played.harms),
        _moments(played.moments), _strays(played.moments), _series(played.samples),
        scenario.questions, record, tuple(dict.fromkeys((*log.problems, *played.problems))))


def _outcome(result: Result) -> str:
    if result.done_s is None:
        return "missed" if result.of else "open"
    if not result.in_time:
        return "late"
    return "done" if result.in_order else "unordered"


def _judged(result: Result, cite: Cite) -> Judged:
    wanted: Expectation = result.expectation
    return Judged(wanted.id, wanted.says, _outcome(result), result.opened_s, result.due_s, result.done_s, result.points, result.of,
                  wanted.why, _cited((*wanted.sources, *wanted.timing), cite), not wanted.timing)


def _harmed(done: HarmDone, played: Played, cite: Cite) -> Harmed:
    harm, first = done.harm, done.times_s[0]
    typed = next((m.text for m in played.moments if m.kind == "said" and first in (m.t_s, m.done_s)), "") if harm.deed else ""
    return Harmed(harm.id, harm.says, done.times_s, typed, done.points, harm.why, _cited(harm.sources, cite))


def _cited(sources: tuple[str, ...], cite: Cite) -> tuple[str, ...]:
    """Sources as a person reads them, each once: two clauses of one work may read alike."""
    return tuple(dict.fromkeys(cite(source) for source in sources))


def _moments(moments: tuple[Moment, ...]) -> tuple[Shown, ...]:
    """The moments in the order in which they took effect."""
    said = [tuple(Advised(*step) for step in moment.next) for moment in moments]
    return tuple(Shown(m.t_s, m.done_s, m.kind, m.who, m.text, m.understood, now, now == before)
                 for m, now, before in zip(moments, said, ((), *said), strict=False))


def _strays(moments: tuple[Moment, ...]) -> tuple[Stray, ...]:
    """The first jobs that were settled while the guide would have put others next."""
    found = [Stray(m.t_s, m.text, Advised(*m.next[0]).first) for m in moments
             if m.kind == "said" and m.steps and m.next and not {step.step for step in m.next} & set(m.steps)]
    return tuple(found[:_STRAY])


def _series(samples: tuple[Sample, ...]) -> tuple[Series, ...]:
    """Each quantity over time, thinned to what can be drawn; the clock itself is none."""
    step = max(1, -(-len(samples) // _SAMPLES))
    kept = [sample for n, sample in enumerate(samples) if n % step == 0 or n == len(samples) - 1]
    names: Mapping[str, None] = dict.fromkeys(name for sample in kept for name in sample.values if name in QUANTITIES and name != "minutes")
    return tuple(Series(name, QUANTITIES[name].title[:1].upper() + QUANTITIES[name].title[1:], QUANTITIES[name].unit,
                        tuple((sample.t_s, round(sample.values[name], 4)) for sample in kept if name in sample.values)) for name in names)
