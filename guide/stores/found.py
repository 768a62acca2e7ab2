"""Reads a file of what was found in a pack or a bag: YAML, or CSV as a spreadsheet writes it.

Every wrong field is a problem with its place; nothing is guessed. An item that is not known is not a problem of the
file: it is kept as typed, so that the comparison can say what may be meant.
"""
from __future__ import annotations

import calendar
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import NamedTuple

from guide.knowledge import nodes
from guide.knowledge.base import Knowledge
from guide.knowledge.problems import Place, Problem, did_you_mean
from guide.knowledge.records import Equipment
from guide.stores.packs import KJ_PER_KCAL, shown

FIELDS = ("item", "number", "expires", "note")
_MOST = 1_000_000
_SIZE_LIMIT = 1_000_000
_AMOUNT = re.compile(r"(\d+(?:[.,]\d+)?)\s*([a-zA-Z]*)", re.ASCII)
_DATE = re.compile(r"(\d{4})-(\d\d)(?:-(\d\d))?", re.ASCII)
MEASURED: Mapping[str, str] = MappingProxyType({"water": "L", "food": "kJ"})
"""Fact that counts an item by measure → the unit it is compared in."""
_UNITS: Mapping[str, str] = MappingProxyType({"water": "L or mL", "food": "kJ, kcal or MJ"})
_FACTORS: Mapping[tuple[str, str], float] = MappingProxyType({
    ("water", "l"): 1.0, ("water", "ml"): 0.001, ("food", "kj"): 1.0, ("food", "kcal"): KJ_PER_KCAL, ("food", "mj"): 1000.0})


class Cell(NamedTuple):
    """A field as typed and where it stands."""

    text: str
    place: Place


@dataclass(frozen=True, slots=True)
class Found:
    """One line of the file. `number` counts pieces, litres of water or kJ of food."""

    item: Equipment | None
    """None where the name is not known."""
    typed: str
    number: float
    expires: date | None
    """The last day it is good for."""
    note: str
    place: Place


@dataclass(frozen=True, slots=True)
class FoundFile:
    """What a file holds; kind and persons are as typed, empty where the file does not say."""

    found: tuple[Found, ...]
    pack: str
    persons: str


def read(path: Path, knowledge: Knowledge) -> tuple[FoundFile, list[Problem]]:
    """The file and its problems. A file whose name ends in .csv is read as CSV, any other as YAML."""
    problems: list[Problem] = []
    head: dict[str, str] = {}
    if path.suffix.lower() == ".csv":
        rows = _csv_rows(path, problems)
    else:
        rows, head = _yaml_rows(path, problems)
    if not rows and not problems:
        problems.append(_wrong(Place(str(path), 1, 1), "K005", "nothing is listed; write item and number"))
    names = _names(knowledge)
    found = [one for row in rows if (one := _found(row, names, problems)) is not None]
    return FoundFile(tuple(found), head.get("pack", ""), head.get("persons", "")), sorted(problems)


def _wrong(place: Place, code: str, message: str) -> Problem:
    return Problem(place, "error", code, message)


def _yaml_rows(path: Path, problems: list[Problem]) -> tuple[list[dict[str, Cell]], dict[str, str]]:
    root = nodes.read(path, str(path), problems)
    if root is None or problems:
        return [], {}
    fields = root.fields(("found",), ("pack", "persons"))
    rows = [{name: Cell(node.text(), node.place) for name, node in item.fields(("item", "number"), ("expires", "note")).items()}
            for item in (fields["found"].items() if "found" in fields else ())]
    return rows, {name: fields[name].text() for name in ("pack", "persons") if name in fields}


def _csv_rows(path: Path, problems: list[Problem]) -> list[dict[str, Cell]]:
    text = nodes.text_of(path, str(path), problems, _SIZE_LIMIT)
    if text is None:
        return []
    lines = text.removeprefix("\ufeff").splitlines()
    mark = ";" if lines and lines[0].count(";") > lines[0].count(",") else ","
    table = [list(_cells(line, mark, Place(str(path), n, 1))) for n, line in enumerate(lines, 1) if line.strip(" \t,;")]
    if not table:
        return []
    return _with_header(table[0], table[1:], problems)


def _cells(line: str, mark: str, start: Place) -> Iterator[Cell]:
    """The cells of a line, each with its column; a quoted cell may hold the mark and doubled quotes."""
    at = 0
    while at <= len(line):
        quoted = re.compile(r'\s*"((?:[^"]|"")*)"\s*(?=' + mark + r"|$)").match(line, at)
        end = quoted.end() if quoted else (line.find(mark, at) if mark in line[at:] else len(line))
        text = quoted[1].replace('""', '"') if quoted else line[at:end]
        yield Cell(" ".join(text.split()), start._replace(col=at + 1))
        at = end + 1


