"""Checks of the links: what is named and missing, what is never reached, what is never used."""
from __future__ import annotations

from collections.abc import Iterator

from guide.audit.case import Case
from guide.audit.findings import Found
from guide.knowledge.base import Knowledge
from guide.knowledge.graph import rings
from guide.knowledge.links import (
    AFTER,
    ASKS,
    CALLS_FOR,
    CARRIES,
    COUNTED,
    DONE_BY,
    FORBIDDEN,
    INSTEAD,
    NEEDS,
    PRESUMED,
    SETS,
    SOONER,
    STANDS_IN,
    TAKES,
    USES,
    WAITS,
    WARNS,
    links,
    places,
)
from guide.knowledge.records import Step

_TOLD = frozenset(("K031", "K032", "K034", "K040", "K041", "K042", "K050"))
"""Problems of which other checks tell, or which are none of the knowledge."""
_TESTS = (WAITS, FORBIDDEN, DONE_BY, SOONER, PRESUMED)


def unreadable(case: Case) -> Iterator[Found]:
    """What `guide check` finds amiss and no other check here tells of."""
    for problem in case.problems:
        if problem.code not in _TOLD:
            yield Found(problem.code, problem.place, problem.message)


def dangling_id(case: Case) -> Iterator[Found]:
    """A link to something that does not exist."""
    known = places(case.knowledge)
    for link in links(case.knowledge):
        if link.end not in known or link.start not in known:
            missing, there = (link.end, link.start) if link.start in known else (link.start, link.end)
            kind, _, own = missing.partition(":")
            yield Found(there, known[there], f'{there.replace(":", " ")} {link.type} a {kind} "{own}" that does not exist', own)


def unreachable_step(case: Case) -> Iterator[Found]:
    """A step that no topic calls for and that stands in for none."""
    reached = {link.end for link in links(case.knowledge) if link.type in (CALLS_FOR, INSTEAD)}
    for step in case.knowledge.steps.values():
        if f"step:{step.id}" not in reached:
            yield Found(f"step:{step.id}", step.place, f"no topic calls for step {step.id} and it replaces none")


def ring(case: Case) -> Iterator[Found]:
    """Steps that wait for each other, or stand in for each other, in a ring."""
    for type_, what in ((AFTER, "wait for"), (INSTEAD, "replace")):
        for ids in rings(case.knowledge, type_):
            yield Found(f"step:{ids[0]}", case.knowledge.steps[ids[0]].place, f"steps {what} each other in a ring: {', '.join(ids)}",
                        "after:" if type_ == AFTER else "instead:")


def caution_unused(case: Case) -> Iterator[Found]:
    """A caution that no step shows."""
    shown = {link.end for link in links(case.knowledge) if link.type == WARNS}
    for caution in case.knowledge.cautions.values():
        if f"caution:{caution.id}" not in shown:
            yield Found(f"caution:{caution.id}", caution.place, f"no step shows caution {caution.id}")


def fact_never_set(case: Case) -> Iterator[Found]:
    """A fact that nothing tells: no phrase, no step, no topic, no presumption."""
    k = case.knowledge
    told = {phrase.means.partition("=")[0] for phrase in (*k.language.facts, *k.language.amounts, *k.language.frames)}
    told |= {link.end.removeprefix("fact:") for link in links(k) if link.type == SETS}
    told |= {presumption.fact for presumption in k.presumptions}
    for fact in k.facts.values():
        if fact.id not in told and not _of_item(case, fact.id):
            yield Found(f"fact:{fact.id}", fact.place, f"nothing ever sets fact {fact.id}")


def fact_never_used(case: Case) -> Iterator[Found]:
    """A fact that nothing depends on."""
    used = {link.end for link in links(case.knowledge) if link.type in (*_TESTS, TAKES, ASKS, COUNTED)}
    for fact in case.knowledge.facts.values():
        if f"fact:{fact.id}" not in used and not _of_item(case, fact.id):
            yield Found(f"fact:{fact.id}", fact.place, f"nothing depends on fact {fact.id}")


def _of_item(case: Case, fact: str) -> bool:
    """Whether it is the yes/no fact that an item brings by itself."""
    return fact.startswith("has_") and fact.removeprefix("has_") in case.knowledge.equipment


def item_never_used(case: Case) -> Iterator[Found]:
    """An item that no step names and that stands in for nothing."""
    k = case.knowledge
    used = {link.end for link in links(k) if link.type in (NEEDS, USES, *_TESTS)}
    used |= {link.start for link in links(k) if link.type == STANDS_IN}
    for item in k.equipment.values():
        if f"item:{item.id}" not in used:
            yield Found(f"item:{item.id}", item.place, f"no step uses item {item.id}")


def item_nowhere(case: Case) -> Iterator[Found]:
    """An item that a planned step cannot do without, in no pack, not of the raft, and with nothing in its place."""
    k = case.knowledge
    replaced = {link.end for link in links(k) if link.type == STANDS_IN}
    for step, name in _left_without(k, _provided(k)):
        if f"item:{name}" not in replaced:
            yield Found(f"step:{step.id}", step.place, f"step {step.id} needs {name}, which no pack carries and nothing replaces", "needs:")


def item_outside_packs(case: Case) -> Iterator[Found]:
    """An item that a planned step cannot do without, and that neither a pack nor the raft nor a stand-in from there provides."""
    k = case.knowledge
    provided = _provided(k)
    replaced = {link.end for link in links(k) if link.type == STANDS_IN}
    helped = {link.end for link in links(k) if link.type == STANDS_IN and link.start in provided}
    for step, name in _left_without(k, provided):
        if step.band != "note" and f"item:{name}" in replaced - helped:
            yield Found(f"step:{step.id}", step.place, f"step {step.id} needs {name}, which no pack carries, and has no step in its place", "needs:")


def _provided(k: Knowledge) -> set[str]:
    """The items of packs and raft, and those always to hand."""
    return {link.end for link in links(k) if link.type == CARRIES} | {f"item:{item.id}" for item in k.equipment.values() if item.always}


def _left_without(k: Knowledge, provided: set[str]) -> Iterator[tuple[Step, str]]:
    """Each step that none replaces, with each item that it needs and that is not provided."""
    for step in k.steps.values():
        if not step.instead:
            yield from ((step, name) for name in step.needs if name in k.equipment and f"item:{name}" not in provided)
