"""The debrief and the season as pages: what the templates draw is computed here, the templates escape and print it."""
from __future__ import annotations

from dataclasses import dataclass

from guide.debriefs.debrief import LIMITS, Debrief
from guide.debriefs.drawing import ROW_PX, Curve, Row, Tick, bars, curve, row, time_axis, time_words
from guide.debriefs.season import Season
from guide.pages import page

_LEGEND = (("done", "done in time"), ("late", "late or out of order"), ("missed", "not done (at the end of its time)"),
           ("event", "something happened"), ("harm", "harm"))

_PLACE = ("latitude_deg", "longitude_deg")
"""No curve of their own: the run since the raft came free says it."""


@dataclass(frozen=True, slots=True)
class Timeline:
    """The drawn timeline."""

    rows: tuple[Row, ...]
    ticks: tuple[Tick, ...]
    height: int
    """Pixels."""
    words: str
    """The text alternative."""
    stretched: bool


def timeline(d: Debrief) -> Timeline:
    """Every event after the start, expectation and harm in its row, in order of time."""
    axis = time_axis(d.lasted_s)
    found: list[tuple[float, str, str, float, tuple[float, float] | None]] = [
        (m.t_s, m.text, "event", m.t_s, None) for m in d.moments if m.kind in ("event", "end") and m.t_s > 0]
    for j in d.judged:
        if j.opened_s is not None and j.due_s is not None:
            kind = "late" if j.outcome == "unordered" else j.outcome
            found.append((j.opened_s, j.label, kind, j.due_s if j.done_s is None else j.done_s, (j.opened_s, j.due_s)))
    found += [(h.times_s[0], h.label, "harm", h.times_s[0], None) for h in d.harms]
    found.sort(key=lambda item: item[0])
    rows = tuple(row(axis, n, label, kind, at, window) for n, (_, label, kind, at, window) in enumerate(found))
    done = sum(j.outcome == "done" for j in d.judged)
    words = (f"Timeline of {time_words(d.lasted_s)}: {done} of {len(d.judged)} expectations done in time, {len(d.missed)} missed, late or out "
             f"of order, {len(d.harms)} harms. The tables below say the same in words.")
    return Timeline(rows, tuple(axis.ticks()), len(rows) * ROW_PX, words, axis.stretched)


def curves(d: Debrief) -> tuple[list[Curve], list[str]]:
    """What changed, as curves, and the titles of what did not."""
    drawn = [(s, curve(s.title, s.unit, s.samples)) for s in d.series if s.name not in _PLACE]
    return [c for _, c in drawn if c is not None], [s.title for s, c in drawn if c is None]


def debrief_page(d: Debrief) -> str:
    """One self-contained HTML page."""
    changing, steady = curves(d)
    return page("debrief.html", {"d": d, "timeline": timeline(d), "curves": changing, "steady": steady, "legend": _LEGEND,
                                 "limits": LIMITS})


def season_page(s: Season) -> str:
    """One self-contained HTML page over many drills."""
    missed = s.missed_most
    lengths = bars([t.missed_percent for t in missed])
    drawn = {c.scenario: _progress([run.percent for run in c.runs]) for c in s.courses}
    return page("season.html", {"s": s, "missed": list(zip(missed, lengths, strict=True)), "progress": drawn})


def _progress(percents: list[float]) -> list[tuple[float, float]]:
    """Where each run stands: across in per cent of the width, down from the top of a scale of 0 to 100."""
    steps = len(percents) - 1
    return [(round(6 + 88 * n / steps, 1) if steps else 50.0, round(100 - value, 1)) for n, value in enumerate(percents)]
