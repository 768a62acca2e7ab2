"""A chart in plain characters, at most 20 rows of 72 columns or fewer: a grid for lines, a bar for each span."""
from __future__ import annotations

import math
from itertools import pairwise

from guide.figures.units import rounded, written
from guide.pictures.charts import Chart, Series, Span

WIDTH, ROWS = 72, 20
_MARKS = "*o+x"
_NARROWEST = 40
_ENDS = 19
"""Columns for a bar's frame and its two ends in figures."""
_LABEL = 30
"""Columns for the words beside a bar, at most."""


def rows(chart: Chart, width: int = WIDTH) -> list[str]:
    """The chart as lines of at most `width` columns, from 40 on: its title first and its assumption last."""
    width = max(_NARROWEST, min(width, WIDTH))
    body = _bars(chart, width) if chart.spans else _grid(chart, width)
    return [*_wrapped(chart.title, width), *body, *_wrapped(chart.note, width)]


def _grid(chart: Chart, columns: int) -> list[str]:
    """The lines on a grid, each by a mark of its own; where two meet the first is seen."""
    far = max(x for line in chart.series for x, _ in line.points) or 1.0
    top = max(y for line in chart.series for _, y in line.points) or 1.0
    height, left = ROWS - 7 - len(chart.series), 8
    width = columns - left - 2
    cells = [[" "] * width for _ in range(height)]
    for mark, line in reversed(list(zip(_MARKS, chart.series, strict=False))):
        for column in range(width):
            y = _at(line, far * column / (width - 1))
            if y is not None:
                cells[height - 1 - round(y / top * (height - 1))][column] = mark
    found = [f"{written(top * (height - 1 - n) / (height - 1)) if n % 4 == 0 or n == height - 1 else '':>{left - 1}} |{''.join(cells[n]).rstrip()}"
             for n in range(height)]
    axis = " " * left + "+" + "-" * width
    return [chart.up, *found, axis, _ticks(far, left, width), *(f"  {mark} {line.label}" for mark, line in zip(_MARKS, chart.series, strict=False))]


def _at(line: Series, x: float) -> float | None:
    """The height of a line at x; None beyond its ends."""
    for (x1, y1), (x2, y2) in pairwise(line.points):
        if x1 <= x <= x2 and x2 > x1:
            return y1 + (y2 - y1) * (x - x1) / (x2 - x1)
    return None


def _ticks(far: float, left: int, width: int) -> str:
    """Numbers under the axis at round steps."""
    step = _step(far)
    line = [" "] * (left + width + 2)
    for number in range(int(far / step) + 1):
        text, at = written(number * step), left + 1 + round(number * step / far * (width - 1))
        if at + len(text) <= len(line):
            line[at:at + len(text)] = text
    return "".join(line).rstrip()


def _step(far: float) -> float:
    """A round step of which about six go into `far`."""
    size = 10.0 ** math.floor(math.log10(far / 5))
    return next(size * n for n in (1, 2, 5, 10) if far / (size * n) <= 8)


def _bars(chart: Chart, columns: int) -> list[str]:
    """One row a span: `=` up to its short end, `-` on to its long end; a group's name stands once above its rows."""
    far = max(span.high for span in chart.spans) or 1.0
    label = min(_LABEL, columns // 2, max(len(span.label) for span in chart.spans))
    width = columns - label - _ENDS
    found: list[str] = []
    groups = dict.fromkeys(span.group for span in chart.spans)
    for group in groups:
        found += [f"{group}:"] if group else []
        found += [_bar(span, far, label, width) for span in chart.spans if span.group == group]
    return [*found, *_wrapped(f"= to the short end, - to the long end; {chart.across}", columns)]


def _bar(span: Span, far: float, label: int, width: int) -> str:
    short, long = (max(int(end > 0), round(end / far * width)) for end in (span.low, span.high))
    return f"{span.label[:label]:<{label}} |{'=' * short}{'-' * (long - short)} {_ends(span)}"


def _ends(span: Span) -> str:
    return rounded(span.high) if span.low == span.high else f"{rounded(span.low)} to {rounded(span.high)}"


def _wrapped(text: str, width: int) -> list[str]:
    lines = [""]
    for word in text.split():
        if len(lines[-1]) + len(word) + 1 > width:
            lines.append("")
        lines[-1] += (" " if lines[-1] else "") + word
    return [line for line in lines if line]

