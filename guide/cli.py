"""The commands, and who carries each out. A command's module is imported only when it is called. `guide help exit-codes`: exit statuses."""
from __future__ import annotations

import sys
from importlib import import_module
from typing import NamedTuple

from guide import SAFETY, __version__
from guide.safe import safe


class Command(NamedTuple):
    """A module with `parser_<name>() -> ArgumentParser` and `run_<name>(words) -> exit status`, and one line about it."""

    module: str
    about: str


COMMANDS = {
    "chat": Command("guide.commands.talking", "talk with the guide (what happens without a command)"),
    "ask": Command("guide.commands.talking", "one question, one answer"),
    "sessions": Command("guide.commands.sessions", "the conversations kept: list, rename, export"),
    "compare": Command("guide.commands.comparing", "two situations side by side: steps, lacks, stores, figures"),
    "figure": Command("guide.figures.command", "compute one of the trade's figures"),
    "picture": Command("guide.pictures.command", "a chart of stock, of who sees us, of drift"),
    "pack": Command("guide.stores.command", "what a pack holds, several side by side"),
    "waters": Command("guide.stores.command", "which pack the waters call for"),
    "inventory": Command("guide.stores.command", "what was found in a pack against its list"),
    "bag": Command("guide.stores.command", "what a grab bag adds to a pack"),
    "check": Command("guide.commands.checking", "read the knowledge and print its problems"),
    "report": Command("guide.review.command", "the audit report as one HTML file"),
    "changes": Command("guide.review.command", "how two states of the knowledge differ"),
    "review": Command("guide.review.command", "sign what you have read, and see what is stale"),
    "drill": Command("guide.commands.drilling", "rehearse a scenario against the clock"),
    "debrief": Command("guide.debriefs.command", "what a drill, or a season of drills, shows"),
    "show": Command("guide.audit.command", "a node of the knowledge with all its links"),
    "find": Command("guide.audit.command", "find nodes of the knowledge by their text"),
    "path": Command("guide.audit.command", "how one node leads to another"),
    "audit": Command("guide.commands.auditing", "check what the knowledge says and rests on; show what it covers"),
    "export": Command("guide.commands.auditing", "the graph in open formats, the claims as a table"),
    "replay": Command("guide.commands.replaying", "play a demo conversation and compare every line"),
    "help": Command("guide.manual.command", "help on a command or a subject, and the man page"),
    "completion": Command("guide.manual.command", "complete commands and options in bash, zsh or fish"),
}


def overview() -> str:
    """The help of `guide` itself."""
    wide = max(map(len, COMMANDS))
    rows = [f"  {name:<{wide}}  {command.about}" for name, command in COMMANDS.items()]
    return "\n".join([
        "usage: guide [COMMAND] [words...]", "", "Offline guidance for the crew of an inflatable liferaft.", SAFETY, "", "commands:", *rows,
        "", "guide COMMAND --help shows each with an example, guide help the subjects.", "Without a command the chat starts.",
        'example: guide ask --given pack=solas_b "how do i pump up the floor"'])


def main(argv: list[str] | None = None) -> int:
    """Run one command; returns the exit status."""
    words = (sys.argv[1:] if argv is None else argv) or ["chat"]
    name, *rest = words
    if name in ("-h", "--help"):
        print(overview())
        return 0
    if name == "--version":
        print(f"liferaft-guide {__version__}")
        return 0
    if name.startswith("-"):
        name, rest = "chat", words
    if name not in COMMANDS:
        from guide.nearest import nearest
        near = nearest(name, COMMANDS)
        print(f'guide: unknown command "{safe(name[:40])}"{f"; did you mean {near}?" if near else ""}; see guide --help', file=sys.stderr)
        return 2
    try:
        return int(getattr(import_module(COMMANDS[name].module), f"run_{name}")(rest))
    except BrokenPipeError:
        return 0
    except KeyboardInterrupt:
        return 130
