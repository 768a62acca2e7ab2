"""Labelled talks: what people typed turn by turn, and what a careful reader took each turn to be about. To learn from and to measure.

A file of the folder `talks`:

    kind: talks
    voice: NAME
    about: who talks like this
    talks:
      - given: {persons: 6}
        turns: |
          leak, repair_kit | leak_open=true | there's a hole in the tube
          leak | | how do I find it
          outside | | who won the cup
          take_back | leak_open=? | scratch that
          leak | if leak_open=true | and if it starts again?
    sentences: |
      torch | | how do you do SOS with a light

A line is the topics that answer it rightly, the best first (`any` where every one may), what it tells (`=?` is unknown again, `-` is not
said by the labels), and the words. Each line of `sentences` is a talk by itself.
"""
from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import NamedTuple

from guide.knowledge import nodes
from guide.knowledge.base import TALKS, Knowledge
from guide.knowledge.fields import value_of
from guide.knowledge.problems import Place, Problem, did_you_mean
from guide.knowledge.records import Value
from guide.language.labels import OUTSIDE

_SUPPOSES, _ANY = "if ", "any"


class Said(NamedTuple):
    """One turn and its labels."""

    topics: tuple[str, ...]
    """Those that answer it rightly, OUTSIDE alone where it is to be refused, none where any will do."""
    told: Mapping[str, Value | None] | None
    """Fact → the value it has then, None: unknown again; None where the labels do not say."""
    supposes: bool
    text: str
    place: Place


class Example(NamedTuple):
    """One labelled talk."""

    voice: str
    given: Mapping[str, Value]
    turns: tuple[Said, ...]


def read(folder: Path, knowledge: Knowledge, problems: list[Problem]) -> list[Example]:
    """The labelled talks beside a knowledge, in order; what is wrong in them is noted among `problems`."""
    found: list[Example] = []
    for file in sorted((folder / TALKS).glob("*.yaml")):
        root = nodes.read(file, f"{TALKS}/{file.name}", problems)
        if root is not None:
            found += _file(root, knowledge)
    return found


def digest(folder: Path) -> str:
    """The talks beside a knowledge, as one hash."""
    found = hashlib.sha256()
    for file in sorted((folder / TALKS).glob("*.yaml")):
        found.update(file.read_bytes())
    return found.hexdigest()


def _file(root: nodes.Node, knowledge: Knowledge) -> Iterator[Example]:
    fields = root.fields(("kind", "voice"), ("about", "talks", "sentences"))
    voice = fields["voice"].text() if "voice" in fields else ""
    for talk in fields["talks"].items() if "talks" in fields else ():
        parts = talk.fields(("turns",), ("given",))
        given = {name.text(): value_of(value.text()) for name, value in parts["given"].pairs()} if "given" in parts else {}
        if "turns" in parts:
            yield Example(voice, given, tuple(_lines(parts["turns"], knowledge)))
    for said in _lines(fields["sentences"], knowledge) if "sentences" in fields else ():
        yield Example(voice, {}, (said,))


def _lines(block: nodes.Node, knowledge: Knowledge) -> Iterator[Said]:
    for line, text in block.lines():
        parts = [part.strip() for part in text.split("|", 2)]
        if len(parts) < 3 or not parts[2]:
            block.problem("K023", f'line {line}: "topics | what it tells | sentence" is expected')
            continue
        topics = tuple(name.strip() for name in parts[0].split(",") if name.strip() != _ANY)
        supposes = parts[1].startswith(_SUPPOSES)
        told = None if parts[1] == "-" else dict(_told(parts[1].removeprefix(_SUPPOSES)))
        for what, name, known in [*(("topic", name, {*knowledge.topics, OUTSIDE}) for name in topics),
                                  *(("fact", name, set(knowledge.facts)) for name in told or ())]:
            if name not in known:
                block.problem("K031", f'line {line}, {what}: unknown "{name}"{did_you_mean(name, known)}')
        yield Said(topics, told, supposes, parts[2], block.place._replace(line=line))


def _told(text: str) -> Iterator[tuple[str, Value | None]]:
    for part in text.split(","):
        name, _, value = part.strip().partition("=")
        if name:
            yield name, None if value == "?" else value_of(value)
