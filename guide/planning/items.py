"""What the planner sees: the reported state, what it presumes meanwhile, and which items are to hand."""
from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType
from typing import TYPE_CHECKING

from guide.knowledge.base import Knowledge
from guide.knowledge.conditions import Condition, looked_up
from guide.knowledge.records import Presumption, Step
from guide.state.facts import State, supposing

if TYPE_CHECKING:
    from guide.planning.planner import NextStep

_PASSES = 3


class View:
    """Knowledge and state as one; `positions` are the sides taken in disputes where not the default.

    A view never changes, so each condition and item is looked at once and remembered: most steps share theirs. What a view of the
    same knowledge `before` it remembers is taken over as far as it rests on nothing that differs: a turn changes few facts.
    """

    __slots__ = ("_called", "_held", "_items", "_presumed", "_values", "knowledge", "plans", "positions", "state")

    def __init__(self, knowledge: Knowledge, state: State, positions: Mapping[str, str] = MappingProxyType({}), *, before: View | None = None) -> None:
        self.knowledge, self.state, self.positions = knowledge, state, positions
        self._held: dict[int, tuple[Condition, bool, frozenset[str]]] = {}
        """Whether it holds, and what it rests on. By identity, which is found quicker than by value; the condition is kept, so that no other comes to be at its place."""
        self._items: dict[str, tuple[bool | None, str]] = {}
        self._called: dict[str, Step] | None = None
        """The jobs that are called for, by id."""
        self.plans: dict[tuple[str, int | None, tuple[str, ...]], Sequence[NextStep]] = {}
        """What was planned, by the time where that matters, and how many steps of it."""
        if before is not None and before.state.facts is state.facts:
            self._take_all(before)
            return
        self._take({})
        for _ in range(_PASSES):
            found = self._presume()
            if found == self._presumed:
                break
            self._take(found)
        if before is not None:
            self._take_over(before)

    def supposing(self, facts: Mapping[str, object]) -> View:
        """What would be seen were these facts so."""
        return View(self.knowledge, supposing(self.state, facts), self.positions, before=self)

    def _take(self, presumed: Mapping[str, Presumption]) -> None:
        """Presume this, and look at everything anew."""
        self._presumed = presumed
        self._values: dict[str, object] = {fact: p.value for fact, p in presumed.items()} | self.state.known()
        self._held.clear()
        self._items.clear()

    def _take_all(self, before: View) -> None:
        """Remember, and go on remembering, all that another view of the same facts does."""
        self._presumed, self._values = before._presumed, before._values
        self._held, self._items, self._called = before._held, before._items, before._called
        if before.state.done is self.state.done and before.positions == self.positions:
            self.plans = before.plans

    def _take_over(self, before: View) -> None:
        """Remember what another view of the same knowledge does, but for what rests on a fact that differs, or that is known another way."""
        names = self._values.keys() | before._values.keys()
        differ = {name for name in names if self._values.get(name) != before._values.get(name) or (name in self._presumed) != (name in before._presumed)}
        items = {item for item in before._items if not differ.isdisjoint(self._rests_on(item))}
        differ.update(f"has:{item}" for item in items)
        self._items = {item: found for item, found in before._items.items() if item not in items}
        self._held = {at: held for at, held in before._held.items() if differ.isdisjoint(held[2])}
        if before._called is not None:
            self._called = self._called_now(before._called, differ) if differ else before._called

    def _rests_on(self, item: str) -> tuple[str, ...]:
        """The facts by which an item is looked for."""
        record = self.knowledge.equipment.get(item)
        return "pack", record.shown_by if record else "", (record.amount if record else "") or f"has_{item}"

    def _presume(self) -> dict[str, Presumption]:
        found: dict[str, Presumption] = {}
        for presumption in self.knowledge.presumptions:
            if self.state.value(presumption.fact) is None and self.all_hold(presumption.when):
                found.setdefault(presumption.fact, presumption)
        return found

    def lookup(self, name: str) -> object:
        """A fact's value, reported or presumed, None where unknown; `has:ITEM` gives True, False or None."""
        return self.has(name[4:]) if name.startswith("has:") else self._values.get(name)

    def holds(self, condition: Condition) -> bool:
        """Whether the condition holds on what is reported and presumed."""
        found = self._held.get(id(condition))
        if found is None:
            found = self._held[id(condition)] = condition, condition.holds(self.lookup), looked_up(condition)
        return found[1]

    def all_hold(self, conditions: Iterable[Condition]) -> bool:
        """Whether every condition holds."""
        held = self._held
        for condition in conditions:  # written out: asked hundreds of times for one plan
            found = held.get(id(condition))
            if not (found[1] if found is not None else self.holds(condition)):
                return False
        return True

    def called(self) -> Iterable[Step]:
        """The jobs that are called for, in their order: all that is said of when they are holds."""
        if self._called is None:
            self._called = {step.id: step for step in self.knowledge.jobs if self.all_hold(step.when)}
        return self._called.values()

    def _called_now(self, before: Mapping[str, Step], differ: Iterable[str]) -> dict[str, Step]:
        """The jobs that are called for, where those `before` were and so much differs."""
        rests = self.knowledge.jobs_called_by
        anew = {name for fact in differ for name in rests.get(fact, ())}
        return {step.id: step for step in self.knowledge.jobs if (self.all_hold(step.when) if step.id in anew else step.id in before)}

    def any_holds(self, conditions: Iterable[Condition]) -> bool:
        """Whether at least one condition holds."""
        held = self._held
        for condition in conditions:
            found = held.get(id(condition))
            if found[1] if found is not None else self.holds(condition):
                return True
        return False

    def presumed(self) -> list[tuple[str, object, str]]:
        """Each fact that is presumed, as what, and because of what."""
        return [(fact, p.value, p.because) for fact, p in self._presumed.items()]

    def because(self, fact: str) -> str | None:
        """Why the fact is presumed; None where it is reported or unknown."""
        return self._presumed[fact].because if fact in self._presumed else None

    def has(self, item: str) -> bool | None:
        """Whether the item is to hand; None where nothing tells."""
        return self.item(item)[0]

    def item(self, item: str) -> tuple[bool | None, str]:
        """Whether the item is to hand, and how that is known."""
        found = self._items.get(item)
        if found is None:
            found = self._items[item] = self._look_for(item)
        return found

    def _look_for(self, item: str) -> tuple[bool | None, str]:
        record = self.knowledge.equipment.get(item)
        if record is None:
            return None, "nobody has said"
        if record.shown_by and self.state.value(record.shown_by) is True:
            return True, self.knowledge.facts[record.shown_by].says.get("true", "reported")
        reported = self.state.value(record.amount or f"has_{item}")
        if isinstance(reported, bool):
            return reported, "reported"
        if isinstance(reported, (int, float)):
            return reported > 0, "counted"
        return (True, "always to hand") if record.always else self._packed(item)

    def _packed(self, item: str) -> tuple[bool | None, str]:
        """What the pack tells. An item that no pack ever carries comes by hand, so a pack says nothing of it."""
        pack = self.knowledge.packs.get(str(self.lookup("pack")))
        if pack is not None and item in pack.items:
            return True, f"the {pack.name} carries it"
        if pack is not None and any(item in other.items for other in self.knowledge.packs.values()):
            return False, f"the {pack.name} carries none"
        return None, "nobody has said"

    def chosen(self, side: str) -> bool:
        """Whether `dispute.position` is the side taken; an empty side belongs to no dispute."""
        if not side:
            return True
        name, _, position = side.partition(".")
        dispute = self.knowledge.disputes.get(name)
        return dispute is None or self.positions.get(name, dispute.default) == position
