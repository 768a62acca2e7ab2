"""The standard situations in which two states of the knowledge are compared, and what comes next in each."""
from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from difflib import SequenceMatcher
from pathlib import Path

from guide.arguments import Misuse
from guide.knowledge import nodes
from guide.knowledge.base import Knowledge
from guide.knowledge.problems import Place, Problem, did_you_mean
from guide.planning.items import View
from guide.planning.planner import plan
from guide.state.facts import Event, fold
from guide.values import ValueProblem, read_value

FILE = "audit/situations.yaml"
LIMIT = 9
"""Steps compared in each situation."""
_AT = "2000-01-01T00:00:00+00:00"


@dataclass(frozen=True, slots=True)
class Situation:
    """What a crew has reported; facts that are not listed are unknown."""

    id: str
    place: Place
    title: str
    given: Mapping[str, str]
    """Fact → its value as text."""


@dataclass(frozen=True, slots=True)
class Shift:
    """A step that comes in, goes out or changes its place; places count from 1, None is not among the steps compared."""

    step: str
    says: str
    was: int | None
    now: int | None


@dataclass(frozen=True, slots=True)
class Difference:
    """A situation in which the next steps are not what they were."""

    situation: Situation
    old: tuple[str, ...]
    new: tuple[str, ...]
    shifts: tuple[Shift, ...]


def situations(folder: Path) -> tuple[Situation, ...]:
    """Those of a folder, none where it has no such file. Misuse names the line that cannot be read."""
    path = folder / FILE
    if not path.is_file():
        return ()
    problems: list[Problem] = []
    root = nodes.read(path, str(path), problems)
    found = []
    fields = root.fields(("kind", "situations")) if root is not None and root.is_a("a file of situations", "situations") else {}
    for item in fields["situations"].items() if "situations" in fields else ():
        f = item.fields(("id", "title", "given"))
        given = {key.text(): value.text() for key, value in f["given"].pairs()} if "given" in f else {}
        found.append(Situation(f["id"].text() if "id" in f else "", item.place, f["title"].text() if "title" in f else "", given))
    if problems:
        raise Misuse(problems[0].line())
    return tuple(found)


def next_steps(knowledge: Knowledge, situation: Situation, elsewhere: Knowledge) -> tuple[str, ...]:
    """Ids of the steps that come next. A fact that only the other knowledge has is not known here; one that neither has is Misuse."""
    events = []
    for name, text in situation.given.items():
        if name not in knowledge.facts and name not in elsewhere.facts:
            raise Misuse(f'{situation.place}: unknown fact "{name}"{did_you_mean(name, knowledge.facts)}')
        if name in knowledge.facts:
            try:
                events.append(Event("fact", 0, _AT, "given", name, read_value(knowledge.facts[name], text)))
            except ValueProblem as error:
                raise Misuse(f"{situation.place}: {error}") from error
    view = View(knowledge, fold(events), knowledge.overlay.positions)
    return tuple(item.step.id for item in plan(view, _AT, LIMIT))


def differences(old: Knowledge, new: Knowledge, found: tuple[Situation, ...]) -> tuple[Difference, ...]:
    """The situations in which the first steps differ between two states of the knowledge."""
    result = []
    for situation in found:
        was, now = next_steps(old, situation, new), next_steps(new, situation, old)
        if was != now:
            result.append(Difference(situation, was, now, _shifts(old, new, was, now)))
    return tuple(result)


def _shifts(old: Knowledge, new: Knowledge, was: tuple[str, ...], now: tuple[str, ...]) -> tuple[Shift, ...]:
    """What came in, went out or overtook another. A step that only made room for others has not moved."""
    stayed = {name for block in SequenceMatcher(None, was, now, autojunk=False).get_matching_blocks()
              for name in was[block.a:block.a + block.size]}
    names = [name for name in dict.fromkeys((*now, *was)) if name not in stayed]
    return tuple(Shift(name, (new.steps.get(name) or old.steps[name]).say, was.index(name) + 1 if name in was else None,
                       now.index(name) + 1 if name in now else None) for name in names)
