"""A conversation: what is said goes in, what was noted and what comes next go out."""
from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from guide.knowledge.base import Knowledge
from guide.knowledge.records import Value
from guide.log import Clock, Keeper, Log
from guide.planning.items import View
from guide.state.facts import Event, State

if TYPE_CHECKING:
    from guide.answering import Answering
    from guide.turn import Turn


class Session:
    """A conversation: the log so far and the last turn. What answers is made when the first is asked for: a prompt can be drawn before it is there."""

    def __init__(self, knowledge: Knowledge, answering: Callable[[Log], Answering], clock: Clock, *, events: Sequence[Event] = (),
                 keeper: Keeper | None = None, positions: Mapping[str, str] | None = None) -> None:
        self.knowledge, self._make = knowledge, answering
        self._log = Log(knowledge, clock, events, keeper, positions)
        self._answering: Answering | None = None

    @property
    def state(self) -> State:
        """What is known now."""
        return self._log.state

    @property
    def events(self) -> tuple[Event, ...]:
        """All events so far."""
        return tuple(self._log.events)

    @property
    def last(self) -> Turn | None:
        """The last turn."""
        return self._answering.last if self._answering else None

    @last.setter
    def last(self, turn: Turn | None) -> None:
        self.ready().last = turn

    def view(self, state: State | None = None) -> View:
        """A state, or what is known now, as the planner reads it."""
        return self._log.view(state)

    def given(self, facts: Mapping[str, Value]) -> None:
        """Facts stated before the first utterance."""
        self._log.given(facts)

    def happened(self, facts: Mapping[str, Value], told: str) -> None:
        """Facts that a drill brings about; `told` is what the crew hears of it. Nobody can take them back."""
        self._log.happened(facts, told)

    def answer(self, text: str) -> Turn:
        """The reply to one utterance. What it changed is kept before this returns."""
        return self.ready().answer(text)

    def done(self, step: str, text: str = "done") -> Turn:
        """The reply to a report that this step is done, be it next or not."""
        return self.ready().done(step, text)

    def ready(self) -> Answering:
        """What answers, made if it is not there yet."""
        if self._answering is None:
            self._answering = self._make(self._log)
        return self._answering
