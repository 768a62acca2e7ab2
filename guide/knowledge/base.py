"""Everything the guide knows, as one value, and where it lies. Loads no library: how it is read is the business of others."""
import os
from collections.abc import Collection, Iterator, Mapping
from functools import cached_property
from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

from guide.knowledge.computed import Computed, Quantity
from guide.knowledge.conditions import looked_up
from guide.knowledge.language import Language
from guide.knowledge.problems import Place
from guide.knowledge.records import (
    COMMON_PRACTICE,
    UNVERIFIED,
    Caution,
    Clause,
    Dispute,
    Equipment,
    Fact,
    Members,
    Pack,
    Presumption,
    Priority,
    Source,
    Step,
    Stores,
    Topic,
    Value,
)

if TYPE_CHECKING:
    from pathlib import Path

_PACKAGE = os.path.dirname(os.path.dirname(os.path.realpath(__file__)))
_SHIPPED = os.path.join(_PACKAGE, "shipped")
_CHECKOUT = os.path.join(os.path.dirname(_PACKAGE), "knowledge")

BANK = "phrases"
"""The folder of the phrase bank: read to learn from and to check, not to answer."""
TALKS = "talks"
"""The folder of labelled talks: to learn from and to measure, read by `guide.talk.examples`."""
DRILLS = "drills"
"""The folder of drills, which have a reader of their own."""
AUDIT = "audit"
"""The folder of what is checked and accepted: about the knowledge, not part of it."""


class Overlay(NamedTuple):
    """What a vessel's own file says beyond records."""

    vessel: str = ""
    file: str = ""
    """The name of the file."""
    positions: Mapping[str, str] = MappingProxyType({})
    """Dispute → the position this vessel follows."""
    given: Mapping[str, str] = MappingProxyType({})
    """Facts that hold from the start, as text."""
    calls: Mapping[str, tuple[str, ...]] = MappingProxyType({})
    """Topic → steps put before its own."""
    places: Mapping[str, Place] = MappingProxyType({})
    """Name of a position, fact or topic → where the overlay says it."""
    changed: frozenset[str] = frozenset()
    """Ids of the records that the overlay added or replaced."""


class Parts(NamedTuple):
    """All that is read, by id."""

    priorities: Mapping[str, Priority]
    sources: Mapping[str, Source]
    clauses: Mapping[str, Clause]
    facts: Mapping[str, Fact]
    presumptions: tuple[Presumption, ...]
    equipment: Mapping[str, Equipment]
    packs: Mapping[str, Pack]
    cautions: Mapping[str, Caution]
    steps: Mapping[str, Step]
    topics: Mapping[str, Topic]
    disputes: Mapping[str, Dispute]
    computed: tuple[Computed, ...]
    quantities: Mapping[str, Quantity]
    shown_with: Mapping[str, Members]
    """Figure → the cautions and steps that are shown with it."""
    language: Language
    stores: Stores = Stores()
    overlay: Overlay = Overlay()
    folder: str = ""
    """Where it was read from: a file of reviews may stand beside it."""


