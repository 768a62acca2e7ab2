"""Reasons as a tree of plain sentences, made while planning, so that `why` prints and computes nothing."""
from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

from guide.knowledge.conditions import Atom, Condition
from guide.knowledge.records import Step
from guide.patterns import pattern
from guide.planning.items import View

_MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December")
"""Not from the machine's language."""
_FIRST = {"emergency": "an emergency goes before everything else",
          "chance": "a chance of being seen does not last",
          "immediate": "one of the first actions",
          "ordered": "in the order of the plan"}
_STAMP = pattern(r"\d{4}-(0[1-9]|1[0-2])-(\d\d)T(\d\d:\d\d):\d\d\+00:00")
"""A time as this guide writes it, which is read without `datetime`: that takes as long to load as a turn takes."""
_COUNTED = ("items", "persons")
"""Units that the words about a fact say already."""


class Reason(NamedTuple):
    """One sentence of an explanation, and what it rests on."""

    kind: str
    """said, presumed, unknown, rule, source, needs or blocked."""
    text: str
    children: tuple[Reason, ...] = ()

    def lines(self, depth: int = 0) -> Iterator[str]:
        """The tree as lines, two blanks deeper a level."""
        yield "  " * depth + self.text
        for child in self.children:
            yield from child.lines(depth + 1)


@lru_cache(maxsize=256)
def moment_words(at: str) -> str:
    """An ISO time as a person reads it: `17:20 UTC on 4 March`; what is no time as it stands."""
    own = _STAMP.fullmatch(at)
    if own:
        return f"{own[3]} UTC on {int(own[2])} {_MONTHS[int(own[1]) - 1]}"
    from datetime import datetime
    try:
        moment = datetime.fromisoformat(at)
    except ValueError:
        return at
    zone = "UTC" if not moment.utcoffset() else f"UTC{moment:%z}"
    return f"{moment:%H:%M} {zone} on {moment.day} {_MONTHS[moment.month - 1]}"


def fact_words(view: View, fact: str, value: object) -> str:
    """A fact with its value as the crew would say it."""
    record = view.knowledge.facts[fact]
    if value is None:
        return f"it is not known whether {record.about}" if record.type == "bool" else f"not known: {record.about}"
    word = str(value).lower() if isinstance(value, bool) else str(value)
    if word in record.says:
        return record.says[word]
    number = f"{value:g}" if isinstance(value, (int, float)) else word
    return f"{record.about}: {number} {'' if record.unit in _COUNTED else record.unit}".strip()


def fact_reason(view: View, fact: str) -> Reason:
    """What is known of a fact, with who said it and when."""
    entry = view.state.facts.get(fact)
    because = view.because(fact)
    words = fact_words(view, fact, view.lookup(fact))
    if entry is not None:
        quote = f': "{entry.text}"' if entry.text else ""
        source = {"given": "given at the start", "drill": "it happened in the drill", "supposed": "supposed"}.get(entry.by, f"said at {moment_words(entry.at)}{quote}")
        return Reason("said", f"{words} ({source})")
    if because is not None:
        return Reason("presumed", f"{words} (presumed: {because})")
    return Reason("unknown", words)


def item_reason(view: View, item: str) -> Reason:
    """Whether an item is to hand, and how that is known."""
    has, how = view.item(item)
    name = view.knowledge.equipment[item].name if item in view.knowledge.equipment else item.replace("_", " ")
    if has is None:
        return Reason("needs", f"not known whether it is aboard: {name}")
    return Reason("needs", f"{'aboard' if has else 'not aboard'}: {name} ({how})")


def missing_words(view: View, item: str) -> str:
    """One sentence that an item is not there."""
    return f"No {view.knowledge.equipment[item].name} aboard."


def atom_reason(view: View, atom: Atom) -> Reason:
    """What is known of the fact or item that an atom tests."""
    return item_reason(view, atom.fact) if atom.op in ("has", "lacks") else fact_reason(view, atom.fact)


def holding(view: View, condition: Condition) -> Reason:
    """What makes a condition hold: the atoms of its first alternative that does."""
    found = tuple(atom_reason(view, atom) for atom in condition.met(view.lookup))
    return found[0] if len(found) == 1 else Reason("rule", condition.words(), found)


def failing(view: View, condition: Condition) -> Reason:
    """What keeps a condition from holding: every atom of it."""
    found = tuple(atom_reason(view, atom) for atom in condition.any_of)
    return Reason("blocked", f"it waits until {condition.words()}", found)


def support(view: View, step: Step) -> tuple[Reason, ...]:
    """Why a step that is open is open: its conditions, what it needs, its purpose, its rule and its sources."""
    facts = dict.fromkeys(holding(view, condition) for condition in step.when)
    needs = tuple(item_reason(view, item) for item in step.needs)
    sources = tuple(Reason("source", view.knowledge.cite(source)) for source in step.sources)
    return (*facts, *needs, Reason("rule", step.why), *sources)


def headline(view: View, step: Step) -> str:
    """What calls for the step most: the fact that it is to change, else the latest one said, else its purpose.

    Facts that the planner may presume only set the scene; they are no headline.
    """
    scene = {presumption.fact for presumption in view.knowledge.presumptions}
    goal = {atom.fact for condition in step.done_when for atom in condition.any_of} | step.sets.keys()
    found = [atom.fact for condition in step.when for atom in condition.any_of
             if atom.op not in ("has", "lacks") and atom.holds(view.lookup)]
    said = [fact for fact in found if fact in view.state.facts and fact not in scene]
    chosen = next((fact for fact in found if fact in goal), None)
    if chosen is None and said:
        chosen = max(said, key=lambda fact: view.state.facts[fact].turn)
    return step.why.rstrip(".") if chosen is None else fact_words(view, chosen, view.lookup(chosen))


def standing(step: Step, ahead: int) -> str:
    """Why the step stands where it does in the plan, `ahead` steps before it."""
    if step.band in ("emergency", "chance"):
        return _FIRST[step.band]
    return "nothing is more urgent" if ahead == 0 else _FIRST[step.band]
