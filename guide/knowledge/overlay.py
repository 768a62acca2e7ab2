"""A vessel's own file over the shipped knowledge: its raft, its bag, local numbers, its side in a dispute.

The shipped files are never edited for that. Records replace those of the same id or are added; `calls` puts steps before
those of a topic; what came from the overlay is marked.
"""
from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from guide.knowledge import nodes, reading
from guide.knowledge.base import Overlay
from guide.knowledge.nodes import Node
from guide.knowledge.problems import Place, Problem
from guide.knowledge.reading import Harvest

RECORDS = ("sources", "clauses", "equipment", "packs", "cautions", "steps", "serves", "substitutes", "bag", "groups", "lessons")
"""Sections of the shipped knowledge that an overlay may hold, as records by id."""
LISTS = ("dated",)
"""Sections that an overlay adds to."""


def lay_over(path: Path, harvest: Harvest, problems: list[Problem]) -> Overlay:
    """Read an overlay file and put its records over those of `harvest`."""
    own = Harvest()
    root = nodes.read(path, path.name, problems)
    if root is None or not root.is_a("a vessel's own file", "overlay"):
        return Overlay(file=path.name)
    fields = root.fields(("kind", "vessel"), ("positions", "given", "aboard", "calls", *RECORDS, *LISTS))
    for name in (*RECORDS, *LISTS):
        if name in fields:
            reading.read_section(name, fields[name], own)
    overlay = _extras(fields)._replace(file=path.name, vessel=fields["vessel"].text() if "vessel" in fields else "")
    return overlay._replace(changed=_put_over(harvest, own, overlay.calls))


def _extras(fields: Mapping[str, Node]) -> Overlay:
    """What the file says beyond records."""
    positions: dict[str, str] = {}
    given: dict[str, str] = {}
    calls: dict[str, tuple[str, ...]] = {}
    places: dict[str, Place] = {}
    for name, into in (("positions", positions), ("given", given)):
        for key, value in fields[name].pairs() if name in fields else ():
            into[key.text()] = value.text()
            places[key.text()] = key.place
    for item in fields["aboard"].items() if "aboard" in fields else ():
        given[f"has_{item.text()}"] = "true"
        places[f"has_{item.text()}"] = item.place
    for key, steps in fields["calls"].pairs() if "calls" in fields else ():
        calls[key.text()] = steps.texts()
        places[key.text()] = key.place
    return Overlay(positions=positions, given=given, calls=calls, places=places)


def _put_over(harvest: Harvest, own: Harvest, calls: Mapping[str, tuple[str, ...]]) -> frozenset[str]:
    """Replace and add records; returns the ids of all that is changed."""
    changed: set[str] = set()
    for name in RECORDS:
        added = getattr(own, name)
        ids = {record.id for record in added}
        setattr(harvest, name, [r for r in getattr(harvest, name) if r.id not in ids] + added)
        changed |= ids
    harvest.dated.update(own.dated)
    for number, topic in enumerate(harvest.topics):
        if topic.id in calls:
            first = calls[topic.id]
            harvest.topics[number] = topic._replace(steps=(*first, *(s for s in topic.steps if s not in first)))
            changed.add(topic.id)
    return frozenset(changed)
