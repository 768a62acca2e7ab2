"""`guide check`: every problem of a knowledge folder, with its place, in one run."""
from __future__ import annotations

import sys
from pathlib import Path

from guide.knowledge import compiling, graph
from guide.knowledge.problems import Problem, render


def check(folder: Path | None) -> int:
    """Print the problems; 0 none, 1 findings, 2 no such folder."""
    folder = folder or compiling.default_folder()
    if not folder.is_dir():
        print(f"guide: {folder}: not a folder of knowledge files", file=sys.stderr)
        return 2
    knowledge, problems = compiling.load(folder)
    problems = sorted([*problems, *graph.problems(knowledge)])
    for problem in problems:
        print(render(problem, folder))
    print(_summary(knowledge, problems))
    return 1 if problems else 0


def _summary(knowledge: compiling.Knowledge, problems: list[Problem]) -> str:
    counts = (f"{len(knowledge.topics)} topics, {len(knowledge.steps)} steps, {len(knowledge.equipment)} items, "
              f"{len(knowledge.clauses)} clauses, {len(knowledge.disputes)} disputes, "
              f"{sum(len(getattr(knowledge.language, n)) for n in ('questions', 'reports', 'facts', 'amounts', 'nothing', 'suppose', 'outside'))} phrases")
    return f"{counts}: {len(problems)} problem{'' if len(problems) == 1 else 's'}"
