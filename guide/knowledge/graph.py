"""The knowledge as a directed graph with typed links. The one home of networkx, imported when asked for."""
from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from guide.knowledge.compiling import Knowledge
from guide.knowledge.problems import Problem

if TYPE_CHECKING:
    import networkx

CALLS_FOR = "calls for"
USES = "uses"
AFTER = "comes after"
SETS = "sets"
SERVES = "serves"
RESTS_ON = "rests on"
STANDS_IN = "stands in for"
CARRIES = "carries"
INSTEAD = "is replaced by"
WARNS = "is shown with"


def _edges(k: Knowledge) -> Iterator[tuple[str, str, str]]:
    for topic in k.topics.values():
        for step_id in topic.steps:
            yield f"topic:{topic.id}", f"step:{step_id}", CALLS_FOR
        yield f"topic:{topic.id}", f"priority:{topic.priority}", SERVES
    for step in k.steps.values():
        me = f"step:{step.id}"
        yield me, f"priority:{step.priority}", SERVES
        yield from ((me, f"item:{item}", USES) for item in (*step.needs, *step.uses))
        yield from ((me, f"step:{other}", AFTER) for other in step.after)
        yield from ((me, f"fact:{fact}", SETS) for fact in step.sets)
        yield from ((me, f"source:{source}", RESTS_ON) for source in step.sources)
        yield from ((me, f"caution:{caution}", WARNS) for caution in step.cautions)
        if step.instead:
            yield me, f"step:{step.instead}", INSTEAD
    for item in k.equipment.values():
        yield from ((f"item:{other.item}", f"item:{item.id}", STANDS_IN) for other in item.stands_in)
    for pack in k.packs.values():
        yield from ((f"pack:{pack.id}", f"item:{item_id}", CARRIES) for item_id in pack.items)


def build(k: Knowledge) -> networkx.MultiDiGraph[Any]:
    """The graph: nodes `kind:id`, links with a `type`; a pack's links carry its line."""
    import networkx
    graph: networkx.MultiDiGraph[Any] = networkx.MultiDiGraph()
    for kind, records in (("topic", k.topics), ("step", k.steps), ("item", k.equipment), ("fact", k.facts),
                          ("priority", k.priorities), ("source", k.clauses), ("caution", k.cautions), ("pack", k.packs)):
        for name in records:
            graph.add_node(f"{kind}:{name}", kind=kind)
    for start, end, link in _edges(k):
        graph.add_edge(start, end, type=link)
    return graph


def _from_first(ring: list[str], k: Knowledge) -> list[str]:
    """A ring of steps, begun at the one that stands first in the files."""
    start = ring.index(min(ring, key=lambda name: k.steps[name].place))
    return ring[start:] + ring[:start]


def problems(k: Knowledge) -> list[Problem]:
    """What only the whole shows: steps that come after themselves, stand-ins in a ring, steps no topic calls for."""
    import networkx
    graph = build(k)
    found = []
    for link, code, what in ((AFTER, "K040", "come after each other"), (INSTEAD, "K041", "replace each other in a ring")):
        part = networkx.DiGraph((a, b) for a, b, t in graph.edges(data="type") if t == link)
        for ring in networkx.simple_cycles(part):
            ids = _from_first([name.partition(":")[2] for name in ring], k)
            found.append(Problem(k.steps[ids[0]].place, "error", code, f"steps {what}: {', '.join(ids)}"))
    for step in k.steps.values():
        links = graph.in_edges(f"step:{step.id}", data="type")
        if not any(t in (CALLS_FOR, INSTEAD) for _, _, t in links):
            found.append(Problem(step.place, "warning", "K042", f"no topic calls for step {step.id}"))
    return found
