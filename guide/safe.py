"""What comes from outside, made safe: text that moves no cursor when it is printed, files that have an end."""
from __future__ import annotations

import errno
import os
import stat
from typing import TYPE_CHECKING, BinaryIO

if TYPE_CHECKING:
    from pathlib import Path

LARGEST = 50_000_000
"""Bytes of a file that is read; nothing of a crew's comes near."""


class Damaged(OSError):
    """A file that is read while the guide runs is not as it was made: one line that names it and the mend."""


def safe(text: str) -> str:
    """The text with `?` for each character that would act on a terminal instead of being shown; line breaks stay."""
    return text if text.isprintable() else "".join(c if c.isprintable() or c == "\n" else "?" for c in text)


def read_file(path: Path | str, most: int = LARGEST) -> bytes:
    """All of a plain file. OSError as `plain_file`."""
    with plain_file(path, most) as file:
        return file.read()


def plain_file(path: Path | str, most: int = LARGEST) -> BinaryIO:
    """A plain file, open. OSError where it cannot be read, is larger than `most` bytes, or is a device or a pipe, which may never end."""
    found = os.stat(path)
    if not stat.S_ISREG(found.st_mode):
        raise OSError(errno.EINVAL, os.strerror(errno.EISDIR) if stat.S_ISDIR(found.st_mode) else "a device or a pipe is no file")
    if found.st_size > most:
        raise OSError(errno.EFBIG, f"larger than {most // 1_000_000} MB")
    return open(path, "rb", buffering=0)
