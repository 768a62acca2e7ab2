"""Interrupt and resume: what cannot wait comes first, and afterwards the plan stands where it was."""
from __future__ import annotations

from collections.abc import Mapping

import pytest

from guide.knowledge.records import Value
from guide.session import Session
from guide.starting import Started, start
from guide.turn import Turn

SETTLED: Mapping[str, Value] = {
    "pack": "solas_a", "persons": 6, "aboard_raft": True, "painter_cut": True, "vessel_afloat": False, "drogue_set": True,
    "all_accounted": True, "canopy_closed": True, "instructions_read": True, "leader_named": True, "lookout_posted": True,
    "seasick_pills": True, "epirb_on": True, "mayday_sent": True, "night": False}
TORN: Mapping[str, Value] = {**SETTLED, "canopy_closed": False, "canopy_damaged": True, "rough": True}


@pytest.fixture(scope="module")
def started() -> Started:
    return start()


class Talk:
    """A conversation whose clock is set by hand."""

    def __init__(self, started: Started, given: Mapping[str, Value]) -> None:
        self.minutes = 0
        self.session: Session = started.session(clock=lambda: f"2031-04-05T{6 + self.minutes // 60:02d}:{self.minutes % 60:02d}:00+00:00")
        self.session.given(given)

    def say(self, text: str, later: int = 0) -> Turn:
        self.minutes += later
        return self.session.answer(text)

    def next(self, text: str, later: int = 0) -> list[str]:
        return [item.step.id for item in self.say(text, later).next]


def bands(turn: Turn) -> list[str]:
    return [item.step.band for item in turn.next]


def test_a_plane_in_the_middle_of_a_repair_and_back_to_it(started: Started) -> None:
    talk = Talk(started, TORN)
    talk.say("what now")
    talk.say("done")
    before = talk.next("what now")
    while "canopy_torn_shelter" in before:
        talk.say("done")
        before = talk.next("what now")
    sighted = talk.say("plane!")
    assert bands(sighted) == ["chance"] * 3
    assert [step.takes_s for step in (item.step for item in sighted.next)] == [30.0, 60.0, 30.0]  # seconds' worth, as the data say
    assert sighted.advice[0].step.topic == "aircraft_sighted"
    assert talk.next("the plane has gone") == before


def test_an_emergency_goes_before_a_sighting_and_both_give_the_plan_back(started: Started) -> None:
    talk = Talk(started, SETTLED)
    before = talk.next("what now")
    assert bands(talk.say("there is a ship in sight")) == ["chance"] * 3
    hurt = talk.say("he is bleeding badly")
    assert bands(hurt) == ["emergency", "emergency", "chance"]
    assert bands(talk.say("the bleeding has stopped")) == ["chance"] * 3
    assert talk.next("the ship has gone") == before


def test_what_was_done_before_the_interruption_stays_done(started: Started) -> None:
    talk = Talk(started, SETTLED)
    first = talk.next("what now")[0]
    after_one = talk.next("done")
    assert first not in after_one
    talk.say("plane!")
    assert talk.next("the plane has gone") == after_one


def test_a_second_plane_calls_for_the_signals_anew(started: Started) -> None:
    talk = Talk(started, SETTLED)
    seen = talk.next("plane!")
    assert seen[0] not in talk.next("done")
    talk.say("the plane has gone")
    assert talk.next("another plane!", later=30) == seen


def test_what_is_due_waits_for_the_sighting_and_is_due_still(started: Started) -> None:
    talk = Talk(started, SETTLED)
    assert "watch_change" not in talk.next("what now", later=50)
    assert bands(talk.say("plane!", later=15)) == ["chance"] * 3
    assert "watch_change" in talk.next("the plane has gone")


def test_a_false_alarm_taken_back_leaves_no_trace(started: Started) -> None:
    talk = Talk(started, SETTLED)
    before = talk.next("what now")
    talk.say("plane!")
    assert talk.next("undo") == before


def test_a_sighting_that_emergencies_keep_out_is_told_all_the_same(started: Started) -> None:
    grave = {**SETTLED, "someone_bleeding": True, "leak_open": True, "someone_unconscious": True}
    turn = Talk(started, {**grave, "ship_in_sight": True}).say("what now")
    assert bands(turn) == ["emergency"] * 3
    assert [advice.step.band for advice in turn.advice] == ["emergency"] * 3 + ["chance"]
    assert {started.knowledge.cautions[name].say for name in turn.advice[3].step.cautions} <= set(turn.cautions)
    assert [advice.step.band for advice in Talk(started, grave).say("what now").advice] == ["emergency"] * 3
