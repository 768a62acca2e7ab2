"""The man page, as roff: from the same parsers and subjects as the help."""
from __future__ import annotations

import argparse
from collections.abc import Iterator
from functools import partial
from itertools import groupby

from guide import SAFETY, __version__
from guide.cli import COMMANDS
from guide.manual.parsers import parser_of
from guide.manual.subjects import subjects

_WIDTH = 76
"""Columns of the help of a command within the page."""


def man_page() -> str:
    """The page `guide(1)`."""
    return "\n".join(_lines()) + "\n"


def _lines() -> Iterator[str]:
    yield from (f'.TH GUIDE 1 "" "liferaft\\-guide {__version__}"', ".SH NAME", "guide \\- offline guidance for the crew of an inflatable liferaft",
                ".SH SYNOPSIS", ".B guide", "[\\fICOMMAND\\fR] [\\fIwords\\fR...]", ".SH DESCRIPTION", _escaped(" ".join(SAFETY.split())),
                ".SH COMMANDS", "Without a command the chat starts.")
    for name, command in COMMANDS.items():
        yield from (".TP", f"\\fBguide {name}\\fR", _escaped(command.about[:1].upper() + command.about[1:] + "."))
    for name in COMMANDS:
        parser = parser_of(name)
        parser.formatter_class = partial(argparse.RawDescriptionHelpFormatter, width=_WIDTH)
        yield from (f'.SS "guide {name}"', *_as_it_stands(parser.format_help()))
    for name, subject in subjects().items():
        yield f'.SH "{_escaped(subject.about.upper())}"' if name != "exit-codes" else '.SH "EXIT STATUS"'
        yield from _running(subject.text)


def _running(text: str) -> Iterator[str]:
    """Paragraphs filled, rows that begin with blanks as they stand."""
    for number, paragraph in enumerate(text.split("\n\n")):
        yield from [".PP"] if number else []
        for stands, lines in groupby(paragraph.splitlines(), key=lambda line: line.startswith(" ")):
            rows = "\n".join(lines)
            yield from _as_it_stands(rows) if stands else map(_escaped, rows.splitlines())


def _as_it_stands(text: str) -> Iterator[str]:
    yield ".nf"
    yield from map(_escaped, text.splitlines())
    yield ".fi"


def _escaped(text: str) -> str:
    text = text.replace("\\", "\\e").replace("-", "\\-")
    return f"\\&{text}" if text[:1] in (".", "'") else text
