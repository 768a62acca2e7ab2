"""What is told and undone in the same breath: each row of the knowledge, by its own example."""
from __future__ import annotations

import pytest

from guide.knowledge.language import Turned
from guide.knowledge.records import Value
from guide.language.turning import Turning
from guide.language.units import Units
from guide.starting import Started, start
from tests.talking import changed

ROWS = start().knowledge.language.turned


def _named(row: Turned) -> str:
    return row.such_as


@pytest.fixture(scope="module")
def started() -> Started:
    return start()


@pytest.mark.parametrize("row", ROWS, ids=_named)
def test_its_example_ends_with_the_other_value(row: Turned, started: Started) -> None:
    session = started.session()
    session.given({row.fact: row.value})
    assert changed(session.answer(row.such_as)).get(row.fact) == (not row.value)


@pytest.mark.parametrize("row", ROWS, ids=_named)
def test_it_turns_its_example_and_no_other_row_is_needed(row: Turned, started: Started) -> None:
    readings, units = started.reader.read(row.such_as).readings, Units(started.knowledge.language.words)
    assert Turning([row], units).turned(readings) != Turning([], units).turned(readings)


@pytest.mark.parametrize(("text", "facts"), [
    ("Tom isn't bleeding, Jim is", {"someone_bleeding": True}), ("Tom is awake but Jim is unconscious", {"someone_unconscious": True}),
    ("nobody is in the water except Jim", {"person_in_water": True}), ("the drogue is out - only joking", {}), ("the beacon is on. no.", {}), ("the drogue is out, that's wrong", {}),
    ("the bandage is on, the bleeding has stopped", {"someone_bleeding": False}), ("the drogue is out and the floor went soft", {"drogue_set": True, "floor_inflated": False}),
    ("he's in, nobody left in the water, but he isn't breathing", {"person_in_water": False, "someone_not_breathing": True})])
def test_what_is_true_in_the_end(text: str, facts: dict[str, Value], started: Started) -> None:
    session = started.session()
    session.given({"floor_inflated": True, "someone_bleeding": facts.get("someone_bleeding") is False, "person_in_water": facts.get("person_in_water") is False})
    assert changed(session.answer(text)) == facts
