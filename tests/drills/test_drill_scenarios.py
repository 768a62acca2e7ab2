"""Scenario files and logs of drills: what is sound passes, each fault has its code, place and words, nothing is lost."""
from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

from guide.arguments import Misuse
from guide.drills.logs import LogFile, read_log
from guide.drills.opening import check_folder
from guide.drills.records import Entry, Log, Scenario
from guide.drills.scenario import read_scenario
from guide.knowledge.base import Knowledge
from guide.knowledge.problems import Problem

START = Path(__file__).resolve().parent.parent.parent / "guide" / "drills" / "start.yaml"
TEXT = START.read_text(encoding="utf-8")
MODEL = (START.parent.parent.parent / "knowledge" / "drills" / "model.yaml").read_text(encoding="utf-8")


def read(path: Path, knowledge: Knowledge, text: str) -> tuple[Scenario | None, list[Problem]]:
    problems: list[Problem] = []
    path.write_text(text, encoding="utf-8")
    return read_scenario(path, "faulty.yaml", knowledge, problems), problems


def test_the_start_is_sound_and_says_what_it_says(tmp_path: Path, knowledge: Knowledge) -> None:
    scenario, problems = read(tmp_path / "s.yaml", knowledge, TEXT)
    assert problems == [] and scenario is not None
    assert [e.at_s for e in scenario.events] == [360, 1200, 2400]
    assert scenario.expect[1].says == knowledge.steps["drogue_stream"].say
    assert scenario.expect[1].after == ("free",) and scenario.expect[2].since == "ship"
    assert scenario.setting.numbers["rain_mm_h"] == 0 and scenario.setting.given["painter_cut"] is False


FAULTS = [
    ("step: drogue_stream", "step: drogue_steam", "K031", 'did you mean "drogue_stream"'),
    ("    step: drogue_stream\n", "    says: Do it.\n", "K060", "one of step, fact, told, used"),
    ("step: drogue_stream", "step: drogue_stream\n    told: drogue", "K060", "not several"),
    ('    at: "6 min"\n', "", "K061", "an event needs"),
    ("fact: painter_cut=true", "fact: painter_cut=maybe", "K062", "true or false"),
    ("persons: 6", "persons: 600", "K062", "150"),
    ("sea_c: 14", "sea_c: 99", "K062", "-2 to 35"),
    ("utc: 2026-06-14T13:00", "utc: yesterday", "K062", "2026-01-31T22:40"),
    ("utc: 2026-06-14T13:00", "utc: 2026-02-31T13:00", "K062", "is not a time"),
    ('within: "10 min"', 'within: "0 min"', "K062", "more than nothing"),
    ("sources: [a657-b.25]", "sources: [a657-a.1]", "K063", "unverified"),
    ("sources: [a657-b.25]", "sources: [unverified]", "K063", "unverified"),
    ("sources: [a657-b.25]", "sources: []", "K032", "no source"),
    ("since: ship", "since: shop", "K031", 'did you mean "ship"'),
    ("after: [free]", "after: [fre]", "K031", 'did you mean "free"'),
    ("- id: sea_in", "- id: boat_sinks", "K030", "stands twice"),
    ('"raft_water_cm > 2"', '"raft_water_mm > 2"', "K031", 'did you mean "raft_water_cm"'),
    ('"raft_water_cm > 2"', '"drogue_steam is not done"', "K031", 'did you mean "drogue_stream"'),
    ('"raft_water_cm > 2"', '"too much water"', "K020", "cannot read the condition"),
    ("raft_water_l: 60", "raft_water: 60", "K011", "raft_water_l"),
    ("craft: ship", "craft: shap", "K011", "ship, aircraft, helicopter"),
    ("raft_class: deep_small", "raft_class: deep", "K011", "deep_small"),
    ("help: asked", "help: some", "K011", "full, asked, none"),
    ('at: "40 min"', "at: soon", "K021", "a duration reads like"),
]


@pytest.mark.parametrize(("old", "new", "code", "words"), FAULTS, ids=[f"{code}-{n}" for n, (*_, code, _w) in enumerate(FAULTS)])
def test_a_fault_is_one_problem_with_its_place(tmp_path: Path, knowledge: Knowledge, old: str, new: str, code: str, words: str) -> None:
    assert old in TEXT
    _, problems = read(tmp_path / "s.yaml", knowledge, TEXT.replace(old, new, 1))
    assert [p.code for p in problems] == [code]
    assert words in problems[0].message
    assert problems[0].place.line > 1


def folder(tmp_path: Path, model: str = MODEL, *scenarios: str) -> Path:
    (tmp_path / "drills").mkdir()
    (tmp_path / "drills" / "model.yaml").write_text(model, encoding="utf-8")
    for name in scenarios:
        (tmp_path / "drills" / f"{name}.yaml").write_text(TEXT, encoding="utf-8")
    return tmp_path


def test_a_scenario_twice_in_a_folder_is_named(tmp_path: Path, knowledge: Knowledge) -> None:
    problems = check_folder(folder(tmp_path, MODEL, "a", "b"), knowledge)
    assert [(p.code, p.place.file) for p in problems] == [("K030", "drills/b.yaml")]


