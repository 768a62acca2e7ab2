"""The log of a talk: its events, what is known by them, the plan's view of that. Clock and journal are handed in."""
from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Protocol

from guide.knowledge.base import Knowledge
from guide.knowledge.records import Value
from guide.language.wording import clean
from guide.planning.items import View
from guide.state.facts import Event, State, after, fold

Clock = Callable[[], str]
"""The time now as ISO 8601 text."""


class Keeper(Protocol):
    """Where events are kept before the answer is shown."""

    def append(self, events: Sequence[Event]) -> None:
        """Keep the events of one turn, or raise."""


class Log:
    """The events so far, and the turn that is being written into it."""

    def __init__(self, knowledge: Knowledge, clock: Clock, events: Sequence[Event] = (), keeper: Keeper | None = None,
                 positions: Mapping[str, str] | None = None) -> None:
        self.knowledge, self._clock, self._keeper = knowledge, clock, keeper
        self.events: list[Event] = list(events)
        self.state: State = fold(self.events)
        self.at = ""
        """When the turn that is being written began."""
        self._positions = dict(positions or {})
        self._turns = max((event.turn for event in self.events), default=0)
        self._view: View | None = None
        self._supposed: View | None = None

    def view(self, state: State | None = None) -> View:
        """A state, or what is known now, as the planner reads it; the last one of each is kept, as it remembers what it has looked at."""
        if self._view is None or self._view.state is not self.state:
            self._view = View(self.knowledge, self.state, self._positions, before=self._view)
        if state is None or state is self.state:
            return self._view
        if self._supposed is None or self._supposed.state is not state:
            self._supposed = View(self.knowledge, state, self._positions, before=self._view)
        return self._supposed

    def given(self, facts: Mapping[str, Value]) -> None:
        """Facts stated before the first utterance."""
        self._enter(facts, "given", "given at the start")

    def happened(self, facts: Mapping[str, Value], told: str) -> None:
        """Facts that a drill brings about; `told` is what the crew hears of it. Nobody can take them back."""
        self._turns += 1
        self._enter(facts, "drill", told)

    def _enter(self, facts: Mapping[str, Value], by: str, text: str) -> None:
        self.at = self._clock()
        self.keep([Event("fact", self._turns, self.at, by, name, value, self.state.value(name), text) for name, value in facts.items()])

    def begin(self) -> None:
        """A new turn of the crew; all of it happens at one time."""
        self._turns += 1
        self.at = self._clock()

    def event(self, kind: str, name: str, value: object, was: object = None, text: str = "") -> Event:
        """An event of this turn, of what the crew said."""
        return Event(kind, self._turns, self.at, "crew", name, value, was, clean(text))

    def heard(self, text: str) -> Callable[[str, object, object], Event]:
        """Makes the events of facts that the crew tells in this turn."""
        return lambda fact, value, was: self.event("fact", fact, value, was, text)

    def keep(self, events: Sequence[Event]) -> None:
        """Enter these; what is known is what they say from then on. Raises where they cannot be kept, and enters nothing."""
        if not events:
            return
        if self._keeper:
            self._keeper.append(events)
        self.state = after(self.state, self.events, events)
        self.events.extend(events)

    def without(self, turn: int) -> State:
        """What would be known without one turn."""
        return after(self.state, self.events, [self.event("undo", "turn", turn)])
