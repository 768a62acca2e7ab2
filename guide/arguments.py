"""What the parsers of all commands share. Imports nothing of the guide but `safe`, so that a command may use it from anywhere."""
from __future__ import annotations

import argparse
import sys
import textwrap
from collections.abc import Callable
from typing import NoReturn

from guide.safe import Damaged, safe

_WIDE = 80


class Misuse(Exception):
    """The call cannot be carried out: one line that names what is wrong and what is allowed."""


class OneLineParser(argparse.ArgumentParser):
    """Says what is wrong in one line, without the usage, as every other error of a command does."""

    def error(self, message: str) -> NoReturn:
        self.exit(2, f"{self.prog}: {safe(' '.join(message.split()))}; see {self.prog} --help\n")


def command_parser(name: str, about: str, *examples: str) -> OneLineParser:
    """The parser of `guide NAME`, with examples of calls at the end of its help."""
    epilog = "\n".join(["example:" if len(examples) == 1 else "examples:", *("  " + example for example in examples)])
    return OneLineParser(prog=f"guide {name}", description=textwrap.fill(about, _WIDE), epilog=epilog, formatter_class=argparse.RawDescriptionHelpFormatter)


def carry_out(parser: argparse.ArgumentParser, words: list[str], work: Callable[[argparse.Namespace], int]) -> int:
    """Parse `words` and do `work`; returns the exit status, which is 2 with one line on standard error for Misuse and Damaged."""
    try:
        return work(parser.parse_args(words))
    except (Misuse, Damaged) as error:
        text = safe(str(error))
        print(text if "\n" in text else f"{parser.prog}: {text}", file=sys.stderr)
        return 2
    except SystemExit as stop:
        return int(stop.code or 0)
