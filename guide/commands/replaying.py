"""Demo conversations as files: played with a fixed clock, every line compared.

A file has a head of `# title:`, `# clock: START +STEPs`, `# given: fact=value ...` and, for a vessel's own file beside the
story, `# overlay: FILE`, then for each turn `you> ` and what was typed, structured lines `  ~ outcome|topic|fact|next: ...`,
and `guide> ` with the exact words at 72 columns. Recording anew may rewrite the words; a structured line is only ever typed
by a person.
"""
from __future__ import annotations

import argparse
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from typing import NamedTuple

from guide.arguments import Misuse, carry_out, command_parser, file_path
from guide.commands.common import read_given
from guide.safe import read_file
from guide.starting import Started, start
from guide.terminal.rendering import turn_lines
from guide.turn import Turn

WIDTH = 72
_HEADS = ("title", "clock", "overlay", "given")
_CLOCK = re.compile(r"((?:19|20)\d\d-\d\d-\d\dT\d\d:\d\d:\d\d[+-]\d\d:\d\d)(?: \+(\d{1,5})s)?")
_USUAL_CLOCK = "2000-01-01T06:00:00+00:00 +30s"


class StoryProblem(Misuse):
    """A story that cannot be read: file, line and the mend."""


class Head(NamedTuple):
    """A line of the head and what stands in it."""

    line: int
    text: str


@dataclass(slots=True)
class Told:
    """One turn of a story as written."""

    line: int
    text: str
    marks: list[tuple[int, str, str]] = field(default_factory=list)
    """Line, kind and value of each structured line."""
    words: list[str] = field(default_factory=list)


@dataclass(slots=True)
class Story:
    """A story file. The first turn is at `begin`, each later one `step` after the one before it."""

    path: Path
    heads: dict[str, Head]
    turns: list[Told]
    begin: datetime
    step: timedelta

    def place(self, head: str) -> str:
        """Where a head stands, as `file:line`."""
        return f"{self.path}:{self.heads[head].line}"


def read_story(path: Path) -> Story:
    """The story in a file. Raises StoryProblem with the file, and with the line where one line is wrong."""
    heads: dict[str, Head] = {}
    turns: list[Told] = []
    for number, line in enumerate(_text_of(path).splitlines(), 1):
        head = re.fullmatch(r"# (\w+): (.*)", line)
        mark = re.fullmatch(r"  ~ (\w+): (.*)", line)
        if head and not turns:
            if head[1] not in _HEADS or head[1] in heads:
                wrong = f"head {head[1]} stands twice" if head[1] in heads else f"unknown head {head[1]}; it is one of {', '.join(_HEADS)}"
                raise StoryProblem(f"{path}:{number}: {wrong}")
            heads[head[1]] = Head(number, head[2])
        elif line.startswith("you> "):
            turns.append(Told(number, line[5:]))
        elif mark and turns:
            if mark[1] not in _MARKS:
                raise StoryProblem(f"{path}:{number}: unknown mark {mark[1]}; it is one of {', '.join(_MARKS)}")
            turns[-1].marks.append((number, mark[1], mark[2]))
        elif line.startswith("guide>") and turns:
            turns[-1].words.append(line[7:])
        elif line.strip():
            raise StoryProblem(f"{path}:{number}: a line starts with `# `, `you> `, `  ~ ` or `guide> `")
    if not turns:
        raise StoryProblem(f"{path}: no turn in it; a turn begins with `you> ` and what was typed")
    clock = heads.get("clock", Head(0, _USUAL_CLOCK))
    return Story(path, heads, turns, *_clock(clock.text, f"{path}:{clock.line}"))


def _text_of(path: Path) -> str:
    try:
        return read_file(path).decode("utf-8")
    except UnicodeDecodeError as error:
        raise StoryProblem(f"{path}: not UTF-8 text at byte {error.start}") from error
    except OSError as error:
        raise StoryProblem(f"{path}: cannot be read: {error.strerror or error}") from error


def _clock(text: str, place: str) -> tuple[datetime, timedelta]:
    """Beginning and step of a story's clock."""
    match = _CLOCK.fullmatch(text)
    try:
        if match is None:
            raise ValueError
        return datetime.fromisoformat(match[1]), timedelta(seconds=int(match[2] or 30))
    except ValueError:
        raise StoryProblem(f'{place}: a clock reads like "{_USUAL_CLOCK}", not "{text}"') from None


