"""What was found against the list: every kind of finding, dates at their edges, bad files, and the facts of a session."""
from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest

from guide.knowledge.compiling import Knowledge
from guide.planning.items import View
from guide.state.facts import Event, fold
from guide.stores import command, found, inventory
from guide.stores.inventory import Check, Finding, compare

HERE = Path(__file__).parent
DEMO = HERE.parent.parent / "transcripts_demo"
WORKED = DEMO / "inventory.yaml"
ON, SERVICE = date(2026, 11, 25), date(2027, 11, 1)


def listed(knowledge: Knowledge, tmp_path: Path, text: str) -> tuple[found.Found, ...]:
    file = tmp_path / "some.csv"
    file.write_text("item,number,expires\n" + text, encoding="utf-8")
    return inventory.read_inventory(file, knowledge).found


def of(findings: list[Finding], kind: str) -> set[str]:
    return {finding.item for finding in findings if finding.kind == kind}


def test_the_worked_inventory_has_every_kind(knowledge: Knowledge) -> None:
    file = inventory.read_inventory(WORKED, knowledge)
    findings = compare(knowledge, file.found, Check(knowledge.packs["solas_b"], 12, ON, SERVICE))
    assert of(findings, "short") == {"hand_flare", "seasick_bags", "valve_plugs"}
    assert of(findings, "expired") == {"rocket_flare", "hand_flare"}
    assert of(findings, "expiring") == {"first_aid_kit", "smoke_signal"}
    assert of(findings, "undated") == {"spare_batteries"}
    assert of(findings, "unknown") == {"signal miror"}
    assert of(findings, "surplus") == {"bailer"}
    assert of(findings, "extra") == {"water_pouches"}
    assert {"rocket_flare", "radar_reflector", "leak_clamps"} <= of(findings, "right")
    assert 'did you mean "signal mirror"?' in next(f.says for f in findings if f.kind == "unknown")


def test_every_finding_of_a_line_has_its_place(knowledge: Knowledge) -> None:
    lines = WORKED.read_text(encoding="utf-8").splitlines()
    file = inventory.read_inventory(WORKED, knowledge)
    for one in file.found:
        assert lines[one.place.line - 1][one.place.col - 1:].startswith(one.typed)


@pytest.mark.parametrize(("expires", "kind"), [
    ("2026-11-24", "expired"), ("2026-11-25", "expiring"), ("2026-11", "expiring"), ("2026-10", "expired"),
    ("2027-10-31", "expiring"), ("2027-10", "expiring"), ("2027-11-01", "right"), ("", "undated")])
def test_dates_at_their_edges(knowledge: Knowledge, tmp_path: Path, expires: str, kind: str) -> None:
    lines = listed(knowledge, tmp_path, f"rocket_flare,4,{expires}")
    findings = compare(knowledge, lines, Check(knowledge.packs["solas_a"], 6, ON, SERVICE))
    assert "rocket_flare" in of(findings, kind)
    assert ("rocket_flare" in of(findings, "short")) == (kind == "expired")


# LSA Code 4.1.5.1.19 (from memory): 0.5 L of the 1.5 L a place by a desalting kit, 1 L by a hand-pumped desalinator.
@pytest.mark.parametrize(("litres", "besides", "short"), [
    (9, "", False), (8.9, "", True), (6, "desalting kit,1", False), (5.9, "desalting kit,1", True),
    (3, "desalinator,1", False), (2.9, "desalinator,1", True), (3, "desalting kit,1", True),
    (2.9, "desalinator,1\ndesalting kit,1", True), (0, "desalinator,0", True)])
def test_what_may_replace_water(knowledge: Knowledge, tmp_path: Path, litres: float, besides: str, short: bool) -> None:
    lines = listed(knowledge, tmp_path, f"drinking water,{litres} L\n{besides}")
    findings = compare(knowledge, lines, Check(knowledge.packs["solas_a"], 6, ON))
    assert ("drinking_water" in of(findings, "short")) == short


# LSA Code 4.1.5.1.18: 10,000 kJ a place, which a label gives as 2,390 kcal.
@pytest.mark.parametrize(("typed", "short"), [
    ("60000 kJ", False), ("60 MJ", False), ("14340 kcal", False), ("59000 kJ", True), ("14000 kcal", True)])
def test_food_in_any_unit(knowledge: Knowledge, tmp_path: Path, typed: str, short: bool) -> None:
    findings = compare(knowledge, listed(knowledge, tmp_path, f"food,{typed}"), Check(knowledge.packs["solas_a"], 6, ON))
    assert ("food_ration" in of(findings, "short")) == short


