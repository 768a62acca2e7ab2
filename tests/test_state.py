"""The fold over events: unknown is a value, undo is an event, and a replay gives what was lived."""
from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guide.state.facts import Event, State, after, fold, last_undoable, supposing

FACTS = ("drogue_set", "floor_inflated", "water", "persons")
VALUES = st.none() | st.booleans() | st.integers(2, 90) | st.floats(2.5, 9.5)


def at(turn: int) -> str:
    return f"2026-03-01T10:{turn:02d}:00+00:00"


def said(turn: int, name: str, value: object, was: object = None) -> Event:
    return Event("fact", turn, at(turn), "crew", name, value, was, f"turn {turn}")


def undo(turn: int, target: int) -> Event:
    return Event("undo", turn, at(turn), "crew", "turn", target)


@st.composite
def stories(draw: st.DrawFn) -> list[Event]:
    """Turns that report, do, undo or only talk, as a session would write them."""
    events: list[Event] = []
    for turn in range(1, draw(st.integers(1, 12)) + 1):
        kind = draw(st.sampled_from(["fact", "done", "undo", "note"]))
        if kind == "fact":
            for name in draw(st.lists(st.sampled_from(FACTS), min_size=1, max_size=3, unique=True)):
                events.append(said(turn, name, draw(VALUES), fold(events).value(name)))
        elif kind == "done":
            events.append(Event("done", turn, at(turn), "crew", draw(st.sampled_from(["bail", "pump"])), True))
        elif kind == "undo":
            target = last_undoable(events)
            events += [undo(turn, target)] if target is not None else []
        else:
            events.append(Event("note", turn, at(turn), "crew", "", None, None, "how far can we see"))
    return events


def test_nothing_is_known_at_first() -> None:
    assert State.empty().known() == {}
    assert State.empty().value("drogue_set") is None


def test_a_report_keeps_who_said_it_and_when() -> None:
    state = State.empty().apply(said(3, "drogue_set", False))
    entry = state.facts["drogue_set"]
    assert (entry.value, entry.turn, entry.at, entry.by, entry.text) == (False, 3, at(3), "crew", "turn 3")
    assert (state.turn, state.at) == (3, at(3))


def test_false_is_not_unknown() -> None:
    state = State.empty().apply(said(1, "drogue_set", False))
    assert state.known() == {"drogue_set": False}
    assert state.apply(said(2, "drogue_set", None)).known() == {}


def test_apply_leaves_the_earlier_state_alone() -> None:
    before = State.empty().apply(said(1, "water", 4.0))
    before.apply(said(2, "water", 3.0))
    assert before.value("water") == 4.0


def test_a_repetition_is_newer_but_no_change() -> None:
    state = fold([said(1, "someone_bleeding", False), said(4, "someone_bleeding", True, False),
                  said(6, "someone_bleeding", True, True)])
    entry = state.facts["someone_bleeding"]
    assert (entry.turn, entry.turned, entry.was) == (6, 4, False)


def test_undo_restores_unknown() -> None:
    assert fold([said(1, "drogue_set", True), undo(2, 1)]).known() == {}


def test_undo_restores_the_value_before() -> None:
    events = [said(1, "water", 4.0), said(2, "water", 3.0, 4.0), undo(3, 2)]
    assert fold(events).value("water") == 4.0
    assert fold(events).facts["water"].turn == 1


def test_undo_takes_back_all_of_a_turn_and_nothing_else() -> None:
    events = [said(1, "drogue_set", True), Event("done", 2, at(2), "crew", "bail", True), said(2, "raft_dry", True),
              said(3, "persons", 6), undo(4, 2)]
    state = fold(events)
    assert state.known() == {"drogue_set": True, "persons": 6}
    assert not state.done
    assert (state.turn, state.at) == (4, at(4))


def test_several_undos_step_back_further() -> None:
    events = [said(1, "water", 4.0), said(2, "water", 3.0, 4.0), said(3, "water", 2.0, 3.0)]
    seen = []
    for turn in (4, 5, 6):
        target = last_undoable(events)
        assert target is not None
        events.append(undo(turn, target))
        seen.append(fold(events).value("water"))
    assert seen == [3.0, 4.0, None]
    assert last_undoable(events) is None


def test_only_a_change_can_be_undone() -> None:
    note = Event("note", 4, at(4), "crew", "", None, None, "why")
    assert last_undoable([said(1, "water", 4.0), said(2, "water", 4.0, 4.0), note]) == 1
    assert last_undoable([note]) is None


def test_what_was_given_at_the_start_stays() -> None:
    start = said(0, "pack", "coastal")._replace(by="given")
    assert last_undoable([start]) is None
    assert fold([start, said(1, "water", 1.0), undo(2, 1)]).known() == {"pack": "coastal"}
    assert fold([start, said(0, "water", 1.0), undo(1, 0)]).known() == {"pack": "coastal"}


def test_supposing_changes_a_copy() -> None:
    state = fold([said(1, "drogue_set", True), said(1, "water", 4.0)])
    supposed = supposing(state, {"drogue_set": False, "water": None, "rough": True})
    assert supposed.known() == {"drogue_set": False, "rough": True}
    assert supposed.facts["rough"].by == "supposed"
    assert state.known() == {"drogue_set": True, "water": 4.0}


@given(stories())
def test_replay_equals_live(events: list[Event]) -> None:
    """Turn by turn with undo, against one fold over what was written down."""
    live = State.empty()
    for n, event in enumerate(events, start=1):
        live = after(live, events[:n - 1], [event])
    assert fold(Event.from_dict(event.to_dict()) for event in events) == live


@given(stories())
def test_undo_gives_the_facts_before_the_turn(events: list[Event]) -> None:
    target = last_undoable(events)
    if target is None:
        return
    turn = max(event.turn for event in events) + 1
    undone = fold([*events, undo(turn, target)])
    without = fold(event for event in events if event.turn != target)
    assert (undone.facts, undone.done) == (without.facts, without.done)


@pytest.mark.parametrize(("change", "says"), [
    ({"turn": -1}, "turn is 0 or more"), ({"kind": "wish"}, "kind is one of fact, done, undo, note"), ({"turn": "1"}, "turn is a whole number"),
    ({"turn": True}, "turn is a whole number"), ({"turn": None}, "turn is a whole number"), ({"at": 7}, "at is text"), ({"name": None}, "name is text"),
    ({"value": [1]}, "value is text, a number, true, false or null"), ({"was": {}}, "was is text, a number"),
    ({"kind": "undo", "value": "one"}, "the value of an undo is the number of a turn")])
def test_what_is_no_event_is_refused_by_its_field(change: dict[str, object], says: str) -> None:
    with pytest.raises(ValueError, match=says):
        Event.from_dict({**said(1, "water", 4.0).to_dict(), **change})
