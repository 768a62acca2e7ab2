"""`guide picture`: a chart in the terminal, or as a PNG or SVG file."""
from __future__ import annotations

import argparse
from pathlib import Path

from guide.arguments import Misuse, carry_out, command_parser, file_path
from guide.figures.command import pairs
from guide.figures.model import FigureError
from guide.pictures.charts import SUBJECTS, Chart, Subject, chart
from guide.pictures.text import rows


def parser_picture() -> argparse.ArgumentParser:
    """The words of `guide picture`."""
    parser = command_parser(
        "picture", "Show a chart: stock over days, who sees us from how far, drift with its spread.",
        "guide picture water persons=6 stock_l=9", "guide picture seen visibility_nm=5",
        "guide picture drift wind_ms=10 hours=24 --save drift.png", "guide picture --list")
    parser.add_argument("subject", nargs="?", metavar="SUBJECT", help="water, food, seen or drift")
    parser.add_argument("inputs", nargs="*", metavar="NAME=VALUE", help="an input, in the unit its name ends with; --list names them")
    parser.add_argument("--save", type=file_path, metavar="FILE", help="write a picture, FILE.png or FILE.svg, instead (needs the extra `pictures`)")
    parser.add_argument("--list", action="store_true", help="list the subjects with what they take")
    return parser


def run_picture(words: list[str]) -> int:
    """Carry out `guide picture`; returns the exit status: 0 done, 2 an unknown subject, a bad input or a file that cannot be written."""
    return carry_out(parser_picture(), words, _picture)


def _picture(options: argparse.Namespace) -> int:
    if options.list:
        print("\n".join(f"{name}: {subject.about}\n    {_takes(subject)}" for name, subject in SUBJECTS.items()))
        return 0
    if options.subject is None:
        raise Misuse("name a subject, or use --list to see them all")
    try:
        shown = chart(options.subject, pairs(options.inputs))
    except FigureError as error:
        raise Misuse(str(error)) from error
    if options.save:
        _save(shown, options.save)
        print(f"{options.save}: {shown.title}")
    else:
        print("\n".join(rows(shown)))
    return 0


def _takes(subject: Subject) -> str:
    return " ".join(f"[{name}={subject.usual[name]}]" if name in subject.usual else name for name in subject.takes)


def _save(shown: Chart, path: Path) -> None:
    from guide.pictures.drawing import FORMATS, draw
    if path.suffix.lower() not in FORMATS:
        raise Misuse(f"--save {path}: the name must end in {' or '.join(FORMATS)}")
    try:
        draw(shown, path)
    except ImportError as error:
        raise Misuse("pictures need matplotlib: pip install 'liferaft-guide[pictures]'; without --save the chart is shown as text") from error
    except OSError as error:
        raise Misuse(f"--save {path}: cannot be written: {error.strerror or error}") from error
