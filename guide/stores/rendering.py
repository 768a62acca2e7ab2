"""Packs, waters, inventories and bags as lines of text at any width."""
from __future__ import annotations

import math
import textwrap
from collections.abc import Iterable, Iterator, Sequence
from itertools import zip_longest
from typing import NamedTuple

from guide.knowledge.base import Knowledge
from guide.knowledge.problems import NOWHERE
from guide.knowledge.records import Pack
from guide.stores import grab_bag, packs, waters
from guide.stores.grab_bag import BagLine, Voyage
from guide.stores.inventory import KINDS, Check, Finding
from guide.stores.packs import Held, amount
from guide.stores.waters import Called, Waters

_NAME = 28
_NARROWEST_COLUMN = 15
FLAG_FIRST = "Your flag's rules come first, then your raft's own papers."
_HEADS = {
    "short": "Short", "expired": "Out of date", "expiring": "Out of date before the next service",
    "undated": "No date written", "unknown": "Not known", "surplus": "More than the list asks for",
    "extra": "Not on the list", "right": "As it should be"}


class _Row(NamedTuple):
    """A text to be folded; `first` stands before it and the rest hangs at `indent`."""

    text: str
    indent: int = 0
    first: str = ""


def _folded(rows: Iterable[_Row | str], width: int) -> list[str]:
    """The rows in lines of at most `width` columns, where no single word is longer."""
    lines: list[str] = []
    for row in rows:
        text, indent, first = row if isinstance(row, _Row) else (row, 0, "")
        lines += textwrap.wrap(text, width, initial_indent=first or " " * indent, subsequent_indent=" " * indent,
                               break_long_words=False, break_on_hyphens=False) or [""]
    return lines


def _people(persons: int) -> str:
    return "1 person" if persons == 1 else f"{persons} persons"


def pack_lines(knowledge: Knowledge, chosen: Sequence[Pack], persons: int, width: int = 80) -> list[str]:
    """One pack, or several side by side, with what each item is for and what is not there."""
    column = (width - _NAME) // len(chosen)
    table = column >= _NARROWEST_COLUMN
    rows: list[_Row | str] = [f"{' | '.join(pack.name for pack in chosen)}, raft rated for {_people(persons)}"]
    if len(chosen) > 1 and table:
        rows += [*_across("", [pack.name for pack in chosen], column)]
    for group in packs.groups(knowledge, chosen, persons):
        rows += ["", group.priority.title.capitalize()]
        for held in group.held:
            rows += [*_held_rows(held, chosen, column if table else 0), _Row(held.item.what + _notes(held, chosen), 6)]
    rows.append("")
    for pack in chosen:
        rows += [_Row(f"{pack.name}: {pack.lacks}"), _Row(f'Marked "{pack.marked}". {pack.waters}', 2)]
    return _folded([*rows, "The list is the published one. " + FLAG_FIRST], width)


def _held_rows(held: Held, chosen: Sequence[Pack], column: int) -> Iterator[_Row]:
    """An item and its amounts: in columns this wide, or one behind the other where there is no room for columns (0)."""
    cells = ["none" if line is None else amount(number, line.unit)
             for number, line in zip(held.numbers, held.lines, strict=True)]
    if column:
        yield from _across("  " + held.item.name, cells, column)
    elif len(chosen) == 1:
        yield _Row(f"{held.item.name}: {cells[0]}", 6, "  ")
    else:
        told = "; ".join(f"{pack.name} {cell}" for pack, cell in zip(chosen, cells, strict=True))
        yield _Row(f"{held.item.name}: {told}", 6, "  ")


def _across(name: str, cells: Sequence[str], column: int) -> Iterator[_Row]:
    """A name and its cells, each folded in its column."""
    folded = [textwrap.wrap(name.strip(), _NAME - 3), *(textwrap.wrap(cell, column - 1) for cell in cells)]
    indent = " " * (len(name) - len(name.lstrip()))
    for parts in zip_longest(*folded, fillvalue=""):
        text = (indent + parts[0]).ljust(_NAME) + "".join(part.ljust(column) for part in parts[1:])
        yield _Row(text.strip(), 0, " " * (len(text) - len(text.lstrip())))


def _notes(held: Held, chosen: Sequence[Pack]) -> str:
    """What the lists say besides; where they differ, whose list says it."""
    said = [(pack.name, line.note) for pack, line in zip(chosen, held.lines, strict=True) if line is not None and line.note]
    told = dict.fromkeys(note for _, note in said)
    whose = {note: ", ".join(name for name, other in said if other == note) for note in told}
    return "".join(f" ({note})" if len(told) == 1 else f" ({whose[note]}: {note})" for note in told)


