"""Watches: how many hours of look-out fall to each."""

from __future__ import annotations

from guide.figures.model import ARITHMETIC, Answer, Figure, FigureError, Input, Source


def watch_hours(fit_persons: int, lookouts: int, watch_h: float) -> Answer:
    """Hours of watch a day for each of `fit_persons` when `lookouts` stand at once; detail `off_h` between turns.

    `watch_h` is the length of a turn in h. Raises FigureError where more look out than are fit.
    Source: arithmetic; turns of at most 2 h from an army survival manual, 16-16 (read).
    """
    if lookouts > fit_persons:
        raise FigureError(
            f"lookouts must be a whole number from 1 to {fit_persons}, the fit persons, not {lookouts}", "lookouts"
        )
    long = ("Warning: past 2 hours nobody looks out well.",) if watch_h > 2 else ()
    return Answer(
        24 * lookouts / fit_persons,
        {"off_h": watch_h * (fit_persons / lookouts - 1)},
        ("Only the fit are counted, so another number of them gives another figure.", *long),
    )


FIGURES = (
    Figure(
        id="watch_hours",
        unit="h/day",
        title="how many hours of look-out fall to each",
        sentence=(
            "Each of {fit_persons} stands {value:.1f} hours of watch a day, with {off_h:.1f} hours off between turns."
        ),
        inputs=(
            Input("fit_persons", "people fit to stand a watch", "", 1, 200, kind="whole"),
            Input("lookouts", "how many look out at once", "", 1, 50, kind="whole", default=1),
            Input("watch_h", "length of a turn", "h", 0.1, 12, default=1),
        ),
        assumption="Turns of equal length, day and night, shared evenly.",
        limits="An hour is long enough in cold, heat or sickness.",
        sources=(Source("Army survival manual, 16-16, turns of at most 2 h", "read"), ARITHMETIC),
        function=watch_hours,
    ),
)
