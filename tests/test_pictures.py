"""Charts: the data behind them against the figures, the text within its frame, files that are what they say."""
from __future__ import annotations

import io
import math
from pathlib import Path
from xml.etree import ElementTree

import pytest

from guide.figures.catalogue import compute
from guide.figures.model import FigureError
from guide.pictures.charts import SUBJECTS, Chart, chart, of_figures
from guide.pictures.command import run_picture
from guide.pictures.text import rows
from guide.starting import start
from guide.terminal import keeping, talking

GIVEN: dict[str, dict[str, object]] = {
    "water": {"persons": 6, "stock_l": 9}, "food": {"persons": 6, "stock_kcal": 14340}, "seen": {}, "drift": {"wind_ms": 10, "hours": 24}}


@pytest.fixture(params=SUBJECTS)
def shown(request: pytest.FixtureRequest) -> Chart:
    return chart(request.param, GIVEN[request.param])


def test_water_lines_end_where_the_stock_does() -> None:
    """9 L, 6 people, 3 L on the first day: 6 L left, gone after 2, 4/3 and 1 days more at 0.5, 0.75 and 1 L each."""
    lines = chart("water", GIVEN["water"]).series
    assert [line.points[0] for line in lines] == [(0, 9)] * 3
    assert [line.points[1] for line in lines] == [(1, 6)] * 3
    assert [line.points[-1] for line in lines] == [pytest.approx((1 + left, 0)) for left in (2, 4 / 3, 1)]


def test_food_runs_straight_down() -> None:
    """A full A pack, 2390 kcal each: LSA Code 4.1.5.1.18."""
    lines = chart("food", GIVEN["food"]).series
    assert [line.points[-1][0] for line in lines] == pytest.approx([2390 / 800, 2390 / 1200, 2390 / 1600])


def test_who_sees_what() -> None:
    """Hand flare at 2 m to a bridge at 15 m: the lesser of 15.2 nm of light and 11.0 nm of curve (COLREG 72, Annex I; Bowditch)."""
    spans = {(span.group, span.label): span for span in chart("seen", {}).spans}
    assert spans["hand flare", "ship's bridge, 15 m"].high == pytest.approx(2.08 * (math.sqrt(2) + math.sqrt(15)), abs=0.01)
    assert spans["parachute rocket", "fishing boat, 4 m"].high == pytest.approx(16.8, abs=0.05)
    assert spans["lamp on the canopy", "high bridge, 30 m"].high == pytest.approx(1.89, abs=0.01)
    assert all(0 < span.low <= span.high for span in spans.values())


def test_haze_takes_from_every_row() -> None:
    clear, hazy = chart("seen", {}).spans, chart("seen", {"visibility_nm": 2}).spans
    assert all(one.high > two.high for one, two in zip(clear, hazy, strict=True))


def test_drift_is_the_figure_with_its_spread() -> None:
    whole = compute("raft_drift", {"raft_class": "deep_small_drogue", "wind_ms": 10, "hours": 24})
    drawn = chart("drift", GIVEN["drift"])
    last = drawn.spans[-1]
    assert (last.low + last.high) / 2 == pytest.approx(whole.value)
    assert (last.high - last.low) / 2 * 1852 == pytest.approx(whole.details["spread_m"])
    right, left = drawn.series
    assert right.points[-1][0] > 0 > left.points[-1][0] and right.points[-1][1] == pytest.approx(whole.value)


@pytest.mark.parametrize("width", [72, 50, 40])
def test_text_keeps_within_its_frame(shown: Chart, width: int) -> None:
    lines = rows(shown, width)
    assert len(lines) <= (20 if width == 72 else 25) and max(map(len, lines)) <= width
    assert all(line.isascii() for line in lines)


@pytest.mark.parametrize("inputs", [{"persons": 200, "stock_l": 10000}, {"persons": 1, "stock_l": 0.1}, {"persons": 6, "stock_l": 1}])
def test_text_of_extremes_keeps_within_its_frame(inputs: dict[str, object]) -> None:
    assert max(map(len, rows(chart("water", inputs)))) <= 72


def test_files_are_what_they_say(shown: Chart, tmp_path: Path) -> None:
    from guide.pictures.drawing import draw
    draw(shown, tmp_path / "one.svg")
    assert ElementTree.parse(tmp_path / "one.svg").getroot().tag == "{http://www.w3.org/2000/svg}svg"
    if shown.spans:
        draw(shown, tmp_path / "one.png")
        assert (tmp_path / "one.png").read_bytes().startswith(b"\x89PNG\r\n\x1a\n")


@pytest.mark.parametrize(("subject", "inputs", "says"), [
    ("sen", {}, 'did you mean "seen"'), ("water", {"persons": 6}, "needs stock_l"), ("water", {"stock": 1}, 'did you mean "stock_l"'),
    ("water", {"persons": 0, "stock_l": 9}, "persons must be a whole number from 1 to 200"), ("water", {"persons": 6, "stock_l": 0}, "above 0"),
    ("seen", {"visibility_nm": "nan"}, "visibility_nm must be a number from 0.01"), ("drift", {"wind_ms": 10, "hours": 1e9}, "hours must be")])
def test_bad_input_is_named(subject: str, inputs: dict[str, object], says: str) -> None:
    with pytest.raises(FigureError, match=says.replace("(", r"\(")):
        chart(subject, inputs)


@pytest.mark.parametrize(("words", "says"), [
    (["seen", "--save", "x.jpg"], "must end in .png or .svg"), (["seen", "--save", "no/such/x.png"], "cannot be written"), ([], "name a subject")])
def test_a_bad_call_is_one_line(words: list[str], says: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run_picture(words) == 2
    err = capsys.readouterr().err
    assert says in err and err.count("\n") == 1


def test_what_cannot_be_drawn_is_left_out() -> None:
    figures = [{"chart": "water", "inputs": {"persons": 6, "stock_l": 0.0, "ration_l": 0.5}}, {"chart": "drift", "inputs": GIVEN["drift"]}, {"id": "x"}]
    assert [drawn.title.split()[0] for drawn in of_figures(figures)] == ["Drift"]


def test_the_chat_draws_the_last_figure(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """By `more` after the reply, by `chart` at any time; where no figure was told it says so."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    target = io.StringIO()
    lines = "chart\nnine litres, six of us, how long does the water last\nmore\nmore\nchart\n"
    talking.talk(start(), keeping.fresh("2030-01-01T12:00:00+00:00"), {}, io.StringIO(lines), target)
    said = target.getvalue()
    assert said.count("9 L of water for 6\n") == 2 and 'Chart: type "more".' in said
    assert "No chart goes with the last reply" in said and "That was all." in said
