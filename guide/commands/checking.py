"""`guide check`: every problem of a knowledge folder, with its place, in one run."""
from __future__ import annotations

import argparse
from pathlib import Path

from guide.arguments import Misuse, carry_out, command_parser, file_path
from guide.knowledge import compiling, graph
from guide.knowledge.problems import Place, Problem, render
from guide.knowledge.reading import PHRASE_SECTIONS
from guide.values import wrong_values


def parser_check() -> argparse.ArgumentParser:
    """The words of `guide check`."""
    parser = command_parser("check", "Read the knowledge and print its problems.", "guide check knowledge")
    parser.add_argument("folder", nargs="?", type=file_path, metavar="DIR", help="a knowledge folder; the shipped one if left out")
    parser.add_argument("--overlay", type=file_path, metavar="FILE", help="a vessel's own file to check with it")
    return parser


def run_check(words: list[str]) -> int:
    """Carry out `guide check`: 0 none, 1 findings, 2 no such folder."""
    return carry_out(parser_check(), words, lambda args: check(args.folder, args.overlay))


def check(folder: Path | None, overlay: Path | None = None) -> int:
    """Print the problems; 0 none, 1 findings. Misuse where there is no such folder."""
    folder = folder or compiling.default_folder()
    if not folder.is_dir():
        raise Misuse(f"{folder}: not a folder of knowledge files")
    knowledge, problems = compiling.load(folder, overlay=overlay)
    problems = sorted([*problems, *graph.problems(knowledge), *wrong_values(knowledge), *_talks(folder, knowledge),
                       *_stale_weights(folder, knowledge), *_drills(folder, knowledge)])
    for problem in problems:
        print(render(problem, folder))
    print(_summary(knowledge, problems))
    return 1 if problems else 0


def _stale_weights(folder: Path, knowledge: compiling.Knowledge) -> list[Problem]:
    """The weights must have been learned from the bank and the talks as they are."""
    from guide.language import weights, writing
    from guide.talk.examples import digest
    if not knowledge.language.questions:
        return []
    learned = weights.read(folder / weights.FILE)
    place = Place(weights.FILE, 1, 1)
    if learned.digest != writing.digest(knowledge.language) or not weights.intact(learned):
        return [Problem(place, "error", "K050", "not learned from this phrase bank, or damaged; run `python -m guide.learning`")]
    if learned.rehearsed != digest(folder):
        return [Problem(place, "error", "K050", "not learned from these talks; run `python -m guide.learning`")]
    return []


def _talks(folder: Path, knowledge: compiling.Knowledge) -> list[Problem]:
    """The problems of the labelled talks."""
    from guide.talk.examples import read
    problems: list[Problem] = []
    read(folder, knowledge, problems)
    return problems


def _drills(folder: Path, knowledge: compiling.Knowledge) -> list[Problem]:
    """The problems of the scenarios, of the drill model and of the form of the record; nothing is loaded where there are none."""
    if not (folder / compiling.DRILLS).is_dir():
        return []
    from guide.debriefs.form import check_form
    from guide.drills.opening import check_folder
    return [*check_folder(folder, knowledge), *check_form(folder, knowledge)[1]]


def _summary(knowledge: compiling.Knowledge, problems: list[Problem]) -> str:
    counts = (f"{len(knowledge.topics)} topics, {len(knowledge.steps)} steps, {len(knowledge.equipment)} items, "
              f"{len(knowledge.clauses)} clauses, {len(knowledge.disputes)} disputes, "
              f"{sum(len(getattr(knowledge.language, section)) for section in PHRASE_SECTIONS)} phrases")
    return f"{counts}: {len(problems)} problem{'' if len(problems) == 1 else 's'}"
