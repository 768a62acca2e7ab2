"""What every command that answers needs: knowledge, evidence weights, the reader."""
from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from guide.knowledge import compiling
from guide.knowledge.compiling import Knowledge
from guide.language import weights
from guide.language.reading import Reader
from guide.session import Session
from guide.state.journal import Journal


def now() -> str:
    """The time in UTC, ISO 8601, to the second."""
    return datetime.now(UTC).replace(microsecond=0).isoformat()


@dataclass(frozen=True, slots=True)
class Started:
    """Knowledge and reader, ready for any number of sessions."""

    knowledge: Knowledge
    reader: Reader

    def session(self, journal: Path | None = None, clock: Callable[[], str] = now) -> Session:
        """A fresh session, or the one that a journal holds."""
        if journal is None:
            return Session(self.knowledge, self.reader, clock)
        keeper = Journal(journal, clock())
        return Session(self.knowledge, self.reader, clock, events=keeper.events, keeper=keeper)


def start(folder: Path | None = None) -> Started:
    """Read the knowledge and the weights beside it. OSError with one clear line where either is unusable."""
    folder = folder or compiling.default_folder()
    knowledge, problems = compiling.load(folder)
    errors = [p for p in problems if p.level == "error"]
    if errors:
        raise OSError(f"{errors[0].line()}; {len(errors)} error(s) in all: run `guide check {folder}`")
    made_from, models = weights.read(folder / weights.FILE)
    if not models:
        raise OSError(f"{folder / weights.FILE} is missing or damaged: run `python -m guide.language.training {folder}`")
    return Started(knowledge, Reader(knowledge, models))
