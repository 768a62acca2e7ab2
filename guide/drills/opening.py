"""Finding and reading what a drill needs: scenarios by name or file, all problems of a folder."""
from __future__ import annotations

from pathlib import Path

from guide.drills import model
from guide.drills.records import Scenario
from guide.drills.scenario import read_scenario, scenario_files
from guide.knowledge.base import Knowledge
from guide.knowledge.problems import Problem


def read_folder(folder: Path, knowledge: Knowledge) -> tuple[dict[str, Scenario], list[Problem]]:
    """The scenarios of a knowledge folder by id, and every problem found in them."""
    problems: list[Problem] = []
    found: dict[str, Scenario] = {}
    for path in scenario_files(folder):
        if path.name == model.FILE:
            continue
        scenario = read_scenario(path, path.relative_to(folder).as_posix(), knowledge, problems)
        if scenario is None:
            continue
        if scenario.id in found:
            first = found[scenario.id].place
            problems.append(Problem(scenario.place, "error", "K030", f"drill {scenario.id} stands twice; first at {first}"))
        found.setdefault(scenario.id, scenario)
    return found, problems


def check_folder(folder: Path, knowledge: Knowledge) -> list[Problem]:
    """Every problem of a folder's drills."""
    problems = read_folder(folder, knowledge)[1]
    model.read_model(folder, knowledge, problems)
    return problems
