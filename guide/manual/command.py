"""`guide help` and `guide completion`."""
from __future__ import annotations

import argparse
import shutil
import textwrap

from guide.arguments import Misuse, carry_out, command_parser
from guide.cli import COMMANDS, overview
from guide.manual.subjects import Subject, subjects

_WIDEST = 100


def parser_help() -> argparse.ArgumentParser:
    """The words of `guide help`."""
    parser = command_parser("help", "Help on a command or a subject.", "guide help", "guide help exit-codes", "guide help --man > guide.1")
    parser.add_argument("topic", nargs="?", metavar="TOPIC", choices=(*COMMANDS, *(name for name in subjects() if name not in COMMANDS)),
                        help="a command or a subject; without one all are named")
    parser.add_argument("--man", action="store_true", help="print the man page instead, as roff")
    return parser


def parser_completion() -> argparse.ArgumentParser:
    """The words of `guide completion`."""
    parser = command_parser("completion", "Print a script with which a shell completes commands and options.",
                            "source <(guide completion bash)", "guide completion fish > ~/.config/fish/completions/guide.fish")
    parser.add_argument("shell", choices=("bash", "zsh", "fish"), metavar="SHELL", help="bash, zsh or fish")
    return parser


def run_help(words: list[str]) -> int:
    """Carry out `guide help`."""
    return carry_out(parser_help(), words, _help)


def run_completion(words: list[str]) -> int:
    """Carry out `guide completion`."""
    return carry_out(parser_completion(), words, _completion)


def _help(args: argparse.Namespace) -> int:
    if args.man:
        if args.topic:
            raise Misuse("--man is the whole page: leave out the topic")
        from guide.manual.man import man_page
        print(man_page(), end="")
    elif args.topic is None:
        print(overview())
        print("\nguide help SUBJECT:")
        print("\n".join(f"  {name:<10}  {subject.about}" for name, subject in subjects().items()))
    else:
        print("\n\n".join(_about(args.topic)))
    return 0


def _about(topic: str) -> list[str]:
    """The help of a command, then the subject of that name."""
    from guide.manual.parsers import parser_of
    found = [parser_of(topic).format_help().rstrip()] if topic in COMMANDS else []
    return found + ([_set(subject)] if (subject := subjects().get(topic)) else [])


def _set(subject: Subject) -> str:
    """The text of a subject, filled to the width of the terminal but for rows that begin with blanks."""
    width = min(shutil.get_terminal_size().columns, _WIDEST)
    rows: list[str] = []
    for paragraph in subject.text.split("\n\n"):
        running: list[str] = []
        for line in [*paragraph.splitlines(), ""]:
            if line and not line.startswith(" "):
                running.append(line)
                continue
            rows += textwrap.wrap(" ".join(running), width, break_long_words=False, break_on_hyphens=False)
            running = []
            rows.append(line)
    return "\n".join(rows).rstrip()


def _completion(args: argparse.Namespace) -> int:
    from guide.manual.parsers import commands
    from guide.manual.shells import script
    print(script(args.shell, commands()), end="")
    return 0
