"""Where conversations are kept: the platform's data folder, the latest session, and memory where the disk refuses."""
from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from guide.state.facts import Event
from guide.state.journal import Journal, JournalError

if TYPE_CHECKING:
    from pathlib import Path

_NAME = "liferaft-guide"
_SESSIONS = "sessions"
_TRIES = 100


def data_place(environment: Mapping[str, str] | None = None, platform: str = sys.platform) -> str:
    """The folder for this person's data. JournalError with one line where the system names none."""
    environment = os.environ if environment is None else environment
    home = os.path.expanduser("~")
    if platform == "win32":
        found = environment.get("LOCALAPPDATA") or os.path.join(home, "AppData", "Local")
    elif platform == "darwin":
        found = os.path.join(home, "Library", "Application Support")
    else:
        named = environment.get("XDG_DATA_HOME", "")
        found = named if os.path.isabs(named) else os.path.join(home, ".local", "share")
    if not os.path.isabs(found):
        raise JournalError("no folder to keep the conversation in: the system names no home folder")
    return os.path.join(found, _NAME)


def data_folder(environment: Mapping[str, str] | None = None, platform: str = sys.platform) -> Path:
    """As `data_place`, for who looks around in it."""
    from pathlib import Path
    return Path(data_place(environment, platform))


class Kept:
    """A session's keeper that never stops the talk: turns that the disk refuses wait in memory for the next try."""

    __slots__ = ("_file", "_some", "_waiting", "journal", "lines", "made")

    def __init__(self, journal: Journal | None = None, path: Path | str = "", made: bool = False, lines: Iterable[str] = ()) -> None:
        """`made`: the journal was new when it was opened; `lines` as the attribute; no path in memory."""
        self.journal, self._file, self.made = journal, str(path), made
        self.lines = list(lines)
        """What there is to tell the crew about the keeping; emptied by whoever shows it."""
        self._waiting: list[tuple[Event, ...]] = []
        self._some = False

    @property
    def path(self) -> Path | None:
        """The file of the journal; None in memory."""
        from pathlib import Path
        return Path(self._file) if self._file else None

    @property
    def events(self) -> tuple[Event, ...]:
        """What the journal held when it was opened."""
        return tuple(self.journal.events) if self.journal else ()

    def append(self, events: Sequence[Event]) -> None:
        """Keep the events of one turn on disk, or in memory with a line saying so once."""
        if not events:
            return
        refused = bool(self._waiting)
        self._some = True
        self._waiting.append(tuple(events))
        if self.journal is None:
            return
        try:
            while self._waiting:
                self.journal.append(self._waiting[0])
                self._waiting.pop(0)
        except JournalError as error:
            self.lines += [] if refused else [f"{error}. The chat goes on in memory only."]
            return
        self.lines += ["Saving works again: nothing is lost."] if refused else []

    def move(self, path: Path, at: str) -> None:
        """Go on under another file name; `at` is the time now, ISO. Raises JournalError where that cannot be."""
        if self.journal is None or not self._file:
            raise JournalError("this conversation is in memory only: there is no file to name")
        self.journal.close()
        try:
            os.rename(self._file, path)
            self._file = str(path)
        except OSError as error:
            raise JournalError(f"{path}: the session cannot be renamed: {error.strerror or error}") from error
        finally:
            self._reopen(at)

    def _reopen(self, at: str) -> None:
        self.journal = None
        if self._file:
            try:
                self.journal = Journal(self._file, at)
            except JournalError as error:
                self.lines.append(f"{error}. The chat goes on in memory only.")

    def farewell(self) -> str:
        """One line about what is saved."""
        if self._waiting:
            turns = len({event.turn for events in self._waiting for event in events})
            return f"Not saved: {turns} turn{'' if turns == 1 else 's'} of this chat, kept in memory only."
        if not (self._some or self.events):
            return "There was nothing to save."
        return f"All is saved in {self._file}."

    def close(self) -> None:
        """Let go of the journal; one that never held a turn is taken away."""
        if self.journal is None:
            return
        self.journal.close()
        if self.made and not self._some:
            with contextlib.suppress(OSError):
                os.unlink(self._file)
        self.journal = None


def opened(path: Path | str, at: str) -> Kept:
    """The journal at `path`, made where there is none. Raises JournalError."""
    made, folder = not os.path.exists(path), os.path.dirname(path) or os.curdir
    try:
        os.makedirs(folder, mode=0o700, exist_ok=True)
    except OSError as error:
        raise JournalError(f"{folder}: the folder cannot be made: {error.strerror or error}") from error
    journal = Journal(path, at)
    return Kept(journal, path, made, journal.problems)


def in_memory(reason: object) -> Kept:
    """A keeper without a file, and why."""
    return Kept(lines=[f"{reason}. The chat goes on in memory only: nothing is saved."])


def fresh(at: str) -> Kept:
    """A new session in the data folder, named by its time (ISO); in memory where that cannot be."""
    try:
        folder = os.path.join(data_place(), _SESSIONS)
        stem = at[:19].replace("T", "-").replace(":", "")
        names = [stem, *(f"{stem}-{number}" for number in range(2, _TRIES))]
        return opened(next(path for name in names if not os.path.exists(path := os.path.join(folder, f"{name}.jsonl"))), at)
    except (JournalError, StopIteration, OSError) as error:
        return in_memory(error)


def latest(at: str) -> Kept:
    """The session last gone on with; a new one where there is none or it cannot be opened."""
    try:
        folder = os.path.join(data_place(), _SESSIONS)
        names = [name for name in os.listdir(folder) if name.endswith(".jsonl")] if os.path.isdir(folder) else []
        paths = [os.path.join(folder, name) for name in sorted(names, key=lambda name: (_changed(os.path.join(folder, name)), name))]
    except (JournalError, OSError) as error:
        return in_memory(error)
    if not paths:
        return fresh(at)
    return _or_else(lambda: opened(paths[-1], at), lambda: fresh(at))


def _or_else(first: Callable[[], Kept], second: Callable[[], Kept]) -> Kept:
    try:
        return first()
    except JournalError as error:
        kept = second()
        kept.lines.insert(0, f"{error}.")
        return kept


def _changed(path: str) -> float:
    try:
        return os.stat(path).st_mtime
    except OSError:
        return 0.0
