"""Coverage as the report shows it: what each situation offers with each pack, and which clauses of the standards are borne out."""
from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from guide.arguments import Misuse
from guide.audit.coverage import PLAIN, Cell, ClauseRow, WorkRow, situations, standards, works
from guide.audit.profile import Profile
from guide.knowledge.base import Knowledge


@dataclass(frozen=True, slots=True)
class Row:
    """A situation: what it offers with each pack, and what is missing there."""

    topic: str
    title: str
    cells: tuple[str, ...]
    gaps: tuple[tuple[str, str], ...]
    """The pack's name, and the sentence about what is missing."""


@dataclass(frozen=True, slots=True)
class Covered:
    """The tables."""

    packs: tuple[str, ...]
    rows: tuple[Row, ...]
    works: tuple[WorkRow, ...]
    clauses: tuple[ClauseRow, ...]
    left_out: str
    """Why the situations could not be gone through; nothing where they were."""


def covered(k: Knowledge, profile: Profile) -> Covered:
    """All tables. Where the profile's conditions do not fit this knowledge, the situations are left out with the reason."""
    try:
        cells, why = situations(k, profile), ""
    except Misuse as error:
        cells, why = [], str(error)
    of: dict[str, dict[str, list[Cell]]] = {}
    for cell in cells:
        of.setdefault(cell.topic, {}).setdefault(cell.pack, []).append(cell)
    rows = tuple(Row(topic, k.topics[topic].title, tuple(_words(found) for found in packs.values()), _gaps(k, packs.values()))
                 for topic, packs in of.items())
    return Covered(tuple(pack.name for pack in k.packs.values()), rows, tuple(works(k)), tuple(standards(k, profile)), why)


def _words(cells: Sequence[Cell]) -> str:
    """`8 steps, 1 stand-in; night: 7 steps`: what is so in any conditions, then where it differs."""
    plain = next((_offer(cell) for cell in cells if cell.conditions == PLAIN), "")
    others = [f"{cell.conditions}: {_offer(cell)}" for cell in cells if _offer(cell) != plain]
    return "; ".join([plain, *others])


def _offer(cell: Cell) -> str:
    parts = [(len(cell.steps), "step"), (len(cell.stand_ins), "stand-in")]
    words = [f"{number} {word}{'' if number == 1 else 's'}" for number, word in parts if number or word == "step"]
    return ", ".join([*words, *([f"{len(cell.gaps)} missing"] if cell.gaps else [])])


def _gaps(k: Knowledge, packs: Iterable[Sequence[Cell]]) -> tuple[tuple[str, str], ...]:
    found = [(k.packs[cell.pack].name, gap) for cells in packs for cell in cells for gap in cell.gaps]
    return tuple(dict.fromkeys(found))
