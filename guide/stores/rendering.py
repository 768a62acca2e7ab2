"""Packs, waters, inventories and bags as lines of text, at most 100 columns."""
from __future__ import annotations

import math
import textwrap
from collections.abc import Iterable, Iterator, Sequence

from guide.knowledge.base import Knowledge
from guide.knowledge.problems import NOWHERE
from guide.knowledge.records import Pack
from guide.stores import grab_bag, packs, waters
from guide.stores.grab_bag import BagLine, Voyage
from guide.stores.inventory import KINDS, Check, Finding
from guide.stores.packs import Held, amount
from guide.stores.waters import Called, Waters

_WIDTH = 100
_NAME = 32
_COLUMN = 24
FLAG_FIRST = "Your flag's rules come first, then your raft's own papers."
_HEADS = {
    "short": "Short", "expired": "Out of date", "expiring": "Out of date before the next service",
    "undated": "No date written", "unknown": "Not known", "surplus": "More than the list asks for",
    "extra": "Not on the list", "right": "As it should be"}


def _wrapped(text: str, indent: int = 0, first: str = "") -> list[str]:
    """`text` in lines; `first` stands before it and the rest hangs at `indent`."""
    return textwrap.wrap(text, _WIDTH, initial_indent=first or " " * indent, subsequent_indent=" " * indent)


def _people(persons: int) -> str:
    return "1 person" if persons == 1 else f"{persons} persons"


def pack_lines(knowledge: Knowledge, chosen: Sequence[Pack], persons: int) -> list[str]:
    """One pack, or several side by side, with what each item is for and what is not there."""
    lines = [f"{' | '.join(pack.name for pack in chosen)}, raft rated for {_people(persons)}"]
    if len(chosen) > 1:
        lines.append("".join([" " * _NAME, *(pack.name.ljust(_COLUMN) for pack in chosen)]).rstrip())
    for group in packs.groups(knowledge, chosen, persons):
        lines += ["", group.priority.title.capitalize()]
        for held in group.held:
            lines += _held_lines(held, chosen)
    lines.append("")
    for pack in chosen:
        lines += _wrapped(f"{pack.name}: {pack.lacks}")
        lines += _wrapped(f'Marked "{pack.marked}". {pack.waters}', 2)
    return [*lines, *_wrapped("The list is the published one. " + FLAG_FIRST)]


def _held_lines(held: Held, chosen: Sequence[Pack]) -> list[str]:
    cells = ["none" if line is None else amount(number, line.unit)
             for number, line in zip(held.numbers, held.lines, strict=True)]
    row = f"  {held.item.name}".ljust(_NAME) + "".join(cell.ljust(_COLUMN) for cell in cells)
    return [row.rstrip(), *_wrapped(held.item.what + _notes(held, chosen), 6)]


def _notes(held: Held, chosen: Sequence[Pack]) -> str:
    """What the lists say besides; where they differ, whose list says it."""
    said = [(pack.name, line.note) for pack, line in zip(chosen, held.lines, strict=True) if line is not None and line.note]
    told = dict.fromkeys(note for _, note in said)
    whose = {note: ", ".join(name for name, other in said if other == note) for note in told}
    return "".join(f" ({note})" if len(told) == 1 else f" ({whose[note]}: {note})" for note in told)


def waters_lines(knowledge: Knowledge, where: Waters) -> list[str]:
    """Rule and practice, each with its source, and what the packs named do not hold."""
    lines = [f"{where.miles:,g} nautical miles ({where.miles * 1.852:,.0f} km) out, {where.water} water", ""]
    rules = waters.called_for(knowledge, where, "us_rule")
    practice = waters.called_for(knowledge, where, "practice")
    lines.append("United States rules for commercial fishing vessels (46 CFR 28.120):")
    lines += [line for called in rules for line in _called_lines(knowledge, called)]
    if not any(called.sure for called in rules):
        lines += _wrapped("For any other vessel here this guide holds no line of the table: read it itself.", 2)
    lines.append("Common practice, without a source:")
    lines += [line for called in practice for line in _called_lines(knowledge, called)]
    lines += [""]
    named = dict.fromkeys(called.rule.pack for called in (*rules, *practice) if called.rule.pack)
    for name in named:
        lines += _wrapped(f"{knowledge.packs[name].name}, container marked {knowledge.packs[name].marked}: {knowledge.packs[name].lacks}")
    return [*lines, *_wrapped("These are US rules, and the least. " + FLAG_FIRST + " The craft must have room for all aboard, "
                              "and a higher pack may always replace a lower one.")]


