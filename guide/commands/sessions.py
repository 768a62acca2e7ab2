"""`guide sessions`: the conversations kept, listed, renamed, exported."""
from __future__ import annotations

import argparse
import sys

from guide.arguments import Misuse, carry_out, command_parser, file_path
from guide.commands.common import add_knowledge, start
from guide.safe import safe


def parser_sessions() -> argparse.ArgumentParser:
    """The words of `guide sessions`."""
    parser = command_parser("sessions", "The conversations kept. guide chat --resume NAME goes on with one.", "guide sessions",
                            'guide sessions rename 1 "night drill"', 'guide sessions export "night drill" --as json --to night.json')
    does = parser.add_subparsers(dest="does", metavar="DO")
    does.add_parser("list", help="list them, the latest first (what happens without a word)")
    rename = does.add_parser("rename", help="give one another name")
    rename.add_argument("name", metavar="NAME", help="its name, the beginning of it, or its number in the list")
    rename.add_argument("new", metavar="NEW", help="the new name")
    export = does.add_parser("export", help="print one, or write it to a file")
    export.add_argument("name", metavar="NAME", help="its name, the beginning of it, or its number in the list")
    export.add_argument("--as", dest="how", choices=("markdown", "json"), help="the format; by the file's name where left out, else markdown")
    export.add_argument("--to", type=file_path, metavar="FILE", help="write to this new file")
    add_knowledge(export)
    return parser


def run_sessions(words: list[str]) -> int:
    """Carry out `guide sessions`."""
    return carry_out(parser_sessions(), words, _sessions)


def _sessions(args: argparse.Namespace) -> int:
    from guide.state.journal import JournalError
    from guide.terminal.sessions import SessionProblem
    doing = {"rename": _rename, "export": _export}
    try:
        return doing.get(args.does, _list)(args)
    except (SessionProblem, JournalError) as error:
        raise Misuse(str(error)) from error


def _list(_: argparse.Namespace) -> int:
    from guide.terminal import sessions
    found = sessions.saved()
    for number, one in enumerate(found, start=1):
        print(f"{number}. {one.line()}")
    if not found:
        print("No session is kept yet.")
    return 0


def _rename(args: argparse.Namespace) -> int:
    from guide.starting import now
    from guide.terminal import keeping, sessions
    kept = keeping.opened(sessions.find(args.name, sessions.saved()).path, now())
    try:
        kept.move(sessions.path_for(args.new), now())
    finally:
        kept.close()
    return 0


def _export(args: argparse.Namespace) -> int:
    from guide.planning.planner import plan
    from guide.starting import now
    from guide.state.journal import read
    from guide.terminal import exporting, sessions
    found = sessions.find(args.name, sessions.saved())
    events, problems = read(found.path)
    for line in problems:
        print(f"guide sessions: {safe(line)}", file=sys.stderr)
    started = start(args)
    steps = plan(started.going_on(events, None).view(), now())
    if args.to is None:
        print(exporting.exported(args.how or "markdown", found.name, events, steps, started.knowledge), end="")
    else:
        exporting.write(args.to, found.name, events, steps, started.knowledge, args.how)
    return 0
