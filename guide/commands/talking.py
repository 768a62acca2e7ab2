"""`guide chat` and `guide ask`."""
from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from guide.arguments import Misuse, carry_out, command_parser, file_path
from guide.commands.common import add_given, known_at_start, read_given, start
from guide.safe import safe

if TYPE_CHECKING:
    from guide.knowledge.base import Knowledge
    from guide.knowledge.records import Value
    from guide.session import Session
    from guide.starting import Started
    from guide.terminal.keeping import Kept


def parser_chat() -> argparse.ArgumentParser:
    """The words of `guide chat`."""
    parser = command_parser("chat", "Talk with the guide.", "guide chat --given pack=solas_a --given persons=6")
    parser.add_argument("--json", action="store_true", help="one utterance a line in, one JSON turn a line out")
    parser.add_argument("--journal", type=file_path, metavar="FILE", help="keep (or go on with) the conversation in this file")
    parser.add_argument("--new", action="store_true", help="start afresh instead of going on with the last conversation")
    parser.add_argument("--resume", metavar="NAME", help="go on with a kept conversation; guide sessions lists them")
    parser.add_argument("--plain", action="store_true", help="plain lines: no keys, no status line")
    parser.add_argument("--reader", action="store_true", help="for a screen reader or large letters: plain, one thing a paragraph, all said in words")
    add_given(parser)
    return parser


def parser_ask() -> argparse.ArgumentParser:
    """The words of `guide ask`."""
    parser = command_parser("ask", "One question, one answer.", 'guide ask "the floor is flat"',
                            "guide ask --given pack=solas_b --explain \"how do i pump up the floor\"")
    parser.add_argument("text", nargs="*", metavar="TEXT", help="what happened, or what you want to know")
    parser.add_argument("--json", action="store_true", help="print the turn as JSON")
    parser.add_argument("--lines", action="store_true", help="with --json: one utterance a line from standard input")
    parser.add_argument("--explain", action="store_true", help="show the words each reading rests on")
    add_given(parser)
    return parser


def run_chat(words: list[str]) -> int:
    """Carry out `guide chat`."""
    return carry_out(parser_chat(), words, _chat)


def run_ask(words: list[str]) -> int:
    """Carry out `guide ask`."""
    return carry_out(parser_ask(), words, _ask)


def _ask(args: argparse.Namespace) -> int:
    started = start(args)
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
    session.given(known_at_start(args, started.knowledge))
    if args.json:
        _print_json(session, text)
        return 0
    from guide.terminal.rendering import turn_lines
    turn = session.answer(text)
    if args.explain:
        from guide.terminal.explaining import explain_lines
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
        except (ValueError, RecursionError):
            asked = line
        if isinstance(asked, dict) and isinstance(asked.get("text"), str):
            given = asked.get("given") if isinstance(asked.get("given"), dict) else {}
            pairs = [f"{name}={json.dumps(value) if isinstance(value, bool) else value}" for name, value in (given or {}).items()]
            yield asked["text"], read_given(knowledge, pairs)
        else:
            yield line, {}


def _print_json(session: Session, text: str) -> None:
    turn = session.answer(text)
    print(json.dumps(turn.as_json(session.knowledge), ensure_ascii=True), flush=True)


def _chat(args: argparse.Namespace) -> int:
    started = start(args)
    given = known_at_start(args, started.knowledge)
    if args.json:
        return _chat_json(args, started, given)
    from guide.terminal.talking import run
    return run(started, given, _kept(args), plain=args.plain, spoken=args.reader)


def _kept(args: argparse.Namespace) -> Kept:
    """Where the conversation is kept, by --journal, --resume and --new. Misuse where they do not go together."""
    from guide.starting import now
    from guide.state.journal import JournalError
    from guide.terminal import talking
    if args.resume is None:
        kept = talking.kept_in(args.journal, args.new)
        if kept is None:
            raise Misuse(f"{args.journal} holds a conversation: leave out --new, or name another file")
        return kept
    if args.new or args.journal:
        raise Misuse("--resume goes neither with --new nor with --journal")
    from guide.terminal import keeping, sessions
    try:
        return keeping.opened(sessions.find(args.resume, sessions.saved()).path, now())
    except (sessions.SessionProblem, JournalError) as error:
        raise Misuse(str(error)) from error


def _chat_json(args: argparse.Namespace, started: Started, given: Mapping[str, Value]) -> int:
    from guide.state.journal import JournalError
    try:
        session = started.session(args.journal, on_problem=lambda line: print(f"guide: {safe(line)}", file=sys.stderr))
        session.given(given)
        for raw in sys.stdin.buffer:
            line = raw.decode("utf-8", "replace").rstrip("\r\n")
            if line.strip():
                _print_json(session, line)
    except JournalError as error:
        raise Misuse(str(error)) from error
    return 0
