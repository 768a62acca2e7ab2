"""What the parsers of all commands share. Imports nothing of the guide but `safe`, so that a command may use it from anywhere."""
from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable
from typing import TYPE_CHECKING, NoReturn

from guide.safe import Damaged, safe

if TYPE_CHECKING:
    from pathlib import Path

_WIDE = 80


class Misuse(Exception):
    """The call cannot be carried out: one line that names what is wrong and what is allowed."""


class _Help(argparse.RawDescriptionHelpFormatter):
    """Help as wide as the terminal. A parser asks for one with each option: so the width is looked up without a library's help."""

    def __init__(self, prog: str) -> None:
        super().__init__(prog, width=_columns() - 2)


def _columns() -> int:
    try:
        return int(os.environ.get("COLUMNS") or 0) or os.get_terminal_size(1).columns or _WIDE
    except (ValueError, OSError):
        return _WIDE


class OneLineParser(argparse.ArgumentParser):
    """Says what is wrong in one line, without the usage, as every other error of a command does."""

    def format_help(self) -> str:
        """The help, with what the command is about in lines."""
        from textwrap import fill
        self.description = fill(self.description or "", _WIDE)
        return super().format_help()

    def error(self, message: str) -> NoReturn:
        """End with 2 and one line on standard error, which the library would put under the usage."""
        self.exit(2, f"{self.prog}: {safe(' '.join(message.split()))}; see {self.prog} --help\n")


def command_parser(name: str, about: str, *examples: str) -> OneLineParser:
    """The parser of `guide NAME`, with examples of calls at the end of its help."""
    epilog = "\n".join(["example:" if len(examples) == 1 else "examples:", *("  " + example for example in examples)])
    return OneLineParser(prog=f"guide {name}", description=about, epilog=epilog, formatter_class=_Help)


def file_path(text: str) -> Path:
    """An argument that names a file or a folder."""
    from pathlib import Path
    return Path(text)


def carry_out(parser: argparse.ArgumentParser, words: list[str], work: Callable[[argparse.Namespace], int]) -> int:
    """Parse `words` and do `work`; returns the exit status, which is 2 with one line on standard error for Misuse and Damaged."""
    try:
        return work(parser.parse_args(words))
    except (Misuse, Damaged) as error:
        print(f"{parser.prog}: {safe(str(error))}", file=sys.stderr)
        return 2
    except SystemExit as stop:
        return int(stop.code or 0)
