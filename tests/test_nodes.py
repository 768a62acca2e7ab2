"""Defective knowledge: every problem has its code and place, all come in one run, and nothing ends in a traceback."""
from __future__ import annotations

import re
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from guide.cli import main
from guide.debriefs.form import FILE, check_form
from guide.drills.model import read_model
from guide.drills.scenario import read_scenario
from guide.knowledge import compiling, graph, nodes
from guide.knowledge.overlay import lay_over
from guide.knowledge.problems import Problem, render
from guide.knowledge.reading import Harvest
from guide.nearest import nearest

ROOT = Path(__file__).resolve().parent.parent
Found = tuple[str, int, int]

# A small folder without a fault, to which each case adds one file.
SOUND = """\
kind: priorities
priorities:
  - {id: account, title: everybody counted}
"""
STEP = ("- {id: %s, topic: t, priority: account, band: note, say: Count heads., why: Nobody is left., "
        "sources: [common_practice]%s}")


def steps(*lines: str) -> str:
    return "kind: steps\nsteps:\n" + "".join(f"  {line}\n" for line in lines)


def topic(*names: str) -> str:
    return f"kind: topics\ntopics:\n  - {{id: t, title: a topic, priority: account, steps: [{', '.join(names)}]}}\n"


@dataclass(frozen=True, slots=True)
class Case:
    """A text with one fault, what is found in it, and the message's tell-tale words."""

    text: str
    found: Found
    words: str
    beside: str = ""
    """A second file that the fault needs to stand alone."""


