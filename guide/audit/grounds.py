"""Each claim in its parts, a side of a dispute or a line of a pack by itself, with the sources that part rests on."""
from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from guide.knowledge.base import Knowledge
from guide.knowledge.links import line_words
from guide.knowledge.problems import Place


class Ground(NamedTuple):
    """A text that users see and the sources it names: clause ids, `common_practice` or `unverified`."""

    node: str
    """`step:drogue_stream`"""
    part: str
    """The position of a dispute or the item of a pack, where the claim is not the whole node."""
    place: Place
    text: str
    sources: tuple[str, ...]

    @property
    def name(self) -> str:
        """The node's name with the part: `dispute:first_day_water.hold_back`."""
        return f"{self.node}.{self.part}" if self.part else self.node


def grounds(k: Knowledge) -> Iterator[Ground]:
    """All of them: steps, cautions, items, pack lines, positions in disputes, rules of waters, substitutes and grab bags."""
    for step in k.steps.values():
        yield Ground(f"step:{step.id}", "", step.place, step.say, step.sources)
    for caution in k.cautions.values():
        yield Ground(f"caution:{caution.id}", "", caution.place, caution.say, caution.sources)
    for item in k.equipment.values():
        yield Ground(f"item:{item.id}", "", item.place, f"{item.what} {item.use}", item.sources)
    for pack in k.packs.values():
        for name, line in pack.items.items():
            text = f"{pack.name}: {name} {line_words(line)}" + (f" ({line.note})" if line.note else "")
            yield Ground(f"pack:{pack.id}", name, pack.place, text, line.sources)
    for dispute in k.disputes.values():
        for position in dispute.positions:
            yield Ground(f"dispute:{dispute.id}", position.id, dispute.place, position.says, position.sources)
    yield from _of_stores(k)


def _of_stores(k: Knowledge) -> Iterator[Ground]:
    for rule in k.stores.waters.values():
        yield Ground(f"waters:{rule.id}", "", rule.place, rule.calls_for, rule.sources)
    for substitute in k.stores.substitutes.values():
        yield Ground(f"item:{substitute.id}", f"for_{substitute.stands_for}", substitute.place, substitute.says, substitute.sources)
    for bagged in k.stores.bag.values():
        yield Ground(f"item:{bagged.id}", "in_a_bag", bagged.place, bagged.why, bagged.sources)