def test_nothing_short_is_status_0(knowledge: Knowledge, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "all.csv"
    items = "".join(f"{line.item},{line.number(12):g}\n" for line in knowledge.packs["coastal"].items.values())
    file.write_text("item,number\n" + items, encoding="utf-8")
    words = [str(file), "--pack", "coastal", "--persons", "12", "--date", "2026-11-25"]
    assert command.run_inventory(words) == 0
    assert "Short" not in capsys.readouterr().out
    assert command.run_inventory([*words[:-3], "13", *words[-2:]]) == 1  # 46 CFR 160.051-11(b): the second knife
    assert "safety knife: 2 called for, 1 in date" in " ".join(capsys.readouterr().out.split())


def test_the_command_on_the_worked_file(capsys: pytest.CaptureFixture[str]) -> None:
    words = [str(WORKED), "--date", "2026-11-25", "--next-service", "2027-11-01"]
    assert command.run_inventory(words) == 1
    shown = " ".join(capsys.readouterr().out.split())
    assert f"by {WORKED}" in shown and 'line 15: parachute rocket: 2 ("older lot"), good until 2026-08-31' in shown
    assert command.run_inventory([*words, "--json"]) == 1
    told = json.loads(capsys.readouterr().out)
    assert told["facts"]["rocket_flares"] == 2 and {f["kind"] for f in told["findings"]} == set(inventory.KINDS)


def test_a_spreadsheet_file(knowledge: Knowledge, tmp_path: Path) -> None:
    file = tmp_path / "sheet.CSV"
    file.write_bytes("\ufeffItem;Number;Expires;Note\r\n\"rocket\";4;2027-01;\"old; \"\"dry\"\"\"\r\n;;;\r\n".encode())
    (one,) = inventory.read_inventory(file, knowledge).found
    assert (one.typed, one.number, one.expires, one.note) == ("rocket", 4, date(2027, 1, 31), 'old; "dry"')


@pytest.mark.parametrize(("name", "content", "says"), [
    ("a.yaml", "found:\n  - {item: knife, number: one}\n", "a.yaml:2:27: error: \"one\" is not a whole number"),
    ("a.yaml", "found:\n  - {item: knife}\n", 'field "number" is missing'),
    ("a.yaml", "found:\n  - {item: water, numbr: 3}\n", 'did you mean "number"?'),
    ("a.yaml", "found:\n  - {item: drinking_water, number: 9}\n", "with its unit, L or mL"),
    ("a.yaml", "found:\n  - {item: torch, number: 1, expires: 2027-02-30}\n", "or YYYY-MM for the whole month [K072]"),
    ("a.yaml", "found:\n  - {item: torch, number: 1.5}\n", "whole number of pieces"),
    ("a.yaml", "found:\n  - {item: torch, number: -1}\n", "is not a whole number"),
    ("a.yaml", "found: []\n", "nothing is listed"), ("a.yaml", "", "empty"), ("a.yaml", "- 1\n", "expected a mapping"),
    ("a.yaml", "found: [\n", "K002"), ("a.yaml", b"\xff\xfe", "not UTF-8"),
    ("a.yaml", "found:\n  - &x {item: torch, number: 1}\n  - *x\n", "aliases are not allowed"),
    ("a.csv", "item,nmber\ntorch,1\n", "a.csv:1:6: error: unknown column"), ("a.csv", "", "nothing is listed"),
    ("a.csv", "item,number\ntorch,1,2,3\n", "a.csv:2:9: error: more cells than the 2 columns; quote a text that holds the mark [K070]"), ("a.csv", "item,number\ntorch\n", "has no number"),
    ("a.csv", "item,number\n,1\n", "not named"), ("a.csv", "item,item,number\n", "stands twice"), ("a.csv", b"\xff", "not UTF-8"),
    ("a.csv", "item,number\ntorch,10000000\n", "from 0 to 1,000,000 [K071]")])
def test_a_bad_file(tmp_path: Path, name: str, content: str | bytes, says: str, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / name
    file.write_bytes(content.encode() if isinstance(content, str) else content)
    assert command.run_inventory([str(file), "--pack", "a", "--persons", "6", "--date", "2026-11-25"]) == 2
    shown = capsys.readouterr()
    assert not shown.out and says in shown.err and "Traceback" not in shown.err
    assert shown.err.startswith(f"guide inventory: {file}:")


@pytest.mark.parametrize("name", ["a.yaml", "a.csv"])
def test_what_cannot_be_read_has_one_code_whatever_the_form(tmp_path: Path, name: str, knowledge: Knowledge) -> None:
    (tmp_path / name).write_bytes(b"\xff")
    assert [problem.code for problem in found.read(tmp_path / name, knowledge)[1]] == ["K001"]
    assert [problem.code for problem in found.read(tmp_path / f"no_{name}", knowledge)[1]] == ["K001"]


def test_a_problem_of_a_spreadsheet_is_shown_with_its_line_and_a_caret(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "a.csv"
    file.write_text("item,number\ntorch,one\n", encoding="utf-8")
    assert command.run_inventory([str(file), "--pack", "a", "--persons", "6", "--date", "2026-11-25"]) == 2
    assert capsys.readouterr().err == (f'guide inventory: {file}:2:7: error: "one" is not a whole number from 0 to 1,000,000 [K071]\n'
                                       "    2 | torch,one\n              ^\n")


@pytest.mark.parametrize("words", [
    ["none.yaml", "--date", "2026-11-25"], [str(WORKED)], [str(WORKED), "--date", "25.11.2026"], [str(WORKED), "--date", "20261125"],
    [str(WORKED), "--date", "2026-11-25", "--next-service", "2026-11-24"], [str(WORKED), "--date", "2026-11-25", "--pack", "c"],
    [str(HERE / "found.csv"), "--date", "2026-11-25"], [str(HERE), "--date", "2026-11-25"]])
def test_bad_words_are_one_line(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert command.run_inventory(words) == 2
    shown = capsys.readouterr()
    assert not shown.out and shown.err.count("\n") == 1


def test_a_session_starts_from_what_is_there(knowledge: Knowledge) -> None:
    facts = inventory.facts_of_file(WORKED, knowledge)
    assert facts["pack"] == "solas_b" and facts["raft_capacity"] == 12 and "persons" not in facts
    assert (facts["rocket_flares"], facts["hand_flares"], facts["water"]) == (4, 3, 6)
    assert facts["has_valve_plugs"] is False and facts["has_pump"] is True and facts["has_radar_reflector"] is False
    state = fold(Event("fact", 0, "", "given", name, value) for name, value in facts.items())
    view = View(knowledge, state)
    assert view.has("valve_plugs") is False and view.has("leak_plugs") is True and view.has("drinking_water") is True


def test_facts_are_facts_within_their_limits(knowledge: Knowledge, tmp_path: Path) -> None:
    lines = listed(knowledge, tmp_path, "hand flare,9999\nfood,1000000 MJ\nteddy bear,3")
    facts = inventory.initial_facts(knowledge, lines)
    assert facts == {"hand_flares": 200, "food": 1_000_000}


def test_the_csv_file_names_no_pack(knowledge: Knowledge) -> None:
    facts = inventory.facts_of_file(HERE / "found.csv", knowledge)
    assert "pack" not in facts and facts["water"] == 9 and facts["has_desalinator"] is True
    assert facts["food"] == pytest.approx(14_340)


def test_every_problem_of_a_bad_file_in_one_run(capsys: pytest.CaptureFixture[str]) -> None:
    words = ["--pack", "a", "--persons", "6", "--date", "2026-11-25"]
    assert command.run_inventory([str(HERE / "bad.yaml"), *words]) == 2
    shown = capsys.readouterr().err
    assert [line.split(": error: ")[0].split(":")[-2:] for line in shown.splitlines() if ": error: " in line] == [
        ["2", "34"], ["3", "5"], ["3", "24"], ["4", "36"], ["5", "46"], ["6", "39"]]
    assert command.run_inventory([str(HERE / "bad.csv"), *words]) == 2
    assert f'{HERE / "bad.csv"}:1:13: error: unknown column "expire"' in capsys.readouterr().err


def test_a_session_counts_what_is_in_date(knowledge: Knowledge, tmp_path: Path) -> None:
    facts = inventory.facts_of_file(WORKED, knowledge, ON)
    assert (facts["rocket_flares"], facts["hand_flares"], facts["water"]) == (2, 2, 6)
    # Where none is in date they count: a crew can still reach for them.
    lines = listed(knowledge, tmp_path, "rocket,4,2026-01\nwater,3 L,2026-01")
    assert inventory.initial_facts(knowledge, lines, on=ON) == {"rocket_flares": 4, "water": 3}


def test_a_vessels_own_pack(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    own = ["--overlay", str(DEMO / "own_pack.yaml")]
    file = tmp_path / "a.csv"
    file.write_text("item,number,expires\nknife,1,\npump,1,\nsignal light,1,\nhand flare,3,2027-05\nwater,4 L,2028-01\nhand warmers,6,\n", encoding="utf-8")
    assert command.run_inventory([str(file), "--pack", "launch", "--persons", "4", "--date", "2026-11-25", "--json", *own]) == 1
    findings = json.loads(capsys.readouterr().out)["findings"]
    assert {f["item"] for f in findings if f["kind"] == "short"} == {"heat_pads"}
    assert "the signal light takes the mirror's place" in next(f["says"] for f in findings if f["item"] == "signal_mirror")
    assert command.run_bag(["--pack", "launch", "--persons", "4", "--miles", "5", "--cold", "--days", "1", "--json", *own]) == 0
    bag = {line["item"]: line["number"] for line in json.loads(capsys.readouterr().out)["add"]}
    assert bag["heat_pads"] == 8 and "hand_flare" not in bag and "water_pouches" not in bag  # 4 each less 2 each; 1 L each is there
    assert command.run_pack(["launch", "b", "--persons", "4", *own]) == 0
    assert "heat pads" in capsys.readouterr().out
    assert command.run_pack(["launch", "--persons", "4", "--overlay", str(tmp_path / "none.yaml")]) == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_an_overlay_that_names_what_is_not_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "own.yaml"
    file.write_text("kind: overlay\nvessel: own\nserves:\n  protektion: [knife]\n", encoding="utf-8")
    assert command.run_pack(["b", "--persons", "4", "--overlay", str(file)]) == 2
    assert capsys.readouterr().err.startswith('guide pack: own.yaml:4:16: error: serves, priority: unknown "protektion"; did you mean "protection"?')
