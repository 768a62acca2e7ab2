"""Every link of the knowledge, typed: the rows of which the graph is built. Names of nodes are `kind:id`."""
from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple, Protocol

from guide.knowledge.base import Knowledge
from guide.knowledge.conditions import Condition
from guide.knowledge.problems import NOWHERE, Place
from guide.knowledge.records import COMMON_PRACTICE, UNVERIFIED, Equipment, PackLine, Step

CALLS_FOR = "calls for"
NEEDS = "needs"
USES = "uses"
AFTER = "comes after"
SETS = "sets"
SERVES = "serves"
RESTS_ON = "rests on"
STANDS_IN = "stands in for"
CARRIES = "carries"
INSTEAD = "is replaced by"
WARNS = "is shown with"
SIDES = "takes a side in"
WAITS = "waits for"
FORBIDDEN = "is forbidden by"
DONE_BY = "is done by"
SOONER = "is sooner with"
NEAR = "is near"
ASKS = "asks for"
TELLS = "is about"
COUNTED = "is counted by"
SHOWN = "is shown by"
PRESUMED = "is presumed by"
COMPUTES = "answers"
TAKES = "takes"
PART_OF = "is a clause of"

BACKWARDS: Mapping[str, str] = {
    CALLS_FOR: "is called for by", NEEDS: "is needed by", USES: "is used by", AFTER: "comes before", SETS: "is set by",
    SERVES: "is served by", RESTS_ON: "bears out", STANDS_IN: "is stood in for by", CARRIES: "is carried by",
    INSTEAD: "replaces", WARNS: "is a caution of", SIDES: "has a side taken by", WAITS: "lets begin", FORBIDDEN: "forbids",
    DONE_BY: "settles", SOONER: "makes sooner", NEAR: "has near it", ASKS: "is asked for by", TELLS: "is told by",
    COUNTED: "counts", SHOWN: "shows", PRESUMED: "lets presume", COMPUTES: "is answered by", TAKES: "is an input of", PART_OF: "has the clause"}
"""Each link's words when it is read from its end to its start."""


class Link(NamedTuple):
    """A typed link; `detail` says more where the type does not tell all, such as a condition or a number."""

    start: str
    end: str
    type: str
    detail: str = ""


class _Named(Protocol):
    @property
    def place(self) -> Place: ...


def records(k: Knowledge) -> Iterator[tuple[str, _Named]]:
    """Each node's name with its record, in the order of the kinds."""
    tables: tuple[tuple[str, Mapping[str, _Named]], ...] = (
        ("topic", k.topics), ("step", k.steps), ("item", k.equipment), ("pack", k.packs), ("fact", k.facts),
        ("caution", k.cautions), ("source", k.sources), ("clause", k.clauses), ("dispute", k.disputes),
        ("priority", k.priorities), ("waters", k.stores.waters))
    for kind, table in tables:
        yield from ((f"{kind}:{name}", record) for name, record in table.items())
    yield from ((f"figure:{computed.id}", computed) for computed in k.computed)


def places(k: Knowledge) -> dict[str, Place]:
    """Where each node stands, by name; the two marks that stand for a missing clause stand nowhere."""
    marks = {f"clause:{name}": NOWHERE for name in (COMMON_PRACTICE, UNVERIFIED)}
    return {**{name: record.place for name, record in records(k)}, **marks}


def links(k: Knowledge) -> Iterator[Link]:
    """All links, those to ids that do not exist included."""
    for part in (_of_topics, _of_steps, _of_items, _of_packs, _of_sources, _of_facts, _of_figures, _of_waters):
        yield from part(k)


def _rests(start: str, sources: Iterable[str], detail: str = "") -> Iterator[Link]:
    return (Link(start, f"clause:{source}", RESTS_ON, detail) for source in sources)


def _of_topics(k: Knowledge) -> Iterator[Link]:
    for topic in k.topics.values():
        me = f"topic:{topic.id}"
        yield from (Link(me, f"step:{step}", CALLS_FOR) for step in topic.steps)
        yield Link(me, f"priority:{topic.priority}", SERVES)
        yield from (Link(me, f"topic:{other}", NEAR) for other in topic.see)
        yield from (Link(me, f"fact:{fact}", ASKS) for fact in topic.asks)


def _of_steps(k: Knowledge) -> Iterator[Link]:
    for step in k.steps.values():
        me = f"step:{step.id}"
        yield Link(me, f"priority:{step.priority}", SERVES)
        yield from (Link(me, f"item:{item}", NEEDS) for item in step.needs)
        yield from (Link(me, f"item:{item}", USES) for item in step.uses)
        yield from (Link(me, f"step:{other}", AFTER) for other in step.after)
        yield from (Link(me, f"fact:{fact}", SETS, str(value).lower()) for fact, value in step.sets.items())
        yield from _rests(me, step.sources)
        yield from (Link(me, f"caution:{caution}", WARNS) for caution in step.cautions)
        if step.instead:
            yield Link(me, f"step:{step.instead}", INSTEAD)
        if step.dispute:
            name, _, position = step.dispute.partition(".")
            yield Link(me, f"dispute:{name}", SIDES, position)
        yield from _of_conditions(me, step)