def _called_lines(knowledge: Knowledge, called: Called) -> list[str]:
    condition = f"if {' and '.join(called.unless_known)}: " if called.unless_known else ""
    cited = "; ".join(knowledge.cite(source) for source in called.rule.sources)
    return _wrapped(f"{condition}{called.rule.calls_for} [{cited}]", 4, "  - ")


def inventory_lines(findings: Sequence[Finding], check: Check) -> list[str]:
    """The findings under their kinds, the gravest first."""
    lines = [f"{check.pack.name} for {_people(check.persons)}, on {check.on}"]
    for kind in KINDS:
        mine = [finding for finding in findings if finding.kind == kind]
        if mine:
            lines += ["", f"{_HEADS[kind]} ({len(mine)})"]
            lines += [line for finding in mine for line in _finding_lines(finding)]
    lines.append("")
    if check.next_service is None:
        lines += _wrapped("No next service was given, so nothing was looked at for running out before it: --next-service.")
    return [*lines, *_wrapped("Only a service station opens a packed raft. What is out of date is not counted; "
                              "hand old flares in, never fire them for practice.")]


def _finding_lines(finding: Finding) -> list[str]:
    place = "" if finding.place == NOWHERE else f"{finding.place}: "
    return _wrapped(f"{place}{finding.says}", 4, "  - ")


def bag_lines(knowledge: Knowledge, voyage: Voyage, lines: Sequence[BagLine]) -> list[str]:
    """What to add in the order of its worth, the sums, and what covers each priority."""
    head = (f"Grab bag for {_people(voyage.persons)} with a {voyage.pack.name}, {voyage.miles:,g} nautical miles out, "
            f"{voyage.water} water, {voyage.days:g} day{'' if voyage.days == 1 else 's'}")
    return [*_wrapped(head), "", *_rows(lines), "", *_sums(lines), *_figures(knowledge, voyage, lines), "",
            *_covers(knowledge, voyage, lines), "",
            *_wrapped("Worth 1: nothing in the raft replaces it. 2: spares great suffering. 3: helps. Within each the "
                      "lightest comes first. Weights and volumes are typical and unverified: weigh your own. Amounts are "
                      "common practice, not a rule. The pack is counted for as many as are aboard.")]


def _rows(lines: Iterable[BagLine]) -> Iterator[str]:
    worth = 0
    for line in lines:
        if line.item.worth != worth:
            worth = line.item.worth
            yield f"Worth {worth}"
        name = f"{line.name}: {line.number}" + (f" × {line.item.unit}" if line.item.unit else "")
        yield from _wrapped(f"{name} - {line.weight_kg:.1f} kg, {line.volume_l:.1f} L; {line.priority.title}; {line.item.why}", 6, "  ")


def _sums(lines: Sequence[BagLine]) -> list[str]:
    weight, volume = sum(line.weight_kg for line in lines), sum(line.volume_l for line in lines)
    bags = math.ceil(weight / grab_bag.CARRIED_KG)
    split = "" if bags <= 1 else f" Make it {bags} loads of {grab_bag.CARRIED_KG:g} kg or less, worth 1 in the first."
    if any(line.item.figure == "water_days" and line.weight_kg > grab_bag.CARRIED_KG for line in lines):
        split += " Water in such amounts goes in cans of its own by the raft, not quite full so that they float."
    return _wrapped(f"Together {weight:.1f} kg and {volume:.0f} L of space.{split}")


def _figures(knowledge: Knowledge, voyage: Voyage, lines: Sequence[BagLine]) -> list[str]:
    return [row for text in grab_bag.figure_lines(knowledge, voyage, lines) for row in _wrapped(text)]


def _covers(knowledge: Knowledge, voyage: Voyage, lines: Sequence[BagLine]) -> list[str]:
    rows = ["What covers each priority"]
    for cover in grab_bag.coverage(knowledge, voyage, lines):
        packed, added = ", ".join(cover.packed) or "nothing", ", ".join(cover.added) or "nothing"
        rows += _wrapped(f"{cover.priority.title} - pack: {packed}; bag: {added}", 4, "  ")
    return rows
