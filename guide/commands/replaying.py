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

from guide.arguments import Misuse, carry_out, command_parser, file_path
from guide.safe import read_file
from guide.starting import Started, start
from guide.terminal.rendering import turn_lines
from guide.turn import Turn
from guide.values import ValueProblem, read_value

WIDTH = 72
_HEADS = ("title", "clock", "overlay", "given")


class StoryProblem(ValueError):
    """A story that cannot be read: file, line and the mend."""


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
    """A story file."""

    path: Path
    heads: dict[str, str]
    turns: list[Told]


def read_story(path: Path) -> Story:
    """The story in a file. Raises StoryProblem with file and line."""
    heads: dict[str, str] = {}
    turns: list[Told] = []
    for number, line in enumerate(read_file(path).decode("utf-8").splitlines(), 1):
        head = re.fullmatch(r"# (\w+): (.*)", line)
        mark = re.fullmatch(r"  ~ (\w+): (.*)", line)
        if head and not turns:
            if head[1] not in _HEADS:
                raise StoryProblem(f"{path}:{number}: unknown head {head[1]}; it is one of {', '.join(_HEADS)}")
            heads[head[1]] = head[2]
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
    return Story(path, heads, turns)


def _outcome(turn: Turn) -> list[str]:
    return [turn.outcome]


def _topic(turn: Turn) -> list[str]:
    return [turn.topic or "none"]


def _facts(turn: Turn) -> list[str]:
    return [f"{c.fact} = {'unknown' if c.now is None else str(c.now).lower()}" for c in turn.changes]


def _next(turn: Turn) -> list[str]:
    return [n.step.id for n in turn.next]


_MARKS = {"outcome": _outcome, "topic": _topic, "fact": _facts, "next": _next}


def _clock(text: str) -> Iterator[str]:
    begin, _, step = text.partition(" +")
    now = datetime.fromisoformat(begin)
    while True:
        yield now.isoformat()
        now += timedelta(seconds=int(step.removesuffix("s") or 30))


def play(story: Story, started: Started) -> Iterator[tuple[Told, Turn, list[str]]]:
    """Each turn of a story as the guide answers it now, with its printed lines."""
    if "overlay" in story.heads:
        started = start(None, story.path.parent / story.heads["overlay"])
    ticks = _clock(story.heads.get("clock", "2000-01-01T06:00:00+00:00 +30s"))
    session = started.session(clock=lambda: next(ticks))
    given = {}
    for pair in story.heads.get("given", "").split():
        name, _, value = pair.partition("=")
        if name not in started.knowledge.facts:
            raise StoryProblem(f"{story.path}: given {pair}: unknown fact {name}")
        given[name] = read_value(started.knowledge.facts[name], value)
    session.given(given)
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
            found.append(f"{story.path}:{told.line}: printed line {row + 1} is {words[row:row + 1]}, not {told.words[row:row + 1]}")
    return found


def rerecord(story: Story, started: Started) -> str:
    """The story's text with the printed words of now and the structured lines as they were."""
    lines = [f"# {name}: {value}" for name, value in story.heads.items()]
    for told, _, words in play(story, started):
        lines += ["", f"you> {told.text}", *(f"  ~ {kind}: {value}" for _, kind, value in told.marks)]
        lines += [f"guide> {word}".rstrip() for word in words]
    return "\n".join(lines) + "\n"


def parser_replay() -> argparse.ArgumentParser:
    """The words of `guide replay`."""
    parser = command_parser("replay", "Play a demo conversation and compare every line.",
                            "guide replay transcripts_demo/010_cold_night.talk")
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
        try:
            story = read_story(path)
            if args.rerecord:
                path.write_text(rerecord(story, started), encoding="utf-8")
            found = differences(read_story(path), started)
        except (OSError, StoryProblem, ValueProblem, ValueError) as error:
            raise Misuse(str(error)) from error
        print("\n".join(found) if found else f"{path}: {len(story.turns)} turns as written")
        status = max(status, bool(found))
    return status