class Knowledge(Parts):
    """Everything the guide knows: what was read, and what follows from all of it together."""

    @cached_property
    def jobs(self) -> tuple[Step, ...]:
        """The steps that can be planned: all but the notes."""
        return tuple(step for step in self.steps.values() if step.band != "note")

    @cached_property
    def returning(self) -> tuple[Step, ...]:
        """The jobs that are due again some time after they were done."""
        return tuple(step for step in self.jobs if step.again_s)

    @cached_property
    def jobs_called_by(self) -> Mapping[str, frozenset[str]]:
        """What is looked up to tell whether jobs are called for, facts and `has:ITEM` → those jobs."""
        found: dict[str, set[str]] = {}
        for step in self.jobs:
            for name in (name for condition in step.when for name in looked_up(condition)):
                found.setdefault(name, set()).add(step.id)
        return {name: frozenset(steps) for name, steps in found.items()}

    @cached_property
    def brought_about(self) -> frozenset[tuple[str, Value]]:
        """Each fact with what it is once a job is done that sets it."""
        return frozenset((fact, value) for step in self.jobs for fact, value in step.sets.items())

    @cached_property
    def places(self) -> Mapping[str, tuple[int, int]]:
        """Where each step stands: by its priority, then by topics and in a topic by its list, then as the files have them."""
        rank = {name: number for number, name in enumerate(self.priorities)}
        listed = [name for topic in self.topics.values() for name in topic.steps
                  if name in self.steps and self.steps[name].topic == topic.id]
        order = dict.fromkeys([*listed, *self.steps])
        return {name: (rank.get(self.steps[name].priority, len(rank)), number) for number, name in enumerate(order)}

    @cached_property
    def generic(self) -> frozenset[str]:
        """Words that mean nothing without what was said before."""
        return frozenset(self.language.words.get("generic", ()))

    @cached_property
    def told_about(self) -> Mapping[str, str]:
        """`fact=value` → the topic that a report of it is about."""
        return {f"{fact.id}={value}": topic for fact in self.facts.values() for value, topic in fact.topics.items()}

    @cached_property
    def sought(self) -> frozenset[str]:
        """The items that some step needs, or that the plan asks for: to say that one of them is missing changes what is advised."""
        tested = (atom for step in self.steps.values() for condition in (*step.when, *step.unless) for atom in condition.any_of if atom.op in ("has", "lacks"))
        return frozenset((*(item for step in self.steps.values() for item in (*step.needs, *step.uses)), *(atom.fact for atom in tested))) - self._counted

    @cached_property
    def _counted(self) -> frozenset[str]:
        """The items of which a fact counts how many there are."""
        return frozenset(item.id for item in self.equipment.values() if item.amount)

    def is_of_an_item(self, fact: str) -> bool:
        """Whether a fact is that an item is aboard, which the item brings with it and the machine interface does not know."""
        return fact.startswith("has_") and fact.removeprefix("has_") in self.equipment

    @cached_property
    def facts_about(self) -> Mapping[str, tuple[str, ...]]:
        """Topic → the yes/no facts that reports of it tell, or that its steps bring about."""
        found: dict[str, dict[str, None]] = {}
        for fact in self.facts.values():
            for topic in fact.topics.values() if fact.type == "bool" else ():
                found.setdefault(topic, {})[fact.id] = None
        for step in self.steps.values():
            brought = (name for name in step.sets if name in self.facts and self.facts[name].type == "bool")
            found.setdefault(step.topic, {}).update(dict.fromkeys(brought))
        return {topic: tuple(facts) for topic, facts in found.items()}

    def is_alarm(self, fact: str) -> bool:
        """Whether it is an emergency, or a fleeting chance of being seen, that a fact is so."""
        topic = self.topics.get(self.facts[fact].topics.get("true", "")) if fact in self.facts else None
        return topic is not None and topic.band in ("emergency", "chance")

    @cached_property
    def counts_about(self) -> Mapping[str, frozenset[str]]:
        """Topic → the quantities that reports of it tell, or that count its item; without those of several items, of which a number may be any."""
        found: dict[str, set[str]] = {}
        items = {item.id: item.amount for item in self.equipment.values() if item.amount in self.facts}
        told = ((topic, fact.id) for fact in self.facts.values() if fact.type != "bool" for topic in fact.topics.values())
        for topic, counted in (*told, *items.items()):
            found.setdefault(topic, set()).add(counted)
        counts = set(items.values())
        return {topic: frozenset(facts if len(facts & counts) < 2 else facts - counts) for topic, facts in found.items()}

    def told_with(self, figure: str) -> tuple[Caution | Step, ...]:
        """What is told with a figure wherever it is computed: the cautions and steps that the knowledge shows with it."""
        named = self.shown_with[figure].members if figure in self.shown_with else ()
        return tuple(record for name in named if (record := self.cautions.get(name) or self.steps.get(name)))

    def cite(self, source: str) -> str:
        """A source id as a person reads it: `LSA Code 4.1.5.1.3`, with its mark where it was not read."""
        if source == COMMON_PRACTICE:
            return "common practice"
        if source == UNVERIFIED or source not in self.clauses:
            return "unverified, from memory"
        clause = self.clauses[source]
        work = self.sources[clause.source].short if clause.source in self.sources else clause.source
        note = {"read": "", "secondary": " (read in a summary)", "memory": " (from memory, unverified)"}[clause.mark]
        where = clause.clause if not clause.clause.startswith(work) else clause.clause[len(work):].strip()
        return f"{work} {where}".strip() + note


def default_place() -> str:
    """The knowledge beside the checkout, or the copy that an installed wheel carries."""
    return _SHIPPED if os.path.isdir(_SHIPPED) else _CHECKOUT


def default_folder() -> "Path":
    """As `default_place`, for who reads more than an answer needs."""
    from pathlib import Path
    return Path(default_place())


def files(folder: "str | Path", *, bank: bool) -> list[str]:
    """The YAML files of a folder as relative paths with `/`, in order, with or without those of the phrase bank."""
    left = {DRILLS, AUDIT, TALKS} if bank else {DRILLS, AUDIT, TALKS, BANK}
    return sorted(_walk(str(folder), left), key=lambda name: name.split("/"))


def _walk(folder: str, left: Collection[str]) -> Iterator[str]:
    waiting = [""]
    while waiting:
        before = waiting.pop()
        try:
            entries = list(os.scandir(os.path.join(folder, before)))
        except OSError:
            continue
        for entry in entries:
            if entry.is_dir(follow_symlinks=False):
                waiting += [f"{before}{entry.name}/"] if before or entry.name not in left else []
            elif entry.name.endswith(".yaml"):
                yield before + entry.name
