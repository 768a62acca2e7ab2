"""A chart drawn into a PNG or SVG file. The only home of matplotlib, which is an extra and is loaded when a picture is drawn."""
from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

from guide.figures.units import rounded
from guide.pictures.charts import Chart, Series

FORMATS = (".png", ".svg")
_INCHES = (9.0, 6.0)
_DOTS = 120
_COLOURS = ("#1b4f72", "#b9570e", "#3d6b35", "#6c3483")
_STYLES = ("-", "--", "-.", ":")
_PALE = 0.35


def draw(chart: Chart, path: Path) -> None:
    """Write the chart to `path`, whose ending says how. ImportError without matplotlib, OSError where it cannot be written."""
    import matplotlib
    from matplotlib.figure import Figure
    with matplotlib.rc_context({"svg.hashsalt": "guide", "font.size": 11, "axes.spines.top": False, "axes.spines.right": False}):
        figure = Figure(figsize=_INCHES, dpi=_DOTS, layout="constrained")
        axes = figure.add_subplot()
        if chart.series:
            _lines(axes, chart)
        else:
            _bars(axes, chart)
        axes.set_title(chart.title, loc="left", wrap=True)
        figure.supxlabel(chart.note, fontsize=9, x=0.02, ha="left", wrap=True)
        figure.savefig(path, format=path.suffix[1:].lower(), metadata={"Date": None} if path.suffix.lower() == ".svg" else {})


def _lines(axes: Any, chart: Chart) -> None:
    """Stock: each line to its end on the axis. A plan with spread: downwind up the page, a cross of one deviation at each time."""
    plan = any(line.spread for line in chart.series)
    for line, colour, style in zip(chart.series, _COLOURS, _STYLES, strict=False):
        xs, ys = zip(*line.points, strict=True)
        axes.plot(xs, ys, style, color=colour, label=line.label, linewidth=2.2)
        if line.spread:
            _spread(axes, line, colour)
    axes.legend(frameon=False, loc="upper left" if plan else "upper right")
    axes.set_xlabel(chart.up if plan else chart.across)
    axes.set_ylabel(chart.across if plan else chart.up)
    if plan:
        first = chart.series[0]
        for span, (x, y), (across, _) in zip(chart.spans, first.points[1:], first.spread[1:], strict=True):
            axes.annotate(span.label, (x + across, y), xytext=(6, -4), textcoords="offset points", fontsize=9)
        axes.set_aspect("equal", adjustable="datalim")
    else:
        axes.set_xlim(left=0)
        axes.set_ylim(bottom=0)
    axes.grid(alpha=0.3)


def _spread(axes: Any, line: Series, colour: str) -> None:
    """One standard deviation about each time: an ellipse at the last, crosses before it."""
    from matplotlib.patches import Ellipse
    for (x, y), (across, along) in list(zip(line.points, line.spread, strict=True))[1:]:
        axes.errorbar(x, y, xerr=across, yerr=along, color=colour, alpha=_PALE)
    (x, y), (across, along) = line.points[-1], line.spread[-1]
    axes.add_patch(Ellipse((x, y), 2 * across, 2 * along, color=colour, alpha=_PALE / 2))


def _bars(axes: Any, chart: Chart) -> None:
    """A bar a span, full to its short end and pale to its long end, group by group from the top."""
    groups = list(dict.fromkeys(span.group for span in chart.spans))
    places = list(_places([span.group for span in chart.spans]))
    for span, place in zip(chart.spans, places, strict=True):
        colour = _COLOURS[groups.index(span.group) % len(_COLOURS)]
        axes.barh(place, span.low, color=colour)
        axes.barh(place, span.high - span.low, left=span.low, color=colour, alpha=_PALE)
        ends = rounded(span.high) if span.low == span.high else f"{rounded(span.low)} to {rounded(span.high)}"
        axes.annotate(ends, (span.high, place), xytext=(4, 0), textcoords="offset points", va="center", fontsize=9)
    for group in groups:
        first = next(place for span, place in zip(chart.spans, places, strict=True) if span.group == group)
        axes.annotate(group, (0, first - 0.95), va="center", fontweight="bold", annotation_clip=False)
    axes.set_yticks(places, [span.label for span in chart.spans])
    axes.set_ylim(max(places) + 0.7, -1.4)
    axes.set_xlabel(f"{chart.across}; pale from the short end of the estimate to the long end")
    axes.margins(x=0.12)


def _places(groups: Iterable[str]) -> Iterable[float]:
    """Rows from the top, with room for a heading before each group."""
    at, last = 0.0, ""
    for number, group in enumerate(groups):
        at += 1.0 if group == last or number == 0 else 2.1
        last = group
        yield at - 1.0
