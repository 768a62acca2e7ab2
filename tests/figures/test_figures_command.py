"""`guide figure` on the command line: the list, one figure, JSON, and a line of JSON each."""

from __future__ import annotations

import io
import json
import subprocess
import sys

import pytest

from guide.figures.catalogue import FIGURES
from guide.figures.command import run_figure as run

FIELDS = ["figure", "value", "unit", "details", "inputs", "notes", "sources", "advice"]


def answers(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], *lines: bytes
) -> list[dict[str, object]]:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(b"\n".join(lines) + b"\n")))
    assert run(["--json", "--lines"]) == 0
    return [json.loads(line) for line in capsys.readouterr().out.splitlines()]


def test_list_names_every_figure_its_unit_and_inputs(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["--list"]) == 0
    listed = capsys.readouterr().out
    for figure in FIGURES.values():
        assert f"{figure.id} ({figure.unit}): " in listed
        assert all(wanted.name in listed for wanted in figure.inputs)
    assert "[air_to_kpa=air_from_kpa]" in listed


def test_one_figure_in_words(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["horizon_distance", "eye_height_m=4"]) == 0
    out = capsys.readouterr().out
    first = out.splitlines()[0]
    assert "4.2 nautical miles" in first
    assert "eye_height_m = 4; object_height_m = 0 (default); coefficient = 2.08 (default)" in out
    for label in ("Assumption: ", "Limits: ", "Note: ", "Sources: "):
        assert label in out


def test_one_figure_in_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["position_after", "latitude=50", "longitude=-30", "bearing_deg=45", "distance_km=100", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert list(answer) == FIELDS
    assert answer["unit"] == "deg" and answer["value"] == answer["details"]["latitude"]


def test_nulls_in_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["sun_times", "date=2025-12-21", "latitude=68", "longitude=5", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["value"] == 0 and answer["details"]["sunrise_min"] is None
    assert run(["wind_of_force", "beaufort=12"]) == 0
    assert "to_kn = none" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "named"),
    [
        (["horizon_distanse", "eye_height_m=4"], 'did you mean "horizon_distance"?'),
        (["horizon_distance"], "needs eye_height_m"),
        (["horizon_distance", "eye_height_m=-1"], "eye_height_m must be a number from 0 to 15,000 m"),
        (["horizon_distance", "eye_height_m=-1", "--json"], "eye_height_m must be"),
        (["horizon_distance", "eye_height=4"], 'did you mean "eye_height_m"?'),
        (["horizon_distance", "eye_height_m"], "NAME=VALUE"),
        (["horizon_distance", "eye_height_m=4", "eye_height_m=5"], "given twice"),
        (["floor_insulation", "clothes=damp"], "one of dry, wet"),
        (["floor_insulation", "clothes=dri"], 'did you mean "dry"?'),
        ([], "--list"),
        (["--zip"], "--zip"),
    ],
)
def test_a_bad_call_is_one_line_and_status_two(
    words: list[str], named: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(words) == 2
    caught = capsys.readouterr()
    assert caught.out == "" and len(caught.err.splitlines()) == 1
    assert named in caught.err and caught.err.startswith("guide figure: ")


def test_help_has_an_example(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["--help"]) == 0
    assert "guide figure horizon_distance eye_height_m=4" in capsys.readouterr().out


def test_lines_answer_each_in_order(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    good, unknown, bad = answers(
        monkeypatch,
        capsys,
        b'{"figure": "horizon_distance", "inputs": {"eye_height_m": 4}}',
        b"",
        b'{"figure": "no_such", "inputs": {}}',
        b'{"figure": "horizon_distance", "inputs": {"eye_height_m": -1}}',
    )
    assert list(good) == FIELDS and good["value"] == pytest.approx(4.16)
    assert unknown["figure"] == "no_such" and 'no figure "no_such"' in str(unknown["error"])
    assert bad["figure"] == "horizon_distance" and "eye_height_m" in str(bad["error"])


@pytest.mark.parametrize(
    "line",
    [
        b"not json",
        b"[1]",
        b"3",
        b"null",
        b'{"inputs": {}}',
        b'{"figure": 4}',
        b'{"figure": ["a"], "inputs": {}}',
        b'{"figure": "wave_length", "inputs": []}',
        b'{"figure": "wave_length", "inputs": null}',
        b'{"figure": "wave_length"}',
        b'{"figure": "wave_length", "inputs": {"period_s": NaN}}',
        b"\xff\xfe",
        b"[" * 100_000,
        b'{"figure": "wave_length", "inputs": {"period_s": ' + b"9" * 5000 + b"}}",
        b'{"figure": "\\ud800", "inputs": {}}',
        b'{"figure": "wave_length", "inputs": {"\\ud800": 1}}',
    ],
)
def test_a_bad_line_is_an_answer(
    line: bytes, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    first, second = answers(monkeypatch, capsys, line, b'{"figure": "wave_length", "inputs": {"period_s": 6}}')
    assert set(first) == {"figure", "error"} and len(str(first["error"]).splitlines()) == 1
    assert second["value"] == pytest.approx(56.2, abs=0.1)


def test_each_line_is_answered_before_the_next_is_read() -> None:
    call = [sys.executable, "-c", "from guide.figures.command import run_figure as run; run(['--json', '--lines'])"]
    with subprocess.Popen(call, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdin and process.stdout
        for period in (6, 10):
            process.stdin.write(json.dumps({"figure": "wave_length", "inputs": {"period_s": period}}) + "\n")
            process.stdin.flush()
            assert json.loads(process.stdout.readline())["inputs"] == {"period_s": period}
        process.stdin.close()
        assert process.wait(timeout=20) == 0


def test_the_catalogue_loads_the_standard_library_only() -> None:
    code = "import sys, guide.figures.catalogue; print(*{name.partition('.')[0] for name in sys.modules})"
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split()
    assert {name for name in loaded if name not in sys.stdlib_module_names and name[0] != "_"} <= {
        "guide",
        "sitecustomize",
    }
