"""An odd thing described in words → the items it is likely to be."""
from __future__ import annotations

import math
from collections.abc import Mapping

from guide.knowledge.records import Equipment
from guide.language.wording import stem, stems

_LIKELY = 3
_COMMON = frozenset(stem(w) for w in "the a an of on in with and or it is what this that thing item for found have we got like from to "
                    "one some no not do know dont anyone there here looks look find it's its i us my me can are how".split())


def likely_items(text: str, equipment: Mapping[str, Equipment]) -> list[Equipment]:
    """At most three items whose look, names and make share the most telling words with the description; best first."""
    words = stems(text) - _COMMON
    described = {item.id: stems(" ".join((item.name, *item.also, item.looks))) for item in equipment.values()}
    rare = {w: math.log(len(described) / n) for w in words if (n := sum(w in own for own in described.values()))}
    points = {name: sum(rare.get(w, 0.0) for w in words & own) for name, own in described.items()}
    best = sorted((name for name in points if points[name] > 2.0), key=lambda name: -points[name])[:_LIKELY]
    return [equipment[name] for name in best if points[name] >= 0.5 * points[best[0]]]