def _outcome(turn: Turn) -> list[str]:
    return [turn.outcome]


def _topic(turn: Turn) -> list[str]:
    return [turn.topic or "none"]


def _facts(turn: Turn) -> list[str]:
    return [f"{c.fact} = {'unknown' if c.now is None else str(c.now).lower()}" for c in turn.changes]


def _next(turn: Turn) -> list[str]:
    return [n.step.id for n in turn.next]


_MARKS = {"outcome": _outcome, "topic": _topic, "fact": _facts, "next": _next}


def _ticks(story: Story) -> Iterator[str]:
    now = story.begin
    while True:
        yield now.isoformat()
        now += story.step


def _laid_over(story: Story, started: Started) -> Started:
    """The guide with the story's own overlay, where it names one."""
    if "overlay" not in story.heads:
        return started
    try:
        return start(None, story.path.parent / story.heads["overlay"].text)
    except OSError as error:
        raise StoryProblem(f"{story.place('overlay')}: {error}") from error


def play(story: Story, started: Started) -> Iterator[tuple[Told, Turn, list[str]]]:
    """Each turn of a story as the guide answers it now, with its printed lines. Misuse with file and line where a head cannot be used."""
    started, ticks = _laid_over(story, started), _ticks(story)
    session = started.session(clock=lambda: next(ticks))
    if "given" in story.heads:
        session.given(read_given(started.knowledge, story.heads["given"].text.split(), f"{story.place('given')}: given"))
    for told in story.turns:
        turn = session.answer(told.text)
        yield told, turn, turn_lines(turn, started.knowledge, width=WIDTH)


def differences(story: Story, started: Started) -> list[str]:
    """What is not as written, one line each."""
    found = []
    for told, turn, words in play(story, started):
        for line, kind, value in told.marks:
            if value not in _MARKS[kind](turn):
                found.append(f"{story.path}:{line}: {kind} is {', '.join(_MARKS[kind](turn)) or 'none'}, not {value}")
        if words != told.words:
            row = next((n for n, (a, b) in enumerate(zip(words, told.words)) if a != b), min(len(words), len(told.words)))
            found.append(f"{story.path}:{told.line}: printed line {row + 1} is {_row(words, row)}, not {_row(told.words, row)}")
    return found


def _row(rows: list[str], number: int) -> str:
    return f'"{rows[number]}"' if number < len(rows) else "nothing"


def rerecord(story: Story, started: Started) -> str:
    """The story's text with the printed words of now and the structured lines as they were."""
    lines = [f"# {name}: {head.text}" for name, head in story.heads.items()]
    for told, _, words in play(story, started):
        lines += ["", f"you> {told.text}", *(f"  ~ {kind}: {value}" for _, kind, value in told.marks)]
        lines += [f"guide> {word}".rstrip() for word in words]
    return "\n".join(lines) + "\n"


def parser_replay() -> argparse.ArgumentParser:
    """The words of `guide replay`."""
    parser = command_parser("replay", "Play a demo conversation and compare every line.",
                            "guide replay transcripts_demo/030_first_hour.talk")
    parser.add_argument("files", nargs="+", type=file_path, metavar="FILE")
    parser.add_argument("--rerecord", action="store_true", help="write the printed words anew; structured lines stay as typed")
    return parser


def run_replay(words: list[str]) -> int:
    """Carry out `guide replay`: 0 as written, 1 differences, 2 unreadable."""
    return carry_out(parser_replay(), words, _replay)


def _replay(args: argparse.Namespace) -> int:
    started = start()
    status = 0
    for path in args.files:
        story = read_story(path)
        if args.rerecord:
            _write(path, rerecord(story, started))
        found = differences(read_story(path), started)
        print("\n".join(found) if found else f"{path}: {len(story.turns)} turns as written")
        status = max(status, bool(found))
    return status


def _write(path: Path, text: str) -> None:
    try:
        path.write_text(text, encoding="utf-8")
    except OSError as error:
        raise Misuse(f"{path}: cannot be written: {error.strerror or error}") from error