def waters_lines(knowledge: Knowledge, where: Waters, width: int = 80) -> list[str]:
    """Rule and practice, each with its source, and what the packs named do not hold."""
    rules = waters.called_for(knowledge, where, "us_rule")
    practice = waters.called_for(knowledge, where, "practice")
    rows: list[_Row | str] = [f"{where.miles:,g} nautical miles ({where.miles * 1.852:,.0f} km) out, {where.water} water", "",
                              "United States rules for commercial fishing vessels (46 CFR 28.120):"]
    rows += [_called_row(knowledge, called) for called in rules]
    if not any(called.sure for called in rules):
        rows.append(_Row("For any other vessel here this guide holds no line of the table: read it itself.", 2))
    rows += ["Common practice, without a source:", *(_called_row(knowledge, called) for called in practice), ""]
    named = dict.fromkeys(called.rule.pack for called in (*rules, *practice) if called.rule.pack)
    for name in named:
        rows.append(f"{knowledge.packs[name].name}, container marked {knowledge.packs[name].marked}: {knowledge.packs[name].lacks}")
    return _folded([*rows, "These are US rules, and the least. " + FLAG_FIRST + " The craft must have room for all aboard, "
                    "and a higher pack may always replace a lower one."], width)


def _called_row(knowledge: Knowledge, called: Called) -> _Row:
    condition = f"if {' and '.join(called.unless_known)}: " if called.unless_known else ""
    cited = "; ".join(knowledge.cite(source) for source in called.rule.sources)
    return _Row(f"{condition}{called.rule.calls_for} [{cited}]", 4, "  - ")


def inventory_lines(findings: Sequence[Finding], check: Check, width: int = 80) -> list[str]:
    """The findings under their kinds, the gravest first."""
    file = next((finding.place.file for finding in findings if finding.place != NOWHERE), "")
    rows: list[_Row | str] = [f"{check.pack.name} for {_people(check.persons)}, on {check.on}, by {file}"]
    for kind in KINDS:
        mine = [finding for finding in findings if finding.kind == kind]
        if mine:
            rows += ["", f"{_HEADS[kind]} ({len(mine)})", *map(_finding_row, mine)]
    rows.append("")
    if check.next_service is None:
        rows.append("No next service was given, so nothing was looked at for running out before it: --next-service.")
    return _folded([*rows, "Only a service station opens a packed raft. What is out of date is not counted; "
                    "hand old flares in, never fire them for practice."], width)


def _finding_row(finding: Finding) -> _Row:
    place = "" if finding.place == NOWHERE else f"line {finding.place.line}: "
    return _Row(f"{place}{finding.says}", 4, "  - ")


def bag_lines(knowledge: Knowledge, voyage: Voyage, lines: Sequence[BagLine], width: int = 80) -> list[str]:
    """What to add in the order of its worth, the sums, and what covers each priority."""
    head = (f"Grab bag for {_people(voyage.persons)} with a {voyage.pack.name}, {voyage.miles:,g} nautical miles out, "
            f"{voyage.water} water, {voyage.days:g} day{'' if voyage.days == 1 else 's'}")
    return _folded([head, "", *_bag_rows(lines), "", _sums(lines), *grab_bag.figure_lines(knowledge, voyage, lines), "",
                    *_covers(knowledge, voyage, lines), "",
                    "Worth 1: nothing in the raft replaces it. 2: spares great suffering. 3: helps. Within each the "
                    "lightest comes first. Weights and volumes are typical and unverified: weigh your own. Amounts are "
                    "common practice, not a rule. The pack is counted for as many as are aboard."], width)


def _bag_rows(lines: Iterable[BagLine]) -> Iterator[_Row | str]:
    worth = 0
    for line in lines:
        if line.item.worth != worth:
            worth = line.item.worth
            yield f"Worth {worth}"
        name = f"{line.name}: {line.number}" + (f" × {line.item.unit}" if line.item.unit else "")
        yield _Row(f"{name} - {line.weight_kg:.1f} kg, {line.volume_l:.1f} L; {line.priority.title}; {line.item.why}", 6, "  ")


def _sums(lines: Sequence[BagLine]) -> str:
    weight, volume = sum(line.weight_kg for line in lines), sum(line.volume_l for line in lines)
    bags = math.ceil(weight / grab_bag.CARRIED_KG)
    split = "" if bags <= 1 else f" Make it {bags} loads of {grab_bag.CARRIED_KG:g} kg or less, worth 1 in the first."
    if any(line.item.figure == "water_days" and line.weight_kg > grab_bag.CARRIED_KG for line in lines):
        split += " Water in such amounts goes in cans of its own by the raft, not quite full so that they float."
    return f"Together {weight:.1f} kg and {volume:.0f} L of space.{split}"


def _covers(knowledge: Knowledge, voyage: Voyage, lines: Sequence[BagLine]) -> Iterator[_Row | str]:
    yield "What covers each priority"
    for cover in grab_bag.coverage(knowledge, voyage, lines):
        packed, added = ", ".join(cover.packed) or "nothing", ", ".join(cover.added) or "nothing"
        yield _Row(f"{cover.priority.title} - pack: {packed}; bag: {added}", 4, "  ")
