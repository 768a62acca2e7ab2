"""The graph in open formats: GraphML, DOT, JSON node-link; the claims as CSV."""
from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping

from guide.audit.describing import Describer
from guide.audit.grounds import grounds
from guide.audit.tables import csv_of
from guide.knowledge import graph
from guide.knowledge.base import Knowledge
from guide.knowledge.claims import mark_of

_ILLEGAL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
"""Characters that XML 1.0 cannot hold, nor any text that is printed."""


def graphml(describer: Describer) -> str:
    """GraphML: nodes with kind, title and place, links with type and detail."""
    return graph.graphml(describer.graph, _labels(describer))


def node_link(describer: Describer) -> str:
    """JSON node-link, as graph libraries read it: `nodes` with `id`, `links` with `source`, `target` and `key`."""
    labels = _labels(describer)
    nodes = [{"id": name, **own, **labels.get(name, {})} for name, own in describer.graph.nodes(data=True)]
    links = [{"source": start, "target": end, "key": key, **link} for start, end, key, link in describer.graph.edges(keys=True, data=True)]
    return json.dumps({"directed": True, "multigraph": True, "graph": {}, "nodes": nodes, "links": links}, indent=1) + "\n"


def dot(describer: Describer) -> str:
    """DOT: a digraph; every text is a quoted string."""
    lines = ["digraph knowledge {", "  rankdir=LR;"]
    for name in describer.places:
        lines.append(f"  {_quoted(name)} [label={_quoted(describer.title(name))}, kind={_quoted(name.partition(':')[0])}];")
    for start, end, link in describer.graph.edges(data=True):
        lines.append(f"  {_quoted(start)} -> {_quoted(end)} [label={_quoted(link['type'])}];")
    return "\n".join([*lines, "}", ""])


def claims_csv(describer: Describer) -> str:
    """A row a source of a claim: claim, text, source, citation, mark, file, line."""
    k = describer.knowledge
    rows = [["claim", "text", "source", "citation", "mark", "file", "line"]]
    for ground in grounds(k):
        for source in ground.sources or ("",):
            rows.append([ground.name, _plain(ground.text), source, k.cite(source) if source else "", _mark(k, source), ground.place.file, str(ground.place.line)])
    return csv_of(rows)


def _mark(k: Knowledge, source: str) -> str:
    return mark_of(k, source) if source else "none"


FORMATS: Mapping[str, Callable[[Describer], str]] = {"graphml": graphml, "dot": dot, "json": node_link, "csv": claims_csv}


def _labels(describer: Describer) -> Mapping[str, Mapping[str, str]]:
    """What the graph's nodes are given besides their kind: title and place, without characters that XML cannot hold."""
    return {name: {"title": _plain(describer.title(name)), "place": str(place) if place.file else ""}
            for name, place in describer.places.items()}


def _plain(text: str) -> str:
    return _ILLEGAL.sub("?", text)


def _quoted(text: str) -> str:
    """A DOT string: quotes and backslashes escaped, line breaks as blanks."""
    return '"' + " ".join(_plain(text).split()).replace("\\", "\\\\").replace('"', '\\"') + '"'
