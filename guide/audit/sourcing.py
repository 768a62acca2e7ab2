"""Checks of what claims rest on, and of disputes."""
from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from guide.audit.case import Case
from guide.audit.findings import Found
from guide.audit.grounds import grounds
from guide.knowledge.claims import NO_CLAUSE, mark_of

_WEAK = frozenset(("memory", NO_CLAUSE))


def no_source(case: Case) -> Iterator[Found]:
    """A claim that names no source at all."""
    for ground in grounds(case.knowledge):
        if not ground.sources:
            yield Found(ground.node, ground.place, f"{ground.name} names no source", ground.part or "sources:")


def memory_only(case: Case) -> Iterator[Found]:
    """A claim all of whose sources are from memory."""
    for ground in grounds(case.knowledge):
        marks = {mark_of(case.knowledge, source) for source in ground.sources}
        if ground.sources and marks <= _WEAK:
            yield Found(ground.node, ground.place, f"{ground.name} rests only on memory: {', '.join(ground.sources)}",
                        ground.part if ground.node.startswith("pack:") else ground.sources[0])


def source_unread(case: Case) -> Iterator[Found]:
    """A work that is not said to be read, nor how far."""
    for source in case.knowledge.sources.values():
        if not source.read:
            yield Found(f"source:{source.id}", source.place, f"source {source.id} does not say how far it was read")


def clause_unused(case: Case) -> Iterator[Found]:
    """A clause on which nothing rests."""
    cited = {source for ground in grounds(case.knowledge) for source in ground.sources}
    for clause in case.knowledge.clauses.values():
        if clause.id not in cited:
            yield Found(f"clause:{clause.id}", clause.place, f"nothing rests on clause {clause.id}")


def dispute_without_default(case: Case) -> Iterator[Found]:
    """A dispute without a side that is followed, or without a reason for it."""
    for dispute in case.knowledge.disputes.values():
        name = f"dispute:{dispute.id}"
        if dispute.default not in [position.id for position in dispute.positions]:
            yield Found(name, dispute.place, f"dispute {dispute.id} has no default among its positions", "default:")
        elif not dispute.because:
            yield Found(name, dispute.place, f"dispute {dispute.id} gives no reason for its default", "because:")


def dispute_one_sided(case: Case) -> Iterator[Found]:
    """A dispute with fewer than two sides."""
    for dispute in case.knowledge.disputes.values():
        if len(dispute.positions) < 2:
            yield Found(f"dispute:{dispute.id}", dispute.place, f"dispute {dispute.id} has {len(dispute.positions)} position")


def dispute_in_no_step(case: Case) -> Iterator[Found]:
    """A dispute of which no user ever hears: no step takes a side in it, and none rests on two of its sides at once."""
    steps = case.knowledge.steps.values()
    sided = {step.dispute.partition(".")[0] for step in steps if step.dispute}
    for dispute in case.knowledge.disputes.values():
        shared = Counter(source for position in dispute.positions for source in set(position.sources))
        sides = [{source for source in position.sources if shared[source] < len(dispute.positions) and source in case.knowledge.clauses}
                 for position in dispute.positions]
        both = any(sum(bool(side & set(step.sources)) for side in sides) > 1 for step in steps)
        if dispute.id not in sided and not both:
            yield Found(f"dispute:{dispute.id}", dispute.place, f"no step takes a side in dispute {dispute.id}, so nobody is told of it")
