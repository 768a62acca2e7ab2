"""`guide check`: every problem of a knowledge folder, with its place, in one run."""
from __future__ import annotations

import sys
from pathlib import Path

from guide.knowledge import compiling, graph
from guide.knowledge.problems import Place, Problem, render


def check(folder: Path | None, overlay: Path | None = None) -> int:
    """Print the problems; 0 none, 1 findings, 2 no such folder."""
    folder = folder or compiling.default_folder()
    if not folder.is_dir():
        print(f"guide: {folder}: not a folder of knowledge files", file=sys.stderr)
        return 2
    knowledge, problems = compiling.load(folder, overlay=overlay)
    problems = sorted([*problems, *graph.problems(knowledge), *_stale_weights(folder, knowledge)])
    for problem in problems:
        print(render(problem, folder))
    print(_summary(knowledge, problems))
    return 1 if problems else 0


def _stale_weights(folder: Path, knowledge: compiling.Knowledge) -> list[Problem]:
    """The evidence weights must have been learned from the bank as it is."""
    from guide.language import weights
    if not knowledge.language.questions or weights.made_from(folder / weights.FILE) == weights.digest(knowledge.language):
        return []
    return [Problem(Place(weights.FILE, 1, 1), "error", "K050",
                    "not learned from this phrase bank; run `python -m guide.language.training`")]


def _summary(knowledge: compiling.Knowledge, problems: list[Problem]) -> str:
    counts = (f"{len(knowledge.topics)} topics, {len(knowledge.steps)} steps, {len(knowledge.equipment)} items, "
              f"{len(knowledge.clauses)} clauses, {len(knowledge.disputes)} disputes, "
              f"{sum(len(getattr(knowledge.language, n)) for n in ('questions', 'reports', 'facts', 'amounts', 'nothing', 'suppose', 'outside'))} phrases")
    return f"{counts}: {len(problems)} problem{'' if len(problems) == 1 else 's'}"
