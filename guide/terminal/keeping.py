"""Where conversations are kept: the platform's data folder, the latest session, and memory where the disk refuses."""
from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path

from guide.state.facts import Event
from guide.state.journal import Journal, JournalError

_NAME = "liferaft-guide"
_TRIES = 100


def data_folder(environment: Mapping[str, str] | None = None, platform: str = sys.platform) -> Path:
    """The folder for this person's data. JournalError with one line where the system names none."""
    environment = os.environ if environment is None else environment
    try:
        if platform == "win32":
            return Path(environment.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local") / _NAME
        if platform == "darwin":
            return Path.home() / "Library" / "Application Support" / _NAME
        named = Path(environment.get("XDG_DATA_HOME", ""))
        return (named if named.is_absolute() else Path.home() / ".local" / "share") / _NAME
    except RuntimeError as error:
        raise JournalError("no folder to keep the conversation in: the system names no home folder") from error


class Kept:
    """A session's keeper that never stops the talk: turns that the disk refuses wait in memory for the next try."""

    __slots__ = ("_some", "_waiting", "journal", "lines", "made", "path")

    def __init__(self, journal: Journal | None = None, path: Path | None = None, made: bool = False, lines: Iterable[str] = ()) -> None:
        """`made`: the journal was new when it was opened; `lines` as the attribute."""
        self.journal, self.path, self.made = journal, path, made
        self.lines = list(lines)
        """What there is to tell the crew about the keeping; emptied by whoever shows it."""
        self._waiting: list[tuple[Event, ...]] = []
        self._some = False

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
        if self.journal is None or self.path is None:
            raise JournalError("this conversation is in memory only: there is no file to name")
        self.journal.close()
        try:
            self.path.rename(path)
            self.path = path
        except OSError as error:
            raise JournalError(f"{path}: the session cannot be renamed: {error.strerror or error}") from error
        finally:
            self._reopen(at)

    def _reopen(self, at: str) -> None:
        self.journal, path = None, self.path
        if path is not None:
            try:
                self.journal = Journal(path, at)
            except JournalError as error:
                self.lines.append(f"{error}. The chat goes on in memory only.")

    def farewell(self) -> str:
        """One line about what is saved."""
        if self._waiting:
            turns = len({event.turn for events in self._waiting for event in events})
            return f"Not saved: {turns} turn{'' if turns == 1 else 's'} of this chat, kept in memory only."
        if not (self._some or self.events):
            return "There was nothing to save."
        return f"All is saved in {self.path}."

    def close(self) -> None:
        """Let go of the journal; one that never held a turn is taken away."""
        if self.journal is None:
            return
        self.journal.close()
        if self.made and not self._some and self.path is not None:
            with contextlib.suppress(OSError):
                self.path.unlink()
        self.journal = None


def opened(path: Path, at: str) -> Kept:
    """The journal at `path`, made where there is none. Raises JournalError."""
    made = not path.exists()
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise JournalError(f"{path.parent}: the folder cannot be made: {error.strerror or error}") from error
    journal = Journal(path, at)
    return Kept(journal, path, made, journal.problems)


def in_memory(reason: object) -> Kept:
    """A keeper without a file, and why."""
    return Kept(lines=[f"{reason}. The chat goes on in memory only: nothing is saved."])


def fresh(at: str) -> Kept:
    """A new session in the data folder, named by its time (ISO); in memory where that cannot be."""
    try:
        folder = data_folder() / "sessions"
        stem = at[:19].replace("T", "-").replace(":", "")
        names = [stem, *(f"{stem}-{number}" for number in range(2, _TRIES))]
        return opened(next(path for name in names if not (path := folder / f"{name}.jsonl").exists()), at)
    except (JournalError, StopIteration, OSError) as error:
        return in_memory(error)


def latest(at: str) -> Kept:
    """The session last gone on with; a new one where there is none or it cannot be opened."""
    try:
        paths = sorted((data_folder() / "sessions").glob("*.jsonl"), key=lambda path: (_changed(path), path.name))
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


def _changed(path: Path) -> float:
    try:
        return path.stat().st_mtime
    except OSError:
        return 0.0
