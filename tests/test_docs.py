"""README.md and DEVELOPERS.md held to the code: every command, code, path and example in them works."""
from __future__ import annotations

import ast
import re
import shlex
import shutil
from pathlib import Path

import pytest

from guide import cli
from guide.commands import replaying
from guide.figures.catalogue import SUBJECTS
from guide.knowledge import reading
from guide.knowledge.records import BANDS, MARKS
from guide.starting import Started, start
from tests.test_architecture import HOMES

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
SOURCES = [path for path in sorted((ROOT / "guide").rglob("*.py")) if "shipped" not in path.parts]
FENCE = re.compile(r"```(\w*)\n(.*?)```", re.DOTALL)


@pytest.fixture(scope="module")
def started() -> Started:
    return start()


@pytest.fixture
def read_once(started: Started, monkeypatch: pytest.MonkeyPatch) -> None:
    """Commands run in this process share one reading of the knowledge."""
    monkeypatch.setattr("guide.starting.start", lambda *_, **__: started)


def commands() -> list[str]:
    """The commands that the program has."""
    return list(cli.COMMANDS)


def codes() -> set[str]:
    """The problem codes that stand in the code."""
    texts = (node.value for path in SOURCES for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
             if isinstance(node, ast.Constant) and isinstance(node.value, str))
    return {text for text in texts if re.fullmatch(r"[A-Z]\d{3}", text)}


def section(text: str, title: str) -> str:
    """What stands under a heading, up to the next one of its rank."""
    return text.partition(f"\n## {title}\n")[2].partition("\n## ")[0]


# ---- commands, codes, paths

@pytest.mark.parametrize("command", commands())
def test_every_command_is_described(command: str) -> None:
    assert f"guide {command}" in README + DEVELOPERS


def test_every_command_named_exists() -> None:
    named = set(re.findall(r"(?:`|^)guide ([a-z]+)", README + DEVELOPERS, re.MULTILINE))
    assert named and named <= set(commands())


def test_problem_codes_and_their_table_agree() -> None:
    assert len(codes()) > 20
    assert set(re.findall(r"^\| ([A-Z]\d{3}) \|", DEVELOPERS, re.MULTILINE)) == codes()


def test_every_problem_code_is_reproduced_by_a_test() -> None:
    tests = "".join(path.read_text(encoding="utf-8") for path in (ROOT / "tests").rglob("*.py"))
    assert [code for code in codes() if code not in tests] == []


def test_weights_of_another_bank_are_noticed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "knowledge"
    shutil.copytree(ROOT / "knowledge", folder)
    (folder / "phrases" / "new.yaml").write_text("kind: phrases\nvoice: new\nquestions:\n  leak: |\n    and what does this new voice ask\n")
    assert cli.main(["check", str(folder)]) == 1
    assert "weights.bin:1:1: error: " in (out := capsys.readouterr().out) and "[K050]" in out


def test_every_path_named_exists() -> None:
    named = set(re.findall(r"`((?:guide|tests|knowledge|transcripts_demo)/[\w./*]*|\.ci/\w+)`", README + DEVELOPERS))
    assert len(named) > 25
    assert [path for path in named if not list(ROOT.glob(path.rstrip("/")))] == []


def test_a_path_in_a_row_of_the_map_is_in_the_folder_of_that_row() -> None:
    for folder, names in re.findall(r"^\| `(guide/\w+/)` \| (.*) \|$", DEVELOPERS, re.MULTILINE):
        assert [name for name in re.findall(r"`(\w+\.py)`", names) if not (ROOT / folder / name).is_file()] == []


def test_every_module_is_on_the_map() -> None:
    """Figures and stores are mapped as folders of subjects; every other module by name."""
    loose = [p for p in SOURCES if p.name not in ("__init__.py", "__main__.py") and p.parent.name not in ("figures", "stores")]
    assert [p.name for p in loose if f"{p.name}`" not in section(DEVELOPERS, "What is where")] == []


def test_the_libraries_of_the_page_are_where_it_says() -> None:
    told = section(DEVELOPERS, "What is where").partition("**One home for each library:**")[2].partition("\n\n")[0]
    homes = re.findall(r"([\w-]+)\s+in\s+`(guide/[\w/]+\.py)`", told)
    assert {name.replace("scikit-learn", "sklearn"): path for name, path in homes} == HOMES and len(homes) == len(HOMES)


# ---- what the page says about the knowledge

@pytest.mark.parametrize("word", [*reading.KINDS, *reading.PHRASE_SECTIONS, *BANDS, *MARKS, *reading._STEP_OPTIONAL])
def test_every_kind_section_band_mark_and_field_is_described(word: str) -> None:
    assert re.search(rf"`[^`\n]*\b{word}\b[^`\n]*`", section(DEVELOPERS, "The knowledge"))


def test_the_story_on_the_page_can_be_read(tmp_path: Path) -> None:
    story = FENCE.findall(section(DEVELOPERS, "Demo stories"))[0][1]
    (tmp_path / "story.talk").write_text(story)
    assert len(replaying.read_story(tmp_path / "story.talk").turns) == 1


def test_the_subjects_of_the_figures_are_modules() -> None:
    assert [s.__name__ for s in SUBJECTS if not (ROOT / (s.__name__.replace(".", "/") + ".py")).is_file()] == []


@pytest.mark.parametrize("text", [README, DEVELOPERS], ids=["README", "DEVELOPERS"])
def test_the_pages_keep_to_the_project(text: str) -> None:
    assert not re.search(r"\.\./|/home/|/work\b|/tmp/", text)
    assert [line for line in text.splitlines() if len(line) > 150 and not line.startswith("|")] == []


# ---- README

def conversation() -> list[str]:
    """The lines that a person copies first."""
    block: str = FENCE.findall(section(README, "A first conversation"))[0][1]
    return block.splitlines()


def test_the_first_conversation_is_answered(started: Started) -> None:
    lines = conversation()
    assert len(lines) >= 12
    session = started.session(clock=lambda: "2031-04-05T06:07:08+00:00")
    outcomes = {line: session.answer(line).outcome for line in lines}
    assert [line for line, outcome in outcomes.items() if outcome not in ("answered", "unsure")] == []
    assert list(outcomes.values()).count("answered") >= len(lines) - 2, outcomes


def examples() -> list[str]:
    """The commands of the README's shell blocks that can run here: what follows `guide`."""
    lines = [line for language, block in FENCE.findall(README) if language == "sh" for line in block.splitlines()]
    return [line.partition(" ")[2] for line in lines if re.match(r"guide (ask|figure|pack|waters|inventory|bag|check)\b", line)]


def test_there_are_examples() -> None:
    assert {line.split()[0] for line in examples()} >= {"ask", "figure"}


@pytest.mark.usefixtures("read_once")
@pytest.mark.parametrize("line", examples())
def test_an_example_runs(line: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(shlex.split(line)) == 0
    out, err = capsys.readouterr()
    assert out.strip() and err == ""


@pytest.mark.usefixtures("read_once")
@pytest.mark.parametrize("command", commands())
def test_help_of_a_command_shows_an_example(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    try:
        status = cli.main([command, "--help"])
    except SystemExit as stop:
        status = int(stop.code or 0)
    assert status == 0 and f"guide {command}" in capsys.readouterr().out


def test_the_test_command_is_marked_for_the_machine() -> None:
    block = README.partition("<!-- test command -->")[2]
    assert "pytest" in FENCE.findall(block)[0][1]
