"""A node's neighbourhood as a drawing in four layers: situation, steps, equipment, sources. Geometry only; a template makes it SVG."""
from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from guide.audit.describing import Describer
from guide.knowledge import graph
from guide.knowledge.links import NEAR, links

LAYERS = ("situation", "steps", "equipment", "sources")
MOST = 14
"""Boxes of a layer; of more, the last says how many."""
_WIDTHS = (160, 236, 150, 204)
_MARGIN, _GAP, _ROW, _BOX, _TOP = 28, 44, 30, 22, 22
_LETTER = 6.7
"""Pixels of a letter of the labels, on the wide side, so that no label leaves its box."""
_LAYER: Mapping[str, int] = {"topic": 0, "fact": 0, "pack": 0, "dispute": 0, "waters": 0, "step": 1, "caution": 1, "figure": 1, "item": 2, "clause": 3}
_DRAWN = ("topic", "step", "item", "clause")


@dataclass(frozen=True, slots=True)
class Box:
    """A node of the drawing; places and sizes in pixels."""

    x: int
    y: int
    width: int
    name: str
    """The node, or nothing for the box that counts those left out."""
    label: str
    here: bool
    """The node whose neighbourhood this is."""


@dataclass(frozen=True, slots=True)
class Drawing:
    """Boxes and lines."""

    width: int
    height: int
    boxes: tuple[Box, ...]
    links: str
    """The links, as the `d` of one SVG path."""
    frames: str
    """The frames of the boxes, likewise."""
    heads: tuple[tuple[int, str], ...]
    """Where each layer's name stands."""


class Drawer:
    """Draws the neighbourhoods of one knowledge; its links are gone through once."""

    def __init__(self, describer: Describer) -> None:
        self._describer = describer
        self._out: dict[str, dict[str, None]] = {}
        self._near: dict[str, dict[str, None]] = {}
        for link in links(describer.knowledge):
            if link.type != NEAR and link.start in describer.places and link.end in describer.places:
                self._out.setdefault(link.start, {})[link.end] = None
        for start, ends in self._out.items():
            for end in ends:
                self._near.setdefault(start, {})[end] = None
        for start, ends in self._out.items():
            for end in ends:
                self._near.setdefault(end, {})[start] = None

    def drawing(self, name: str) -> Drawing | None:
        """The neighbourhood of a node; None for a kind that stands in no layer, or where nothing is linked with it."""
        if name.partition(":")[0] not in _LAYER:
            return None
        near = list(self._surrounding(name))
        if not near:
            return None
        columns, more = _columns([name, *near])
        rows = graph.layered([column for column in columns if column])
        spots = {own: (_left(number), _TOP + round(rows[own] * _ROW), _WIDTHS[number])
                 for number, column in enumerate(columns) for own in column}
        boxes = tuple(self._box(own, *spot, here=own == name, more=more) for own, spot in spots.items())
        height = max(y for _, y, _ in spots.values()) + _BOX + 4
        heads = tuple((_left(number), LAYERS[number]) for number, column in enumerate(columns) if column)
        frames = "".join(f"M{b.x} {b.y}h{b.width}v{_BOX}h-{b.width}z" for b in boxes)
        return Drawing(_left(len(LAYERS)) - _GAP + 1, height, boxes, "".join(self._lines(spots)), frames, heads)

    def _surrounding(self, name: str) -> Iterator[str]:
        """Its neighbours; of a topic also what its steps use and rest on, of other nodes but a step the topics of their steps."""
        near = self._of_kinds(name, _DRAWN)
        yield from near
        steps = [other for other in near if other.startswith("step:")]
        if name.startswith("topic:"):
            for step in steps:
                yield from self._of_kinds(step, ("item", "clause"))
        elif not name.startswith("step:"):
            for step in steps[:MOST]:
                yield from self._of_kinds(step, ("topic",))

    def _of_kinds(self, name: str, kinds: tuple[str, ...]) -> list[str]:
        return [other for other in self._near.get(name, ()) if other.partition(":")[0] in kinds]

    def _box(self, name: str, x: int, y: int, width: int, *, here: bool, more: Mapping[str, int]) -> Box:
        if name in more:
            return Box(x, y, width, "", f"and {more[name]} more", here)
        full = self._describer.title(name)
        most = int(width / _LETTER) - 1
        return Box(x, y, width, name, full[:most - 1].rstrip() + "…" if len(full) > most else full, here)

    def _lines(self, spots: Mapping[str, tuple[int, int, int]]) -> Iterator[str]:
        """A curve a link: from box to box, or along the left side where both stand in one layer."""
        for start in spots:
            for end in self._out.get(start, ()):
                if end in spots and end != start:
                    yield _curve(*sorted((spots[start], spots[end])))


def _columns(names: Iterable[str]) -> tuple[list[list[str]], dict[str, int]]:
    """The names by layer in the order given; where there are too many, `+LAYER` stands for the rest that it counts."""
    columns: list[list[str]] = [[] for _ in LAYERS]
    for name in dict.fromkeys(names):
        columns[_LAYER[name.partition(":")[0]]].append(name)
    more = {}
    for number, column in enumerate(columns):
        if len(column) > MOST:
            more[f"+{number}"] = len(column) - MOST + 1
            columns[number] = [*column[:MOST - 1], f"+{number}"]
    return columns, more


def _left(number: int) -> int:
    return _MARGIN + sum(_WIDTHS[:number]) + _GAP * number


def _curve(a: tuple[int, int, int], b: tuple[int, int, int]) -> str:
    y1, y2 = a[1] + _BOX // 2, b[1] + _BOX // 2
    if a[0] == b[0]:
        out = a[0] - 26
        return f"M{a[0]} {y1}C{out} {y1} {out} {y2} {b[0]} {y2}"
    right, middle = a[0] + a[2], (a[0] + a[2] + b[0]) // 2
    return f"M{right} {y1}C{middle} {y1} {middle} {y2} {b[0]} {y2}"
