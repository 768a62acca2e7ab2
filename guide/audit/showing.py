"""`guide show` and `guide path` as lines of text and as plain data."""
from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict

from guide.audit.describing import Described, Describer, Linked
from guide.knowledge import graph
from guide.terminal.wrapping import wrapped

WIDTH = 100
"""Columns at most."""
_MOST_LINKS = 12
"""Links of one type that are shown unless all are asked for."""


def node_lines(node: Described, *, every: bool = False, width: int = WIDTH) -> list[str]:
    """A node from top to bottom in lines of `width` columns; `every` link and phrase where asked for."""
    head = f"{node.kind} {node.id}   {node.place if node.place.file else ''}".rstrip()
    lines = [head + (f"   ({node.overlay})" if node.overlay else "")]
    for said in (*node.words, *node.conditions):
        lines += wrapped(said.text, width, f"  {said.label}: ", 6)
    lines += _block(width, "rests on", (f"{cited.cite}{f' [{cited.of}]' if cited.of else ''}: {cited.says}" for cited in node.sources))
    lines += _block(width, "sources disagree", (f"{said.label}: {said.text}" for said in node.disputes))
    lines += _phrases(node, every, width)
    for words, links in _by_words(node.links).items():
        shown = links if every else links[:_MOST_LINKS]
        more = [f"and {len(links) - len(shown)} more (--all)"] if len(links) > len(shown) else []
        lines += _block(width, f"{words} ({len(links)})", [*map(_link_line, shown), *more])
    return lines


def _block(width: int, title: str, rows: Iterable[str]) -> list[str]:
    lines = [line for row in rows for line in wrapped(row, width, "    - ", 8)]
    return [*wrapped(f"{title}:", width, "  ", 6), *lines] if lines else []


def _phrases(node: Described, every: bool, width: int) -> list[str]:
    if not node.phrases.total:
        return []
    voices = ", ".join(f"{voice} {number}" for voice, number in node.phrases.voices.items())
    return _block(width, f"{node.phrases.total} phrases lead to it ({voices})",
                  (f'"{phrase.text}"' + (f"  {phrase.place}" if every else "") for phrase in node.phrases.sample))


def _by_words(links: Iterable[Linked]) -> dict[str, list[Linked]]:
    found: dict[str, list[Linked]] = {}
    for link in links:
        if not (link.out and link.name.startswith("clause:")):
            found.setdefault(link.words, []).append(link)
    return found


def _link_line(link: Linked) -> str:
    detail = f" ({link.detail})" if link.detail else ""
    return f"{link.name}{detail}: {link.title}"


def node_data(node: Described) -> dict[str, object]:
    """A node as plain data for JSON: the place as file, line and column."""
    data = asdict(node)
    data["place"] = node.place._asdict()
    data["phrases"]["sample"] = [{"text": p.text, "means": p.means, "voice": p.voice, "place": str(p.place)}
                                 for p in node.phrases.sample]
    return data


def way(describer: Describer, start: str, end: str) -> list[str]:
    """How one node leads to another, a sentence a link; empty where no way leads there."""
    return list(_sentences(describer, start, graph.path(describer.graph, start, end)))


def _sentences(describer: Describer, start: str, steps: Sequence[graph.Neighbour]) -> Iterator[str]:
    at = start
    for step in steps:
        detail = f" ({step.detail})" if step.detail else ""
        yield f"{_named(describer, at)} {step.words} {_named(describer, step.name)}{detail}.".replace("..", ".")
        at = step.name
    if steps and at.startswith("step:"):
        yield from (f"It comes up {said.label}: {said.text}." for said in describer.node(at).conditions
                    if said.label == "when")


def _named(describer: Describer, name: str) -> str:
    kind, _, own = name.partition(":")
    title = describer.title(name)
    return f"{kind} {own}" + (f' "{title.rstrip(".")}"' if title != own else "")
