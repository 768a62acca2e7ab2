"""The record of a drill, as rules ask for one: what the log knows is filled in, the rest is left to the person.

The form is content: `drills/forms/record.yaml` of the knowledge (`kind: drill_record`), each line with its source.
"""
from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from pathlib import Path

from guide.arguments import Misuse
from guide.debriefs.drawing import moment_words
from guide.drills.records import Played
from guide.knowledge import nodes
from guide.knowledge.compiling import DRILLS, Knowledge
from guide.knowledge.fields import text_in, texts_in
from guide.knowledge.nodes import Node
from guide.knowledge.problems import Problem, check_command, in_one_line

FILE = "forms/record.yaml"
KIND = "drill_record"
FILLED = ("started", "vessel", "scenario", "crew")
"""What the log of a drill can fill in."""


@dataclass(frozen=True, slots=True)
class Line:
    """A notice, a field or a case of the form, with its sources as a person reads them."""

    label: str
    sources: tuple[str, ...]
    value: str = ""
    """What the log knows of it; empty is a blank for the person."""


@dataclass(frozen=True, slots=True)
class Record:
    """The record of one drill."""

    title: str
    notices: tuple[Line, ...]
    fields: tuple[Line, ...]
    cases_title: str
    cases: tuple[Line, ...]

    def as_json(self) -> dict[str, object]:
        """The record as plain data; an empty value is to be filled in by a person."""
        return {"title": self.title, "notices": [line.label for line in self.notices],
                "fields": [{"label": line.label, "value": line.value, "sources": list(line.sources)} for line in self.fields],
                "cases": [{"label": line.label, "at_the_keyboard": line.value} for line in self.cases]}


@dataclass(frozen=True, slots=True)
class _Item:
    label: str
    sources: tuple[str, ...]
    filled: str
    topics: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Form:
    """The blank form."""

    title: str
    notices: tuple[_Item, ...]
    fields: tuple[_Item, ...]
    cases_title: str
    cases: tuple[_Item, ...]


def read_form(folder: Path, knowledge: Knowledge) -> Form:
    """The form of a knowledge folder. Misuse with the first problem where it cannot be read or names what does not exist."""
    form, problems = check_form(folder, knowledge)
    if problems or form is None:
        raise Misuse(in_one_line(problems, check_command(folder)))
    return form


def check_form(folder: Path, knowledge: Knowledge) -> tuple[Form | None, list[Problem]]:
    """The form of a knowledge folder and every problem in it."""
    problems: list[Problem] = []
    root = nodes.read(folder / DRILLS / FILE, f"{DRILLS}/{FILE}", problems)
    return _form(root, knowledge) if root is not None and root.is_a("the record of a drill", KIND) else None, problems


def _form(root: Node, knowledge: Knowledge) -> Form:
    f = root.fields(("kind", "title", "notices", "fields", "cases_title", "cases"))

    def items(name: str, label: str, optional: Collection[str]) -> tuple[_Item, ...]:
        return tuple(_item(node, label, optional, knowledge) for node in (f[name].items() if name in f else ()))
    return Form(text_in(f, "title"), items("notices", "say", ()), items("fields", "label", ("filled",)), text_in(f, "cases_title"),
                items("cases", "label", ("topics",)))


def _item(node: Node, label: str, optional: Collection[str], knowledge: Knowledge) -> _Item:
    f = node.fields((label, "sources"), optional)
    known = [*knowledge.clauses, "common_practice"]
    sources = tuple(item.choice(known, "") for item in (f["sources"].items() if "sources" in f else ()))
    for topic in f["topics"].items() if "topics" in f else ():
        topic.choice(knowledge.topics, "")
    filled = f["filled"].choice(FILLED, "") if "filled" in f else ""
    return _Item(text_in(f, label), sources, filled, texts_in(f, "topics"))


def fill_in(form: Form, played: Played, cite: Callable[[str], str]) -> Record:
    """The form with what the log of a played drill knows: who, when, which scenario, which cases were touched."""
    log = played.log
    begun = moment_words(log.started)
    day = log.record.get("date", "")
    known = {"started": begun if not day or begun.startswith(day) else f"{day}, begun {begun}", "vessel": log.record.get("vessel", ""), "scenario": f"{played.scenario.title} ({played.scenario.id})",
             "crew": ", ".join(log.crew)}
    told = {m.topic for m in played.moments if m.kind == "said" and m.outcome == "answered" and not m.asked}

    def lines(items: tuple[_Item, ...]) -> tuple[Line, ...]:
        return tuple(Line(item.label, tuple(cite(s) for s in item.sources), known.get(item.filled, "")) for item in items)
    cases = tuple(Line(item.label, tuple(cite(s) for s in item.sources), "talked through" if told & set(item.topics) else "not touched")
                  for item in form.cases)
    return Record(form.title, lines(form.notices), lines(form.fields), form.cases_title, cases)