CASES = (
    Case("kind: priorities\npriorities: [a, b\n", ("K002", 3, 1), "flow sequence"),
    Case("kind: priorities\npriorities:\n\t- a\n", ("K002", 3, 1), "cannot start"),
    Case("kind: priorities\npriorities: a: b\n", ("K002", 2, 14), "quote the text if it holds a colon"),
    Case('kind: priorities\npriorities: "open\n', ("K002", 2, 13), "quoted scalar"),
    Case("kind: pri\0\n", ("K002", 1, 10), "a character that YAML does not allow"),
    Case("kind: priorities\n---\nkind: steps\n", ("K002", 2, 1), "single document"),
    Case("kind: priorities\npriorities: *nowhere\n", ("K002", 2, 13), "undefined alias"),
    Case("kind: priorities\npriorities:\n  - {id: &x a, title: *x}\n", ("K003", 3, 10), "write the value out"),
    Case("kind: priorities\npriorities: !shout []\n", ("K004", 2, 13), "!shout"),
    Case("kind: priorities\npriorities: !!python/object/apply:os.getcwd []\n", ("K004", 2, 13), "python/object"),
    Case("", ("K005", 1, 1), "empty"),
    Case("# only a remark\n", ("K005", 1, 1), "empty"),
    Case("priorities: []\n", ("K006", 1, 1), "`kind:`"),
    Case("kind: priorities\npriorities:\n  - {id: [a], title: b}\n", ("K010", 3, 10), "expected text"),
    Case("kind: priorities\npriorities: none\n", ("K010", 2, 13), "expected a list, found text"),
    Case("kind: lexicon\nconcepts: [a]\n", ("K010", 2, 11), "expected a mapping"),
    Case("kind: priority\npriorities: []\n", ("K011", 1, 7), 'did you mean "priorities"?'),
    Case("kind: facts\nfacts:\n  - {id: a, type: bool, about: b, low: none}\n", ("K012", 3, 40), "not a number"),
    Case("kind: lexicon\nconcepts:\n  raft: boat\n  raft: dinghy\n", ("K013", 4, 3), "first on line 3"),
    Case("kind: priorities\npriorities: []\npriorities: []\n", ("K013", 3, 1), "first on line 2"),
    Case("kind: priorities\npriorities:\n  - {id: a, title: b, tittle: c}\n", ("K014", 3, 23), 'did you mean "title"?'),
    Case("kind: priorities\npriorities:\n  - {<<: {id: c}, id: a, title: b}\n", ("K014", 3, 6), "<<"),
    Case("kind: priorities\npriorities:\n  - id: a\n", ("K015", 3, 5), '"title" is missing'),
    Case('kind: priorities\npriorities:\n  - {id: a, title: "b\\e[2J"}\n', ("K016", 3, 20), "U+001B"),
    Case("kind: priorities\npriorities:\n  - {id: a, title: b\u202ec}\n", ("K016", 3, 20), "U+202E"),
    Case(steps(STEP % ("s", ", unless: [it rains]")), ("K020", 3, 132), "it rains", topic("s")),
    Case(steps(STEP % ("s", ", takes: soon")), ("K021", 3, 130), "duration", topic("s")),
    Case("kind: packs\npacks:\n  - id: p\n    name: a pack\n    items:\n      - {item: q, sources: [unverified]}\n",
         ("K022", 6, 9), "count, each or share",
         "kind: equipment\nequipment:\n  - {id: q, name: a, what: b, where: c, use: d, sources: [unverified]}\n"),
    Case("kind: phrases\namounts: |\n  no bar here\n", ("K023", 2, 10), "line 3"),
    Case("kind: computed\nquantities:\n  - {id: cloth}\n", ("K015", 3, 5), '"ask" is missing'),
    Case("kind: computed\nquantities:\n  - {id: cloth, ask: the area, units: {m2: many}}\n", ("K012", 3, 44), "NUMBER - NUMBER"),
    Case("kind: computed\nquantities:\n  - {id: cloth, ask: the area, instead_of: clth}\n", ("K031", 3, 5), 'unknown "clth"'),
    Case("kind: computed\nshown_with:\n  water_days: [nevr_salt]\n", ("K031", 3, 3), 'unknown "nevr_salt"'),
    Case("kind: computed\ncomputed:\n  - {topic: t, figure: rain, inputs: {}, says: 'about {value litres'}\n", ("K024", 3, 48), "a brace stands alone",
         topic("s") + "---\n" + steps(STEP % ("s", ""))),
    Case("kind: lexicon\ndoubts:\n  - {facts: [], because: it is so, such_as: it is, clause: [it], unless: ['(open']}\n", ("K025", 3, 74), "unterminated"),
    Case("kind: lexicon\ndoubts:\n  - {facts: [], because: it is so, such_as: it is, unless: [open]}\n", ("K015", 3, 5), '"clause" or "sentence"'),
    Case("kind: lexicon\ndoubts:\n  - {facts: [drowge], because: it is so, such_as: it is, clause: [open]}\n", ("K031", 3, 5), 'unknown "drowge"'),
    Case("kind: lexicon\nreworded:\n  - {because: it is so, such_as: it is, reads: so, words: ['\\bit\\b'], as: '\\1'}\n", ("K025", 3, 75), "nothing to read in the place of these words"),
    Case("kind: lexicon\naddressed:\n  - {because: it is so, such_as: it is, words: [it, 'imagin\\w*']}\n", ("K026", 3, 48), "no whole word"),
    Case("kind: lexicon\nunasserted:\n  - {because: it is so, such_as: it is, words: ['(open']}\n", ("K025", 3, 48), "unterminated"),
    Case("kind: lexicon\nunasserted:\n  - {because: it is so, such_as: it is}\n", ("K015", 3, 5), '"words"'),
    Case("kind: lexicon\nreckoned:\n  - {facts: [drowge], as: used, where: ['#'], such_as: it is}\n", ("K031", 3, 5), 'unknown "drowge"'),
    Case("kind: lexicon\nreckoned:\n  - {facts: [], as: spent, where: ['#'], such_as: it is}\n", ("K011", 3, 21), "spent"),
    Case("kind: lexicon\nturned:\n  - {fact: drowge, value: 'true', then: [off], such_as: it is}\n", ("K031", 3, 5), 'unknown "drowge"'),
    Case("kind: priorities\npriorities:\n  - {id: account, title: again}\n", ("K030", 3, 5), "stands twice"),
    Case(steps(STEP % ("s", ", uses: [drouge]")), ("K031", 3, 5), 'unknown "drouge"; did you mean "drogue"?',
         topic("s") + "---\nkind: equipment\nequipment:\n"
         "  - {id: drogue, name: a, what: b, where: c, use: d, sources: [unverified]}\n"),
    Case("kind: equipment\nequipment:\n  - {id: q, name: a, what: b, where: c, use: d, shown_by: drowge_set, sources: [unverified]}\n", ("K031", 3, 5),
         'shown_by: unknown "drowge_set"'),
    Case("kind: cautions\ncautions:\n  - {id: c, say: Take care., sources: []}\n", ("K032", 3, 5), "no source"),
    Case(steps((STEP % ("s", "")).replace("note", "ordered")), ("K033", 3, 5), "no `when`", topic("s")),
    Case(topic(), ("K034", 3, 5), "no steps"),
    Case(steps(STEP % ("s", ", after: [s]")), ("K040", 3, 5), "come after each other: s", topic("s")),
    Case(steps(STEP % ("s", ", instead: s")), ("K041", 3, 5), "in a ring: s", topic("s")),
    Case(steps(STEP % ("s", ""), STEP % ("r", "")), ("K042", 4, 5), "no topic calls for step r", topic("s")),
)


