"""The conversations kept in the data folder: listed, found by name or number, and named."""
from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import NamedTuple

from guide.safe import safe
from guide.state.facts import fold
from guide.state.journal import JournalError, read
from guide.terminal.keeping import data_folder

SUFFIX = ".jsonl"
_LONGEST = 60
_NAME = re.compile(r"\w(?:[\w .-]*[\w-])?")
_DEVICES = re.compile(r"(?:con|prn|aux|nul|com\d|lpt\d)(?:\..*)?", re.IGNORECASE)
"""Names that one of the platforms keeps for itself."""


class SessionProblem(Exception):
    """A session that cannot be found or named: one line with what is allowed."""


class Saved(NamedTuple):
    """A conversation on disk."""

    path: Path
    changed: float
    """When it was last gone on with, seconds of the epoch."""
    turns: int = 0
    persons: object = None
    last: str = ""
    """What was said last."""
    problem: str = ""
    """Why it cannot be read."""

    @property
    def name(self) -> str:
        """What the crew calls it."""
        return self.path.stem

    def line(self) -> str:
        """The conversation in one line, safe to print."""
        when = datetime.fromtimestamp(self.changed).strftime("%Y-%m-%d %H:%M")
        if self.problem:
            return safe(f"{self.name}, last used {when}: {self.problem}")
        people = f", {self.persons} people" if self.persons is not None else ""
        last = f', last said: "{self.last}"' if self.last else ""
        return safe(f"{self.name}, last used {when}, {self.turns} turn{'' if self.turns == 1 else 's'}{people}{last}")


def folder() -> Path:
    """Where conversations are kept. Raises JournalError where the system names no place."""
    return data_folder() / "sessions"


def saved() -> list[Saved]:
    """The conversations kept, the latest first. Raises SessionProblem where the folder cannot be read."""
    try:
        paths = [path for path in folder().iterdir() if path.suffix == SUFFIX] if folder().exists() else []
        return sorted((found for path in paths if (found := _saved(path))), key=lambda found: (-found.changed, found.name))
    except (OSError, JournalError) as error:
        raise SessionProblem(str(error)) from error


def _saved(path: Path) -> Saved | None:
    """The conversation in a file; None where nothing was ever said in it."""
    changed = path.stat().st_mtime
    try:
        events, _ = read(path)
    except JournalError as error:
        return Saved(path, changed, problem=str(error).removeprefix(f"{path}: "))
    if not events:
        return None
    said = [event for event in events if event.by == "crew"]
    return Saved(path, changed, len({event.turn for event in said}), fold(events).value("persons"), said[-1].text if said else "")


def find(word: str, among: Sequence[Saved]) -> Saved:
    """The conversation of that name, number in the list, or beginning. Raises SessionProblem."""
    exact = [found for found in among if found.name == word]
    near = [found for found in among if found.name.casefold().startswith(word.casefold())]
    if exact or len(near) == 1:
        return (exact or near)[0]
    if word.isascii() and word.isdigit() and 1 <= int(word) <= len(among):
        return among[int(word) - 1]
    names = ", ".join(found.name for found in among[:5]) or "none yet"
    raise SessionProblem(f'no one session is called "{word[:_LONGEST]}"; there are: {names}')


def path_for(name: str) -> Path:
    """The file of a new name. Raises SessionProblem where the name is none, or taken."""
    name = " ".join(name.split())
    if not _NAME.fullmatch(name) or len(name) > _LONGEST or _DEVICES.fullmatch(name):
        raise SessionProblem(f'"{name[:_LONGEST]}" cannot be a name: letters, digits, blanks, dots and hyphens, at most {_LONGEST}, '
                             "a letter or digit first")
    path = folder() / f"{name}{SUFFIX}"
    if path.exists():
        raise SessionProblem(f'there is a session "{name}" already')
    return path