@pytest.mark.parametrize(("old", "new", "code", "words"), [
    ("id: vomit_l_h", "id: vomit", "K011", 'did you mean "vomit_l_h"'), ("value: 0.05, unit: L/h", "value: much, unit: L/h", "K012", "not a number"),
    (', assumed: "slow: at sea hardly anything dries"', "", "K032", "one of the two"), ("sources: [q07.least_urine]", "sources: [q07.urine]", "K031", "unknown"),
    ("{id: sart, when: [\"sart_on is true\"], ", "{id: sart, ", "K060", "a signal needs"), ("{id: aircraft, fact", "{id: airship, fact", "K011", "aircraft")])
def test_a_fault_of_the_drill_model_is_named(tmp_path: Path, knowledge: Knowledge, old: str, new: str, code: str, words: str) -> None:
    assert old in MODEL
    problems = check_folder(folder(tmp_path, MODEL.replace(old, new, 1)), knowledge)
    assert code in [p.code for p in problems] and words in "".join(p.message for p in problems)
    assert {p.place.file for p in problems} == {"drills/model.yaml"}


# ---- logs

LOG = Log("my_drill", "0" * 16, "asked", ("Ines", "Tomas"), "2026-06-14T13:00:00+00:00", {"vessel": "Made Up"}, ())
ENTRIES = (Entry(0.0, "Ines", "painter's cut ☂"), Entry(61.5, "Tomas", "drogue's out"), Entry(90.0, "", ""))


def written(path: Path) -> Path:
    file = LogFile.begin(path, LOG)
    for entry in ENTRIES:
        file.append(entry)
    file.close()
    return path


def test_what_is_written_is_read(tmp_path: Path) -> None:
    log = read_log(written(tmp_path / "log"))
    assert log.entries == ENTRIES and log.problems == ()
    assert (log.scenario, log.crew, log.record) == (LOG.scenario, LOG.crew, LOG.record)


def test_a_line_cut_short_is_named_and_the_next_one_mends_the_file(tmp_path: Path) -> None:
    path = written(tmp_path / "log")
    path.write_bytes(path.read_bytes()[:-9])
    log = read_log(path)
    assert log.entries == ENTRIES[:-1] and "cut short" in log.problems[0] and f"{path}:4" in log.problems[0]
    LogFile.go_on(path).append(ENTRIES[-1])
    assert read_log(path).entries == ENTRIES and read_log(path).problems == ()


def test_a_head_without_its_end_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "log"
    path.write_bytes(written(tmp_path / "whole").read_bytes().split(b"\n")[0])
    file = LogFile.go_on(path)
    file.append(ENTRIES[0])
    file.close()
    assert read_log(path).crew == LOG.crew and read_log(path).entries == ENTRIES[:1]


@pytest.mark.parametrize(("line", "words"), [
    (b"\xff\xfe", "not JSON"), (b"[1]", "not JSON"), (b'{"t":1}', "needs t, who and text"), (b'{"t":NaN,"who":"","text":""}', "needs t"),
    (b'{"t":true,"who":"","text":"x"}', "needs t"), (b'{"t":-5,"who":"","text":"x"}', "goes back"), (b"[" * 99_999, "not JSON")])
def test_a_damaged_line_is_left_out_and_named(tmp_path: Path, line: bytes, words: str) -> None:
    path = written(tmp_path / "log")
    lines = path.read_bytes().split(b"\n")
    path.write_bytes(b"\n".join([lines[0], line, *lines[1:]]))
    log = read_log(path)
    assert log.entries == ENTRIES and len(log.problems) == 1 and words in log.problems[0]


@pytest.mark.parametrize(("data", "words"), [
    (b"", "not the log of a drill"), (b"hello\n", "not the log"), (b'{"journal":1}\n', "not the log"), (b'{"drill":9}\n', "another version"),
    (b'{"drill":1}\n', "head of the log is damaged"),
    (json.dumps({"drill": 1, "scenario": "a", "digest": "b", "help": "lots", "started": "", "crew": [], "record": {}}).encode(), "damaged")])
def test_what_is_no_log_is_refused_in_one_line(tmp_path: Path, data: bytes, words: str) -> None:
    (tmp_path / "log").write_bytes(data)
    with pytest.raises(Misuse, match=words):
        read_log(tmp_path / "log")


def test_a_log_is_never_written_over(tmp_path: Path) -> None:
    path = written(tmp_path / "log")
    with pytest.raises(Misuse, match="cannot be opened"):
        LogFile.begin(path, LOG)
    assert read_log(path).entries == ENTRIES


def test_a_log_is_held_and_never_made_by_going_on(tmp_path: Path) -> None:
    path = written(tmp_path / "log")
    held = LogFile.go_on(path)
    if sys.platform != "win32":
        with pytest.raises(Misuse, match="another guide is using this log"):
            LogFile.go_on(path)
    held.close()
    with pytest.raises(Misuse, match="cannot be read"):
        LogFile.go_on(tmp_path / "none")
    assert not (tmp_path / "none").exists()
