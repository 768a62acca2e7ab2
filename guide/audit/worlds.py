"""Small states in which conditions are tried: whether they can hold, whether they can hold together, what is offered then."""
from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import islice, product

from guide.knowledge.base import Knowledge
from guide.knowledge.conditions import Atom, Condition
from guide.knowledge.records import Step
from guide.planning.items import View
from guide.state.facts import State, supposing

_MOST = 400
"""Combinations of alternatives that are tried for one question."""
_FAILS = {"is": ("not",), "not": ("is",), "has": ("lacks",), "lacks": ("has",), "<": (">=",), "<=": (">",), ">": ("<=",), ">=": ("<",), "=": (">", "<")}
"""A sign → those under which the same test fails."""


def view_of(k: Knowledge, facts: Mapping[str, object]) -> View:
    """What the planner sees where just these facts are known."""
    return View(k, supposing(State.empty(), facts))


def states(k: Knowledge, conditions: Sequence[Condition]) -> Iterator[dict[str, object]]:
    """States in which all the conditions hold: for each combination of alternatives, what need not be known is first left
    unknown and then, since something may be presumed of it, told to be otherwise."""
    for chosen in islice(product(*(condition.alternatives for condition in conditions)), _MOST):
        atoms = [atom for atoms in chosen for atom in atoms]
        facts = _made(k, atoms)
        denied = {a.fact: not a.value for a in atoms if a.op == "not" and isinstance(a.value, bool)}
        for tried in (facts, {**denied, **facts}, {**facts, **denied}) if facts is not None else ():
            if view_of(k, tried).all_hold(conditions):
                yield tried
                break


def can_hold(k: Knowledge, conditions: Sequence[Condition]) -> bool:
    """Whether some state fulfils all of them."""
    return next(states(k, conditions), None) is not None


def offered_in(k: Knowledge, step: Step) -> dict[str, object] | None:
    """A state in which the step may be done: its `when` holds and nothing forbids it; None where none was found."""
    for conditions in (step.when, (*step.when, *(denied for condition in step.unless for denied in _denied(condition)))):
        for facts in states(k, conditions):
            if not view_of(k, facts).any_holds(step.unless):
                return facts
    return None


def _denied(condition: Condition) -> Iterator[Condition]:
    """Conditions that together hold only where this one does not: of each alternative, one atom fails."""
    for atoms in condition.alternatives:
        yield Condition(tuple((Atom(atom.fact, sign, atom.value),) for atom in atoms for sign in _FAILS[atom.op]))


def together(k: Knowledge, one: Step, other: Step) -> dict[str, object] | None:
    """A state in which both steps can be done, neither of them done yet; None where none was found."""
    for facts in states(k, (*one.when, *other.when)):
        view = view_of(k, facts)
        if not any(view.any_holds(step.unless) or step.done_when and view.all_hold(step.done_when) for step in (one, other)):
            return facts
    return None


def _made(k: Knowledge, atoms: Sequence[Atom]) -> dict[str, object] | None:
    """Facts that fulfil the atoms, what need not be known left unknown; None where two of them disagree."""
    facts: dict[str, object] = {}
    for atom in sorted(atoms, key=lambda a: a.op == "not"):
        for name, value in _wanted(k, atom, facts):
            if name in facts and facts[name] != value:
                return None
            facts[name] = value
    return {name: value for name, value in facts.items() if value is not None}


def _wanted(k: Knowledge, atom: Atom, facts: Mapping[str, object]) -> Iterator[tuple[str, object]]:
    """The fact that one atom needs, with a value; nothing where what is there does."""
    record = k.facts.get(atom.fact)
    if atom.op in ("has", "lacks"):
        item = k.equipment.get(atom.fact)
        count = item.amount if item else ""
        yield count or f"has_{atom.fact}", (3 if atom.op == "has" else 0) if count else atom.op == "has"
    elif atom.op == "is" and atom.value not in ("known", "unknown"):
        yield atom.fact, atom.value
    elif (atom.op, atom.value) in (("is", "unknown"), ("not", "known")):
        yield atom.fact, None
    elif (atom.op, atom.value) in (("is", "known"), ("not", "unknown")):
        yield atom.fact, facts.get(atom.fact, True if record and record.type == "bool" else 1)
    elif atom.op != "not" and not atom.holds(facts.get):
        limit = float(str(atom.value))
        step = 1.0 if record and record.type == "int" else 0.5
        yield atom.fact, {"<": limit - step, ">": limit + step}.get(atom.op, limit)

