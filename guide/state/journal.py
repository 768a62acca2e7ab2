"""The journal: one line of JSON a turn, on disk before the turn is acknowledged, never rewritten.

A turn is one line, so it is there whole or not at all. A last line that was cut short (the power went)
is no turn: it was never acknowledged. It is reported, and cut away before the next line is written.
"""
from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, NoReturn, Self

from guide.state.facts import Event
from guide.state.lines import Kind, LineFile, read_data

if TYPE_CHECKING:
    from pathlib import Path

VERSION = 1
_SHARED = ("turn", "at", "text")
_START = b'{"journal"'


class JournalError(Exception):
    """The journal cannot be opened, read or written; the message is one line for the person."""


class Journal:
    """A journal open for writing, held against other processes until it is closed.

    `events` and `problems` are what it held when it was opened. `started` (ISO time) and `name` go into
    the header of a new journal. Raises JournalError.
    """

    def __init__(self, path: Path | str, started: str = "", name: str = "") -> None:
        self._file = LineFile(path, _KIND)
        try:
            self.events, self.problems = _parse(self._file.data, path)
            if self._file.empty:
                self._file.write(_line({"journal": VERSION, "started": started, "name": name}))
                self._file.keep_name()
        except BaseException:
            self.close()
            raise

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file. Harmless when repeated."""
        self._file.close()

    def append(self, events: Sequence[Event]) -> None:
        """Write the events of one turn and return once they are on disk; nothing for none.

        Raises JournalError where the disk refuses: the turn is then not in the journal.
        """
        if not events:
            return
        if any(event.turn != events[0].turn for event in events):
            raise ValueError("the events of one append belong to one turn")
        shared = {key: value for key, value in events[0].to_dict().items() if key in _SHARED}
        own = [{key: value for key, value in event.to_dict().items() if key not in shared or shared[key] != value}
               for event in events]
        self._file.write(_line({**shared, "events": own}))


def read(path: Path | str) -> tuple[list[Event], list[str]]:
    """The events of a journal in order, and one line for each thing wrong with it. Raises JournalError."""
    return _parse(read_data(path, _KIND), path)


def _line(data: Mapping[str, object]) -> bytes:
    text = json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return text.encode("utf-8", "replace") + b"\n"


def _parse(data: bytes, path: Path | str) -> tuple[list[Event], list[str]]:
    *lines, last = data.split(b"\n")
    events: list[Event] = []
    problems: list[str] = []
    for number, line in enumerate([*lines, last], start=1):
        found = _events(line) if line.strip() else []
        if not isinstance(found, str):
            events += found
        elif found.startswith("journal"):
            raise JournalError(f"{path}: written by another version of the guide ({found}); it is left as it is")
        elif number > len(lines):
            problems.append(f"{path}:{number}: the last line was cut short; that turn is left out")
        else:
            problems.append(f"{path}:{number}: damaged line left out ({found})")
    if problems and not events and not (data.startswith(_START) or _START.startswith(data)):
        raise JournalError(f"{path}: not a journal of this guide; it is left as it is")
    return events, problems


def _refuse(constant: str) -> NoReturn:
    raise ValueError(f"{constant} is not a number")


def _events(line: bytes) -> list[Event] | str:
    """The events of one line, none for the header; or what is wrong with it."""
    try:
        data: Any = json.loads(line.decode("utf-8"), parse_constant=_refuse)
        if not isinstance(data, dict):
            return "it is not a turn: a turn is an object"
        if "journal" in data:
            return [] if data["journal"] == VERSION else f"journal {data['journal']}"
        shared, events = {key: data[key] for key in _SHARED}, data["events"]
        if not isinstance(events, list) or not all(isinstance(own, dict) for own in events):
            return "it is not a turn: events is a list of objects"
        return [Event.from_dict({**shared, **own}) for own in events]
    except KeyError as error:
        return f"it has no {error.args[0]}"
    except (json.JSONDecodeError, UnicodeDecodeError, RecursionError):
        return "it is not JSON"
    except ValueError as error:
        return f"it is not a turn: {error}"


def _is_whole(line: bytes) -> bool:
    return not isinstance(_events(line), str)


_KIND = Kind("journal", "turn", JournalError, _is_whole)
