"""What the waters call for: 46 CFR 28.120 at its limits, and common practice beside it."""
from __future__ import annotations

import pytest

from guide.knowledge.compiling import Knowledge
from guide.stores import command
from guide.stores.waters import Waters, called_for


# 46 CFR table 28.120(a): beyond 50 miles A; 20 to 50 cold B (both read in a summary); 20 to 50 warm no pack named (from
# memory), hence Coastal by 28.120(e)(2) (read); nearer no raft.
@pytest.mark.parametrize(("miles", "water", "pack"), [
    (50.1, "cold", "solas_a"), (50.1, "warm", "solas_a"), (500, "warm", "solas_a"), (50, "cold", "solas_b"),
    (20, "cold", "solas_b"), (50, "warm", "coastal"), (20, "warm", "coastal"), (19.9, "cold", ""), (19.9, "warm", "")])
def test_the_table(knowledge: Knowledge, miles: float, water: str, pack: str) -> None:
    last = called_for(knowledge, Waters(miles, water, length_ft=40, persons=5), "us_rule")[-1]
    assert last.sure and last.rule.pack == pack


# The check values of common practice, without a source: coastal within 20 nm cold and 50 nm warm, B 20 to 50 cold, A beyond.
@pytest.mark.parametrize(("miles", "water", "pack"), [
    (0, "cold", "coastal"), (19.9, "cold", "coastal"), (20, "cold", "solas_b"), (50, "cold", "solas_b"),
    (50, "warm", "coastal"), (0, "warm", "coastal"), (50.1, "cold", "solas_a"), (50.1, "warm", "solas_a")])
def test_practice(knowledge: Knowledge, miles: float, water: str, pack: str) -> None:
    (called,) = called_for(knowledge, Waters(miles, water), "practice")
    assert called.rule.pack == pack and called.rule.sources == ("common_practice",)


# 46 CFR 28.120(b) and (c) (read): three people or fewer, inside 12 miles, shorter than 36 ft or not.
@pytest.mark.parametrize(("miles", "length", "persons", "rule"), [
    (11.9, 35.9, 3, "us_exempt"), (11.9, 36, 3, "us_buoyant_apparatus"), (12, 36, 3, "us_inside_20_cold"),
    (11.9, 36, 4, "us_inside_20_cold")])
def test_small_crews(knowledge: Knowledge, miles: float, length: float, persons: int, rule: str) -> None:
    assert called_for(knowledge, Waters(miles, "cold", length, persons), "us_rule")[0].rule.id == rule


def test_what_is_unknown_is_said_and_not_guessed(knowledge: Knowledge) -> None:
    called = called_for(knowledge, Waters(5, "warm"), "us_rule")
    assert [c.rule.id for c in called] == ["us_exempt", "us_buoyant_apparatus", "us_inside_20_warm"]
    assert called[0].unless_known and called[1].unless_known and called[2].sure


def test_a_short_vessel_in_cold_water_is_sent_to_the_table(knowledge: Knowledge, capsys: pytest.CaptureFixture[str]) -> None:
    assert not called_for(knowledge, Waters(15, "cold", 30, 5), "us_rule")
    assert command.run_waters(["--miles", "15", "--cold", "--length-ft", "30", "--persons", "5"]) == 0
    assert "read it itself" in " ".join(capsys.readouterr().out.split())


@pytest.mark.parametrize("miles", ["0", "30", "60"])
@pytest.mark.parametrize("water", ["--cold", "--warm"])
def test_marked_as_us_rules(miles: str, water: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert command.run_waters(["--miles", miles, water]) == 0
    shown = " ".join(capsys.readouterr().out.split())
    assert "These are US rules" in shown and "Your flag's rules come first" in shown and "without a source" in shown


@pytest.mark.parametrize("words", [
    ["--miles", "x", "--cold"], ["--miles", "nan", "--cold"], ["--miles=-1", "--cold"], ["--miles", "inf", "--warm"],
    ["--miles", "5"], ["--cold"], ["--miles", "5", "--cold", "--warm"], ["--miles", "5", "--cold", "--length-ft", "0"],
    ["--miles", "5", "--cold", "--persons", "0"], ["--miles", "1_0", "--cold"]])
def test_bad_input_is_one_line(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert command.run_waters(words) == 2
    shown = capsys.readouterr()
    assert not shown.out and shown.err.count("\n") == 1
