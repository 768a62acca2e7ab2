"""Two situations side by side, on the command line and as a what-if in a conversation."""
from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

import pytest

from guide.cli import main
from guide.comparing.rendering import comparison_lines
from guide.comparing.situations import Comparison, Stock, compare
from guide.knowledge.compiling import Knowledge
from guide.knowledge.records import Value
from guide.planning.differing import differ, lacks
from guide.planning.items import View
from guide.planning.planner import plan
from guide.starting import Started, start
from guide.state.facts import State, supposing

NOW = "2031-04-05T06:07:08+00:00"
RAFT: Mapping[str, Value] = {"pack": "solas_a", "persons": 6, "aboard_raft": True, "painter_cut": True, "water": 9.0}


@pytest.fixture(scope="module")
def started() -> Started:
    return start()


def view_of(knowledge: Knowledge, facts: Mapping[str, object]) -> View:
    return View(knowledge, supposing(State.empty(), facts))


def compared(knowledge: Knowledge, given: Mapping[str, object], **supposed: Value) -> Comparison:
    return compare(view_of(knowledge, given), supposed, NOW)


def test_an_emergency_is_added_in_front_and_what_it_pushes_out_is_dropped(knowledge: Knowledge) -> None:
    found = compared(knowledge, RAFT, someone_bleeding=True)
    assert found.difference.added[:2] == ("bleeding_press", "bleeding_bandage") and found.difference.first == "bleeding_press"
    assert len(found.one.next) == len(found.two.next) == 9
    assert len(found.difference.dropped) == len(found.difference.added)
    assert found.one.view.state.value("someone_bleeding") is None


def test_only_what_changed_places_is_moved(knowledge: Knowledge) -> None:
    before = plan(view_of(knowledge, RAFT), NOW, 5)
    last, *others = before[4], *before[:4]
    assert differ(before, [last, *others]).moved == (last.step.id,)
    assert differ(before, before[1:]).moved == () and differ(before, before[1:]).dropped == (before[0].step.id,)
    assert differ(before, []).first is None


def test_what_is_lacking_is_told_with_what_stands_in(knowledge: Knowledge) -> None:
    lacking = {lack.item: lack.instead for lack in lacks(view_of(knowledge, {**RAFT, "has_sponge": False, "has_pump": False}))}
    assert lacking["sponge"] == "cloth"
    gone = {lack.item: lack.instead for lack in lacks(view_of(knowledge, {**RAFT, "has_sponge": False, "has_cloth": False}))}
    assert gone["sponge"] == ""
    assert "whistle" not in lacking


def test_stores_are_counted_reported_or_of_the_pack(knowledge: Knowledge) -> None:
    rows = {row.item: row for row in compared(knowledge, {**RAFT, "rocket_flares": 2}, pack="coastal", persons=4).stores}
    assert rows["rocket_flare"] == Stock("rocket_flare", 2, 2, "")
    assert (rows["hand_flare"].one, rows["hand_flare"].two) == (6, 0)
    # 10 000 kJ for each person: LSA Code 4.1.5.1.18; 4.184 kJ in a thermochemical kilocalorie.
    assert rows["food_ration"] == Stock("food_ration", round(60_000 / 4.184), 0.0, "kcal")
    assert "water_pouches" not in rows  # counted once, as drinking water


def test_figures_that_both_can_compute(knowledge: Knowledge) -> None:
    found = compared(knowledge, RAFT, water=3.0, sea_temperature=8.0)
    assert {"water_days"} <= set(found.figures) and "cold_water_time" not in found.figures
    values = [side.figures["water_days"]["value"] for side in (found.one, found.two)]
    assert values == [3, 1]  # 6 persons at 0.5 L each a day


@pytest.mark.parametrize("width", [30, 42, 60, 80])
def test_no_line_is_wider_than_the_screen(knowledge: Knowledge, width: int) -> None:
    lines = comparison_lines(compared(knowledge, RAFT, pack="coastal", has_bailer=False, someone_bleeding=True), width)
    assert max(map(len, lines)) <= width
    text = " ".join(" ".join(lines).split())
    assert "bailer: instead the bucket" in text and "new: Press hard" in text and "Only in B:" in text


def test_the_same_situation_differs_in_nothing(knowledge: Knowledge) -> None:
    lines = comparison_lines(compared(knowledge, RAFT, persons=6))
    assert "The next steps are the same." in lines and not any("Only in" in line for line in lines)


def test_on_the_command_line(started: Started, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr("guide.starting.start", lambda *_, **__: started)
    assert main(["compare", "--given", "pack=solas_a", "--with", "pack=coastal", "--json"]) == 0
    shown: dict[str, Any] = json.loads(capsys.readouterr().out)
    assert shown["with"] == {"pack": "coastal"} and len(shown["next"]["a"]) == len(shown["next"]["b"])
    assert "hand_flare" in {lack["item"] for lack in shown["lacking"]["b"]} - {lack["item"] for lack in shown["lacking"]["a"]}


@pytest.mark.parametrize(("words", "said"), [
    ([], "--with FACT=VALUE"), (["--with", "pac=coastal"], 'unknown fact "pac"; did you mean "pack"?'),
    (["--with", "persons=lots"], "--with persons=lots: persons is a whole number"), (["--with", "night"], "--with night: write it as FACT=VALUE"),
    (["--with", "persons=6", "--with", "persons=7"], "--with persons=7: persons is given twice; give it once"),
    (["--given", "persons=6", "--given", "persons=7", "--with", "night=true"], "--given persons=7: persons is given twice; give it once")])
def test_what_cannot_be_compared_is_one_line(started: Started, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str],
                                             words: list[str], said: str) -> None:
    monkeypatch.setattr("guide.starting.start", lambda *_, **__: started)
    assert main(["compare", *words]) == 2
    error = capsys.readouterr().err
    assert said in error and error.count("\n") == 1


def test_a_what_if_says_what_would_be_lacking_and_changes_nothing(started: Started) -> None:
    session = started.session(clock=lambda: NOW)
    session.given(RAFT)
    turn = session.answer("what if it was a coastal pack")
    (line,) = [note for note in turn.notes if note.startswith("Lacking then: ")]
    assert "fishing tackle" in line and "parachute rocket (instead: torch)" in line and "bailer" not in line
    assert session.state.value("pack") == "solas_a"
    assert not [note for note in session.answer("what if it gets dark").notes if note.startswith("Lacking then")]
