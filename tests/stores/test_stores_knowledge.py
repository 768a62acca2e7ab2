"""The stores files are read as strictly as the rest."""
from __future__ import annotations

from pathlib import Path

import pytest

from guide.cli import main
from guide.knowledge import compiling
from guide.stores import command


@pytest.mark.parametrize(("text", "says"), [
    ("kind: waters\nwaters:\n  - {id: x, basis: us_rule, calls_for: y, sources: [common_practice], pack: solas_q}\n", 'pack: unknown "solas_q"'),
    ("kind: waters\nwaters:\n  - {id: x, basis: rule, calls_for: y, sources: []}\n", '"rule" is not one of us_rule'),
    ("kind: waters\nwaters:\n  - {id: x, basis: practice, calls_for: y, sources: []}\n", "has no source"),
    ("kind: stores\nserves:\n  watr: [knife]\n", 'priority: unknown "watr"'),
    ("kind: stores\ndated: [knive]\n", 'item: unknown "knive"'),
    ("kind: stores\nsubstitutes:\n  - {item: sart, for: mirror, says: y, sources: [common_practice]}\n", 'unknown "mirror"'),
    ("kind: stores\nbag:\n  - {item: knife, worth: 4, count: 1, weight_kg: 1, volume_l: 1, why: y, sources: [common_practice]}\n",
     '"4" is not one of 1, 2, 3'),
    ("kind: stores\nbag:\n  - {item: knife, worth: 1, weight_kg: 1, volume_l: 1, why: y, sources: [common_practice]}\n",
     "needs count, each or figure"),
    ("kind: stores\nbag:\n  - {item: knife, worth: 1, count: 1, weight_kg: 1, volume_l: 1, why: y, sources: [common_practice]}\n",
     "priority that an item of a pack or bag serves")])
def test_a_wrong_entry_is_a_problem(tmp_path: Path, text: str, says: str) -> None:
    (tmp_path / "x.yaml").write_text(text, encoding="utf-8")
    problems = compiling.load(tmp_path)[1]
    assert any(says in problem.message for problem in problems), problems
    assert all(problem.place.file for problem in problems)


def test_a_folder_without_stores(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "x.yaml").write_text('kind: priorities\npriorities:\n  - {id: a, title: "b"}\n', encoding="utf-8")
    assert command.run_pack(["a", "--persons", "6", "--knowledge", str(tmp_path)]) == 2
    assert "nothing of stores" in capsys.readouterr().err


@pytest.mark.parametrize("words", [["pack", "--persons", "6", "a"], ["waters", "--miles", "30", "--cold"], ["bag", "--help"], ["inventory", "--help"]])
def test_the_commands_of_the_guide(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(words) == 0
    assert capsys.readouterr().out


@pytest.mark.parametrize(("text", "says"), [
    ('groups:\n  flares: [rocket]\n', 'unknown "rocket"'), ('lessons:\n  solas_q: [pack_b]\n', 'lessons, pack: unknown "solas_q"'),
    ('says:\n  none: "{item} {amount}"\n', "braces here may hold item, pack, not amount"), ('says:\n  nnone: "x"\n', 'did you mean "none"?')])
def test_wrong_words_for_a_talk_are_problems(tmp_path: Path, text: str, says: str) -> None:
    (tmp_path / "x.yaml").write_text("kind: stores\n" + text, encoding="utf-8")
    assert any(says in problem.message for problem in compiling.load(tmp_path)[1])
