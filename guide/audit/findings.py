"""What the checks return: a finding with its place, what is wrong and how it is mended."""
from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from guide.knowledge.problems import Place

LEVELS = ("error", "warning", "note")
"""The severities, gravest first."""


class Found(NamedTuple):
    """What a check saw: the node's name `kind:id`, where it stands, what is wrong."""

    node: str
    place: Place
    problem: str
    hint: str = ""
    """A text by which the line is found within the record, such as `done_when:` or a wrong id."""


@dataclass(frozen=True, slots=True, order=True)
class Finding:
    """A fault of the knowledge, or something that whoever answers for it has to know."""

    rank: int
    """0 for an error, 1 a warning, 2 a note."""
    place: Place
    check: str
    level: str
    node: str
    problem: str
    mend: str
    overlay: str = ""
    """`from FILE` where the node came from an overlay."""
    accepted: str = ""
    """Why it is accepted, by whom and until when; nothing where it is not."""

    def line(self) -> str:
        """`file:line:col: level: problem [check] mend`."""
        marks = "".join(f" ({mark})" for mark in (self.overlay, f"accepted: {self.accepted}" if self.accepted else "") if mark)
        return f"{self.place}: {self.level}: {self.problem} [{self.check}]{marks}"
