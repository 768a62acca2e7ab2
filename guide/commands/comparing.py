"""`guide compare`."""
from __future__ import annotations

import argparse
import json
import shutil

from guide.arguments import Misuse, carry_out, command_parser
from guide.commands.common import add_given, known_at_start, read_given, start

_WIDEST = 80
_NARROWEST = 20


def parser_compare() -> argparse.ArgumentParser:
    """The words of `guide compare`."""
    parser = command_parser("compare", "Two situations side by side: next steps, what is lacking, stores, figures.",
                            "guide compare --given pack=solas_a --given persons=6 --given aboard_raft=true --with pack=coastal",
                            "guide compare --given aboard_raft=true --given water=9 --with night=true --with air_temperature=2")
    parser.add_argument("--with", dest="supposed", action="append", default=[], metavar="FACT=VALUE",
                        help="what is otherwise in the second situation; at least one")
    parser.add_argument("--json", action="store_true", help="print JSON")
    add_given(parser)
    return parser


def run_compare(words: list[str]) -> int:
    """Carry out `guide compare`."""
    return carry_out(parser_compare(), words, _compare)


def _compare(args: argparse.Namespace) -> int:
    from guide.comparing.rendering import as_json, comparison_lines
    from guide.comparing.situations import compare
    from guide.starting import now
    if not args.supposed:
        raise Misuse("say what is otherwise in the second situation: --with FACT=VALUE")
    started = start(args)
    session = started.session()
    session.given(known_at_start(args, started.knowledge))
    comparison = compare(session.view(), read_given(started.knowledge, args.supposed, "--with"), now())
    if args.json:
        print(json.dumps(as_json(comparison), ensure_ascii=True))
    else:
        width = min(_WIDEST, max(_NARROWEST, shutil.get_terminal_size().columns))
        print("\n".join(comparison_lines(comparison, width)))
    return 0
