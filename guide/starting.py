"""What every command that answers needs: knowledge, evidence weights, sessions."""
from __future__ import annotations

import gc
import os
import time
from collections.abc import Callable, Sequence
from functools import cached_property
from typing import TYPE_CHECKING

from guide.knowledge import image
from guide.knowledge.base import Knowledge, default_place
from guide.knowledge.problems import check_command, in_one_line
from guide.language import weights
from guide.log import Keeper
from guide.session import Session
from guide.state.facts import Event
from guide.values import fits, read_value, wrong_values

if TYPE_CHECKING:
    from pathlib import Path

    from guide.answering import Answering
    from guide.language.reading import Reader
    from guide.log import Log


_TALK = ("two of us are hurt, the flor is soft and we fired a rocket", "how long does it last", "what if it gets dark")
"""One of each sort of sentence, one with a word misspelt."""
_NAMED = 5
"""Facts that are named where a talk tells some that are not known; an old journal may hold any number."""


def now() -> str:
    """The time in UTC, ISO 8601, to the second."""
    return time.strftime("%Y-%m-%dT%H:%M:%S+00:00", time.gmtime())


class Started:
    """Knowledge and what was learned of its phrases, ready for any number of sessions. What reads and answers is loaded when the first sentence is
    there, or before it by `ready`: a prompt is drawn without it."""

    def __init__(self, knowledge: Knowledge, learned: weights.Learned) -> None:
        self.knowledge, self.learned = knowledge, learned

    @cached_property
    def reader(self) -> Reader:
        """Reads sentences; the same for all sessions."""
        from guide.language.reading import Reader
        return Reader(self.knowledge, self.learned)

    def answering(self, log: Log) -> Answering:
        """What answers into a log."""
        from guide.answering import Answering
        return Answering(log, self.reader)

    def session(self, journal: Path | None = None, clock: Callable[[], str] = now,
                on_problem: Callable[[str], None] = lambda line: None) -> Session:
        """A fresh session, or the one that a journal holds; `on_problem` hears each line of what is wrong with it."""
        if journal is None:
            return self.going_on((), None, clock)
        from guide.state.journal import Journal
        keeper = Journal(journal, clock())
        for line in keeper.problems:
            on_problem(line)
        return self.going_on(keeper.events, keeper, clock, on_problem)

    def going_on(self, events: Sequence[Event], keeper: Keeper | None, clock: Callable[[], str] = now,
                 on_problem: Callable[[str], None] = lambda line: None) -> Session:
        """The session after these events, by the overlay's choices; where there are none, with what the overlay gives. What tells
        facts that this knowledge does not have, as another version may have kept them, is left out and `on_problem` hears of it."""
        known = [event for event in events if self._knows(event)]
        if len(known) < len(events):
            strange = dict.fromkeys(f"{event.name}={event.value}".lower() for event in events if not self._knows(event))
            on_problem(f"left out of this talk, for this knowledge knows no such fact or value: {_listed(list(strange))}")
        session = Session(self.knowledge, self.answering, clock, events=known, keeper=keeper, positions=self.knowledge.overlay.positions)
        if not session.events:
            session.given({name: read_value(self.knowledge.facts[name], text)
                           for name, text in self.knowledge.overlay.given.items()})
        return session

    def warm(self) -> None:
        """Do what first sentences would wait for before there is one: hold a short talk with nobody, then compile, beside whatever goes on, the
        patterns that it did not need."""
        from threading import Thread
        talk = self.session()
        for text in _TALK:
            talk.answer(text)
        Thread(target=self.reader.compile_patterns, daemon=True).start()

    def _knows(self, event: Event) -> bool:
        """Whether it tells a fact that there is, and a value which that fact can have, or no fact."""
        fact = self.knowledge.facts.get(event.name)
        return event.kind != "fact" or fact is not None and fits(fact, event.value)


def _listed(names: Sequence[str]) -> str:
    """The first of the names, each cut short, and how many more there are."""
    more = f" and {len(names) - _NAMED} more" if len(names) > _NAMED else ""
    return ", ".join(name if len(name) <= 40 else name[:40] + "..." for name in names[:_NAMED]) + more


def start(folder: Path | None = None, overlay: Path | None = None) -> Started:
    """Read the knowledge and the weights beside it. OSError with one clear line where either is unusable."""
    place = str(folder or default_place())
    knowledge, problems = image.load(folder, overlay)
    errors = [p for p in problems if p.level == "error"] + wrong_values(knowledge)
    if errors:
        raise OSError(in_one_line(errors, check_command(folder, overlay)))
    file = os.path.join(place, weights.FILE)
    learned = weights.read(file)
    if not learned.models:
        raise OSError(f"{file} is missing or damaged: run `python -m guide.learning {place}`")
    gc.freeze()  # knowledge stays for good: no collection need look at it again
    return Started(knowledge, learned)
