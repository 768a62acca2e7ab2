"""The lists of the lexicon: those that the code looks up are there, hold what they must, and a mistake in one is a problem with its place."""
from __future__ import annotations

import ast
from pathlib import Path

import pytest

from guide.knowledge import compiling, lists, nodes
from guide.knowledge.base import Knowledge
from guide.knowledge.problems import Problem
from guide.knowledge.reading import Harvest, read_file

ROOT = Path(__file__).resolve().parent.parent
LEXICON = ROOT / "knowledge" / "lexicon.yaml"
LOOKED_UP = lists.OF_FACTS | lists.OF_TOPICS | lists.OF_WORDS


@pytest.fixture(scope="module")
def shipped() -> Knowledge:
    return compiling.load(bank=False)[0]


def spoilt(file: Path, shipped: Knowledge, name: str, words: str | None) -> list[tuple[str, str, str]]:
    """Code, message and line of each problem of the shipped knowledge in which a list holds these words, or is left out."""
    lines = [line for line in LEXICON.read_text(encoding="utf-8").splitlines() if not line.startswith(f"  {name}:")]
    lines += [f"  {name}: {words}"] if words is not None else []
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
    found: list[Problem] = []
    harvest, root = Harvest(), nodes.read(file, "lexicon.yaml", found)
    assert root is not None
    read_file(root, harvest)
    own = shipped._replace(language=shipped.language._replace(words=harvest.words))
    found += lists.problems(own, harvest.listed)
    return [(problem.code, problem.message, lines[problem.place.line - 1].strip()) for problem in found]


@pytest.mark.parametrize(("name", "words", "code", "says"), [
    ("may_stop", "someone_bleedng, raining", "K031", 'list may_stop, fact: unknown "someone_bleedng"; did you mean "someone_bleeding"?'),
    ("patient", "nosuchtopic", "K031", 'list patient, topic: unknown "nosuchtopic"'),
    ("troubles", "sunbrn", "K031", 'did you mean "sunburn"?'),
    ("asked_as_so", "aircraft_in_sight, raining", "K011", '"raining" is no sighting; allowed: ship_in_sight, aircraft_in_sight'),
    ("crie", "fire", "K014", 'no list "crie" is looked up; did you mean "cries"?'),
    ("noun_rokets", "rocket, rockets", "K031", 'list noun_rokets, fact: unknown "rokets"'),
    ("leaning_brns", "what if it blisters", "K031", 'list leaning_brns, topic: unknown "brns"')])
def test_a_mistake_in_a_list_is_a_problem_at_its_line(tmp_path: Path, shipped: Knowledge, name: str, words: str, code: str, says: str) -> None:
    [(found, message, line)] = spoilt(tmp_path / "lexicon.yaml", shipped, name, words)
    assert found == code and says in message and line.startswith(f"{name}:")


@pytest.mark.parametrize(("name", "words"), [
    ("patient", None), ("patient", ""), ("asked_as_so", None), ("cries", None), ("leaning_or_near", None), ("noun_rocket_flares", None), ("noun_water", None),
    ("noun_rocket_flares", "rocket")])
def test_a_list_that_is_missing_or_lacks_a_form_is_a_problem(tmp_path: Path, shipped: Knowledge, name: str, words: str | None) -> None:
    found = spoilt(tmp_path / "lexicon.yaml", shipped, name, words)
    assert [code for code, _, _ in found] == ["K015"] and f'"{name}"' in found[0][1]


def test_the_shipped_lists_are_those_that_are_looked_up(knowledge: Knowledge) -> None:
    assert {name for name in knowledge.language.words if not name.startswith(tuple(lists.FAMILIES)) or name in LOOKED_UP} == LOOKED_UP


def test_each_list_of_the_table_is_named_in_the_code() -> None:
    files = [path for path in (ROOT / "guide").rglob("*.py") if path.name != "lists.py" and "shipped" not in path.parts]
    named = {node.value for path in files for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
             if isinstance(node, ast.Constant) and isinstance(node.value, str)}
    assert LOOKED_UP - named - {"leaning_patient"} == set()  # made of two names
