"""Geometry of the drawings: a time axis, the lanes of a timeline, curves.

Numbers only: templates draw and escape. Across, places are percent of the width, so that a drawing fits any screen with its
letters at full size; down, they are pixels.
"""
from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

ROW_PX = 36
_PHONE_LETTERS, _PAGE_LETTERS = 46, 140
"""What fits on one line of a phone 390 pixels wide, and of a page of 1120, in letters 12 pixels high."""
_STRETCH_FROM_S = 12 * 3600
_STRETCH_UNIT_S = 1800.0
_STEPS_S = (60, 120, 300, 600, 900, 1800, 3600, 2 * 3600, 3 * 3600, 6 * 3600, 12 * 3600, 86400, 2 * 86400, 5 * 86400, 10 * 86400)
_STRETCHED_TICKS_S = (0, 3600, 4 * 3600, 12 * 3600, 86400, 2 * 86400, 5 * 86400, 10 * 86400, 30 * 86400)
_MOST_TICKS = 6
_TABLE_ROWS = 12


def time_words(seconds: float) -> str:
    """A time since the start, as a person says it: `40 s`, `12 min`, `1 h 05 min`, `2 d 3 h`."""
    left = round(seconds)
    if left < 60:
        return f"{left} s"
    if left < 3600:
        return f"{left // 60} min" + (f" {left % 60} s" if left % 60 and left < 1200 else "")
    minutes = round(left / 60)
    if minutes < 24 * 60:
        return f"{minutes // 60} h" + (f" {minutes % 60:02} min" if minutes % 60 else "")
    hours = round(left / 3600)
    return f"{hours // 24} d" + (f" {hours % 24} h" if hours % 24 else "")


def moment_words(iso: str) -> str:
    """An ISO time as `2026-11-20 10:00 UTC`; what is none stays as it is."""
    try:
        at = datetime.fromisoformat(iso)
    except ValueError:
        return iso
    return f"{at:%Y-%m-%d %H:%M}" + (f" {at.tzname()}" if at.tzinfo else "")


@dataclass(frozen=True, slots=True)
class Tick:
    """A mark on an axis: its place in percent, and its words."""

    at: float
    label: str
    anchor: str = "middle"


