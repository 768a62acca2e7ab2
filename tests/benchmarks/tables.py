"""A table as text."""
from __future__ import annotations

from collections.abc import Iterable, Sequence


def show(title: str, head: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
    """Print a table: text to the left, numbers to the right."""
    cells = [[_written(cell) for cell in row] for row in rows]
    wide = [max(map(len, column)) for column in zip(head, *cells)]
    print(f"\n{title}")
    for row in (head, ["-" * size for size in wide], *cells):
        print("  " + "  ".join(cell.rjust(size) if _number(cell) else cell.ljust(size) for cell, size in zip(row, wide)).rstrip())


def _written(cell: object) -> str:
    return f"{cell:.3g}" if isinstance(cell, float) and abs(cell) < 100 else f"{cell:.0f}" if isinstance(cell, float) else str(cell)


def _number(cell: str) -> bool:
    return cell.replace(".", "", 1).replace("-", "", 1).replace(",", "").isdigit()
