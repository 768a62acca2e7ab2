"""The subjects of the help, from `subjects.txt`."""
from __future__ import annotations

from pathlib import Path
from typing import NamedTuple


class Subject(NamedTuple):
    """One subject: a line about it, and its text, rows that begin with blanks to be shown as they stand."""

    about: str
    text: str


def subjects() -> dict[str, Subject]:
    """All subjects by name, in the order of the file."""
    text = (Path(__file__).parent / "subjects.txt").read_text(encoding="utf-8")
    found = {}
    for part in text.split("\n= ")[1:]:
        head, _, body = part.partition("\n")
        name, _, about = head.partition(" | ")
        found[name] = Subject(about, body.strip("\n"))
    return found
