"""Rubbish typed or handed in ends in an answer or one clear line: what the benchmark of rubbish found, and a little of the same each time."""
from __future__ import annotations

import json
import socket
import unicodedata
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from guide.arguments import carry_out, command_parser
from guide.cli import main
from guide.knowledge import nodes, reading
from guide.knowledge.problems import Problem
from guide.starting import Started, start
from guide.terminal.rendering import turn_lines

ODD = st.one_of(st.text(max_size=200), st.sampled_from([
    "\x1b[2J\x1b]0;x\x07drogue's out", "\u202edrogue's out", "drogue\u200b's\u00ad out", "²³ litres of water", "٣ litres of water", "1/0 litres of water", "9" * 5000,
    "a\u0301" * 3000, "drogue's out " * 3000, "((((((((((((((((((((", "1 " * 4000, "not " * 2000, "\ud800", "\x00", "\u2028\u2029", "﷽" * 300, "and, " * 1500,
    "½ ½ ½ litres each", "minus minus three litres", "five hundred thousand million litres", "-----------", "?" * 900, "no wait, no wait, undo undo"]))


@pytest.fixture(scope="module")
def started() -> Started:
    return start()


@settings(max_examples=60, deadline=None)
@given(texts=st.lists(ODD, min_size=1, max_size=3))
def test_whatever_is_typed_is_answered_and_echoed_clean(started: Started, texts: list[str]) -> None:
    session = started.session()
    for text in texts:
        turn = session.answer(text)
        shown = "".join(turn_lines(turn, started.knowledge, width=40))
        assert not [c for c in shown if unicodedata.category(c) in ("Cc", "Cf", "Cs")]
        assert json.loads(json.dumps(turn.as_json(started.knowledge)))["outcome"] in ("answered", "unsure", "outside")


@pytest.mark.parametrize("text", ["'' but ?!?! but \u0487 but minus three", "\u2012 but @", "but and but", "nan! -0! \u05a4! \u2028", "minus three" * 200, "Eeeeeeee help", "\U0001d60c" * 60,
                                  "neither nor is", "1,2,3,4,5 litres", "it's " * 120,
                                  "from what distance is a flash of sun seen?" * 20_000])
def test_findings_of_the_benchmark_are_answered(started: Started, text: str) -> None:
    """Kept from `python -m tests.benchmarks rubbish`, where each ended or could have ended in a traceback or a hang."""
    assert started.session().answer(text).outcome in ("answered", "unsure", "outside")


@pytest.mark.parametrize(("text", "codes"), [
    ("[" * 100_000, {"K002"}), ("{a: " * 50_000, {"K002"}), ("- " * 100_000, {"K002"}), ("? " * 50_000, {"K002"}), ("&a [*a, *a]", {"K003"}),
    ("a: &x [1]\nb: [*x, *x, *x]\n", {"K003"}), ("!!python/object/apply:os.system [id]", {"K004"}), ("%YAML 9.9\n---\na", {"K002"}),
    ("kind: \ufeffsteps", {"K016"}), ("kind: steps\n" + "x: y\n" * 8_000, {"K013", "K014"})])
def test_deep_and_enormous_yaml_is_told_in_one_line(text: str, codes: set[str]) -> None:
    problems: list[Problem] = []
    root = nodes.parse(text, "a.yaml", problems)
    if root is not None and not problems:
        reading.read_file(root, reading.Harvest())
    assert {problem.code for problem in problems} == codes
    assert all("\n" not in problem.line() for problem in problems)


def test_what_is_no_file_is_not_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A device or a pipe among the knowledge would never end."""
    (tmp_path / "a.yaml").symlink_to("/dev/zero")
    problems: list[Problem] = []
    assert nodes.read(tmp_path / "a.yaml", "a.yaml", problems) is None
    assert [problem.code for problem in problems] == ["K001"]
    assert main(["ask", "--overlay", "/dev/zero", "what now"]) == 2
    assert main(["inventory", "/dev/zero", "--date", "2026-03-01"]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 2


def test_no_error_acts_on_the_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    nasty = "\x1b[2J\u202e\x9b31m"
    for words in ([nasty], ["ask", "--given", f"{nasty}=1", "x"], ["ask", f"--{nasty}"], ["pack", nasty], ["figure", nasty], ["check", nasty], ["replay", nasty],
                  ["ask", "--overlay", nasty, "x"], ["ask", "--knowledge", nasty, "x"], ["inventory", nasty], ["drill", "run", nasty]):
        assert main(words) == 2
    assert carry_out(command_parser("x", "y", "z"), [nasty], lambda args: 0) == 2
    told = capsys.readouterr()
    assert not [c for c in told.out + told.err if unicodedata.category(c) in ("Cc", "Cf", "Cs") and c != "\n"]
    assert "Traceback" not in told.err


def test_nothing_reaches_for_a_network(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """The main paths with every socket refused."""
    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("a socket was asked for")

    monkeypatch.setattr(socket, "socket", refuse)
    monkeypatch.setattr(socket, "create_connection", refuse)
    monkeypatch.setattr(socket, "getaddrinfo", refuse)
    root = Path(__file__).resolve().parent.parent
    for words in (["ask", "the floor is flat"], ["ask", "--json", "how long does nine litres of water last six of us"], ["figure", "horizon_distance", "eye_height_m=4"],
                  ["pack", "solas_a", "--persons", "6"], ["inventory", str(root / "transcripts_demo" / "inventory.yaml"), "--date", "2026-03-01"], ["drill", "list"],
                  ["ask", "--overlay", str(root / "transcripts_demo" / "vessel_overlay.yaml"), "what now"], ["replay", *map(str, sorted((root / "transcripts_demo").glob("*.talk"))[:1])]):
        assert main(words) in (0, 1), (words, capsys.readouterr().err)