def write(folder: Path, case: Case) -> None:
    (folder / "a_sound.yaml").write_text(SOUND, encoding="utf-8")
    (folder / "faulty.yaml").write_text(case.text, encoding="utf-8")
    for number, text in enumerate(filter(None, case.beside.split("---\n"))):
        (folder / f"beside{number}.yaml").write_text(text, encoding="utf-8")


def problems_of(folder: Path) -> list[Problem]:
    knowledge, problems = compiling.load(folder)
    return sorted([*problems, *graph.problems(knowledge)])


def found(problems: list[Problem]) -> list[Found]:
    return [(p.code, p.place.line, p.place.col) for p in problems]


def run(*arguments: str) -> subprocess.CompletedProcess[str]:
    """`python -m guide check ...` as a user runs it."""
    return subprocess.run([sys.executable, "-m", "guide", "check", *arguments], cwd=ROOT, check=False,
                          capture_output=True, text=True, encoding="utf-8", timeout=60)


@pytest.mark.parametrize("case", CASES, ids=[f"{case.found[0]}-{n}" for n, case in enumerate(CASES)])
def test_one_fault_gives_one_problem_with_its_place(tmp_path: Path, case: Case) -> None:
    write(tmp_path, case)
    problems = problems_of(tmp_path)
    assert found(problems) == [case.found]
    assert problems[0].place.file == "faulty.yaml"
    assert case.words in problems[0].message


def test_every_code_of_the_reader_has_a_case() -> None:
    source = "".join(path.read_text(encoding="utf-8") for path in (ROOT / "guide" / "knowledge").glob("*.py"))
    assert set(re.findall(r'"(K\d{3})"', source)) == {case.found[0] for case in CASES} | {"K001"}


@pytest.mark.parametrize(("data", "words"), [
    (b"kind: \xff\xfe\n", "not UTF-8 text at byte 6"), ("kind: steps\n".encode("utf-16"), "not UTF-8 text at byte 0"),
    (b"# " + b"x" * 8_000_000, "larger than 8 MB")])
def test_a_file_that_is_no_text_is_k001(tmp_path: Path, data: bytes, words: str) -> None:
    (tmp_path / "odd.yaml").write_bytes(data)
    problems = problems_of(tmp_path)
    assert found(problems) == [("K001", 1, 1)]
    assert words in problems[0].message


@pytest.mark.parametrize(("text", "code", "words"), [
    ("kind: steps\nsteps: []\nx: y\n", "K011", 'this is of kind "steps"; '), ('kind: "a\\nb"\n', "K011", 'this is of kind "a b"; '),
    ("steps: []\n", "K006", "begins with `kind: "), ("kind: [a]\n", "K006", "begins with `kind: "), ("just words\n", "K006", "begins with `kind: ")])
