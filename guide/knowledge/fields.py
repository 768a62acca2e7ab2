"""The fields of a mapping as plain values: what is left out is the default, what is wrong is noted as a problem."""
from __future__ import annotations

import re

from guide.knowledge import conditions
from guide.knowledge.nodes import Node
from guide.knowledge.records import Value

_UNITS = {"s": 1.0, "min": 60.0, "h": 3600.0, "day": 86400.0, "days": 86400.0}


def text_in(fields: dict[str, Node], name: str, default: str = "") -> str:
    """The field as text."""
    return fields[name].text(default) if name in fields else default


def texts_in(fields: dict[str, Node], name: str) -> tuple[str, ...]:
    """The field as a list of texts."""
    return fields[name].texts() if name in fields else ()


def number_in(fields: dict[str, Node], name: str, default: float = 0.0) -> float:
    """The field as a number."""
    return fields[name].number(default) if name in fields else default


def yes_in(fields: dict[str, Node], name: str) -> bool:
    """Whether the field says yes."""
    return name in fields and fields[name].choice(("yes", "no"), "no") == "yes"


def conditions_in(fields: dict[str, Node], name: str) -> tuple[conditions.Condition, ...]:
    """The field as a list of conditions; one that cannot be read is left out."""
    found = []
    for item in fields[name].items() if name in fields else ():
        parsed = conditions.parse(item.text())
        if isinstance(parsed, str):
            item.problem("K020", parsed)
        else:
            found.append(parsed)
    return tuple(found)


def seconds_in(fields: dict[str, Node], name: str) -> float:
    """The field, a duration such as "5 min" or "every 2 h", in seconds; 0 where it is left out."""
    if name not in fields:
        return 0.0
    match = re.fullmatch(r"(?:every )?(\d+(?:\.\d+)?) (s|min|h|days?)", fields[name].text())
    if not match:
        fields[name].problem("K021", 'a duration reads like "30 s", "5 min", "every 2 h" or "1 day"')
        return 0.0
    return float(match[1]) * _UNITS[match[2]]


def mapping_in(fields: dict[str, Node], name: str) -> dict[str, str]:
    """The field as text → text."""
    return {key.text(): value.text() for key, value in fields[name].pairs()} if name in fields else {}


def patterns_in(fields: dict[str, Node], name: str) -> str:
    """The field, one regular expression or a list of which any may be found, as one; one that is none is noted."""
    found = texts_in(fields, name)
    for each in found:
        try:
            re.compile(each)
        except re.error as error:
            fields[name].problem("K025", f'{name}: "{each}" is no regular expression: {error}')
            return ""
    return "|".join(found)


def value_of(text: str) -> Value:
    """A fact's value as the files write it: true, false, a number or a word."""
    if text in ("true", "false"):
        return text == "true"
    try:
        number = float(text)
    except ValueError:
        return text
    return int(number) if number.is_integer() and "." not in text else number