@dataclass(frozen=True, slots=True)
class Axis:
    """Time across the width, from 0 to `span_s` seconds.

    A drill of more than twelve hours is stretched at its start (logarithmic above half an hour), where most of the acts are.
    """

    span_s: float
    stretched: bool = False

    def place(self, seconds: float) -> float:
        """Where a time stands, in percent of the width; times outside are put at the edge."""
        t = min(max(seconds, 0.0), self.span_s)
        share = math.log1p(t / _STRETCH_UNIT_S) / math.log1p(self.span_s / _STRETCH_UNIT_S) if self.stretched else t / self.span_s
        return round(100 * share, 2)

    def ticks(self) -> list[Tick]:
        """At most six marks with their words, the outer ones turned inward so that none leaves the drawing."""
        if self.stretched:
            times: list[float] = [t for t in _STRETCHED_TICKS_S if t <= self.span_s]
        else:
            step = next((s for s in _STEPS_S if self.span_s / s <= _MOST_TICKS - 1), _STEPS_S[-1])
            times = [float(n * step) for n in range(int(self.span_s // step) + 1)]
        return [self._tick(t) for t in times]

    def _tick(self, seconds: float) -> Tick:
        at = self.place(seconds)
        return Tick(at, time_words(seconds), "start" if at < 6 else "end" if at > 94 else "middle")


def time_axis(span_s: float, linear: bool = False) -> Axis:
    """The axis for a drill of that many seconds; `linear` keeps a long one even, as curves need it."""
    span = max(span_s, 60.0)
    return Axis(span, span > _STRETCH_FROM_S and not linear)


def _cut(text: str, letters: int) -> str:
    return text if len(text) <= letters else text[:letters - 1].rstrip() + "…"


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the timeline: a label, a bar for the time allowed, and a sign where something was done, missed or happened."""

    label: str
    short: str
    """The label as it fits on a phone."""
    kind: str
    """done, late, missed, event or harm: the sign's shape."""
    y: int
    """Pixels from the top to the row's label."""
    at: float | None = None
    """Where the sign stands, percent."""
    bar: tuple[float, float] | None = None
    """Where the bar begins and how wide it is, percent."""


def row(axis: Axis, number: int, label: str, kind: str, at_s: float | None, window_s: tuple[float, float] | None = None) -> Row:
    """The row `number` (from 0) of a timeline; times in seconds since the start."""
    bar = None
    if window_s is not None:
        left, right = axis.place(window_s[0]), axis.place(window_s[1])
        bar = (left, round(max(right - left, 0.8), 2))
    return Row(_cut(label, _PAGE_LETTERS), _cut(label, _PHONE_LETTERS), kind, number * ROW_PX, None if at_s is None else axis.place(at_s), bar)


@dataclass(frozen=True, slots=True)
class Curve:
    """One quantity over time, in a box of 100 by 100 whose top is the highest value drawn."""

    title: str
    unit: str
    points: str
    """`x,y` pairs for a polyline."""
    across: tuple[Tick, ...]
    down: tuple[Tick, ...]
    summary: str
    """What the curve shows, in one sentence: the text alternative."""
    table: tuple[tuple[str, str], ...]
    """Time and value at about a dozen moments."""


def number_words(value: float) -> str:
    """A number with as many digits as a reader needs."""
    size = abs(value)
    digits = 0 if size >= 100 else 1 if size >= 10 else 2
    text = f"{value or 0.0:.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _nice_ticks(low: float, high: float) -> list[float]:
    """Three to five round values that enclose `low` and `high`."""
    rough = (high - low) / 3
    power = 10 ** math.floor(math.log10(rough))
    step = next(power * m for m in (1, 2, 2.5, 5, 10) if power * m >= rough)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return [n * step for n in range(first, last + 1)]


def _thinned(values: Sequence[tuple[float, float]], most: int) -> list[tuple[float, float]]:
    """At most `most` of the samples, evenly, the first and the last among them."""
    if len(values) <= most:
        return list(values)
    return [values[round(n * (len(values) - 1) / (most - 1))] for n in range(most)]


def _summary(title: str, unit: str, samples: Sequence[tuple[float, float]]) -> str:
    low, high = min(samples, key=lambda s: s[1]), max(samples, key=lambda s: s[1])
    said = f" {unit}" if unit else ""
    parts = [f"{title}: {number_words(samples[0][1])}{said} at the start", f"{number_words(samples[-1][1])}{said} at the end"]
    inner = [(name, s) for name, s in (("lowest", low), ("highest", high)) if s[1] not in (samples[0][1], samples[-1][1])]
    return ", ".join([*parts, *(f"{name} {number_words(s[1])}{said} at {time_words(s[0])}" for name, s in inner)]) + "."


def curve(title: str, unit: str, samples: Sequence[tuple[float, float]]) -> Curve | None:
    """The curve through (seconds, value) samples in order of time; None where the value never changes."""
    values = [value for _, value in samples]
    if not values or max(values) - min(values) < 1e-9:
        return None
    axis = time_axis(samples[-1][0], linear=True)
    marks = _nice_ticks(min(values), max(values))
    low, high = marks[0], marks[-1]

    def down(value: float) -> float:
        return round(100 * (high - value) / (high - low), 2)

    drawn = _thinned(samples, 240)
    kept = [p for n, p in enumerate(drawn) if n in (0, len(drawn) - 1) or not drawn[n - 1][1] == p[1] == drawn[n + 1][1]]
    return Curve(title, unit, " ".join(f"{axis.place(t)},{down(v)}" for t, v in kept), tuple(axis.ticks()),
                 tuple(Tick(down(v), number_words(v)) for v in marks), _summary(title, unit, samples),
                 tuple((time_words(t), number_words(v)) for t, v in _thinned(samples, _TABLE_ROWS)))


def bars(values: Sequence[float]) -> list[float]:
    """Each value in percent of the greatest, for bars beside each other."""
    most = max(values, default=0.0)
    return [round(100 * value / most, 1) if most > 0 else 0.0 for value in values]


def rising(values: Sequence[float]) -> float | None:
    """How much a series gains from one entry to the next, on average; None for fewer than two."""
    steps = [after - before for before, after in pairwise(values)]
    return sum(steps) / len(steps) if steps else None
