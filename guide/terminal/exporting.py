"""A conversation for other people and other programs: what was said, what it changed, what is known at its end."""
from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from itertools import groupby
from pathlib import Path

from guide.knowledge.base import Knowledge
from guide.language.wording import clean
from guide.planning.planner import NextStep
from guide.safe import safe
from guide.state.facts import Event, fold
from guide.state.journal import JournalError
from guide.terminal.rendering import fact_words

FORMATS = ("markdown", "json")
_SPECIAL = re.compile(r"([\\`*_<>#|\[\]~])")


def exported(how: str, name: str, events: Sequence[Event], steps: Sequence[NextStep], knowledge: Knowledge) -> str:
    """The conversation `name` in one of FORMATS; `steps` are what comes next after it."""
    if how == "json":
        return safe(json.dumps(_as_data(name, events, steps), ensure_ascii=False, indent=1)) + "\n"
    return safe("\n".join(_as_markdown(name, events, steps, knowledge))) + "\n"


def _turns(events: Sequence[Event]) -> Iterator[tuple[Event, list[Event]]]:
    """The first event of each turn, and all of them; what was given at the start goes by itself."""
    for _, group in groupby(events, key=lambda event: (event.turn, event.by == "given")):
        members = list(group)
        yield members[0], members


def _as_data(name: str, events: Sequence[Event], steps: Sequence[NextStep]) -> dict[str, object]:
    turns = [{"turn": first.turn, "at": first.at, "by": first.by, "said": first.text,
              "changes": [{"fact": e.name, "was": e.was, "now": e.value} for e in members if e.kind == "fact"],
              "done": [e.name for e in members if e.kind == "done"],
              "took_back": [e.value for e in members if e.kind == "undo"]} for first, members in _turns(events)]
    return {"session": name, "begun": events[0].at if events else None, "turns": turns, "state": fold(events).known(),
            "next": [item.step.id for item in steps]}


def _as_markdown(name: str, events: Sequence[Event], steps: Sequence[NextStep], knowledge: Knowledge) -> Iterator[str]:
    yield from (f"# {_plain(name)}", "", f"A conversation with the liferaft guide{f', begun {events[0].at}' if events else ''}.",
                "It trains and supports; it is no log of the vessel.", "", "## What was said", "")
    for first, members in _turns(events):
        yield f"- {f'turn {first.turn}, {first.at}: {_plain(first.text)}' if first.by != 'given' else f'{first.at}: given at the start'}"
        yield from (f"  - {_plain(line)}" for event in members if (line := _effect(event, knowledge)))
    state = fold(events)
    yield from ("", "## What is known at the end", "")
    known = [fact_words(knowledge.facts[fact], value) for fact, value in state.known().items() if fact in knowledge.facts]
    known += [f"done: {knowledge.steps[step].say}" for step in state.done if step in knowledge.steps]
    yield from (f"- {_plain(line)}" for line in known or ["nothing"])
    yield from ("", "## What comes next", "")
    yield from (f"{number}. {_plain(item.step.say)}" for number, item in enumerate(steps, start=1))


def _effect(event: Event, knowledge: Knowledge) -> str:
    """What an event changed, in words; nothing where it changed nothing."""
    if event.kind == "undo":
        return f"takes back turn {event.value}"
    if event.kind == "done" and event.name in knowledge.steps:
        return f"done: {knowledge.steps[event.name].say}"
    return fact_words(knowledge.facts[event.name], event.value) if event.kind == "fact" and event.name in knowledge.facts else ""


def _plain(text: str) -> str:
    """The text without control characters, and so that Markdown reads nothing into it."""
    return _SPECIAL.sub(r"\\\1", " ".join(clean(part) for part in text.split()))


def write(path: Path, name: str, events: Sequence[Event], steps: Sequence[NextStep], knowledge: Knowledge, how: str | None = None) -> None:
    """Write the conversation to a new file, as JSON where its suffix is `.json`, else Markdown. JournalError where that cannot be."""
    how = how or ("json" if path.suffix.lower() == ".json" else "markdown")
    try:
        with path.open("x", encoding="utf-8", errors="replace") as target:
            target.write(exported(how, name, events, steps, knowledge))
    except OSError as error:
        taken = "there is such a file already; name another" if isinstance(error, FileExistsError) else error.strerror or error
        raise JournalError(f"{path}: the conversation cannot be exported: {taken}") from error
