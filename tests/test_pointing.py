"""The step of a topic that a question points at stands first in the answer."""
from __future__ import annotations

import pytest

from guide.knowledge.records import Step
from guide.pointing import pointed_at_first
from guide.starting import Started, start


@pytest.fixture(scope="module")
def started() -> Started:
    return start()


@pytest.mark.parametrize(("text", "first"), [
    ("how deep does the hydrostatic release let go", "launch_hydrostatic"), ("what is the weak link for", "stay_tied_weak_link"),
    ("mate has chest pain and a cold sweat", "regular_medicine_heart"), ("what do I do with a bone that shows through the skin", "broken_bone_open"),
    ("can I light a candle in here", "stale_air_no_flame")])
def test_an_answer_begins_with_what_was_asked(text: str, first: str, started: Started) -> None:
    assert started.session().answer(text).advice[0].step.id == first


@pytest.mark.parametrize(("topic", "text"), [("raft_upside_down", "how do we right the raft"), ("inflate_floor", "how do i pump up the floor"), ("bleeding", "how do I stop the bleeding")])
def test_a_procedure_is_told_from_its_beginning(topic: str, text: str, started: Started) -> None:
    steps = [started.knowledge.steps[name] for name in started.knowledge.topics[topic].steps]
    assert pointed_at_first(text, steps, started.knowledge.generic, _never) == steps


def test_no_step_goes_before_those_of_an_emergency(started: Started) -> None:
    steps = [started.knowledge.steps[name] for name in started.knowledge.topics["bleeding"].steps]
    urgent = [step for step in steps if step.band == "emergency"]
    found = pointed_at_first("when do I use a tourniquet", steps, started.knowledge.generic, lambda step: step in urgent)
    assert found[:len(urgent)] == urgent
    assert found[len(urgent)].id == "bleeding_tourniquet"
    assert sorted(found, key=_id) == sorted(steps, key=_id)


def test_an_emergency_that_is_over_stands_before_nothing(started: Started) -> None:
    session = started.session()
    session.given({"aboard_raft": True, "someone_bleeding": False})
    assert session.answer("how long does the tourniquet stay on").advice[0].step.id == "bleeding_tourniquet"


def _never(step: Step) -> bool:
    return False


def _id(step: Step) -> str:
    return step.id
