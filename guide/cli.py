"""The commands. Each imports what it needs inside, so that none pays for another.

Exit status: 0 fine, 1 findings (`check`), 2 misuse.
"""
from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from guide.knowledge.compiling import Knowledge
    from guide.knowledge.records import Value
    from guide.session import Session
    from guide.starting import Started

_SAFETY = ("This guide trains and supports. It never replaces your raft's own instructions, the person in charge, "
           "the rescue services or a doctor.")


class Misuse(Exception):
    """The call cannot be carried out: one line that names what is wrong and what is allowed."""


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="guide", description="Offline guidance for the crew of an inflatable liferaft. " + _SAFETY,
        epilog="Without a command it starts the chat. Example: guide ask --given pack=solas_b \"how do i pump up the floor\"")
    parser.add_argument("--version", action="version", version=_version())
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)
    _add_chat(commands.add_parser("chat", help="talk with the guide (the default)",
                                  epilog="Example: guide chat --given pack=solas_a --given persons=6"))
    ask = commands.add_parser("ask", help="one question, one answer", epilog='Example: guide ask "the floor is flat"')
    ask.add_argument("text", nargs="*", help="what happened, or what you want to know")
    ask.add_argument("--json", action="store_true", help="print the turn as JSON")
    ask.add_argument("--lines", action="store_true", help="with --json: one utterance a line from standard input")
    ask.add_argument("--explain", action="store_true", help="show the words each reading rests on")
    _add_given(ask)
    check = commands.add_parser("check", help="read the knowledge and print its problems", epilog="Example: guide check knowledge")
    check.add_argument("folder", nargs="?", type=Path, help="a knowledge folder; the shipped one if left out")
    check.add_argument("--overlay", type=Path, metavar="FILE", help="a vessel's own file to check with it")
    figure = commands.add_parser("figure", help="compute one of the trade's figures", add_help=False)
    figure.add_argument("rest", nargs=argparse.REMAINDER)
    for name, about in (("pack", "what a pack holds, several side by side"), ("waters", "which pack the waters call for"),
                        ("inventory", "what was found in a pack against its list"), ("bag", "what a grab bag adds to a pack")):
        commands.add_parser(name, help=about, add_help=False)
    replay = commands.add_parser("replay", help="play a demo conversation and compare every line",
                                 epilog="Example: guide replay transcripts_demo/010_cold_night.talk")
    replay.add_argument("files", nargs="+", type=Path)
    replay.add_argument("--rerecord", action="store_true", help="write the printed words anew; structured lines stay as typed")
    return parser


def _version() -> str:
    from guide import __version__
    return f"liferaft-guide {__version__}"


