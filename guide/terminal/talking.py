"""A conversation from start to end: where it is kept, on a terminal or in plain lines."""
from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, TextIO

from guide.knowledge.records import Value
from guide.starting import Started, now
from guide.state.journal import JournalError
from guide.terminal import keeping
from guide.terminal.chat import Chat, Manner, width
from guide.terminal.rendering import Row
from guide.terminal.wrapping import wrapped

if TYPE_CHECKING:
    from pathlib import Path


def run(started: Started, given: Mapping[str, Value], kept: keeping.Kept, *, plain: bool, spoken: bool) -> int:
    """Talk until the end of input; returns the exit status."""
    if spoken or plain or not capable(os.environ, sys.stdin, sys.stdout):
        talk(started, kept, given, sys.stdin, sys.stdout, spoken=spoken)
    else:
        from guide.terminal.prompting import interact
        interact(started, kept, given)
    return 0


def capable(environment: Mapping[str, str], source: TextIO, target: TextIO) -> bool:
    """Whether somebody sits at a terminal that can show more than plain lines and nobody asked for less."""
    return source.isatty() and target.isatty() and environment.get("TERM") != "dumb" and not environment.get("NO_COLOR")


def kept_in(journal: Path | None, new: bool) -> keeping.Kept | None:
    """Where this conversation is kept; None where a new one would go into a file that holds another."""
    if journal is None:
        return keeping.fresh(now()) if new else keeping.latest(now())
    try:
        kept = keeping.opened(journal, now())
    except JournalError as error:
        return keeping.in_memory(error)
    if new and kept.events:
        kept.close()
        return None
    return kept


def talk(started: Started, kept: keeping.Kept, given: Mapping[str, Value], source: TextIO, target: TextIO, *,
         spoken: bool = False) -> None:
    """Plain lines: no colour, no status line; no prompt either where nobody types."""
    for stream in (source, target):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure:
            reconfigure(errors="replace")

    def show(rows: list[Row]) -> None:
        texts = (wrapped(row.text, width()) for row in rows) if spoken and target.isatty() else ([row.text] for row in rows)
        target.write("".join(line + "\n" for lines in texts for line in lines))
        target.flush()

    typed = source.isatty()
    chat = Chat(started, kept, show, Manner(cut=target.isatty() and typed and not spoken, spoken=spoken))
    chat.greet(given)
    for line in _lines(source, target, "> " if typed else ""):
        if not chat.answer(line):
            break
    chat.leave()


def _lines(source: TextIO, target: TextIO, prompt: str) -> Iterator[str]:
    """The lines typed; where a person types, Ctrl-C only drops the line."""
    while True:
        target.write(prompt)
        target.flush()
        try:
            line = source.readline()
        except KeyboardInterrupt:
            if not prompt:
                raise
            target.write("\n")
            continue
        if not line:
            target.write("\n" if prompt else "")
            return
        yield line
