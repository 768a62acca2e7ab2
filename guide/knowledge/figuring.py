"""The records of computed figures read from YAML: node → `Computed`, `Quantity`. Problems are noted, never raised."""
from __future__ import annotations

import re
from collections.abc import Mapping
from string import Formatter

from guide.knowledge.computed import CHARTS, UNITS, Computed, Feed, Quantity, Scaled, Unit, When
from guide.knowledge.conditions import parse
from guide.knowledge.fields import mapping_in, text_in, yes_in
from guide.knowledge.nodes import Node

_NUMBER = r"[+-]?\d+(?:\.\d+)?(?:e[+-]?\d+)?"


def _scaled(node: Node) -> Scaled:
    """`wind_speed * 0.514444`, `days_to_last + 1`: the name and what makes the input's number of its own."""
    match = re.fullmatch(rf"([\w.]+)(?: \* ({_NUMBER}))?(?: \+ ({_NUMBER}))?", node.text())
    if not match:
        node.problem("K012", f'"{node.text()}" cannot be read; write NAME, NAME * NUMBER or NAME + NUMBER')
        return Scaled()
    return Scaled(match[1], float(match[2] or 1), float(match[3] or 0))


def _source(node: Node) -> Feed:
    """A number is what is always taken, a name a fact; anything else says where it comes from."""
    if node.is_text:
        text = node.text()
        return Feed(usual=text) if re.fullmatch(_NUMBER, text) else Feed(fact=_scaled(node))
    f = node.fields((), ("said", "words", "fact", "when", "figure", "clock", "pack", "usual"))
    names = {name: _scaled(f[name]) for name in ("said", "fact", "figure", "pack") if name in f}
    return Feed(**names, words=tuple(mapping_in(f, "words").items()), when=_whens(f["when"]) if "when" in f else (),
                  clock="clock" in f and f["clock"].choice(("date",), "") == "date", usual=text_in(f, "usual"))


def _whens(node: Node) -> tuple[When, ...]:
    found = []
    for key, value in node.pairs():
        condition = parse(key.text())
        if isinstance(condition, str):
            key.problem("K020", condition)
        else:
            found.append(When(condition, value.text()))
    return tuple(found)


def _listed(fields: Mapping[str, Node], name: str) -> tuple[str, ...]:
    return tuple(word.strip() for word in fields[name].text().split(",") if word.strip()) if name in fields else ()


def read_one(node: Node) -> Computed:
    """A figure of a topic."""
    f = node.fields(("topic", "figure", "inputs"), ("name", "words", "extra", "chart", "says", "follows"))
    chart = f["chart"].choice(CHARTS, "") if "chart" in f else ""
    inputs = {key.text(): _source(value) for key, value in f["inputs"].pairs()} if "inputs" in f else {}
    return Computed(node.place, text_in(f, "topic"), text_in(f, "figure"), text_in(f, "name"), inputs, _listed(f, "words"),
                    yes_in(f, "extra"), chart, _sentence(f, "says"), _sentence(f, "follows"))


def _sentence(fields: Mapping[str, Node], name: str) -> str:
    """A sentence in which `{name}` stands for a number."""
    return sentence(fields[name]) if name in fields else ""


def sentence(node: Node, names: frozenset[str] | None = None) -> str:
    """A text with `{name}` in it, one of `names` where they are given; nothing where a brace is wrong, which is a problem."""
    text = node.text()
    try:
        braces = {name for _, name, _, _ in Formatter().parse(text) if name is not None}
    except ValueError:
        node.problem("K024", "a brace stands alone; write {NAME} for a number, and no other brace")
        return ""
    if names is not None and not braces <= names:
        node.problem("K024", f"braces here may hold {', '.join(sorted(names)) or 'nothing'}, not {', '.join(sorted(braces - names))}")
        return ""
    return text


def read_quantity(node: Node) -> Quantity:
    """An amount that a person says."""
    f = node.fields(("id",), ("ask", "unit", "units", "words", "near", "sides", "clock", "events", "bare", "instead_of"))
    units = tuple(unit for forms, scale in f["units"].pairs() for unit in _units(forms, scale)) if "units" in f else ()
    words = {key.text(): value.number() for key, value in f["words"].pairs()} if "words" in f else {}
    return Quantity(text_in(f, "id"), node.place, text_in(f, "ask"),
                    f["unit"].choice(UNITS, "") if "unit" in f else "", units, words, _listed(f, "near"), f["sides"].whole() if "sides" in f else 0,
                    f["clock"].choice(("until", "since"), "") if "clock" in f else "", mapping_in(f, "events"), "bare" not in f or yes_in(f, "bare"),
                    text_in(f, "instead_of"))


def _units(forms: Node, scale: Node) -> list[Unit]:
    """`"feet, ft": 0.3048`, or `f: 0.5556 - 17.78` with what is added."""
    match = re.fullmatch(rf"({_NUMBER})(?: ([+-]) (\d+(?:\.\d+)?))?", scale.text())
    if not match:
        scale.problem("K012", f'"{scale.text()}" is not a factor; write NUMBER or NUMBER - NUMBER')
        return []
    offset = float(f"{match[2]}{match[3]}") if match[2] else 0.0
    return [Unit(form.strip(), float(match[1]), offset) for form in forms.text().split(",") if form.strip()]
