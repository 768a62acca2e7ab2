"""What is covered and what is not: situations by pack and conditions, works by claims, standards by clauses."""
from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from guide.arguments import Misuse
from guide.audit.grounds import grounds
from guide.audit.profile import Profile, Standard
from guide.audit.worlds import view_of
from guide.knowledge.base import Knowledge
from guide.knowledge.claims import mark_of
from guide.knowledge.records import COMMON_PRACTICE, MARKS, UNVERIFIED
from guide.planning.items import View
from guide.planning.planner import answer
from guide.values import ValueProblem, read_value

PLAIN = "plain"
"""The conditions of which nothing is said."""


@dataclass(frozen=True, slots=True)
class Cell:
    """What a crew with one pack, under some conditions, is told about one topic."""

    topic: str
    pack: str
    conditions: str
    steps: tuple[str, ...]
    stand_ins: tuple[str, ...]
    """Steps among them that take the place of one that lacks an item."""
    gaps: tuple[str, ...]
    """What is not aboard and has nothing in its place, one sentence each."""


@dataclass(frozen=True, slots=True)
class WorkRow:
    """A work: how many of its clauses bear the mark, and how many claims rest on it."""

    source: str
    short: str
    clauses: Mapping[str, int]
    claims: int


@dataclass(frozen=True, slots=True)
class ClauseRow:
    """A clause of a standard: where the knowledge holds it, and how many claims rest on that."""

    standard: str
    clause: str
    about: str
    ids: tuple[str, ...]
    marks: tuple[str, ...]
    claims: int


def situations(k: Knowledge, profile: Profile) -> list[Cell]:
    """Each topic under each pack and each condition of the profile, for a crew in the raft."""
    conditions = {PLAIN: {}, **profile.conditions}
    views = {(pack, name): view_of(k, {"aboard_raft": True, "pack": pack, **_facts(k, name, facts)})
             for pack in k.packs for name, facts in conditions.items()}
    return [_cell(view, topic.id, pack, name) for topic in k.topics.values() for (pack, name), view in views.items()]


def _facts(k: Knowledge, name: str, facts: Mapping[str, str]) -> dict[str, object]:
    try:
        return {fact: read_value(k.facts[fact], text) for fact, text in facts.items()}
    except (KeyError, ValueProblem) as error:
        raise Misuse(f"the profile's condition {name}: {error}") from error


def _cell(view: View, topic: str, pack: str, conditions: str) -> Cell:
    wanted = [name for name in view.knowledge.topics[topic].steps if name in view.knowledge.steps]
    shown, missing = answer(view, wanted)
    stand_ins = {found[0].id for name in wanted if (found := answer(view, [name])[0]) and found[0].id != name}
    ids = tuple(step.id for step in shown)
    return Cell(topic, pack, conditions, ids, tuple(name for name in ids if name in stand_ins), tuple(missing))


def works(k: Knowledge) -> list[WorkRow]:
    """Each work, most claims first; then what rests on no clause."""
    marks: dict[str, Counter[str]] = defaultdict(Counter)
    for clause in k.clauses.values():
        marks[clause.source][clause.mark] += 1
    resting: Counter[str] = Counter()
    for ground in grounds(k):
        resting.update({k.clauses[s].source if s in k.clauses else s for s in ground.sources})
    rows = [WorkRow(source.id, source.short, {mark: marks[source.id][mark] for mark in MARKS}, resting[source.id])
            for source in k.sources.values()]
    bare = [WorkRow(name, mark_of(k, name), dict.fromkeys(MARKS, 0), resting[name]) for name in (COMMON_PRACTICE, UNVERIFIED)]
    return [*sorted(rows, key=lambda row: -row.claims), *bare]


def standards(k: Knowledge, profile: Profile) -> list[ClauseRow]:
    """Each clause of each standard that the profile names, in its order."""
    return [row for standard in profile.standards for row in _clauses(k, standard)]


def _clauses(k: Knowledge, standard: Standard) -> Iterator[ClauseRow]:
    resting = Counter(source for ground in grounds(k) for source in set(ground.sources))
    for number, about in standard.clauses.items():
        begins = standard.prefix + number
        ids = tuple(name for name in k.clauses if name == begins or name[:-1] == begins and name[-1].isalpha())
        marks = tuple(dict.fromkeys(k.clauses[name].mark for name in ids))
        yield ClauseRow(standard.title, number, about, ids, marks, sum(resting[name] for name in ids))
