"""Wrong confident readings, by the hundred: what a last turn tells and what it only seems to tell (`told_or_not.txt`)."""
from __future__ import annotations

from pathlib import Path

import pytest

from guide.knowledge.records import Value
from guide.starting import Started, start
from tests.talking import changed

GIVEN: dict[str, Value] = {"persons": 6, "rocket_flares": 4, "hand_flares": 6, "smoke_signals": 2, "thermal_aids": 2, "water": 9.0, "food": 9000.0}
LINES = [line for line in (Path(__file__).parent / "told_or_not.txt").read_text(encoding="utf-8").splitlines() if line and not line.startswith("#")]
_VALUES: dict[str, object] = {"T": True, "F": False, "?": None}
_ANY = object()


@pytest.fixture(scope="module")
def started() -> Started:
    return start()


def _value(text: str) -> object:
    if not text:
        return _ANY
    return _VALUES[text] if text in _VALUES else text if text[0].isalpha() else float(text)


@pytest.mark.parametrize("line", LINES)
def test_it_is_told_or_not(line: str, started: Started) -> None:
    talk, _, wanted = line.partition(" => ")
    session = started.session()
    session.given(GIVEN)
    now: dict[str, object] = {}
    for turn in talk.split(" / "):
        now = changed(session.answer(turn))
    for each in wanted.split():
        fact, _, text = each.removeprefix("!").partition("=")
        value = _value(text)
        told = fact in now and (value is _ANY or now[fact] == value)
        assert told != each.startswith("!"), (each, now)
