"""Records as plain lists and back, by the types that their fields declare. Nothing is made but the guide's own records."""
from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields, is_dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Any

from guide.knowledge import base, computed, conditions, problems, records

Maker = Callable[[Any], Any]
"""From plain data to a value; None where plain data is the value."""

_NUMBERS: Mapping[str, type] = MappingProxyType({"int": int, "float": float})
_SCALARS = frozenset(("str", "int", "float", "bool", "object", "Value"))


def plain(value: object) -> object:
    """What JSON cannot hold by itself, as what it can: a record as the list of its fields, a set in order."""
    if is_dataclass(value) and not isinstance(value, type):
        return [getattr(value, field.name) for field in fields(value)]
    if isinstance(value, frozenset):
        return sorted(value)
    if isinstance(value, Mapping):
        return dict(value)
    raise TypeError(f"no plain form for {type(value).__name__}")


def columns(name: str, values: Iterable[object]) -> list[object]:
    """Records of the class `name` as one list for each field; where values repeat, the different ones and their numbers."""
    rows = [[getattr(value, field.name) for field in fields(_class(name))] for value in values]
    found: list[object] = []
    for kind, column in zip(_kinds(_class(name)), zip(*rows)):
        if maker_of(kind) is None:
            found.append(column)
        else:
            numbers: dict[str, int] = {}
            places = [numbers.setdefault(repr(value), len(numbers)) for value in column]
            different = dict(zip(reversed(places), reversed(column)))
            found.append([[different[number] for number in range(len(numbers))], places])
    return found


def from_columns(name: str, data: list[Any]) -> list[Any]:
    """The records of the class `name` from `columns`. Equal values in one column become one object."""
    cls, made = _class(name), []
    for kind, column in zip(_kinds(cls), data, strict=True):
        maker = maker_of(kind)
        if maker is None:
            made.append(column)
        else:
            values = list(map(maker, column[0]))
            made.append([values[number] for number in column[1]])
    return list(map(cls, *made))


@lru_cache(maxsize=256)
def maker_of(kind: str) -> Maker | None:
    """How a value of a declared type is made from plain data. TypeError for a type that has no plain form."""
    name, _, inner = kind.partition("[")
    if not inner:
        return None if name in _SCALARS else _record_maker(name)
    parts = _split(inner[:-1])
    if name == "tuple" and parts[1:] == ["..."]:
        item = maker_of(parts[0])
        return tuple if item is None else lambda data: tuple(map(item, data))
    if name == "tuple" and all(part in _SCALARS for part in parts):
        return tuple
    if name == "frozenset":
        return frozenset
    if name in ("Mapping", "dict"):
        return _mapping_maker(*parts)
    raise TypeError(f"no plain form for {kind}")


def _mapping_maker(key: str, value: str) -> Maker | None:
    number, item = _NUMBERS.get(key), maker_of(value)
    if number is not None:
        return lambda data: {number(k): v if item is None else item(v) for k, v in data.items()}
    return None if item is None else lambda data: dict(zip(data, map(item, data.values())))


def _record_maker(name: str) -> Maker:
    cls = _class(name)
    makers = [(at, maker) for at, kind in enumerate(_kinds(cls)) if (maker := maker_of(kind)) is not None]
    build: Callable[..., Any] = cls
    if not makers:
        return lambda data: build(*data)

    def make(data: list[Any]) -> Any:
        for at, maker in makers:
            data[at] = maker(data[at])
        return build(*data)
    return make


def _class(name: str) -> type:
    for module in (records, problems, conditions, computed, base):
        found = getattr(module, name, None)
        if isinstance(found, type):
            return found
    raise TypeError(f"no record is called {name}")


def _kinds(cls: type) -> list[str]:
    """The declared types of a record's fields, as text."""
    if is_dataclass(cls):
        return [str(field.type) for field in fields(cls)]
    return [str(getattr(kind, "__forward_arg__", kind)) for kind in cls.__annotations__.values()]


def _split(text: str) -> list[str]:
    """`str, tuple[str, float]` at its outer commas."""
    parts, depth = [""], 0
    for sign in text:
        depth += (sign == "[") - (sign == "]")
        if sign == "," and not depth:
            parts.append("")
        else:
            parts[-1] += sign
    return [part.strip() for part in parts]