def test_a_file_of_another_kind_is_one_problem(tmp_path: Path, text: str, code: str, words: str) -> None:
    """In such a file each field would be one: what is wrong is the file's name."""
    (tmp_path / "drills" / "forms").mkdir(parents=True)
    own = [tmp_path / name for name in ("own.yaml", "drills/model.yaml", f"drills/{FILE}")]
    for path in own:
        path.write_text(text)
    knowledge = Harvest()
    readers = (lambda problems: lay_over(own[0], knowledge, problems), lambda problems: read_scenario(own[0], "own.yaml", compiling.load(tmp_path)[0], problems),
               lambda problems: read_model(tmp_path, compiling.load(tmp_path)[0], problems),
               lambda problems: problems.extend(check_form(tmp_path, compiling.load(tmp_path)[0])[1]))
    for read in readers:
        problems: list[Problem] = []
        read(problems)
        assert [problem.code for problem in problems] == [code]
        assert words in problems[0].line() and "\n" not in problems[0].line()


@pytest.mark.parametrize(("word", "near"), [
    ("drouge", "drogue"), ("canopi", "canopy"), ("dri", "dry"), ("pac", "pack"), ("pakc", "pack"), ("nope", ""), ("vomit", "vomit_l_h"), ("x", ""), ("", ""), ("zzzzzz", "")])
def test_what_was_meant_is_offered_where_it_is_near(word: str, near: str) -> None:
    assert nearest(word, ("drogue", "canopy", "dry", "pack", "vomit_l_h")) == near


@pytest.mark.parametrize("words", [["ask", "what now"], ["drill", "list"]])
def test_an_overlay_that_cannot_be_used_names_the_check_that_tells_why(tmp_path: Path, capsys: pytest.CaptureFixture[str],
                                                                       words: list[str]) -> None:
    command, *rest = words
    folder, own = tmp_path / "knowledge", tmp_path / "our boat.yaml"
    folder.mkdir()
    (folder / "facts.yaml").write_text("kind: facts\nfacts:\n  - {id: adrift, type: bool, about: adrift}\n")
    for text, said in (("kind: overlay\nvessel: a\ngiven: {adrift: perhaps}\n", 'adrift is true or false, not "perhaps" [K062]'),
                       ("kind: overlay\nvessel: a\npositons: {}\n", 'unknown field "positons"'),
                       ("kind: overlay\nvessel: a\nx: {}\ny: {}\n", "; 2 errors in all: run `")):
        own.write_text(text)
        assert main([command, "--knowledge", str(folder), "--overlay", str(own), *rest]) == 2
        told = capsys.readouterr().err
        assert said in told and told.endswith(f"run `guide check {folder} --overlay '{own}'`\n") and told.count("\n") == 1
        assert main(["check", str(folder), "--overlay", str(own)]) == 1
        assert "our boat.yaml:3:" in capsys.readouterr().out


@pytest.mark.parametrize("words", [["pack", "solas_a", "--persons", "6", "--knowledge"], ["report", "x.html", "--knowledge"], ["changes"]])
def test_every_command_tells_of_a_folder_that_cannot_be_used_alike(tmp_path: Path, capsys: pytest.CaptureFixture[str], words: list[str]) -> None:
    assert main([*words, str(tmp_path), *([str(tmp_path)] if words == ["changes"] else [])]) == 2
    assert capsys.readouterr().err == (f"guide {words[0]}: {tmp_path}:1:1: error: no knowledge files (*.yaml) here [K001]; "
                                       f"run `guide check {tmp_path}`\n")


def test_a_folder_named_as_a_file_is_k001(tmp_path: Path) -> None:
    (tmp_path / "folder.yaml").mkdir()
    assert found(problems_of(tmp_path)) == [("K001", 1, 1)]


