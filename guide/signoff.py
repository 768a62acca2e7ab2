"""The sign-off file: who looked at which claim, when, and what they found. The one home of its format.

One line of JSON a review, only ever added to, beside the knowledge or where a person wants it. A review holds for the content it
was given for: once the claim's digest is another, it is stale by itself. The latest review of a claim counts.
"""
from __future__ import annotations

import json
import os
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

from guide.arguments import Misuse
from guide.knowledge.claims import Claim

FILE = "reviews.jsonl"
VERDICTS = ("agree", "doubt", "wrong")
STALE = "stale"
NEW = "not reviewed"
STATES = (NEW, STALE, *VERDICTS)
_FIELDS = ("claim", "digest", "verdict", "note", "by", "at")
_SIZE_LIMIT = 50_000_000


@dataclass(frozen=True, slots=True)
class Review:
    """One person's verdict on one claim as it was."""

    claim: str
    digest: str
    verdict: str
    note: str
    by: str
    at: str
    """ISO time."""

    def line(self) -> str:
        """`agree, by NAME, 2031-04-05: note`."""
        text = f"{self.verdict}, by {self.by}, {self.at[:10]}" + (f": {self.note}" if self.note else "")
        return "".join(character for character in text if character.isprintable())


def read(path: Path) -> tuple[Review, ...]:
    """Every review of a file in order; none where there is no file. Misuse names the line that is damaged, and the mend."""
    try:
        if path.exists() and not path.is_file():
            raise Misuse(f"{path}: not a file; reviews are kept in a plain text file")
        if path.stat().st_size > _SIZE_LIMIT:
            raise Misuse(f"{path}: larger than {_SIZE_LIMIT // 1_000_000} MB, not a file of reviews")
        data = path.read_bytes()
    except FileNotFoundError:
        return ()
    except OSError as error:
        raise Misuse(f"{path}: cannot be read: {error.strerror or error}") from error
    return tuple(_review(line, path, number) for number, line in enumerate(data.split(b"\n"), 1) if line.strip())


def _review(line: bytes, path: Path, number: int) -> Review:
    try:
        found = json.loads(line.decode("utf-8"))
        values = [found[name] for name in _FIELDS]
    except (ValueError, KeyError, TypeError, RecursionError):
        raise Misuse(f"{path}:{number}: not a review; mend or delete this line, the others are sound by themselves") from None
    if not all(isinstance(value, str) for value in values) or found["verdict"] not in VERDICTS:
        raise Misuse(f"{path}:{number}: a review has {', '.join(_FIELDS)} as text and a verdict of {', '.join(VERDICTS)}")
    return Review(*values)


def append(path: Path, review: Review) -> None:
    """Add one review and return once it is on disk. Misuse where the disk refuses; the file is then as it was."""
    line = json.dumps(asdict(review), ensure_ascii=False).encode("utf-8", "replace") + b"\n"
    try:
        with path.open("ab+", buffering=0) as file:
            end = file.seek(0, os.SEEK_END)
            _add(file.fileno(), line if end == 0 or _last(path) == b"\n" else b"\n" + line, end)
    except OSError as error:
        raise Misuse(f"{path}: the review could not be saved: {error.strerror or error}") from error


def _last(path: Path) -> bytes:
    with path.open("rb") as file:
        file.seek(-1, os.SEEK_END)
        return file.read(1)


def _add(fd: int, data: bytes, end: int) -> None:
    try:
        while data:
            data = data[os.write(fd, data):]
        os.fsync(fd)
    except OSError:
        os.ftruncate(fd, end)
        raise


def latest(reviews: Sequence[Review]) -> dict[str, Review]:
    """Claim id → the review that counts."""
    return {review.claim: review for review in reviews}


def state_of(claim: Claim, reviews: Mapping[str, Review]) -> str:
    """One of STATES: not reviewed, stale because the content changed since, or the verdict."""
    review = reviews.get(claim.id)
    if review is None:
        return NEW
    return review.verdict if review.digest == claim.digest else STALE


def told(claim: Claim, folder: Path) -> str:
    """One line about the sign-off for a person who asks why; nothing where there is no file or no review."""
    try:
        review = latest(read(folder / FILE)).get(claim.id)
    except Misuse as error:
        return str(error)
    if review is None:
        return ""
    return f"Reviewed: {review.line()}" + ("" if review.digest == claim.digest else " (the words have changed since)")