def _of_conditions(me: str, step: Step) -> Iterator[Link]:
    for type_, conditions in ((WAITS, step.when), (FORBIDDEN, step.unless), (DONE_BY, step.done_when), (SOONER, step.sooner_when)):
        yield from _tested(me, type_, conditions)


def _tested(me: str, type_: str, conditions: Iterable[Condition]) -> Iterator[Link]:
    for condition in conditions:
        for atom in dict.fromkeys(condition.any_of):
            kind = "item" if atom.op in ("has", "lacks") else "fact"
            yield Link(me, f"{kind}:{atom.fact}", type_, condition.words())


def _of_items(k: Knowledge) -> Iterator[Link]:
    for item in k.equipment.values():
        me = f"item:{item.id}"
        yield from _rests(me, item.sources)
        yield Link(me, f"fact:{_counter(item)}", COUNTED)
        if item.shown_by:
            yield Link(me, f"fact:{item.shown_by}", SHOWN)
        yield from (Link(f"item:{other.item}", me, STANDS_IN, other.how) for other in item.stands_in)
    for serving in k.stores.serves.values():
        yield Link(f"item:{serving.id}", f"priority:{serving.priority}", SERVES)
    for substitute in k.stores.substitutes.values():
        yield Link(f"item:{substitute.id}", f"item:{substitute.stands_for}", STANDS_IN, substitute.says)
        yield from _rests(f"item:{substitute.id}", substitute.sources, substitute.says)
    for bagged in k.stores.bag.values():
        yield from _rests(f"item:{bagged.id}", bagged.sources, bagged.why)


def _counter(item: Equipment) -> str:
    return item.amount or f"has_{item.id}"


def _of_packs(k: Knowledge) -> Iterator[Link]:
    for pack in k.packs.values():
        for name, line in pack.items.items():
            yield Link(f"pack:{pack.id}", f"item:{name}", CARRIES, line_words(line))
            yield from _rests(f"pack:{pack.id}", line.sources, name)


def line_words(line: PackLine) -> str:
    """A pack line's number as the list has it: `1, from 13 persons 2`, `10000 kJ for each place`."""
    if line.each:
        return f"{line.each:g} {line.unit} for each place".replace("  ", " ")
    if line.share:
        return f"for {line.share * 100:g} % of the places, at least {line.least:g}"
    more = "".join(f", from {persons} persons {number:g}" for persons, number in sorted(line.steps.items()))
    return f"{line.pieces:g} {line.unit}".strip() + more


def _of_sources(k: Knowledge) -> Iterator[Link]:
    for clause in k.clauses.values():
        yield Link(f"clause:{clause.id}", f"source:{clause.source}", PART_OF, clause.clause)
    for caution in k.cautions.values():
        yield from _rests(f"caution:{caution.id}", caution.sources)
    for dispute in k.disputes.values():
        for position in dispute.positions:
            yield from _rests(f"dispute:{dispute.id}", position.sources, position.id)


def _of_facts(k: Knowledge) -> Iterator[Link]:
    for fact in k.facts.values():
        me = f"fact:{fact.id}"
        yield from (Link(me, f"topic:{topic}", TELLS, value) for value, topic in fact.topics.items())
        if fact.told_by:
            yield Link(f"topic:{fact.told_by}", me, SETS, "a report of it")
        if fact.ends_with:
            yield Link(me, f"fact:{fact.ends_with}", DONE_BY, "it ends with that")
        if fact.ended_by:
            yield Link(me, f"fact:{fact.ended_by}", DONE_BY, "it ends when that is so")
    for presumption in k.presumptions:
        yield from _tested(f"fact:{presumption.fact}", PRESUMED, presumption.when)


def _of_figures(k: Knowledge) -> Iterator[Link]:
    for computed in k.computed:
        me = f"figure:{computed.id}"
        yield Link(me, f"topic:{computed.topic}", COMPUTES)
        for name, source in computed.inputs.items():
            if source.fact.name:
                yield Link(me, f"fact:{source.fact.name}", TAKES, name)
            if source.pack.name:
                yield Link(me, f"item:{source.pack.name}", TAKES, name)


def _of_waters(k: Knowledge) -> Iterator[Link]:
    for rule in k.stores.waters.values():
        if rule.pack:
            yield Link(f"waters:{rule.id}", f"pack:{rule.pack}", CALLS_FOR)
        yield from _rests(f"waters:{rule.id}", rule.sources)
