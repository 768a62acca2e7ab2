"""What differs between two states of the knowledge, and that nothing else does."""
from __future__ import annotations

import json
import subprocess
from pathlib import Path

import pytest

from guide import cli
from guide.knowledge.compiling import Knowledge
from guide.review.situations import next_steps, situations
from tests.review.small_knowledge import write

SITUATIONS = """\
kind: situations
situations:
  - {id: wet, title: "Water in the raft", given: {aboard: "true", dry: "false", pack: large}}
"""


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str]:
    code = cli.main(["changes", *words])
    out, err = capsys.readouterr()
    return code, out or err


def compare(capsys: pytest.CaptureFixture[str], old: Path, new: Path) -> list[tuple[str, ...]]:
    _, out = run(capsys, str(old), str(new), "--json")
    return [tuple(c[name] for name in ("kind", "id", "how", "field", "old", "new")) for c in json.loads(out)["changes"]]


def write_with_situations(folder: Path, **changed: tuple[str, str]) -> Path:
    write(folder, **changed)
    (folder / "audit").mkdir(exist_ok=True)
    (folder / "audit" / "situations.yaml").write_text(SITUATIONS)
    return folder


@pytest.mark.parametrize(("file", "old", "new", "expected"), [
    ("steps", "Keep a lookout.", "Keep a good lookout.",
     ("step", "look_out", "reworded", "say", "Keep a lookout.", "Keep a good lookout.")),
    ("steps", '"dry is not true"', '"dry is false"',
     ("step", "bail", "conditions", "when", "aboard is true; dry is not true", "aboard is true; dry is false")),
    ("steps", "needs: [bailer]\n", "uses: [bailer]\n", ("step", "bail", "otherwise", "uses", "", "bailer")),
    ("cautions", "[common_practice]", "[code-1]", ("caution", "hands", "re-sourced", "sources", "common practice", "Code 1.1")),
    ("works", "Bail at once.", "Bail soon.", ("clause", "code-2", "re-sourced", "says", "Bail at once.", "Bail soon.")),
    ("packs", "count: 1", "count: 2", ("pack", "large", "otherwise", "holds bailer", "count 1", "count 2")),
    ("items", "use: Scoop", "use: Throw", ("item", "bailer", "reworded", "use", "Scoop water out.", "Throw water out.")),
    ("disputes", "default: bail_first", "default: look_first", ("dispute", "bailing", "otherwise", "default", "bail_first", "look_first")),
    ("disputes", "sources: [common_practice]", "sources: [code-1]",
     ("dispute", "bailing", "re-sourced", "sources of look_first", "common practice", "Code 1.1")),
    ("base", "  - {id: protection, title: protection}\n  - {id: location, title: being found}\n",
     "  - {id: location, title: being found}\n  - {id: protection, title: protection}\n",
     ("priority", "all", "otherwise", "order", "protection; location", "location; protection")),
])
def test_a_change_is_told_with_old_and_new(tmp_path: Path, capsys: pytest.CaptureFixture[str], file: str, old: str, new: str,
                                           expected: tuple[str, ...]) -> None:
    found = compare(capsys, write(tmp_path / "a"), write(tmp_path / "b", **{file: (old, new)}))
    assert expected in found and all(change[:2] == expected[:2] for change in found)


def test_a_clause_that_is_read_at_last_re_sources_all_that_rests_on_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = compare(capsys, write(tmp_path / "a"), write(tmp_path / "b", works=("mark: memory", "mark: read")))
    assert {change[:4] for change in found} == {
        ("clause", "code-2", "re-sourced", "mark"), ("step", "bail", "re-sourced", "sources"),
        ("dispute", "bailing", "re-sourced", "sources of bail_first")}


