"""Coverage as text, CSV and plain data."""
from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from dataclasses import asdict

from guide.audit.coverage import Cell, ClauseRow, WorkRow
from guide.knowledge.records import MARKS

Rows = list[list[str]]


def text_lines(cells: Sequence[Cell], works: Sequence[WorkRow], clauses: Sequence[ClauseRow]) -> list[str]:
    """The three tables, each with its gaps named below it."""
    lines = ["Situation by pack and conditions: steps offered, + those that stand in for another, - items that are missing", ""]
    lines += aligned(situation_rows(cells))
    gaps = dict.fromkeys(f"  {cell.topic}, {cell.pack}: {gap}" for cell in cells for gap in cell.gaps)
    lines += ["", "Gaps:" if gaps else "No gaps.", *gaps, "", "Works: clauses by mark, and the claims that rest on them", ""]
    lines += aligned(work_rows(works))
    lines += ["", "Standards: clauses, how far read, and the claims that rest on them", "", *aligned(clause_rows(clauses))]
    bare = [f"  {row.standard} {row.clause}: {row.about}" for row in clauses if not row.claims]
    return [*lines, "", "Not covered:" if bare else "Every clause named is covered.", *bare]


def csv_text(cells: Sequence[Cell], works: Sequence[WorkRow], clauses: Sequence[ClauseRow]) -> str:
    """The three tables one after another, an empty line between them; cells with the ids of the steps."""
    full = [["topic", "pack", "conditions", "steps", "stand_ins", "gaps"]]
    full += [[c.topic, c.pack, c.conditions, " ".join(c.steps), " ".join(c.stand_ins), " ".join(c.gaps)] for c in cells]
    return "\r\n".join(map(csv_of, (full, work_rows(works), clause_rows(clauses))))


def data(cells: Sequence[Cell], works: Sequence[WorkRow], clauses: Sequence[ClauseRow]) -> dict[str, object]:
    """The three tables as plain data for JSON."""
    return {"situations": [asdict(cell) for cell in cells], "works": [asdict(row) for row in works],
            "standards": [asdict(row) for row in clauses]}


def situation_rows(cells: Sequence[Cell]) -> Rows:
    """Two rows of heads, then a row a topic, a column a pack under a condition."""
    columns = list(dict.fromkeys((cell.pack, cell.conditions) for cell in cells))
    found = {(cell.topic, cell.pack, cell.conditions): cell for cell in cells}
    heads = [["", *(pack for pack, _ in columns)], ["topic", *(conditions for _, conditions in columns)]]
    return [*heads, *([topic, *(_counts(found[topic, *column]) for column in columns)] for topic in dict.fromkeys(c.topic for c in cells))]


def _counts(cell: Cell) -> str:
    more = f" +{len(cell.stand_ins)}" if cell.stand_ins else ""
    return f"{len(cell.steps)}{more}" + (f" -{len(cell.gaps)}" if cell.gaps else "")


def work_rows(works: Iterable[WorkRow]) -> Rows:
    """A row a work."""
    return [["work", *MARKS, "claims"], *([row.short, *(str(row.clauses[mark]) for mark in MARKS), str(row.claims)] for row in works)]


def clause_rows(clauses: Iterable[ClauseRow]) -> Rows:
    """A row a clause."""
    return [["standard", "clause", "about", "held as", "marks", "claims"],
            *([row.standard, row.clause, row.about, " ".join(row.ids), " ".join(row.marks), str(row.claims)] for row in clauses)]


def aligned(rows: Rows) -> list[str]:
    """Rows as columns of text."""
    wide = [max(len(row[n]) for row in rows) for n in range(len(rows[0]))]
    return ["  ".join(cell.ljust(width) for cell, width in zip(row, wide)).rstrip() for row in rows]


def csv_of(rows: Iterable[Iterable[str]]) -> str:
    """Rows as CSV (RFC 4180). A cell that a spreadsheet would take for a formula gets an apostrophe in front."""
    out = io.StringIO()
    csv.writer(out).writerows([_tame(cell) for cell in row] for row in rows)
    return out.getvalue()


def _tame(cell: str) -> str:
    return "'" + cell if cell[:1] in ("=", "+", "-", "@", "\t", "\r") else cell
