"""`guide debrief` on the command line: one drill, or a folder of them; text, one HTML page, JSON.

Exit status: 0 fine, 2 misuse or a log that cannot be read.
"""
from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING

from guide import SAFETY
from guide.arguments import Misuse, carry_out, command_parser, file_path
from guide.pages import check_name, write_page

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from guide.debriefs.debrief import Debrief
    from guide.debriefs.season import Season

SUFFIX = ".jsonl"


def parser_debrief() -> argparse.ArgumentParser:
    """The words of `guide debrief LOG|FOLDER`."""
    parser = command_parser("debrief", "What a drill shows, from its log: what was done when, what was missed and why it matters.\n"
                            "A folder of logs is a class or a season.",
                            "guide debrief monday.jsonl --html monday.html", "guide debrief winter/ --html winter.html",
                            "guide debrief monday.jsonl --record")
    parser.add_argument("log", type=file_path, nargs="?", metavar="LOG|FOLDER",
                        help=f"the log of a drill, or a folder with logs (*{SUFFIX}); the newest log here if left out")
    parser.add_argument("--html", type=file_path, metavar="FILE", help="write one self-contained page")
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.add_argument("--record", action="store_true", help="print only the record of the drill, with its blanks")
    parser.add_argument("--knowledge", type=file_path, metavar="DIR", help="another knowledge folder")
    parser.add_argument("--overlay", type=file_path, metavar="FILE", help="the vessel's own file that the drill was played with")
    return parser


def run_debrief(words: list[str]) -> int:
    """Carry out `guide debrief`; returns the exit status."""
    return carry_out(parser_debrief(), words, _debrief)


def _debrief(args: argparse.Namespace) -> int:
    from guide.debriefs.opening import debriefer, read_season
    if args.html:
        check_name(args.html)
    args.log = args.log or _newest()
    if args.log.is_dir():
        if args.record:
            raise Misuse(f"--record wants the log of one drill; {args.log} is a folder")
        return _show_season(args, read_season(sorted(args.log.rglob(f"*{SUFFIX}")), args.log, debriefer(args.knowledge, args.overlay)))
    return _show_drill(args, debriefer(args.knowledge, args.overlay)(args.log))


def _newest() -> Path:
    """The log here that was written last. Raises Misuse where there is none."""
    found = sorted(Path().glob(f"*{SUFFIX}"), key=lambda path: (path.stat().st_mtime, path.name))
    if not found:
        raise Misuse(f"no log of a drill is here (*{SUFFIX}): name the file that `guide drill run` named, or its folder")
    return found[-1]


def _show_drill(args: argparse.Namespace, drill: Debrief) -> int:
    from guide.debriefs import paging, rendering
    if args.html:
        write_page(args.html, paging.debrief_page(drill))
    if args.json:
        return _print([json.dumps(drill.record.as_json() if args.record else drill.as_json())])
    if args.record:
        return _print(rendering.record_lines(drill.record)[1:])
    return _print(_said(args, lambda: [*rendering.debrief_lines(drill), "", *SAFETY.split("\n")]))


def _show_season(args: argparse.Namespace, season: Season) -> int:
    from guide.debriefs import paging, rendering
    if args.html:
        write_page(args.html, paging.season_page(season))
    if args.json:
        return _print([json.dumps(season.as_json())])
    return _print(_said(args, lambda: rendering.season_lines(season)))


def _said(args: argparse.Namespace, lines: Callable[[], Sequence[str]]) -> Sequence[str]:
    """The text, or where the page is when that was asked for."""
    return [f"{args.html} is written."] if args.html else lines()


def _print(lines: Sequence[str]) -> int:
    print("\n".join(lines))
    return 0
