"""Whether something is so: told where it was told before, asked back where not, and then `yes` or `no` tells it."""
from __future__ import annotations

import pytest

from guide.answered import contradicted
from guide.knowledge.records import Value
from guide.language.facts import Told
from guide.language.utterances import Reading
from guide.session import Session
from guide.starting import Started, start
from guide.turn import Turn


@pytest.fixture(scope="module")
def started() -> Started:
    return start()


def talk(started: Started, *texts: str, **given: Value) -> tuple[Session, Turn]:
    session = started.session()
    session.given(given)
    turns = [session.answer(text) for text in texts]
    return session, turns[-1]


@pytest.mark.parametrize(("question", "fact"), [
    ("is the beacon on yet", "epirb_on"), ("has everyone taken a seasick pill?", "seasick_pills"), ("is somebody bleeding", "someone_bleeding"),
    ("is anyone bleeding", "someone_bleeding"), ("is anybody in the water", "person_in_water"), ("is anyone unconscious?", "someone_unconscious"),
    ("is the canopy shut", "canopy_closed"), ("has the painter been cut?", "painter_cut")])
@pytest.mark.parametrize(("answer", "flips"), [("yes", False), ("aye, it is", False), ("no", True), ("not yet", True)])
def test_yes_and_no_tell_what_was_asked_after(started: Started, question: str, fact: str, answer: str, flips: bool) -> None:
    session, asked = talk(started, question)
    assert asked.changes == () and any("Is it so, yes or no?" in note for note in asked.notes)
    turn = session.answer(answer)
    assert {change.fact: change.now for change in turn.changes} == {fact: not flips}


@pytest.mark.parametrize(("question", "fact", "value", "told"), [
    ("is the beacon on", "epirb_on", True, "As told: the beacon is on."), ("is the canopy shut", "canopy_closed", False, "As told: the entrances are open."),
    ("is she breathing now", "someone_not_breathing", True, "As told: somebody is not breathing.")])
def test_what_is_known_is_told_and_may_have_changed(started: Started, question: str, fact: str, value: bool, told: str) -> None:
    session, turn = talk(started, question, **{fact: value})
    assert turn.notes[0] == f"{told} Is that still so, yes or no?" and turn.changes == ()
    assert session.answer("yes").changes == ()
    session, _ = talk(started, question, **{fact: value})
    assert {change.fact: change.now for change in session.answer("no").changes} == {fact: not value}


@pytest.mark.parametrize("question", [
    "is it safe to cut the painter now", "is the drogue better than the paddle", "should we shut the canopy", "how is the canopy shut", "is there a beacon aboard",
    "does the drogue need a longer line if it blows", "is it too late to take the tablets", "is anyone else bleeding"])
def test_a_question_for_advice_asks_nothing_back(started: Started, question: str) -> None:
    session, turn = talk(started, question, aboard_raft=True)
    assert not any("yes or no?" in note for note in turn.notes)
    assert session.answer("yes").changes == ()


def test_anything_but_yes_or_no_is_read_as_ever(started: Started) -> None:
    session, _ = talk(started, "is the beacon on yet", aboard_raft=True)
    turn = session.answer("no, and the drogue is out")
    assert {change.fact: change.now for change in turn.changes} == {"drogue_set": True}


@pytest.mark.parametrize(("answer", "value"), [
    ("all of us", True), ("only the cook", True), ("two of them", True), ("me", True), ("nobody", False), ("none of us", False)])
def test_of_whom_it_is_so_answers_whether_it_is(started: Started, answer: str, value: bool) -> None:
    session, _ = talk(started, "is anybody seasick")
    assert {change.fact: change.now for change in session.answer(answer).changes} == {"someone_seasick": value}


@pytest.mark.parametrize(("said", "answer", "facts"), [
    ("the drogue is out", "no it is not", {"drogue_set": False}), ("the drogue isn't out", "wait, it is", {"drogue_set": True}), ("there is a ship", "sorry, false alarm", {"ship_in_sight": False}),
    ("she isn't breathing", "no, she is", {"someone_not_breathing": False}), ("the drogue is out", "it is", {}), ("the drogue isn't out", "no it is not", {})])
def test_a_bare_denial_turns_the_one_fact_that_was_told(started: Started, said: str, answer: str, facts: dict[str, bool]) -> None:
    session, _ = talk(started, said)
    assert {change.fact: change.now for change in session.answer(answer).changes} == facts


def test_of_two_facts_that_were_told_a_bare_denial_turns_neither() -> None:
    told = [Reading(clause, "report", (), (Told(fact, True, "set"),)) for clause, fact in (("the drogue is out", "drogue_set"), ("the floor is pumped", "floor_inflated"))]
    assert contradicted("no it is not", told) is None and contradicted("no it is not", told[:1]) == Told("drogue_set", False, "set")


def test_a_thing_that_is_named_is_nobody_of_whom_it_is_so(started: Started) -> None:
    session, _ = talk(started, "is anybody in the water")
    assert "person_in_water" not in {change.fact for change in session.answer("the oar").changes}
