"""What the crew has just told is heard in the plan of that turn: it has a place among the next steps, and what is urgent keeps its own."""
from __future__ import annotations

from collections.abc import Mapping

import pytest

from guide.knowledge.records import Value
from guide.planning.planner import URGENT, plan
from guide.starting import Started, start
from guide.turn import Turn
from tests.talking import AT, last, turns

ADRIFT: Mapping[str, Value] = {"persons": 5, "aboard_raft": True, "painter_cut": True, "vessel_afloat": False}


@pytest.fixture(scope="module")
def started() -> Started:
    return start()


def topics(turn: Turn) -> list[str]:
    return [item.step.topic for item in turn.next]


@pytest.mark.parametrize("text, topic", [
    ("nobody is in charge", "leader_and_watches"), ("nobody is keeping a lookout", "lookout"), ("we have not put the sea anchor out", "drogue"),
    ("it's raining", "collect_rain"), ("two of us are seasick", "seasickness"), ("there is water in the bottom of the raft, it isn't dry", "bail_and_dry")])
def test_what_is_told_keeps_the_last_place(started: Started, text: str, topic: str) -> None:
    session = started.session(clock=lambda: AT)
    session.given(ADRIFT)
    turn = session.answer(text)
    usual = [item.step.id for item in plan(session.view(), AT)]
    assert topic in topics(turn)
    assert [item.step.id for item in turn.next][:2] == usual[:2] and len(turn.next) == 3
    assert topic not in [session.view().knowledge.steps[step].topic for step in usual[:2]]


@pytest.mark.parametrize("text, topic", [("the beacon is on", "epirb"), ("the floor is pumped up hard", "inflate_floor"), ("we have listed all the gear", "take_inventory")])
def test_a_job_that_is_done_brings_no_more_of_it_forward(started: Started, text: str, topic: str) -> None:
    session = started.session(clock=lambda: AT)
    session.given(ADRIFT)
    turn = session.answer(text)
    assert turn.changes and topic not in topics(turn)
    assert [item.step.id for item in turn.next] == [item.step.id for item in plan(session.view(), AT)]


@pytest.mark.parametrize("text, topic", [
    ("Ana has stopped sweating, her skin is hot and she talks nonsense", "heat_illness"), ("Tom has burnt both hands, big blisters", "burns"),
    ("Joe fell off the ladder and can't feel his legs", "head_or_spine")])
def test_a_casualty_whom_the_plan_knows_nothing_of_goes_first(started: Started, text: str, topic: str) -> None:
    said, done = turns(started, text, "done", given=ADRIFT)
    assert topics(said)[0] == topic and said.next[0].step.id == said.advice[0].step.id
    assert said.next[0].step.id not in [item.step.id for item in done.next]


def test_a_casualty_waits_for_what_is_urgent(started: Started) -> None:
    bleeding, burnt = turns(started, "Tom is bleeding badly", "now Ana has burnt her hand", given={**ADRIFT, "all_accounted": True})
    pressing = [item.step.id for item in bleeding.next if item.step.band in URGENT]
    assert pressing and [item.step.id for item in burnt.next][:len(pressing)] == pressing
    assert len(pressing) == 3 or topics(burnt)[len(pressing)] == "burns"


def test_another_trouble_keeps_the_last_place(started: Started) -> None:
    turn = last(started, "a shark is circling the raft", given=ADRIFT)
    assert topics(turn)[-1] == "sea_creatures" and len(turn.next) == 3


def test_a_sighting_gives_way_to_nothing_that_can_wait(started: Started) -> None:
    ship = {**ADRIFT, "all_accounted": True, "hand_flares": 4, "rocket_flares": 2}
    turn = last(started, "there's a ship over there", "and nobody is in charge", given=ship)
    assert {item.step.band for item in turn.next} == {"chance"}


def test_a_question_moves_nothing(started: Started) -> None:
    session = started.session(clock=lambda: AT)
    session.given(ADRIFT)
    turn = session.answer("how do I treat a burn")
    assert turn.topic == "burns" and [item.step.id for item in turn.next] == [item.step.id for item in plan(session.view(), AT)]
