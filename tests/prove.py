"""The proof of the invariants by enumeration, every one over every step. The full run: `python -m tests.prove`
(`-m tests.prove 50` takes every 50th step).

For every step and invariant all combinations of the facts that the step's conditions and needs read, and those that the
invariant reads: true, false and unknown; every word; a number at, below and above each limit; an item there, not there
and unknown. Values of a fact between which no condition of the step (or of what is presumed) tells are one state, so
nothing is sampled. The plan is judged in every state in which the step can be done, for an emergency that goes first
together with each of its first steps: elsewhere the step is not in the plan.
"""
from __future__ import annotations

import itertools
import math
import sys
import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache, partial

from guide.knowledge.compiling import Knowledge, load
from guide.knowledge.conditions import Atom, Condition
from guide.knowledge.records import Step
from guide.planning.items import View
from guide.planning.ordering import possible
from guide.planning.planner import answer, plan
from guide.state.facts import Entry, State
from tests.invariants import INVARIANTS, Invariant, Shown

NOW = "2026-03-01T12:00:00+00:00"
AT = "2026-03-01T11:59:00+00:00"


@dataclass(frozen=True, slots=True)
class Proof:
    """What was found for one invariant."""

    invariant: Invariant
    states: int
    steps: int
    breaches: tuple[str, ...]


def view_of(knowledge: Knowledge, values: Mapping[str, object]) -> View:
    """The view with exactly these facts known."""
    return View(knowledge, State({name: _entry(value) for name, value in values.items()}, {}, 1, AT))


@lru_cache(typed=True)
def _entry(value: object) -> Entry:
    return Entry(value, 1, AT, "crew", "", None, 1)


def limits(knowledge: Knowledge) -> dict[str, tuple[float, ...]]:
    """Number fact → 0 and values on both sides of every limit that a condition sets for it."""
    found: dict[str, set[float]] = {fact.id: {0.0} for fact in knowledge.facts.values() if fact.type in ("int", "float")}
    conditions = [c for s in knowledge.steps.values() for c in (*s.when, *s.unless, *s.done_when, *s.sooner_when)]
    for condition in (*conditions, *(c for p in knowledge.presumptions for c in p.when)):
        for atom in condition.any_of:
            if atom.op in ("<", "<=", ">", ">=", "="):
                limit = float(str(atom.value))
                found[atom.fact] |= {limit - 1, limit, limit + 1}
    return {name: tuple(sorted(v for v in values if knowledge.facts[name].low <= v <= knowledge.facts[name].high))
            for name, values in found.items()}


