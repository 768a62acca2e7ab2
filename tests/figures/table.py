"""The figures and the checks they pass: `python -m tests.figures.table`. Exit status 1 where one fails.

`published` are rows with a number that somebody printed, `formula` rows that only keep an answer from changing unseen;
`worst` is the row farthest off, in parts of its tolerance. `refused` are inputs that are rubbish or just out of range.
"""
from __future__ import annotations

import sys
from collections.abc import Iterator

from guide.figures.catalogue import FIGURES, compute
from guide.figures.model import Figure, FigureError, Input
from tests.figures.test_figures_bad_input import RUBBISH, usual
from tests.figures.test_figures_published import ROWS, off_by


def bad_values(wanted: Input) -> Iterator[object]:
    """What an input must refuse."""
    yield from RUBBISH
    if wanted.kind in ("number", "whole"):
        yield from (wanted.high + max(1.0, abs(wanted.high)), wanted.low - 1)


def refused(figure: Figure) -> tuple[int, int]:
    """How many bad values are refused in one line that names the input, and how many there are."""
    good, total = 0, 0
    for wanted in figure.inputs:
        for raw in bad_values(wanted):
            total += 1
            try:
                compute(figure.id, {**usual(figure), wanted.name: raw})
            except FigureError as error:
                good += error.input_name == wanted.name and wanted.allowed in str(error) and len(str(error).splitlines()) == 1
    return good, total


def main() -> int:
    """Print the table; returns the exit status."""
    totals = [0, 0, 0, 0, 0, 0]
    print(f"{'figure':<20} {'published':>10} {'formula':>9} {'worst':>6} {'refused':>9}")
    for figure in FIGURES.values():
        off = [(off_by(row), "formula" in row.source.lower()) for row in ROWS if row.figure == figure.id]
        counts = [sum(o <= 1 and not f for o, f in off), sum(not f for _, f in off), sum(o <= 1 and f for o, f in off), sum(f for _, f in off), *refused(figure)]
        totals = [one + two for one, two in zip(totals, counts, strict=True)]
        print(_line(figure.id, counts, f"{max(o for o, _ in off):.2f}"))
    print(_line(f"{len(FIGURES)} figures", totals, ""))
    return int(totals[0::2] != totals[1::2])


def _line(name: str, counts: list[int], worst: str) -> str:
    one, two, three = (f"{good}/{total}" if total else "-" for good, total in zip(counts[0::2], counts[1::2], strict=True))
    return f"{name:<20} {one:>10} {two:>9} {worst:>6} {three:>9}"


if __name__ == "__main__":
    sys.exit(main())
