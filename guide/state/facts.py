"""What is known, as a fold over events: a value, who said it, when, and what it replaced.

Unknown is the absence of an entry. Undo is an event like any other: the fold leaves out what the
undone turn changed, so whatever stood before it (unknown included) stands again.
"""
from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from types import MappingProxyType
from typing import Any, NamedTuple

KINDS = ("fact", "done", "undo", "note")
STAYING = ("given", "drill")
"""Whose events nobody can take back."""
_PLAIN = (bool, int, float, str, type(None))
_TYPES: Mapping[str, tuple[type, ...]] = MappingProxyType({
    "kind": (str,), "turn": (int,), "at": (str,), "by": (str,), "name": (str,), "value": _PLAIN, "was": _PLAIN,
    "text": (str,)})
_IN_WORDS: Mapping[tuple[type, ...], str] = MappingProxyType({
    (str,): "text", (int,): "a whole number", _PLAIN: "text, a number, true, false or null"})


class Event(NamedTuple):
    """Something that was said or decided in one turn."""

    kind: str
    """fact, done (a step), undo (`name` "turn", `value` its number) or note (changes nothing)."""
    turn: int
    at: str
    """ISO time."""
    by: str
    """crew, given (before the first utterance), drill (an exercise brought it about) or guide."""
    name: str
    """The fact or the step."""
    value: object = None
    """The fact's value, None for unknown; True for a step that is done."""
    was: object = None
    text: str = ""
    """The utterance."""

    def to_dict(self) -> dict[str, object]:
        """The event as plain data for JSON."""
        return {"kind": self.kind, "turn": self.turn, "at": self.at, "by": self.by, "name": self.name,
                "value": self.value, "was": self.was, "text": self.text}

    @classmethod
    def from_dict(cls, data: Mapping[str, Any]) -> Event:
        """The event of `to_dict`. Raises ValueError, naming a field and what it may be, on anything else."""
        for key, types in _TYPES.items():
            if type(data.get(key)) not in types:
                raise ValueError(f"{key} is {_IN_WORDS[types]}")
        if data["turn"] < 0:
            raise ValueError("turn is 0 or more")
        if data["kind"] not in KINDS:
            raise ValueError(f"kind is one of {', '.join(KINDS)}")
        if data["kind"] == "undo" and type(data["value"]) is not int:
            raise ValueError("the value of an undo is the number of a turn")
        fields: dict[str, Any] = {key: data.get(key) for key in _TYPES}
        return cls(**fields)


class Entry(NamedTuple):
    """A known value (True for a step that is done) and who said so, when."""

    value: object
    turn: int
    at: str
    by: str
    text: str
    was: object = None
    """The value before the last change, None for unknown; a repetition is no change."""
    turned: int = 0
    """The turn of the last change."""


class State(NamedTuple):
    """All that is known after some turn."""

    facts: Mapping[str, Entry] = MappingProxyType({})
    done: Mapping[str, Entry] = MappingProxyType({})
    """Step → when it was last done."""
    turn: int = 0
    at: str = ""
    """The time of the last event, ISO."""

    @staticmethod
    def empty() -> State:
        """Nothing is known."""
        return State()

    def apply(self, event: Event) -> State:
        """The state after one more event. An undo needs the events before it: see `after`."""
        facts, done = self.facts, self.done
        if event.kind == "fact":
            facts = dict(facts)
            _enter(facts, event)
        elif event.kind == "done":
            done = dict(done)
            _enter(done, event)
        return State(facts, done, max(self.turn, event.turn), event.at or self.at)

    def value(self, fact: str) -> object:
        """The fact's value, None where unknown."""
        entry = self.facts.get(fact)
        return None if entry is None else entry.value

    def known(self) -> dict[str, object]:
        """Every known fact."""
        return {name: entry.value for name, entry in self.facts.items()}


def _enter(entries: dict[str, Entry], event: Event) -> None:
    before = entries.get(event.name)
    if event.value is None:
        entries.pop(event.name, None)
        return
    was, turned = (None, event.turn) if before is None else (before.value, event.turn)
    if before is not None and before.value == event.value:
        was, turned = before.was, before.turned
    entries[event.name] = Entry(event.value, event.turn, event.at, event.by, event.text, was, turned)


def _undoable(event: Event) -> bool:
    """Whether the event changes something that the crew can take back; what was given or happened in a drill stays."""
    changes = event.kind == "done" or (event.kind == "fact" and event.value != event.was)
    return changes and event.by not in STAYING


def fold(events: Iterable[Event]) -> State:
    """The state after all events, without what the turns that were undone had changed."""
    events = list(events)
    undone = {event.value for event in events if event.kind == "undo"}
    facts: dict[str, Entry] = {}
    done: dict[str, Entry] = {}
    turn, at = 0, ""
    for event in events:
        turn, at = max(turn, event.turn), event.at or at
        if event.kind in ("fact", "done") and (event.by in STAYING or event.turn not in undone):
            _enter(facts if event.kind == "fact" else done, event)
    return State(facts, done, turn, at)


def after(state: State, events: Sequence[Event], new: Sequence[Event]) -> State:
    """The state after the events of one more turn, where `state` is the fold of `events`: only an undo looks at all of them."""
    if any(event.kind == "undo" for event in new):
        return fold([*events, *new])
    for event in new:
        state = state.apply(event)
    return state


def last_undoable(events: Sequence[Event], names: Collection[str] = ()) -> int | None:
    """The latest turn that changed something, or one of the facts of these names, and is not undone. Events stand in the order of their turns."""
    undone: set[object] = set()
    for event in reversed(events):
        if event.kind == "undo":
            undone.add(event.value)
        elif _undoable(event) and event.turn not in undone and (not names or event.name in names):
            return event.turn
    return None


def supposing(state: State, facts: Mapping[str, object]) -> State:
    """A copy in which the facts are as supposed (None: unknown)."""
    after = state
    for name, value in facts.items():
        after = after.apply(Event("fact", state.turn + 1, state.at, "supposed", name, value, state.value(name)))
    return after


def same(one: object, two: object) -> bool:
    """Whether two values are alike; numbers but for what is lost in reckoning."""
    if isinstance(one, bool) or isinstance(two, bool) or one is None or two is None:
        return one is two
    if isinstance(one, (int, float)) and isinstance(two, (int, float)):
        return abs(one - two) < 1e-6
    return one == two


def changed(before: State, after: State) -> list[tuple[str, object, object]]:
    """Every fact whose value is not what it was, with that and what it is now."""
    old, new = before.known(), after.known()
    return [(fact, old.get(fact), new.get(fact)) for fact in dict.fromkeys((*old, *new)) if not same(old.get(fact), new.get(fact))]