def _add_given(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--given", action="append", default=[], metavar="FACT=VALUE", help="a fact known before the first utterance")
    parser.add_argument("--knowledge", type=Path, metavar="DIR", help="another knowledge folder")
    parser.add_argument("--inventory", type=Path, metavar="FILE", help="what a look in the bag found: the guide advises from that")
    parser.add_argument("--overlay", type=Path, metavar="FILE", help="your vessel's own raft, bag, numbers and choices")


def _add_chat(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="one utterance a line in, one JSON turn a line out")
    parser.add_argument("--journal", type=Path, metavar="FILE", help="keep (or go on with) the conversation in this file")
    parser.add_argument("--new", action="store_true", help="start afresh instead of going on with the last conversation")
    parser.add_argument("--plain", action="store_true", help="plain lines: no colour, no status line")
    _add_given(parser)


def main(argv: list[str] | None = None) -> int:
    """Run one command; returns the exit status."""
    arguments = sys.argv[1:] if argv is None else argv
    if arguments[:1] == ["figure"]:
        from guide.figures import command
        return command.run(arguments[1:])
    if arguments and arguments[0] in _STORES:
        return _STORES[arguments[0]](arguments[1:])
    parser = _parser()
    args = parser.parse_args(arguments or ["chat"])
    try:
        return _COMMANDS[args.command](args)
    except Misuse as error:
        print(f"guide: {error}", file=sys.stderr)
        return 2
    except BrokenPipeError:
        return 0
    except KeyboardInterrupt:
        return 130


def _start(args: argparse.Namespace) -> Started:
    from guide.starting import start
    try:
        return start(args.knowledge, args.overlay)
    except OSError as error:
        raise Misuse(str(error)) from error


def read_given(knowledge: Knowledge, pairs: list[str]) -> dict[str, Value]:
    """`FACT=VALUE` texts as facts. Raises Misuse naming the fact and what is allowed."""
    from guide.knowledge.problems import did_you_mean
    from guide.values import ValueProblem, read_value
    facts: dict[str, Value] = {}
    for pair in pairs:
        name, equals, text = pair.partition("=")
        if not equals:
            raise Misuse(f'--given {pair}: write it as FACT=VALUE, for example persons=6')
        if name not in knowledge.facts:
            raise Misuse(f'--given {pair}: unknown fact "{name}"{did_you_mean(name, knowledge.facts)}')
        try:
            facts[name] = read_value(knowledge.facts[name], text)
        except ValueProblem as error:
            raise Misuse(f"--given {pair}: {error}") from error
    return facts


def _given(args: argparse.Namespace, knowledge: Knowledge) -> dict[str, Value]:
    """What is known before the first utterance: an inventory, and over it what was typed."""
    facts: dict[str, Value] = {}
    if args.inventory:
        from guide.stores.inventory import facts_of_file
        from guide.stores.packs import StoresError
        try:
            facts = facts_of_file(args.inventory, knowledge)
        except StoresError as error:
            raise Misuse(str(error)) from error
    return {**facts, **read_given(knowledge, args.given)}


def _ask(args: argparse.Namespace) -> int:
    started = _start(args)
    if args.lines:
        if not args.json:
            raise Misuse("--lines goes with --json")
        for text, given in _line_requests(started.knowledge):
            session = started.session()
            session.given(given)
            _print_json(session, text)
        return 0
    text = " ".join(args.text)
    if not text:
        raise Misuse("say what happened or what you want to know: guide ask TEXT")
    session = started.session()
    session.given(_given(args, started.knowledge))
    if args.json:
        _print_json(session, text)
        return 0
    from guide.terminal.rendering import explain_lines, turn_lines
    turn = session.answer(text)
    if args.explain:
        print("\n".join(explain_lines(turn, started.reader)))
    print("\n".join(turn_lines(turn, started.knowledge, width=80)))
    return 0


def _line_requests(knowledge: Knowledge) -> Iterator[tuple[str, Mapping[str, Value]]]:
    """Each line of standard input as an utterance and its given facts. A line that is not an object is the utterance."""
    for raw in sys.stdin.buffer:
        line = raw.decode("utf-8", "replace").rstrip("\r\n")
        if not line.strip():
            continue
        try:
            asked = json.loads(line) if line.lstrip().startswith("{") else line
        except ValueError:
            asked = line
        if isinstance(asked, dict) and isinstance(asked.get("text"), str):
            given = asked.get("given") if isinstance(asked.get("given"), dict) else {}
            yield asked["text"], read_given(knowledge, [f"{k}={json.dumps(v) if isinstance(v, bool) else v}" for k, v in (given or {}).items()])
        else:
            yield line, {}


def _print_json(session: Session, text: str) -> None:
    turn = session.answer(text)
    print(json.dumps(turn.as_json(session.knowledge), ensure_ascii=True), flush=True)


def _chat(args: argparse.Namespace) -> int:
    started = _start(args)
    given = _given(args, started.knowledge)
    if args.json:
        return _chat_json(args, started, given)
    from guide.terminal.chat import run
    return run(started, given, journal=args.journal, new=args.new, plain=args.plain)


def _chat_json(args: argparse.Namespace, started: Started, given: Mapping[str, Value]) -> int:
    from guide.state.journal import JournalError
    try:
        session = started.session(args.journal, on_problem=lambda line: print(f"guide: {line}", file=sys.stderr))
        session.given(given)
        for raw in sys.stdin.buffer:
            line = raw.decode("utf-8", "replace").rstrip("\r\n")
            if line.strip():
                _print_json(session, line)
    except JournalError as error:
        raise Misuse(str(error)) from error
    return 0


def _check(args: argparse.Namespace) -> int:
    from guide.checking import check
    return check(args.folder, args.overlay)


def _replay(args: argparse.Namespace) -> int:
    from guide.replaying import replay_files
    return replay_files(args.files, rerecord=args.rerecord)


def _pack(words: list[str]) -> int:
    from guide.stores import command
    return command.pack(words)


def _waters(words: list[str]) -> int:
    from guide.stores import command
    return command.which_waters(words)


def _inventory(words: list[str]) -> int:
    from guide.stores import command
    return command.check_inventory(words)


def _bag(words: list[str]) -> int:
    from guide.stores import command
    return command.bag(words)


_STORES = {"pack": _pack, "waters": _waters, "inventory": _inventory, "bag": _bag}
"""Commands that read their own words."""
_COMMANDS: dict[str, Callable[[argparse.Namespace], int]] = {"ask": _ask, "chat": _chat, "check": _check, "replay": _replay}
