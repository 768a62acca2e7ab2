"""What was said in a talk so far, as far as it helps to understand what is said next."""
from __future__ import annotations

from collections.abc import Iterable

from guide.knowledge.base import Knowledge
from guide.state.facts import Event, State
from guide.talk.before import Talk, subject, troubles
from guide.turn import Turn


class SoFar:
    """Remembers the subject, the troubles and the words of one talk, turn by turn."""

    def __init__(self, knowledge: Knowledge, events: Iterable[Event]) -> None:
        self._knowledge = knowledge
        self.subject: str | None = None
        """The topic that is spoken of."""
        self.sounded: str | None = None
        """Like which topic the turn before sounded, where it was refused."""
        self._troubles: tuple[str, ...] = ()
        self._said: dict[str, str] = {}
        self.take_in(events)

    def take_in(self, events: Iterable[Event]) -> None:
        """Remember in which words the crew told each fact last."""
        self._said.update((event.name, event.text) for event in events if event.kind == "fact" and event.by == "crew")

    def after(self, turn: Turn, counted: str | None) -> None:
        """Remember what a turn was about, and the item that it counted."""
        reported = turn.topic if turn.readings and turn.readings[0].kind == "report" else None
        self._troubles = troubles(self._knowledge, reported, self._troubles)
        self.subject = subject(turn.topic if turn.outcome == "answered" else None, self.subject, counted)

    def talk(self, last: Turn | None, state: State) -> Talk:
        """What was said before, for what is said now. `last`: the turn before."""
        if last is None:
            return Talk(self._knowledge, known=state.known())
        coming = frozenset(item.step.topic for item in last.next)
        return Talk(self._knowledge, self.subject, state.known(), last.topic or self.sounded, coming, begun=True, said=self._said, troubles=self._troubles)
