"""The knowledge as a directed graph with typed links. The one home of networkx, imported when asked for."""
from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Any, NamedTuple

from guide.knowledge.base import Knowledge
from guide.knowledge.links import (
    AFTER,
    ASKS,
    BACKWARDS,
    CALLS_FOR,
    FORBIDDEN,
    INSTEAD,
    NEAR,
    PART_OF,
    RESTS_ON,
    SERVES,
    USES,
    WAITS,
    WARNS,
    links,
    places,
)
from guide.knowledge.problems import Problem

if TYPE_CHECKING:
    import networkx


class Neighbour(NamedTuple):
    """What a node is linked with: the other's name, the link's words as read from this node, its type and detail."""

    name: str
    words: str
    type: str
    detail: str
    out: bool
    """The link starts here."""


def build(k: Knowledge) -> networkx.MultiDiGraph[Any]:
    """The graph: nodes `kind:id` with their `kind`, links with `type` and `detail`.

    What is named and does not exist is a node without a kind.
    """
    import networkx
    graph: networkx.MultiDiGraph[Any] = networkx.MultiDiGraph()
    for name in places(k):
        graph.add_node(name, kind=name.partition(":")[0])
    for link in links(k):
        graph.add_edge(link.start, link.end, type=link.type, detail=link.detail)
    return graph


def neighbours(graph: networkx.MultiDiGraph[Any], name: str) -> tuple[Neighbour, ...]:
    """All that a node is linked with, both ways, its own links first."""
    own = [Neighbour(end, link["type"], link["type"], link["detail"], True)
           for _, end, link in graph.out_edges(name, data=True)]
    others = [Neighbour(start, BACKWARDS[link["type"]], link["type"], link["detail"], False)
              for start, _, link in graph.in_edges(name, data=True)]
    return tuple(dict.fromkeys([*own, *others]))


_FAR = {SERVES: 9, PART_OF: 6, RESTS_ON: 5, WARNS: 4, ASKS: 4, WAITS: 3, FORBIDDEN: 3, NEAR: 2, USES: 2}
"""Links that tell little of how one thing leads to another count for more than one."""
_BACK = 1.5
"""What a link read backwards counts more."""


def path(graph: networkx.MultiDiGraph[Any], start: str, end: str) -> list[Neighbour]:
    """The links that lead from one node to another by the shortest way, each as read from the one before; links may be
    taken backwards, and those by which much hangs together count as long. Empty where no way leads there."""
    import networkx
    ways: networkx.DiGraph[Any] = networkx.DiGraph()
    for one, other, link in graph.edges(data=True):
        far = _FAR.get(link["type"], 1)
        for a, b, length, out in ((one, other, far, True), (other, one, far * _BACK, False)):
            if length < ways.get_edge_data(a, b, {"length": float("inf")})["length"]:
                words = link["type"] if out else BACKWARDS[link["type"]]
                ways.add_edge(a, b, length=length, step=Neighbour(b, words, link["type"], link["detail"], out))
    try:
        names = networkx.dijkstra_path(ways, start, end, weight="length")
    except (networkx.NetworkXNoPath, networkx.NodeNotFound):
        return []
    return [ways.edges[a, b]["step"] for a, b in pairwise(names)]


def graphml(graph: networkx.MultiDiGraph[Any], labels: Mapping[str, Mapping[str, str]]) -> str:
    """The graph as GraphML, with the `labels` of each node besides its kind."""
    import networkx
    copy = graph.copy()
    for name, more in labels.items():
        copy.nodes[name].update(more)
    return "\n".join(networkx.generate_graphml(copy)) + "\n"


def _from_first(ring: list[str], k: Knowledge) -> list[str]:
    """A ring of steps, begun at the one that stands first in the files."""
    start = ring.index(min(ring, key=lambda name: k.steps[name].place))
    return ring[start:] + ring[:start]


def rings(k: Knowledge, link: str) -> list[list[str]]:
    """The rings that links of one type between steps make, as step ids, each begun at the step that stands first."""
    import networkx
    part = networkx.DiGraph((one.start, one.end) for one in links(k) if one.type == link)
    return [_from_first([name.partition(":")[2] for name in ring], k) for ring in networkx.simple_cycles(part)]


def problems(k: Knowledge) -> list[Problem]:
    """What only the whole shows: steps that come after themselves, stand-ins in a ring, steps no topic calls for."""
    found = []
    for link, code, what in ((AFTER, "K040", "come after each other"), (INSTEAD, "K041", "replace each other in a ring")):
        for ids in rings(k, link):
            found.append(Problem(k.steps[ids[0]].place, "error", code, f"steps {what}: {', '.join(ids)}"))
    called = {link.end for link in links(k) if link.type in (CALLS_FOR, INSTEAD)}
    for step in k.steps.values():
        if f"step:{step.id}" not in called:
            found.append(Problem(step.place, "warning", "K042", f"no topic calls for step {step.id}"))
    return found


def layered(columns: Sequence[Sequence[str]]) -> dict[str, float]:
    """The row of each node when the columns stand side by side, each centred, in their order: rows one apart, 0 the topmost."""
    import networkx
    graph: networkx.Graph[Any] = networkx.Graph()
    for number, names in enumerate(columns):
        graph.add_nodes_from(names, column=number)
    spots = networkx.multipartite_layout(graph, subset_key="column")
    heights = [sorted(float(spots[name][1]) for name in names) for names in columns]
    tallest = max(heights, key=len)
    apart = tallest[1] - tallest[0] if len(tallest) > 1 else 1.0
    return {name: round((height - tallest[0]) / apart, 3)
            for names, own in zip(columns, heights) for name, height in zip(names, own)}
