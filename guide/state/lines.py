"""A file of lines that only grows: held for one process, each line on disk before `write` returns, never rewritten.

A last line that was cut short (the power went) was never acknowledged: it is cut away before the next one is written.
"""
from __future__ import annotations

import contextlib
import os
import stat
import sys
from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple, NoReturn

if sys.platform != "win32":
    import fcntl

if TYPE_CHECKING:
    from pathlib import Path


class Kind(NamedTuple):
    """What a file of lines is called in messages, and when its last line is whole without its end."""

    noun: str
    """journal, log."""
    unit: str
    """What one line holds: turn, line."""
    error: type[Exception]
    """Raised with one line for the person."""
    whole: Callable[[bytes], bool]


class LineFile:
    """A file open for more lines, held against other processes until it is closed. `data` is what it held when opened.

    With `new` a file that is there already is refused. Raises the error of its kind.
    """

    def __init__(self, path: Path | str, kind: Kind, *, new: bool = False) -> None:
        self._path, self._kind = path, kind
        self._fd = _open(path, kind, os.O_EXCL if new else 0)
        try:
            _plain_file(os.fstat(self._fd), path, kind)
            _lock(self._fd, path, kind)
            self.data = _contents(self._fd, path, kind)
        except BaseException:
            self.close()
            raise
        self._good, self._joint = _whole(self.data, kind)
        self._torn = self._good < len(self.data)

    @property
    def empty(self) -> bool:
        """Whether it held no whole line."""
        return not self.data[:self._good].strip()

    def close(self) -> None:
        """Let go of the file. Harmless when repeated."""
        if self._fd >= 0:
            os.close(self._fd)
            self._fd = -1

    def write(self, line: bytes) -> None:
        """Write a line, with its end, and return once it is on disk. Where the disk refuses, it is not in the file."""
        if self._fd < 0:
            raise self._kind.error(f"{self._path}: the {self._kind.noun} is closed")
        whole = self._joint + line
        try:
            self._cut()
            self._torn = True
            _write_all(self._fd, whole)
            os.fsync(self._fd)
        except OSError as error:
            with contextlib.suppress(OSError):
                self._cut()
            _fail(self._path, self._kind, f"this {self._kind.unit} could not be saved", error)
        self._good, self._joint, self._torn = self._good + len(whole), b"", False

    def keep_name(self) -> None:
        """Make the name of a new file last as well; not every system can."""
        with contextlib.suppress(OSError):
            fd = os.open(os.path.dirname(self._path) or os.curdir, os.O_RDONLY)
            try:
                os.fsync(fd)
            finally:
                os.close(fd)

    def _cut(self) -> None:
        """Cut away the torn end, if there is one. What fails here is tried again before the next write."""
        if self._torn:
            os.ftruncate(self._fd, self._good)
            self._torn = False


def read_data(path: Path | str, kind: Kind) -> bytes:
    """All that a file holds, without holding it. Raises the error of its kind."""
    try:
        _plain_file(os.stat(path), path, kind)
        with open(path, "rb") as file:
            return file.read()
    except OSError as error:
        _fail(path, kind, f"the {kind.noun} cannot be read", error)


def _fail(path: Path | str, kind: Kind, what: str, error: OSError) -> NoReturn:
    raise kind.error(f"{path}: {what}: {error.strerror or error}") from error


def _open(path: Path | str, kind: Kind, more: int) -> int:
    flags = os.O_RDWR | os.O_APPEND | os.O_CREAT | more | getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0)
    try:
        return os.open(path, flags, 0o600)
    except OSError as error:
        _fail(path, kind, f"the {kind.noun} cannot be opened", error)


def _plain_file(found: os.stat_result, path: Path | str, kind: Kind) -> None:
    """A device or a pipe may have no end, and keeps nothing."""
    if not stat.S_ISREG(found.st_mode):
        raise kind.error(f"{path}: the {kind.noun} must be a file, not a {'folder' if stat.S_ISDIR(found.st_mode) else 'device or pipe'}")


def _lock(fd: int, path: Path | str, kind: Kind) -> None:
    """Hold the file for this process; a file system that knows no locks is used without one."""
    if sys.platform == "win32":
        return
    try:
        fcntl.flock(fd, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError as error:
        raise kind.error(f"{path}: another guide is using this {kind.noun}; end it, or name another file") from error
    except OSError:
        return


def _contents(fd: int, path: Path | str, kind: Kind) -> bytes:
    parts = []
    try:
        while part := os.read(fd, 1 << 20):
            parts.append(part)
    except OSError as error:
        _fail(path, kind, f"the {kind.noun} cannot be read", error)
    return b"".join(parts)


def _write_all(fd: int, data: bytes) -> None:
    while data:
        data = data[os.write(fd, data):]


def _whole(data: bytes, kind: Kind) -> tuple[int, bytes]:
    """How many bytes are whole lines, and what must be written to end the last of them."""
    end = data.rfind(b"\n") + 1
    if end == len(data) or not kind.whole(data[end:]):
        return end, b""
    return len(data), b"\n"
