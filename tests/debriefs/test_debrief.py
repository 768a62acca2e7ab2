"""Debriefs: a good and a bad crew, the page, a season, damaged logs, and the record that rules ask for."""
from __future__ import annotations

import json
import os
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path

import pytest

from guide.debriefs import drawing, paging, rendering
from guide.debriefs.command import run_debrief
from guide.debriefs.debrief import Debrief
from guide.debriefs.form import check_form
from guide.debriefs.opening import debriefer, read_season
from guide.debriefs.season import Season
from guide.drills.opening import Ground, ground
from guide.knowledge.base import Knowledge
from tests.debriefs.crews import BAD, GOOD, TEN_MISTAKES, write_log

Of = Callable[[Path], Debrief]


@pytest.fixture(scope="module")
def on() -> Ground:
    return ground()


@pytest.fixture(scope="module")
def of() -> Of:
    return debriefer()


@pytest.fixture(scope="module")
def logs(on: Ground, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A season of five: the calm afternoon three times, better each time, and two other drills."""
    folder = tmp_path_factory.mktemp("season")
    good = GOOD["calm_coastal"]
    write_log(folder / "1-bad.jsonl", on, "calm_coastal", BAD, started="2026-09-01T18:00:00+00:00")
    write_log(folder / "2-half.jsonl", on, "calm_coastal", good[:good.index("@gash")], started="2026-10-01T18:00:00+00:00")
    write_log(folder / "3-good.jsonl", on, "calm_coastal", good, started="2026-11-01T18:00:00+00:00", vessel="Petrel")
    write_log(folder / "4-fire.jsonl", on, "fire_at_dusk", GOOD["fire_at_dusk"], started="2026-11-08T18:00:00+00:00")
    write_log(folder / "5-winter.jsonl", on, "winter_night", TEN_MISTAKES, started="2026-11-15T18:00:00+00:00")
    return folder


@pytest.mark.parametrize("scenario", GOOD)
def test_a_good_crew_meets_all_that_a_shipped_drill_expects(on: Ground, of: Of, tmp_path: Path, scenario: str) -> None:
    drill = of(write_log(tmp_path / "log.jsonl", on, scenario, GOOD[scenario]))
    assert [(item.id, item.outcome) for item in drill.missed] == [] and drill.harms == ()
    assert drill.score.percent > 90 and drill.finished


def test_the_shipped_drills_are_the_ones_played_here(on: Ground) -> None:
    assert on.scenarios.keys() == GOOD.keys()


def test_a_bad_crew_is_told_what_it_missed_and_why(logs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run_debrief([str(logs / "1-bad.jsonl"), "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    outcomes = {item["id"]: item["outcome"] for item in data["expected"]}
    assert {name for name, outcome in outcomes.items() if outcome == "missed"} == {
        "call", "count", "leader", "lookout", "card", "dry", "listed", "tied_in"}
    assert {name for name, outcome in outcomes.items() if outcome == "late"} == {"beacon", "stream", "tablets", "bleeding"}
    assert [(harm["id"], harm["typed"]) for harm in data["harms"]] == [
        ("cut_early", "the painter is cut"), ("rocket_wasted", "fired a rocket")]
    assert data["score"]["percent"] < 30 and data["score"]["asked"] == 3
    run_debrief([str(logs / "1-bad.jsonl")])
    text = capsys.readouterr().out
    missed = text[text.index("What was missed"):text.index("What did harm")]
    assert missed.count("Source: ") == 12 and "ITU RR 32.13B" in missed and "vessel first" not in missed
    assert " %): done " in text and max(map(len, text.splitlines())) <= 80


def test_what_was_done_before_its_moment_is_told_so(on: Ground, of: Of, tmp_path: Path) -> None:
    drill = of(write_log(tmp_path / "log.jsonl", on, "calm_coastal", "Asha: everyone is in the raft now\nBela: the painter is cut\n@ship"))
    (cut,) = [item for item in drill.judged if item.id == "cut"]
    assert cut.done_words == "already before that" and cut.window_words.startswith("within ")


def test_ten_mistakes_get_next_to_nothing(logs: Path, of: Of) -> None:
    drill = of(logs / "5-winter.jsonl")
    missed = {item.id for item in drill.judged if item.outcome == "missed"}
    assert {"rescued", "count", "dry", "floor", "tablets", "leader", "lookout"} <= missed
    assert {"cut", "beacon"} <= {item.id for item in drill.judged if item.outcome == "late"}
    assert {"rocket_wasted", "cold_water"} <= {harm.id for harm in drill.harms}
    assert drill.score.percent < 15
    assert any(moment.kind == "event" and "crest knocks" in moment.text for moment in drill.moments)


# ---- the page

class Outline(HTMLParser):
    """Tags that are open at the end, and all that would fetch or run something."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.active: list[str] = []
        self.shown = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in ("meta", "br", "rect", "circle", "line", "path", "polyline"):
            self.open.append(tag)
        if tag in ("script", "img", "link", "iframe", "object", "b"):
            self.active.append(tag)
        self.active += [f"{name}={value}" for name, value in attrs
                        if name.startswith("on") or name == "src" or name == "href" and not (value or "").startswith("#")]

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """A drawn shape: nothing stays open."""

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.shown += data


def outline(page: Path) -> Outline:
    text = page.read_text(encoding="utf-8")
    seen = Outline()
    seen.feed(text)
    assert seen.open == [] and "@import" not in text and "url(" not in text
    return seen


HOSTILE = ['<script>alert("1")</script>', '"><img src=x onerror=alert(1)>', "{{ 7 * 7 }} &amp; <b>bold</b>", "red\x1b[31m alert\x07"]


def test_what_a_log_holds_is_text_on_the_page_and_in_the_terminal(on: Ground, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    log = write_log(tmp_path / "log.jsonl", on, "calm_coastal", "".join(f"{name}: {name}\n" for name in HOSTILE), vessel=HOSTILE[0])
    assert run_debrief([str(log), "--html", str(tmp_path / "page.html")]) == 0
    page = outline(tmp_path / "page.html")
    assert page.active == []
    assert all(text in page.shown for text in HOSTILE[:3])
    capsys.readouterr()
    run_debrief([str(log)])
    assert "\x1b" not in capsys.readouterr().out


def test_half_a_letter_in_a_log_stops_nothing(logs: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    log = tmp_path / "log.jsonl"
    log.write_bytes((logs / "1-bad.jsonl").read_bytes().splitlines()[0] + b'\n{"t":9,"who":"\\ud800","text":"\\ud800 the drogue is out"}\n')
    assert run_debrief([str(log), "--html", str(tmp_path / "page.html")]) == run_debrief([str(log)]) == run_debrief([str(log), "--json"]) == 0
    assert "? the drogue is out" in outline(tmp_path / "page.html").shown
    assert "? the drogue is out" in capsys.readouterr().out


def test_the_page_draws_what_the_text_says_and_is_always_the_same(logs: Path, tmp_path: Path) -> None:
    for name in ("one.html", "two.html"):
        assert run_debrief([str(logs / "1-bad.jsonl"), "--html", str(tmp_path / name)]) == 0
    text = (tmp_path / "one.html").read_text(encoding="utf-8")
    assert text == (tmp_path / "two.html").read_text(encoding="utf-8")
    page = outline(tmp_path / "one.html")
    assert page.active == []
    assert text.count('class="sign missed"') == 1 + 8 and text.count('class="sign late"') == 1 + 4  # one of each in the legend
    assert "Body water lacking" in page.shown and "never replaces" in page.shown


def test_curves_have_round_marks_and_a_sentence() -> None:
    found = drawing.curve("Water in the raft", "L", [(0, 3.0), (60, 41.0), (7200, 8.0)])
    assert found is not None
    assert [tick.label for tick in found.down] == ["0", "20", "40", "60"]
    assert found.summary == "Water in the raft: 3 L at the start, 8 L at the end, highest 41 L at 1 min."
    assert drawing.curve("Rockets", "", [(0, 4.0), (60, 4.0)]) is None


def test_a_long_drill_is_wider_at_its_start_and_keeps_the_order_of_time() -> None:
    axis = drawing.time_axis(5 * 86400)
    places = [axis.place(t) for t in (0, 600, 3600, 86400, 5 * 86400, 9 * 86400)]
    assert places == sorted(places) and places[0] == 0 and places[-1] == places[-2] == 100 and places[2] > 10
    assert drawing.time_axis(3600).place(1800) == 50


# ---- a season

@pytest.fixture(scope="module")
def season(logs: Path, of: Of) -> Season:
    return read_season(sorted(logs.glob("*.jsonl")), logs, of)


def test_a_season_shows_what_is_missed_most_and_whether_it_gets_better(season: Season) -> None:
    courses = {course["scenario"]: course for course in json.loads(json.dumps(season.as_json()))["courses"]}
    calm = courses["calm_coastal"]
    assert [run["file"] for run in calm["runs"]] == ["1-bad.jsonl", "2-half.jsonl", "3-good.jsonl"]
    percents = [run["percent"] for run in calm["runs"]]
    assert percents == sorted(percents) and calm["gain_percent_points"] == pytest.approx((percents[2] - percents[0]) / 2, abs=0.1)
    listed = next(item for item in calm["expected"] if item["id"] == "listed")
    assert (listed["counted"], listed["missed"]) == (3, 2) and calm["expected"][0]["missed"] == 2
    stream = next(item for item in calm["expected"] if item["id"] == "stream")
    assert stream["missed"] == 0 and stream["best_s"] <= stream["median_s"] < 600
    assert courses["fire_at_dusk"]["gain_percent_points"] is None


def test_a_season_in_words_and_as_a_page(season: Season, tmp_path: Path) -> None:
    text = "\n".join(rendering.season_lines(season))
    assert "?" not in text
    assert text.startswith("5 drills of 3 scenarios, 2026-09-01 to 2026-11-15.") and "missed 2 of 3" in text
    assert [t.missed for t in season.missed_most][:3] == [2, 2, 2]
    (tmp_path / "season.html").write_text(paging.season_page(season), encoding="utf-8")
    page = outline(tmp_path / "season.html")
    assert page.active == [] and "Played 3 times" in page.shown


# ---- what is damaged, and misuse

def test_a_cut_log_is_debriefed_with_a_note(logs: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    cut = tmp_path / "cut.jsonl"
    cut.write_bytes((logs / "3-good.jsonl").read_bytes()[:-20])
    assert run_debrief([str(cut)]) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert "the last line was cut short" in text and "broken off before its end" in text


def test_without_a_name_it_is_the_newest_log_here(logs: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
                                                  capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.chdir(tmp_path)
    assert run_debrief([]) == 2 and "no log of a drill is here" in capsys.readouterr().err
    for age_s, name in ((60, "4-fire.jsonl"), (0, "1-bad.jsonl"), (90, "5-winter.jsonl")):
        (tmp_path / name).write_bytes((logs / name).read_bytes())
        os.utime(tmp_path / name, (1_800_000_000 - age_s,) * 2)
    assert run_debrief([]) == 0 and "A calm coastal afternoon" in capsys.readouterr().out


@pytest.mark.parametrize(("written", "says"), [
    (b"", "not the log of a drill"), (b"\x00\xff\n", "not the log of a drill"), (b'{"drill": 1}\n', "the head of the log is damaged"),
    (b'{"drill": 9}\n', "another version"),
    (b'{"drill":1,"scenario":"calm_costal","digest":"","help":"none","crew":[],"started":"","record":{}}\n', 'did you mean "calm_coastal"')])
def test_a_damaged_log_is_one_line(tmp_path: Path, written: bytes, says: str, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "log.jsonl").write_bytes(written)
    assert run_debrief([str(tmp_path / "log.jsonl")]) == 2
    out, err = capsys.readouterr()
    assert out == "" and says in err and err.count("\n") == 1


def test_a_damaged_log_does_not_end_a_season(logs: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name in ("1-bad.jsonl", "3-good.jsonl"):
        (tmp_path / name).write_bytes((logs / name).read_bytes())
    (tmp_path / "2-lost.jsonl").write_text("{", encoding="utf-8")
    assert run_debrief([str(tmp_path)]) == 0
    assert "2-lost.jsonl: not the log of a drill" in " ".join(capsys.readouterr().out.split())


def test_misuse_is_one_line(logs: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "empty").mkdir()
    good = str(logs / "3-good.jsonl")
    for words, says in (([str(tmp_path / "none.jsonl")], "cannot be read"), ([str(tmp_path / "empty")], "no logs of drills"),
                        ([good, "--html", str(tmp_path / "no" / "page.html")], "cannot be written"),
                        ([good, "--html", good], "ends in .html"), ([str(logs), "--record"], "is a folder")):
        assert run_debrief(words) == 2
        out, err = capsys.readouterr()
        assert out == "" and says in err and err.count("\n") == 1
    assert (logs / "3-good.jsonl").read_bytes().startswith(b'{"drill"')


# ---- the record of the drill

def test_the_record_has_what_rules_ask_and_leaves_the_rest_to_the_person(logs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run_debrief([str(logs / "3-good.jsonl"), "--record"]) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert "typing is not a drill in the boats" in text
    for asked in ("Date, time and place of the drill in the boats (SOLAS III regulation 19.5): ____",  # SOLAS III/19.5: date and details
                  "Vessel (common practice): Petrel", "What was played (SOLAS III regulation 19.5): A calm coastal afternoon",
                  "Who took part in the boats (each signs) (46 CFR 28.270(a); SOLAS III regulation 19.3.2): ____",
                  "Drill conductor, and where trained (46 CFR 28.270(c)): ____",  # 28.270(c): a trained drill conductor
                  "why (SOLAS III regulation 19.5): ____"):  # SOLAS III/19.5: the reason whenever a drill was not held
        assert asked in text
    assert "Abandoning the vessel: at the keyboard talked through; in the boats, by hand: ____" in text
    assert "Fires in different places aboard: at the keyboard not touched" in text


def test_the_form_has_the_ten_cases_of_the_rule(knowledge: Knowledge) -> None:
    form, problems = check_form(Path(__file__).resolve().parent.parent.parent / "knowledge", knowledge)
    assert problems == [] and form is not None
    assert len(form.cases) == 10  # 46 CFR 28.270(a)(1) to (10)


def test_a_broken_form_is_named_with_its_place(knowledge: Knowledge, tmp_path: Path) -> None:
    (tmp_path / "drills" / "forms").mkdir(parents=True)
    (tmp_path / "drills" / "forms" / "record.yaml").write_text(
        'kind: drill_record\ntitle: "R"\nnotices: []\nfields:\n  - label: "Date"\n    sources: [cfr-28.270x]\ncases_title: "C"\ncases: []\n')
    _, problems = check_form(tmp_path, knowledge)
    assert [problem.line().split(": ", 1)[0] for problem in problems] == ["drills/forms/record.yaml:6:15"]
