"""A figure computes and says how far it holds; what to do with it is knowledge, with sources, and is told with it everywhere."""

from __future__ import annotations

import ast
import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from guide.figures.catalogue import FIGURES
from guide.figures.command import run_figure as run
from guide.knowledge.compiling import Knowledge

FOLDER = Path(__file__).resolve().parents[2] / "guide" / "figures"
MODULES = sorted(path.name for path in FOLDER.glob("*.py") if path.name != "command.py")
ORDER = re.compile(
    r"(?:^|[.;:,!?]\s+|\b(?:and|or|but|then|so)\s+)(?:always|first|either way|only|please)?\s*"
    r"(?:adjust|aim|bail|call|check|close|count|cover|cut|drink|eat|face|fill|fire|find|flash|give|go|help|hold|keep|leave|let|look|make|open|pay"
    r"|press|pump|put|rig|see|send|shift|shut|sit|sponge|stay|stop|sweep|switch|take|taste|tell|throw|tie|try|turn|use|wait|wrap|write)\b(?! to\b)",
    re.IGNORECASE)
FORBIDS = re.compile(r"\b(?:never|do not|don't|should|ought to|make sure|must be \w+ed|eat nothing)\b", re.IGNORECASE)
ADVICE = (
    "Without water eat nothing; water matters first.", "Fish and meat cost water, so leave them when water is short.",
    "Keep them for a craft that can be seen or heard.", "Sweep the flash slowly across the target and back.",
    "Never make it up with sea water or urine.", "Let the first rain wash the salt off, and taste before it goes in with the rest.",
    "Less than 0.5 L does not clear the body's waste; look for rain or make water.", "Below 0 the tube is limp: pump it up.",
    "Gas let out at noon must be pumped back at night.", "It lasts longer; keep one vent open all the same.",
    "Either way adjust the line until it stops snatching.", "Wet skin is quicker still: cover up now.")


def joined(node: ast.expr) -> str | None:
    """A text of the code, with 0 for what is filled in."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if isinstance(node, ast.JoinedStr):
        return "".join(str(part.value) if isinstance(part, ast.Constant) else "0" for part in node.values)
    return None


def sentences(code: str) -> Iterator[str]:
    """Each text that a module of figures may say: all but its docstrings and what it answers to inputs that cannot be."""
    tree = ast.parse(code)
    inner = {id(part) for node in ast.walk(tree) if isinstance(node, ast.JoinedStr) for part in node.values}
    left = [node for node in ast.walk(tree) if isinstance(node, ast.Expr)
            or isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "FigureError"]
    skipped = {id(part) for node in left for part in ast.walk(node)} | inner
    for node in ast.walk(tree):
        if isinstance(node, ast.expr) and id(node) not in skipped and (text := joined(node)) and " " in text:
            yield text


def advises(text: str) -> bool:
    """Whether a text orders or forbids something."""
    return bool(ORDER.search(text) or FORBIDS.search(text))


@pytest.mark.parametrize("text", ADVICE)
def test_advice_would_be_seen(text: str) -> None:
    assert advises(text)


@pytest.mark.parametrize("module", MODULES)
def test_a_figure_orders_and_forbids_nothing(module: str) -> None:
    assert [text for text in sentences((FOLDER / module).read_text(encoding="utf-8")) if advises(text)] == []


def test_what_is_told_with_figures_is_told_with_figures_that_exist(knowledge: Knowledge) -> None:
    assert knowledge.shown_with and set(knowledge.shown_with) <= set(FIGURES)


@pytest.mark.parametrize(("words", "said"), [
    ("water_days persons=6 stock_l=9 ration_l=0.5", "sea water"), ("water_ration persons=6 stock_l=9 days=4", "sea water"),
    ("days_to_dehydration mass_kg=70 net_loss_l_per_day=1.1 intake_l_per_day=0.5", "sea water"), ("dehydration mass_kg=70 deficit_l=4", "sea water"),
    ("food_days persons=6 stock_kcal=9000 kcal_each_per_day=800", "Without water eat nothing"), ("protein_water protein_g=20", "Without water eat nothing"),
    ("rocket_height", "Never point a rocket at an aircraft"), ("beacon_life device=epirb hours_on=60", "leave it on"),
    ("air_time persons=6 canopy_m3=4", "open up at once")])
def test_what_must_not_be_missed_is_told_with_its_sources(words: str, said: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(words.split()) == 0
    advice = [line for line in capsys.readouterr().out.splitlines() if line.startswith("Advice: ")]
    assert any(said in line for line in advice) and all(line.endswith(")") for line in advice)
    assert run([*words.split(), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)["advice"]
    assert any(said in each["text"] for each in told) and all(each["sources"] for each in told)