def test_steps_added_and_dropped_change_what_comes_next(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    old = write_with_situations(tmp_path / "a")
    new = write_with_situations(tmp_path / "b", steps=("id: bail\n", "id: bail_out\n"), topics=("[bail,", "[bail_out,"))
    code, out = run(capsys, str(old), str(new), "--json")
    found = json.loads(out)
    assert code == 1 and {(c["id"], c["how"]) for c in found["changes"] if c["kind"] == "step"} == {("bail_out", "added"), ("bail", "dropped")}
    assert [(s["id"], s["old"], s["new"]) for s in found["situations"]] == [("wet", ["bail", "look_out"], ["bail_out", "look_out"])]
    code, out = run(capsys, str(old), str(new))
    assert "now 1, was not among them: Bail the water out. [bail_out]" in out and "look_out" not in out.partition("Next steps")[2]
    assert all(len(line) <= 80 for line in out.splitlines())


def test_a_step_that_only_made_room_is_not_said_to_have_moved(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    old = write_with_situations(tmp_path / "a", steps=("priority: location\n", "priority: location\n    unless: [\"dry is false\"]\n"))
    new = write_with_situations(tmp_path / "b", base=("  - {id: protection, title: protection}\n  - {id: location, title: being found}\n",
                                                     "  - {id: location, title: being found}\n  - {id: protection, title: protection}\n"))
    _, out = run(capsys, str(old), str(new))
    tail = out.partition("Next steps")[2]
    assert "now 1, was not among them: Keep a lookout. [look_out]" in tail and "[bail]" not in tail


def test_the_same_is_the_same(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    old, new = write(tmp_path / "a"), write(tmp_path / "b", steps=("kind: steps\n", "kind: steps\n# a remark\n"))
    assert run(capsys, str(old), str(new)) == (0, "Nothing differs.\n")


def test_markdown_of_hostile_text_makes_no_markup(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    new = write(tmp_path / "b", steps=("Keep a lookout.", "Keep <b>a</b> [look](out) *now*."))
    _, out = run(capsys, str(write(tmp_path / "a")), str(new), "--markdown")
    assert r"new: Keep \<b\>a\</b\> \[look\](out) \*now\*." in out and "## Reworded (1)" in out


def git(folder: Path, *words: str) -> None:
    subprocess.run(["git", "-C", str(folder), "-c", "user.name=A. Tester", "-c", "user.email=tester@example.invalid", *words],
                   check=True, capture_output=True)


def test_revisions_of_a_folder_below_the_top_are_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = write_with_situations(tmp_path / "inner" / "knowledge")
    git(tmp_path, "init", "-q")
    git(tmp_path, "add", "-A")
    git(tmp_path, "commit", "-qm", "one")
    write(folder, steps=("Keep a lookout.", "Keep a good lookout."))
    where = ("--folder", str(folder))
    assert run(capsys, "HEAD", "HEAD", *where)[0] == 0
    code, out = run(capsys, "HEAD", *where)
    assert code == 1 and "old: Keep a lookout." in out and "new: Keep a good lookout." in out
    (folder / "steps.yaml").write_text("kind: steps\nsteps: [\n")
    code, out = run(capsys, "HEAD", *where)
    assert code == 2 and "steps.yaml:" in out and out.count("\n") == 1


@pytest.mark.parametrize(("words", "said"), [
    (["--output=x", "HEAD"], "unrecognized arguments"), (["--", "--output=x"], "neither a folder nor a git revision"),
    (["HEAD;id"], "neither a folder nor a git revision"), (["a..b"], "neither a folder nor a git revision"), (["a" * 5000], "neither a folder nor a git revision"),
    (["no_such_revision"], "neither a folder nor a git revision of"), (["HEAD", "--folder", "nowhere"], "nowhere: no such folder")])
def test_what_is_no_state_is_one_line(words: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, out = run(capsys, *words)
    assert code == 2 and said in out and out.count("\n") == 1


@pytest.mark.parametrize(("text", "said"), [
    ("kind: situations\nsituations:\n  - {id: a, title: b, given: {abord: \"true\"}}\n", 'situations.yaml:3:5: unknown fact "abord"; did you mean "aboard"?'),
    ("kind: situations\nsituations:\n  - {id: a, title: b, given: {dry: wet}}\n", "situations.yaml:3:5: dry is true or false"),
    ("kind: situations\nsituations:\n  - {id: a, given: {}}\n", 'situations.yaml:3:5: error: field "title" is missing')])
def test_a_situation_that_cannot_be_read_is_one_line(small: Path, text: str, said: str, capsys: pytest.CaptureFixture[str]) -> None:
    (small / "audit").mkdir()
    (small / "audit" / "situations.yaml").write_text(text)
    code, out = run(capsys, str(small), str(small))
    assert code == 2 and said in out and out.count("\n") == 1


def test_every_shipped_situation_has_next_steps(knowledge: Knowledge) -> None:
    found = situations(Path(knowledge.folder))
    assert len(found) >= 20 and len({s.id for s in found}) == len(found)
    assert [s.id for s in found if not next_steps(knowledge, s, knowledge)] == []
