"""The journal: one line of JSON a turn, on disk before the turn is acknowledged, never rewritten.

A turn is one line, so it is there whole or not at all. A last line that was cut short (the power went)
is no turn: it was never acknowledged. It is reported, and cut away before the next line is written.
"""
from __future__ import annotations

import contextlib
import json
import os
import stat
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, NoReturn, Self

from guide.state.facts import Event

if sys.platform != "win32":
    import fcntl

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
        self._path = Path(path)
        self._fd = _open(self._path)
        try:
            _plain_file(os.fstat(self._fd), self._path)
            _lock(self._fd, self._path)
            data = _contents(self._fd, self._path)
            self.events, self.problems = _parse(data, self._path)
            self._good, self._joint = _whole(data)
            self._torn = self._good < len(data)
            if not data[:self._good].strip():
                self._write(_line({"journal": VERSION, "started": started, "name": name}))
                _sync_folder(self._path.parent)
        except BaseException:
            self.close()
            raise

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file. Harmless when repeated."""
        if self._fd >= 0:
            os.close(self._fd)
            self._fd = -1

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
        self._write(_line({**shared, "events": own}))

    def _write(self, line: bytes) -> None:
        if self._fd < 0:
            raise JournalError(f"{self._path}: the journal is closed")
        whole = self._joint + line
        try:
            self._cut()
            self._torn = True
            _write_all(self._fd, whole)
            os.fsync(self._fd)
        except OSError as error:
            with contextlib.suppress(OSError):
                self._cut()
            _fail(self._path, "this turn could not be saved", error)
        self._good, self._joint, self._torn = self._good + len(whole), b"", False

    def _cut(self) -> None:
        """Cut away the torn end, if there is one. What fails here is tried again before the next write."""
        if self._torn:
            os.ftruncate(self._fd, self._good)
            self._torn = False


def read(path: Path | str) -> tuple[list[Event], list[str]]:
    """The events of a journal in order, and one line for each thing wrong with it. Raises JournalError."""
    try:
        _plain_file(os.stat(path), Path(path))
        data = Path(path).read_bytes()
    except OSError as error:
        _fail(Path(path), "the journal cannot be read", error)
    return _parse(data, Path(path))


def _fail(path: Path, what: str, error: OSError) -> NoReturn:
    raise JournalError(f"{path}: {what}: {error.strerror or error}") from error


def _open(path: Path) -> int:
    flags = os.O_RDWR | os.O_APPEND | os.O_CREAT | getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0)
    try:
        return os.open(path, flags, 0o600)
    except OSError as error:
        _fail(path, "the journal cannot be opened", error)


def _plain_file(found: os.stat_result, path: Path) -> None:
    """A device or a pipe may have no end, and keeps nothing."""
    if not stat.S_ISREG(found.st_mode):
        raise JournalError(f"{path}: the journal must be a file, not a {'folder' if stat.S_ISDIR(found.st_mode) else 'device or pipe'}")


def _lock(fd: int, path: Path) -> None:
    """Hold the file for this process; a file system that knows no locks is used without one."""
    if sys.platform == "win32":
        return
    try:
        fcntl.flock(fd, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError as error:
        raise JournalError(f"{path}: another guide is using this journal; end it, or name another file") from error
    except OSError:
        return


def _contents(fd: int, path: Path) -> bytes:
    parts = []
    try:
        while part := os.read(fd, 1 << 20):
            parts.append(part)
    except OSError as error:
        _fail(path, "the journal cannot be read", error)
    return b"".join(parts)


def _write_all(fd: int, data: bytes) -> None:
    while data:
        data = data[os.write(fd, data):]


def _sync_folder(folder: Path) -> None:
    """Make the name of a new file last as well; not every system can."""
    with contextlib.suppress(OSError):
        fd = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(fd)
        finally:
            os.close(fd)


def _line(data: Mapping[str, object]) -> bytes:
    text = json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return text.encode("utf-8", "replace") + b"\n"


def _whole(data: bytes) -> tuple[int, bytes]:
    """How many bytes are whole lines, and what must be written to end the last of them."""
    end = data.rfind(b"\n") + 1
    if end == len(data) or isinstance(_events(data[end:]), str):
        return end, b""
    return len(data), b"\n"


def _parse(data: bytes, path: Path) -> tuple[list[Event], list[str]]:
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
        if "journal" in data:
            return [] if data["journal"] == VERSION else f"journal {data['journal']}"
        shared = {key: data[key] for key in _SHARED}
        return [Event.from_dict({**shared, **own}) for own in data["events"]]
    except KeyError as error:
        return f"it has no {error}"
    except (json.JSONDecodeError, UnicodeDecodeError, RecursionError):
        return "it is not JSON"
    except (ValueError, TypeError, AttributeError) as error:
        return f"it is not a turn: {error}"