def test_a_folder_without_files_is_k001(tmp_path: Path) -> None:
    assert found(problems_of(tmp_path)) == [("K001", 1, 1)]


def test_all_problems_come_in_one_run_sorted_by_place(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text("kind: priorities\npriorities:\n  - {id: a}\n  - {title: b, x: c}\n")
    (tmp_path / "b.yaml").write_text("kind: nothing\n")
    (tmp_path / "c.yaml").write_text("kind: [")
    (tmp_path / "d.yaml").write_text("kind: cautions\ncautions:\n  - {id: c, say: d, sources: [nowhere]}\n")
    shown = [(p.place.file, p.code) for p in problems_of(tmp_path)]
    assert shown == [("a.yaml", "K015"), ("a.yaml", "K015"), ("a.yaml", "K014"), ("b.yaml", "K011"),
                     ("c.yaml", "K002"), ("d.yaml", "K031")]


def test_what_is_sound_is_still_usable_beside_a_fault(tmp_path: Path) -> None:
    (tmp_path / "sound.yaml").write_text(SOUND)
    (tmp_path / "faulty.yaml").write_text("kind: [")
    knowledge, problems = compiling.load(tmp_path)
    assert set(knowledge.priorities) == {"account"}
    assert len(problems) == 1


@pytest.mark.parametrize("data", [b"\xef\xbb\xbf" + SOUND.encode(), SOUND.replace("\n", "\r\n").encode(),
                                  SOUND.rstrip("\n").encode(), b"---\n" + SOUND.encode()])
def test_a_byte_order_mark_and_line_ends_make_no_problem(tmp_path: Path, data: bytes) -> None:
    (tmp_path / "sound.yaml").write_bytes(data)
    assert problems_of(tmp_path) == []


def test_a_place_counts_characters_not_bytes(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text("kind: priorities\npriorities:\n  - {id: é, title: ü, x: y}\n", encoding="utf-8")
    assert found(problems_of(tmp_path)) == [("K014", 3, 23)]


def test_values_stay_text(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text("kind: priorities\npriorities:\n  - {id: no, title: 2026-01-01}\n")
    knowledge, problems = compiling.load(tmp_path)
    assert problems == []
    assert knowledge.priorities["no"].title == "2026-01-01"


@pytest.mark.parametrize("opening", ["[", "{a: ", "- ", "? "])
def test_deep_nesting_is_a_problem_and_no_crash(opening: str) -> None:
    problems: list[Problem] = []
    assert nodes.parse("a:\n  " + opening * 20_000, "deep.yaml", problems) is None
    assert [p.code for p in problems] == ["K002"]


def test_a_list_that_holds_itself_ends(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text("kind: priorities\npriorities: &a [*a]\n")
    assert "K003" in [code for code, _, _ in found(problems_of(tmp_path))]


@pytest.mark.parametrize("link", ["after", "instead"])
def test_a_ring_of_steps_is_one_problem_at_its_first_step(tmp_path: Path, link: str) -> None:
    lines = [STEP % (a, f", {link}: {b}" if link == "instead" else f", {link}: [{b}]")
             for a, b in (("one", "two"), ("two", "three"), ("three", "one"))]
    write(tmp_path, Case(steps(*lines), ("", 0, 0), "", topic("one", "two", "three")))
    assert found(problems_of(tmp_path)) == [("K040" if link == "after" else "K041", 3, 5)]


@pytest.mark.parametrize("text", [
    "kind: packs\npacks:\n  - {id: p, name: a, items: [{item: q, count: 1, from: {1e999: 2}, sources: []}]}\n",
    "kind: packs\npacks:\n  - {id: p, name: a, items: [{item: q, count: 1, from: {x: 2}, sources: []}]}\n",
    "kind: computed\ncomputed:\n  - {topic: t, figure: horizon, inputs: {eye_m: wave_height * much}}\n",
    "kind: facts\npresumptions:\n  - {fact: a, value: 1e999, when: [], because: b}\n",
    "kind: facts\npresumptions:\n  - {fact: a, value: nan, when: [], because: b}\n",
    "kind: phrases\nquestions: {a: {b: c}}\n",
    "kind: phrases\nsuppose: [a]\n",
    "kind: lexicon\nwords: {a: [b]}\n",
    "kind: steps\nsteps: {a: b}\n", "kind: topics\ntopics:\n  - \n", "- kind: steps\n", "just words", "? [a, b]\n: c\n",
])
def test_an_odd_value_is_a_problem_and_no_traceback(tmp_path: Path, text: str) -> None:
    (tmp_path / "odd.yaml").write_text(text, encoding="utf-8")
    assert problems_of(tmp_path)


# Fragments that together come near to knowledge files, so that the reading beyond the YAML is reached as well.
FRAGMENTS = (
    "kind: steps\n", "kind: packs\n", "kind: facts\n", "steps:\n", "packs:\n", "facts:\n", "  - id: a\n",
    "  - {id: b}\n", "    from: {13: 2}\n", "    items:\n", "    when: [a is b]\n", ": ", "- ", "&a ", "*a", "!!int ",
    "|\n", ">", "[", "]", "{", "}", "'", '"', "\t", "\ufeff", "\u2028", "\x85", "é", "#", "%", "@", "`", "1e999", "~",
    "---\n", "...\n")
ODD_BYTES = st.one_of(
    st.binary(max_size=60), st.text(max_size=60).map(lambda text: text.encode("utf-8", "replace")),
    st.lists(st.sampled_from(FRAGMENTS)).map(lambda parts: "".join(parts).encode()))


@settings(max_examples=150, deadline=None)
@given(ODD_BYTES)
def test_no_bytes_end_in_a_traceback(data: bytes) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "odd.yaml").write_bytes(data)
        for problem in problems_of(folder):
            assert problem.place.line >= 1 and problem.place.col >= 1
            assert render(problem, folder).startswith(problem.line())


def test_a_problem_is_shown_with_its_line_and_a_caret(tmp_path: Path) -> None:
    write(tmp_path, next(case for case in CASES if case.found[0] == "K014"))
    lines = render(problems_of(tmp_path)[0], tmp_path).splitlines()
    assert lines[0] == 'faulty.yaml:3:23: error: unknown field "tittle"; did you mean "title"? [K014]'
    assert lines[2].index("^") == lines[1].index("tittle")


def test_check_ends_with_0_where_all_is_well(tmp_path: Path) -> None:
    (tmp_path / "sound.yaml").write_text(SOUND)
    ended = run(str(tmp_path))
    assert (ended.returncode, ended.stderr) == (0, "")
    assert ended.stdout.strip().endswith("0 problems")


def test_check_of_the_shipped_knowledge_ends_with_0() -> None:
    ended = run()
    assert ended.returncode == 0, ended.stdout


@pytest.mark.parametrize("case", [CASES[0], CASES[8], CASES[10], CASES[-1]], ids=lambda case: case.found[0])
def test_check_ends_with_1_and_prints_what_it_found(tmp_path: Path, case: Case) -> None:
    write(tmp_path, case)
    ended = run(str(tmp_path))
    code, line, col = case.found
    assert (ended.returncode, ended.stderr) == (1, "")
    assert re.match(rf"faulty\.yaml:{line}:{col}: (error|warning): .*\[{code}\]", ended.stdout)
    assert ended.stdout.strip().endswith("1 problem")


@pytest.mark.parametrize("arguments", [("no_such_folder",), ("--colour",), ("a", "b")])
def test_check_ends_with_2_on_misuse(arguments: tuple[str, ...]) -> None:
    ended = run(*arguments)
    assert ended.returncode == 2
    assert ended.stderr and "Traceback" not in ended.stderr


def test_check_of_a_file_ends_with_2(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text(SOUND)
    assert run(str(tmp_path / "a.yaml")).returncode == 2
