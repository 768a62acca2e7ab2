"""Records as plain lists and back, by the types that their fields declare. Nothing is made but named tuples of declared types."""
from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import lru_cache
from itertools import repeat
from types import UnionType
from typing import Any, get_args, get_origin

Maker = Callable[[Any], Any]
"""From plain data to a value; None where plain data is the value."""


def plain(value: object) -> object:
    """What JSON cannot hold by itself, as what it can: a set in order. A record is a tuple, which it holds as a list."""
    if isinstance(value, frozenset):
        return sorted(value)
    if isinstance(value, Mapping):
        return dict(value)
    raise TypeError(f"no plain form for {type(value).__name__}")


def columns(record: type, values: Iterable[Any]) -> list[object]:
    """Records of one class as one list for each field; where values repeat, the different ones and their numbers; of small
    records, which seldom do, columns again."""
    found: list[object] = []
    for kind, column in zip(_kinds(record), zip(*values)):
        if maker_of(kind) is None:
            found.append(column)
        elif _is_small(kind):
            found.append(columns(kind, column))
        else:
            numbers: dict[str, int] = {}
            places = [numbers.setdefault(repr(value), len(numbers)) for value in column]
            different = dict(zip(reversed(places), reversed(column)))
            found.append([[different[number] for number in range(len(numbers))], places])
    return found


def from_columns(record: type, data: list[Any]) -> list[Any]:
    """The records of one class from `columns`. Equal values in one column become one object."""
    made: list[Iterable[Any]] = []
    for kind, column in zip(_kinds(record), data, strict=True):
        maker = maker_of(kind)
        if maker is None:
            made.append(column)
        elif _is_small(kind):
            made.append(from_columns(kind, column))
        else:
            made.append(map(list(map(maker, column[0])).__getitem__, column[1]))
    return list(map(tuple.__new__, repeat(record), zip(*made, strict=True)))


@lru_cache(maxsize=256)
def maker_of(kind: Any) -> Maker | None:
    """How a value of a declared type is made from plain data. TypeError for a type that has no plain form."""
    origin, parts = get_origin(kind), get_args(kind)
    if kind in (str, int, float, bool, object) or origin is UnionType:
        return None
    if origin is tuple and parts[1:] == (...,):
        item = maker_of(parts[0])
        return tuple if item is None else lambda data: tuple(map(item, data))
    if origin is tuple and all(maker_of(part) is None for part in parts) or origin is frozenset:
        return origin
    if origin is not None and issubclass(origin, Mapping):
        return _mapping_maker(*parts)
    if origin is None and issubclass(kind, tuple):
        return _record_maker(kind)
    raise TypeError(f"no plain form for {kind}")


def _mapping_maker(key: Any, value: Any) -> Maker | None:
    item = maker_of(value)
    if key is not str:  # JSON's names are text
        return lambda data: {key(k): v if item is None else item(v) for k, v in data.items()}
    return None if item is None else lambda data: dict(zip(data, map(item, data.values())))


def _record_maker(record: Any) -> Maker:
    makers = [(at, maker) for at, kind in enumerate(_kinds(record)) if (maker := maker_of(kind)) is not None]
    build: Maker = record._make
    if not makers:
        return build

    def make(data: list[Any]) -> Any:
        for at, maker in makers:
            data[at] = maker(data[at])
        return build(data)

    kinds = list(_kinds(record))
    if len(kinds) > 1 or get_origin(kinds[0]) is not tuple:
        return make
    kept: dict[Any, Any] = {}

    def same(data: list[Any]) -> Any:
        """Equal ones become one object, as conditions do, which many steps share and the planner remembers by identity."""
        made = make(data)
        return kept.setdefault(made, made)
    return same


def _is_small(kind: Any) -> bool:
    """Whether it is a record of texts and numbers alone."""
    return isinstance(kind, type) and issubclass(kind, tuple) and all(maker_of(part) is None for part in _kinds(kind))


def _kinds(record: type) -> Iterable[Any]:
    """The declared types of a record's fields."""
    return record.__annotations__.values()
