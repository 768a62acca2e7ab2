"""Why not, why before, why first: questions about the plan, answered from it in a conversation."""
from __future__ import annotations

from collections.abc import Mapping

import pytest

from guide.knowledge.records import Value
from guide.session import Session
from guide.starting import Started, start
from guide.turn import Turn
from guide.whys import asked

AT = "2031-04-05T06:07:08+00:00"
IN_RAFT: Mapping[str, Value] = {"pack": "solas_a", "persons": 6, "aboard_raft": True, "painter_cut": True, "vessel_afloat": False}


@pytest.fixture(scope="module")
def started() -> Started:
    return start()


def talk(started: Started, *lines: str, given: Mapping[str, Value] = IN_RAFT) -> tuple[Session, list[Turn]]:
    session = started.session(clock=lambda: AT)
    session.given(given)
    return session, [session.answer(line) for line in lines]


def told(started: Started, *lines: str, given: Mapping[str, Value] = IN_RAFT) -> str:
    """The notes of the last reply as one text."""
    return "\n".join(talk(started, *lines, given=given)[1][-1].notes)


@pytest.mark.parametrize(("text", "kind", "parts"), [
    ("why not pump up the floor?", "not", ("pump up the floor", "")), ("Why don't we stream the drogue", "not", ("stream the drogue", "")),
    ("why not cut right away, she looks fine", "not", ("cut", "")), ("why is the floor before the drogue", "before", ("the floor", "the drogue")),
    ("why do we count heads before bailing", "before", ("count heads", "bailing")), ("but why the beacon first", "first", ("the beacon", "")),
    ("why does the head count come ahead of the drogue", "before", ("the head count", "the drogue"))])
def test_what_is_asked_about_the_plan(text: str, kind: str, parts: tuple[str, str]) -> None:
    found = asked(text)
    assert found is not None and (found.kind, (found.one, found.two)) == (kind, parts)


@pytest.mark.parametrize("text", ["why", "why so", "what comes before the drogue", "why not fire one when a helicopter is close",
                                  "why must nobody drink first", "the drogue is out"])
def test_what_is_no_question_about_the_plan(text: str) -> None:
    assert asked(text) is None


def test_why_not_names_what_goes_before_and_what_it_rests_on(started: Started) -> None:
    said = told(started, "why not pump up the floor")
    assert "goes before it: the first is one of the first actions, the second is not" in said
    assert "others go first" in said and "you are in the raft (given at the start)" in said and "A.657(16)" in said


def test_the_reply_shows_the_jobs_in_question_and_what_the_trade_says_where_it_is_about_another(started: Started) -> None:
    assert [a.step.id for a in talk(started, "why not pump up the floor")[1][0].advice] == ["inflate_floor_pump"]
    afloat = {**IN_RAFT, "painter_cut": False, "vessel_afloat": True}
    turn = talk(started, "why not just push off straight away", given=afloat)[1][0]
    assert turn.topic == "stay_tied" and len(turn.advice) > 1 and "goes before" not in "".join(turn.notes)


def test_why_not_what_is_done_says_when_and_in_whose_words(started: Started) -> None:
    said = told(started, "the drogue is out", "why not stream the drogue")
    assert 'said at 06:07 UTC on 5 April: "the drogue is out"' in said and "it is done" in said


def test_why_not_what_waits_names_the_condition(started: Started) -> None:
    afloat = {**IN_RAFT, "painter_cut": False, "vessel_afloat": True}
    said = told(started, "why not cut the painter", given=afloat)
    assert "vessel afloat is false or vessel on fire is true" in said


@pytest.mark.parametrize(("text", "ground"), [
    ("why is the head count before the drogue", "the first has to come before the second"),
    ("why is the floor before the drogue", "it is the other way round: the first is one of the first actions, the second is not"),
    ("why is the floor before the rain catcher", "protection goes before water"),
    ("why is the drogue before the painter", "they stand in no order now")])
def test_why_before_names_the_ground(started: Started, text: str, ground: str) -> None:
    assert told(started, text).splitlines()[0] == ground


def test_what_presses_is_a_ground(started: Started) -> None:
    wet = {**IN_RAFT, "raining": True, "water": 1.0}
    lines = told(started, "why is the rain catcher before the floor", given=wet)
    assert lines.startswith("the first is pressing now, and the second can wait") and "it is raining" in lines


def test_a_part_that_is_unclear_is_asked_back_and_then_answered(started: Started) -> None:
    text = "why is the plastic thingy before the drogue"
    _, turns = talk(started, text)
    assert turns[0].outcome == "unsure" and len(turns[0].choices) > 1
    picked = [talk(started, text, str(number + 1))[1][1] for number in range(len(turns[0].choices))]
    assert {turn.outcome for turn in picked} == {"answered"} and [turn.topic for turn in picked] == list(turns[0].choices)
    number = turns[0].choices.index("bailer")
    assert picked[number].notes[0].startswith("it is the other way round")
    _, turns = talk(started, text, "the drogue is out", str(number + 1))
    assert not any("other way round" in note for note in turns[2].notes)


def test_what_names_nothing_known_is_said(started: Started) -> None:
    assert told(started, "why is buying a yacht before the drogue") == 'No job of the plan is known by "buying a yacht".'


@pytest.mark.parametrize(("text", "topic"), [
    ("why not drink sea water", "drinking_seawater"), ("why not rub her arms and legs", "hypothermia"),
    ("why must the string be knotted to the boat before it's thrown", "launch_raft")])
def test_questions_of_the_trade_stay_what_they_are(started: Started, text: str, topic: str) -> None:
    (turn,) = talk(started, text)[1]
    assert turn.topic == topic and not any("goes before it" in note or "go first" in note for note in turn.notes)


def test_why_by_itself_stays_as_it_is(started: Started) -> None:
    _, turns = talk(started, "what now", "why")
    assert turns[1].topic == "why" and any(note.startswith("Next is ") for note in turns[1].notes)
