"""How one plan differs from another, and what a situation lacks."""
from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from guide.planning.items import View
from guide.planning.planner import NextStep


class Difference(NamedTuple):
    """How the next steps differ, by step ids."""

    added: tuple[str, ...]
    dropped: tuple[str, ...]
    moved: tuple[str, ...]
    """Steps of both that changed places with others of both; not those that only made room."""
    first: str | None
    """The first step then."""


class Lack(NamedTuple):
    """An item known not to be there, and what can do its work."""

    item: str
    instead: str
    """The item that stands in, or nothing."""
    how: str


def differ(before: Sequence[NextStep], after: Sequence[NextStep]) -> Difference:
    """How the plan `after` differs from the plan `before`."""
    from difflib import SequenceMatcher
    old, new = [item.step.id for item in before], [item.step.id for item in after]
    both_old, both_new = [name for name in old if name in new], [name for name in new if name in old]
    blocks = SequenceMatcher(None, both_old, both_new, autojunk=False).get_matching_blocks()
    kept = {name for block in blocks for name in both_new[block.b:block.b + block.size]}
    return Difference(tuple(name for name in new if name not in old), tuple(name for name in old if name not in new),
                      tuple(name for name in both_new if name not in kept), new[0] if new else None)


def lacks(view: View) -> tuple[Lack, ...]:
    """The items of packs and of jobs that are known not to be there. Something stands in where it is known to be there."""
    knowledge = view.knowledge
    wanted = dict.fromkeys([*(item for pack in knowledge.packs.values() for item in pack.items),
                            *(item for step in knowledge.jobs for item in step.needs)])
    return tuple(_lack(view, item) for item in wanted if item in knowledge.equipment and view.has(item) is False)


def _lack(view: View, item: str) -> Lack:
    found = next((other for other in view.knowledge.equipment[item].stands_in if view.has(other.item)), None)
    return Lack(item, "", "") if found is None else Lack(item, found.item, found.how)


def lack_words(view: View, lack: Lack) -> str:
    """`bailer: nothing stands in`, or what does and how."""
    name = view.knowledge.equipment[lack.item].name
    return f"{name}: instead the {view.knowledge.equipment[lack.instead].name}. {lack.how}" if lack.instead else f"{name}: nothing stands in"


def newly_lacking(before: View, after: View) -> str:
    """One line about what `after` lacks and `before` does not; empty where that is nothing."""
    known = {lack.item for lack in lacks(before)}
    new = [lack for lack in lacks(after) if lack.item not in known]
    equipment = after.knowledge.equipment
    bare = [equipment[lack.item].name for lack in new if not lack.instead]
    replaced = [f"{equipment[lack.item].name} (instead: {equipment[lack.instead].name})" for lack in new if lack.instead]
    return f"Lacking then: {', '.join([*bare, *replaced])}." if new else ""