class Prover:
    """Enumerates the states of steps over one knowledge."""

    def __init__(self, knowledge: Knowledge) -> None:
        self.knowledge = knowledge
        self._limits = limits(knowledge)

    def values(self, fact: str) -> tuple[object, ...]:
        """All values that decide about anything, None for unknown."""
        record = self.knowledge.facts[fact]
        if record.type == "bool":
            return None, True, False
        return None, *(record.values if record.type == "enum" else self._limits[fact])

    def states(self, steps: Sequence[Step], invariant: Invariant) -> tuple[Iterator[dict[str, object]], int]:
        """The states that the steps and the invariant tell apart, without those in which a single fact keeps a step out of a
        plan that is to be judged, and how many with them."""
        atoms = self._atoms(steps)
        facts = list(dict.fromkeys([*(self._fact(atom) for atom in atoms), *(fact for step in steps for fact in step.sets),
                                    *(invariant.reads if any(map(invariant.about, steps)) else ())]))
        atoms += self._presuming(facts)
        choices = [self._told_apart(fact, atoms, invariant, "pack" in facts) for fact in facts]
        count = math.prod(map(len, choices))
        if invariant.plans:
            choices = [tuple(value for value in values if self._leaves_open(fact, value, steps)) for fact, values in zip(facts, choices, strict=True)]
        return (_known(facts, values) for values in itertools.product(*choices)), count

    def _leaves_open(self, fact: str, value: object, steps: Sequence[Step]) -> bool:
        """Whether no condition on this fact alone keeps one of the steps out of the plan. Nothing is said of what may be presumed."""
        if value is None and any(presumption.fact == fact for presumption in self.knowledge.presumptions):
            return True

        def alone(condition: Condition) -> bool:
            return all(atom.fact == fact and atom.op not in ("has", "lacks") for atom in condition.any_of)

        return all(condition.holds(lambda _: value) for step in steps for condition in step.when if alone(condition)) \
            and not any(condition.holds(lambda _: value) for step in steps for condition in step.unless if alone(condition))

    def _atoms(self, steps: Sequence[Step]) -> list[Atom]:
        """All that the steps test: by their conditions, by what they need, by what a report of them sets."""
        conditions = [c for step in steps for c in (*step.when, *step.unless, *step.done_when)]
        needs = [Atom(item, "lacks", None) for step in steps for item in step.needs]
        return [*(atom for c in conditions for atom in c.any_of), *needs,
                *(Atom(fact, "is", value) for step in steps for fact, value in step.sets.items())]

    def _fact(self, atom: Atom) -> str:
        """The fact that an atom is decided by."""
        return (self.knowledge.equipment[atom.fact].amount or f"has_{atom.fact}") if atom.op in ("has", "lacks") else atom.fact

    def _presuming(self, facts: Sequence[str]) -> list[Atom]:
        """What is tested where one of the facts, or what that rests on, is presumed; and that each of these is known."""
        wanted, atoms = set(facts), list[Atom]()
        for _ in self.knowledge.presumptions:
            for presumption in self.knowledge.presumptions:
                if presumption.fact in wanted:
                    found = [atom for condition in presumption.when for atom in condition.any_of]
                    atoms += [*found, Atom(presumption.fact, "is", "known")]
                    wanted |= {self._fact(atom) for atom in found}
        return list(dict.fromkeys(atoms))

    def _told_apart(self, fact: str, atoms: Sequence[Atom], invariant: Invariant, packed: bool) -> tuple[object, ...]:
        """One value of each kind that the atoms tell apart; all of a fact that the invariant reads but for a number."""
        own = [atom for atom in atoms if self._fact(atom) == fact]
        items = {atom.fact for atom in own if atom.op in ("has", "lacks")}
        read = fact in invariant.reads
        kinds: dict[object, object] = {}
        for value in self.values(fact):
            seen = tuple(atom.holds(partial(_found, value=value)) for atom in own)
            whole = value if read and not isinstance(value, float) else (read and value is not None and bool(value), read and value is None)
            kinds.setdefault((seen, whole, packed and bool(items) and value is None), value)
        return tuple(kinds.values())

    def prove(self, invariant: Invariant, steps: Sequence[Step]) -> Proof:
        """Look at every state of every step. An invariant of the plan is no matter of notes."""
        total, breaches = 0, []
        chosen = [step for step in steps if not invariant.plans or step.band != "note"]
        for step in chosen:
            for other in [self.knowledge.steps[name] for name in invariant.beside if step.band != "emergency"] or [step]:
                states, count = self.states([step, other], invariant)
                total += count
                found = (self._breach(invariant, step, other, values) for values in states)
                breaches += [words for words in found if words is not None]
        return Proof(invariant, total, len(chosen), tuple(breaches))

    def _breach(self, invariant: Invariant, step: Step, other: Step, values: Mapping[str, object]) -> str | None:
        """What is shown of the step is judged: as an answer, which takes in what is planned; in the plan where that matters."""
        view = view_of(self.knowledge, values)
        if invariant.plans and None in (possible(view, step, NOW), possible(view, other, NOW)):
            return None
        shown = Shown(view, plan(view, NOW, None) if invariant.plans else (), () if invariant.plans else answer(view, [step.id])[0])
        found = invariant.breach(shown)
        return None if found is None else f"{found} in {values}"

    def caught(self, invariant: Invariant) -> int:
        """How many of the mutations trip the invariant."""
        return sum(_trips(mutation(self.knowledge), invariant) for mutation in invariant.mutations)


def _found(name: str, value: object) -> object:
    """What a lookup gives: the value, or for an item whether there is any of it."""
    return value if not name.startswith("has:") or value is None else bool(value)


def _known(facts: Sequence[str], values: Sequence[object]) -> dict[str, object]:
    return {fact: value for fact, value in zip(facts, values, strict=True) if value is not None}


def _trips(mutated: Knowledge, invariant: Invariant) -> bool:
    return bool(Prover(mutated).prove(invariant, [mutated.steps[name] for name in invariant.touched]).breaches)


def main(every: int = 1) -> int:
    """Prints one line an invariant; the exit code is the number of breaches, at most 100."""
    knowledge = load()[0]
    prover, began, breaches, states = Prover(knowledge), time.monotonic(), 0, 0
    for invariant in INVARIANTS:
        proof = prover.prove(invariant, list(knowledge.steps.values())[::every])
        breaches, states = breaches + len(proof.breaches), states + proof.states
        print(f"{invariant.name:20} {proof.states:9,} states of {proof.steps:5,} steps, "
              f"{len(proof.breaches)} breaches; mutations caught {prover.caught(invariant)} of {len(invariant.mutations)}", flush=True)
        for line in proof.breaches[:3]:
            print(f"    {line}")
    print(f"{states:,} states checked in {time.monotonic() - began:.0f} s, {breaches} breaches")
    return min(breaches, 100)


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 1))
