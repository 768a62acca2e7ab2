"""What a drill watches for while it is played: expectations as they open and are met, harm as it is done."""
from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from guide.drills.acting import does
from guide.drills.records import Deed, Harm, Scenario
from guide.knowledge.base import Knowledge
from guide.knowledge.conditions import Condition
from guide.turn import Turn

Lookup = Callable[[str], object]

_NO_TURN = -1
"""Neglect is no turn's doing, so that no turn taken back makes it good."""


def all_true(conditions: Sequence[Condition], look: Lookup) -> bool:
    """Whether every condition holds on what `look` gives."""
    return all(condition.holds(look) for condition in conditions)


@dataclass(frozen=True, slots=True)
class Mark:
    """When something was done, and in which turn of the talk, so that taking the turn back takes it back."""

    t_s: float
    turn: int


@dataclass(slots=True)
class Watch:
    """Looks at each act and at each step of time."""

    scenario: Scenario
    knowledge: Knowledge
    opened: dict[str, float] = field(default_factory=dict)
    """Expectation → when its window opened."""
    met: dict[str, Mark] = field(default_factory=dict)
    harms: dict[str, list[Mark]] = field(default_factory=dict)
    _since: dict[str, float] = field(default_factory=dict)
    """Harm of neglect → since when its conditions hold."""

    def open(self, event: str, t_s: float) -> None:
        """The start (empty) or an event opens the windows that wait for it."""
        for expectation in self.scenario.expect:
            if expectation.since == event:
                self.opened[expectation.id] = t_s

    def look(self, t_s: float, look: Lookup, known: Mapping[str, object], turn: int) -> None:
        """What holds now: facts that are as expected, and neglect that has lasted too long.

        An expectation is met by what is known, not by what the planner presumes.
        """
        for expectation in self.scenario.expect:
            waits = expectation.id in self.opened and expectation.id not in self.met
            if waits and self._brought_about(expectation.deed, known):
                self.met[expectation.id] = Mark(t_s, turn)
        for harm in self.scenario.harmful:
            if harm.deed is None:
                self._neglect(harm, t_s, look)

    def act(self, t_s: float, turn: Turn, steps: Sequence[str], look: Lookup, number: int) -> None:
        """What one turn did, under the state after it."""
        for expectation in self.scenario.expect:
            waits = expectation.id in self.opened and expectation.id not in self.met
            if waits and does(expectation.deed, turn, steps):
                self.met[expectation.id] = Mark(t_s, number)
        for harm in self.scenario.harmful:
            if harm.deed is not None and does(harm.deed, turn, steps) and all_true(harm.when, look):
                self.harms.setdefault(harm.id, []).append(Mark(t_s, number))

    def take_back(self, turn: int) -> None:
        """The turn was taken back: it did nothing."""
        self.met = {name: mark for name, mark in self.met.items() if mark.turn != turn}
        self.harms = {name: left for name, marks in self.harms.items() if (left := [m for m in marks if m.turn != turn])}

    def _brought_about(self, deed: Deed, known: Mapping[str, object]) -> bool:
        if deed.kind == "fact":
            return deed.name in known and known[deed.name] == deed.value
        step = self.knowledge.steps.get(deed.name) if deed.kind == "step" else None
        return step is not None and bool(step.done_when) and all_true(step.done_when, known.get)

    def _neglect(self, harm: Harm, t_s: float, look: Lookup) -> None:
        if not all_true(harm.when, look):
            self._since.pop(harm.id, None)
            return
        since = self._since.setdefault(harm.id, t_s)
        told = self.harms.get(harm.id, [])
        if t_s - since >= harm.lasts_s and not any(mark.t_s >= since for mark in told):
            self.harms.setdefault(harm.id, []).append(Mark(t_s, _NO_TURN))