def _with_header(header: list[Cell], table: list[list[Cell]], problems: list[Problem]) -> list[dict[str, Cell]]:
    names = [cell.text.lower() for cell in header]
    for number, cell in enumerate(header):
        if names[number] not in FIELDS:
            hint = did_you_mean(names[number], FIELDS)
            problems.append(_wrong(cell.place, "K014", f'unknown column "{shown(cell.text)}"; the columns are {", ".join(FIELDS)}{hint}'))
        elif names[number] in names[:number]:
            problems.append(_wrong(cell.place, "K013", f'column "{names[number]}" stands twice'))
    for name in ("item", "number"):
        if name not in names:
            problems.append(_wrong(header[0].place, "K015", f'column "{name}" is missing; the first line names the columns'))
    if problems:
        return []
    for row in table:
        if len(row) > len(names):
            problems.append(_wrong(row[len(names)].place, "K070", f"more cells than the {len(names)} columns; quote a text that holds the mark"))
    return [{name: cell for name, cell in zip(names, row, strict=False) if cell.text or name == "item"} for row in table]


def _names(knowledge: Knowledge) -> dict[str, Equipment]:
    """Every name an item goes by, in the singular."""
    names: dict[str, Equipment] = {}
    for item in knowledge.equipment.values():
        names.setdefault(item.id, item)
        names.setdefault(singular(item.name), item)
    for item in knowledge.equipment.values():
        for name in (*item.also, *counted_names(knowledge, item)):
            names.setdefault(singular(name), item)
    return names


def counted_names(knowledge: Knowledge, item: Equipment) -> tuple[str, ...]:
    """The words that the reader of sentences counts an item by: `water`, `smokes`."""
    return knowledge.language.words.get(f"noun_{item.amount}", ()) if item.amount else ()


@lru_cache(maxsize=2048)
def singular(name: str) -> str:
    """A name without case, hyphens and the s of the plural."""
    words = re.findall(r"[^\W_]+", name.lower())
    return " ".join(word.removesuffix("s") if len(word) > 3 else word for word in words)


def known_item(name: str, names: Mapping[str, Equipment]) -> Equipment | None:
    """The item of that id or name."""
    return names.get(name) or names.get(singular(name)) or names.get("_".join(name.lower().split()))


def _found(row: Mapping[str, Cell], names: Mapping[str, Equipment], problems: list[Problem]) -> Found | None:
    name = row.get("item")
    if name is None or "number" not in row:
        if name is not None and not any(p.place.line == name.place.line for p in problems):
            problems.append(_wrong(name.place, "K015", f'"{shown(name.text)}" has no number'))
        return None
    if not name.text:
        problems.append(_wrong(name.place, "K015", "the item is not named"))
        return None
    item = known_item(name.text, names)
    number = _number(row["number"], item, problems)
    expires = _expires(row["expires"], problems) if "expires" in row else None
    note = row["note"].text if "note" in row else ""
    return None if number is None else Found(item, name.text, number, expires, note, name.place)


def _number(cell: Cell, item: Equipment | None, problems: list[Problem]) -> float | None:
    """Pieces, or litres of water or kJ of food, which need their unit: a packet can be any size."""
    match = _AMOUNT.fullmatch(cell.text)
    fact = item.amount if item is not None and item.amount in MEASURED else ""
    if match is None or float(match[1].replace(",", ".")) > _MOST:
        wanted = f"an amount in {_UNITS[fact]}" if fact else "a whole number"
        problems.append(_wrong(cell.place, "K071", f'"{shown(cell.text)}" is not {wanted} from 0 to {_MOST:,}'))
        return None
    number = float(match[1].replace(",", "."))
    if fact:
        factor = _FACTORS.get((fact, match[2].lower()))
        if factor is None:
            problems.append(_wrong(cell.place, "K071", f'"{shown(cell.text)}": say how much there is with its unit, {_UNITS[fact]}'))
            return None
        return number * factor
    if item is not None and (match[2] or not number.is_integer()):
        problems.append(_wrong(cell.place, "K071", f'"{shown(cell.text)}" is not a whole number of pieces'))
        return None
    return number


def _expires(cell: Cell, problems: list[Problem]) -> date | None:
    """A day, or a month that is good to its last day."""
    if not cell.text:
        return None
    match = _DATE.fullmatch(cell.text)
    try:
        if match is None:
            raise ValueError
        year, month = int(match[1]), int(match[2])
        return date(year, month, int(match[3]) if match[3] else calendar.monthrange(year, month)[1])
    except (ValueError, calendar.IllegalMonthError):
        problems.append(_wrong(cell.place, "K072", f'"{shown(cell.text)}" is not a date; write YYYY-MM-DD, or YYYY-MM for the whole month'))
        return None
