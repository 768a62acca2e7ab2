"""The proof of the invariants by enumeration. The full run: `python -m tests.prove` (`-m tests.prove 50` takes every 50th step).

For every step and invariant all combinations of the facts that the step's conditions and needs read, and those that
the invariant reads: true, false and unknown; a number: unknown, 0 and values on both sides of every limit that any
condition sets for it; an item: there, not there and unknown. Where that makes more than `MOST` combinations (more
than seven facts) a sample of as many is drawn, with a fixed seed. The next steps are judged in every state together
with the steps of the topics that name the step.
"""
from __future__ import annotations

import itertools
import math
import random
import sys
import time
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from guide.knowledge.compiling import Knowledge, load
from guide.knowledge.records import Step
from guide.planning.items import View
from guide.planning.planner import answer, plan
from guide.state.facts import Entry, State
from tests.invariants import INVARIANTS, Invariant, Shown

MOST = 3 ** 7
MOST_PLANS = 3 ** 5
SEED = 20260301
NOW = "2026-03-01T12:00:00+00:00"
AT = "2026-03-01T11:59:00+00:00"


@dataclass(frozen=True, slots=True)
class Proof:
    """What was found for one invariant."""

    invariant: Invariant
    states: int
    steps: int
    sampled: int
    """Steps of which only a sample of the states was looked at."""
    breaches: tuple[str, ...]


def view_of(knowledge: Knowledge, values: Mapping[str, object]) -> View:
    """The view with exactly these facts known."""
    return View(knowledge, State({name: Entry(value, 1, AT, "crew", "", None, 1) for name, value in values.items()}, {}, 1, AT))


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
        self._topics = {name: [t for t in knowledge.topics.values() if name in t.steps] for name in knowledge.steps}

    def facts(self, step: Step, invariant: Invariant) -> list[str]:
        """The facts that decide about the step, and those the invariant reads."""
        atoms = [atom for c in (*step.when, *step.unless, *step.done_when) for atom in c.any_of]
        items = [*step.needs, *(atom.fact for atom in atoms if atom.op in ("has", "lacks"))]
        named = [atom.fact for atom in atoms if atom.op not in ("has", "lacks")]
        return list(dict.fromkeys([*named, *step.sets, *(self._item_fact(item) for item in items), *invariant.reads]))

    def _item_fact(self, item: str) -> str:
        return self.knowledge.equipment[item].amount or f"has_{item}"

    def values(self, fact: str, wanted: Iterable[float] = ()) -> tuple[object, ...]:
        """The values to try, None for unknown."""
        record = self.knowledge.facts[fact]
        if record.type == "bool":
            return None, True, False
        if record.type == "enum":
            return None, *record.values
        return None, *(self._limits[fact] if not wanted else wanted)

    def _own_limits(self, step: Step, fact: str) -> tuple[float, ...]:
        """Of a number only the limits of this step, so that the product stays whole."""
        own = {0.0, 1.0}
        for condition in (*step.when, *step.unless, *step.done_when):
            for atom in condition.any_of:
                if atom.fact == fact and atom.op in ("<", "<=", ">", ">=", "="):
                    limit = float(str(atom.value))
                    own |= {limit - 1, limit, limit + 1}
        record = self.knowledge.facts[fact]
        return tuple(sorted(v for v in own if record.low <= v <= record.high))

    def states(self, step: Step, invariant: Invariant) -> tuple[Iterator[dict[str, object]], int, bool]:
        """The states to look at, how many, and whether they are a sample."""
        facts = self.facts(step, invariant)
        choices = [self.values(fact, self._own_limits(step, fact) if self.knowledge.facts[fact].type in ("int", "float") else ())
                   for fact in facts]
        total, most = math.prod(len(c) for c in choices), MOST_PLANS if invariant.plans else MOST
        if total <= most:
            return (_known(facts, values) for values in itertools.product(*choices)), total, False
        chance = random.Random(f"{SEED} {step.id} {invariant.name}")
        return (_known(facts, [chance.choice(c) for c in choices]) for _ in range(most)), most, True

    def shown(self, view: View, step: Step, invariant: Invariant) -> Shown:
        """What may be shown of the step: as an answer, which takes in what is planned; the whole plan where it matters."""
        advice, _ = answer(view, [step.id])
        return Shown(view, plan(view, NOW, None) if invariant.plans else (), advice)

    def prove(self, invariant: Invariant, steps: Sequence[Step]) -> Proof:
        """Look at every state of every step. An invariant of the plan is no matter of notes."""
        total, sampled, breaches = 0, 0, []
        chosen = [step for step in steps if not invariant.plans or step.band != "note"]
        for step in chosen:
            states, count, drawn = self.states(step, invariant)
            total, sampled = total + count, sampled + drawn
            for values in states:
                found = invariant.breach(self.shown(view_of(self.knowledge, values), step, invariant))
                if found is not None:
                    breaches.append(f"{found} in {values}")
        return Proof(invariant, total, len(chosen), sampled, tuple(breaches))

    def caught(self, invariant: Invariant) -> int:
        """How many of the mutations trip the invariant."""
        return sum(_trips(mutation(self.knowledge), invariant) for mutation in invariant.mutations)


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
        print(f"{invariant.name:20} {proof.states:9,} states of {proof.steps:5,} steps ({proof.sampled} sampled), "
              f"{len(proof.breaches)} breaches; mutations caught {prover.caught(invariant)} of {len(invariant.mutations)}", flush=True)
        for line in proof.breaches[:3]:
            print(f"    {line}")
    print(f"{states:,} states checked in {time.monotonic() - began:.0f} s, {breaches} breaches")
    return min(breaches, 100)


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 1))
