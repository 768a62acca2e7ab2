"""What was found in a pack against its list and a date, and the same as facts that a session starts from."""
from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from guide.knowledge.base import Knowledge
from guide.knowledge.problems import NOWHERE, Place, did_you_mean, render
from guide.knowledge.records import Equipment, Pack, PackLine, Value
from guide.stores.found import MEASURED, Found, FoundFile, read, singular
from guide.stores.packs import KJ_PER_KCAL, StoresError, amount, find_pack, shown

KINDS = ("short", "expired", "expiring", "undated", "unknown", "surplus", "extra", "right")
FAILING = ("short", "expired")
_ROUNDING = 0.001
"""10,000 kJ is labelled 2,390 kcal: so much less than the list is not short."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing to know about what was found."""

    kind: str
    """One of KINDS."""
    item: str
    """The item's id, or the name as typed where it is not known."""
    place: Place
    """Where it stands in the file; NOWHERE for an item that is not there at all."""
    says: str


@dataclass(frozen=True, slots=True)
class Check:
    """What the file is held against. `next_service` is None where nobody said."""

    pack: Pack
    persons: int
    on: date
    next_service: date | None = None


def read_inventory(path: Path, knowledge: Knowledge) -> FoundFile:
    """The file. Raises StoresError whose text is every problem of it, with place, source line and caret."""
    file, problems = read(path, knowledge)
    if problems:
        raise StoresError("\n".join(render(problem, Path()) for problem in problems))
    return file


def compare(knowledge: Knowledge, found: Sequence[Found], check: Check) -> list[Finding]:
    """Every finding, the gravest kind first, within a kind in the order of the list and then of the file."""
    findings = [finding for line in check.pack.items.values() for finding in _counted(knowledge, found, check, line)]
    for one in found:
        findings += _dates(knowledge, one, check)
        if one.item is None:
            findings.append(_unknown(knowledge, one))
        elif not _on_list(knowledge, one.item, check.pack):
            findings.append(Finding("extra", one.item.id, one.place, f"{_told(one)}, which the {check.pack.name} does not call for"))
    return sorted(findings, key=lambda finding: KINDS.index(finding.kind))


def failing(findings: Iterable[Finding]) -> bool:
    """Whether something is short or expired."""
    return any(finding.kind in FAILING for finding in findings)


def _good(one: Found, on: date) -> bool:
    """Good to the end of its last day; what has no date counts as good."""
    return one.expires is None or one.expires >= on


def _counted(knowledge: Knowledge, found: Sequence[Found], check: Check, line: PackLine) -> Iterator[Finding]:
    """Short, surplus or right, for one line of the list."""
    wanted = line.number(check.persons)
    mine = [one for one in found if one.item is not None and one.item.id == line.item]
    number = sum(one.number for one in mine if _good(one, check.on))
    have, instead = _with_substitutes(knowledge, found, check, line, number)
    name = knowledge.equipment[line.item].name
    place = mine[0].place if mine else NOWHERE
    called = f"{amount(wanted, line.unit)} called for"
    note = "".join(f"; {text}" for text in (*instead, line.note) if text)
    if have < wanted * (1 - _ROUNDING):
        there = f"{amount(have, line.unit)} in date" if have else "none in date" if mine else "none found"
        yield Finding("short", line.item, place, f"{name}: {called}, {there}{note}")
    elif number > wanted * (1 + _ROUNDING) and line.unit != "set":
        yield Finding("surplus", line.item, place, f"{name}: {called}, {amount(number, line.unit)} in date")
    else:
        tail = "".join(f"; {text}" for text in instead)
        yield Finding("right", line.item, place, f"{name}: {called} and there{tail}")


def _with_substitutes(knowledge: Knowledge, found: Sequence[Found], check: Check, line: PackLine,
                      number: float) -> tuple[float, list[str]]:
    """The amount with what the rules let stand in for the item, and in words what does."""
    said: list[str] = []
    replaced = 0.0
    for other in knowledge.stores.substitutes.values():
        there = sum(one.number for one in found if one.item is not None and one.item.id == other.id and _good(one, check.on))
        if other.stands_for != line.item or not there or number >= line.number(check.persons):
            continue
        said.append(other.says)
        if other.each:
            replaced = max(replaced, other.each * check.persons)
        else:
            number += line.number(check.persons) if other.whole else there
    return number + replaced, said


def _on_list(knowledge: Knowledge, item: Equipment, pack: Pack) -> bool:
    other = knowledge.stores.substitutes.get(item.id)
    return item.id in pack.items or other is not None and other.stands_for in pack.items


def _told(one: Found) -> str:
    name = one.item.name if one.item is not None else f'"{shown(one.typed)}"'
    unit = MEASURED.get(one.item.amount, "") if one.item is not None else ""
    note = f' ("{shown(one.note)}")' if one.note else ""
    return f"{name}: {amount(one.number, unit)}{note}"


def _dates(knowledge: Knowledge, one: Found, check: Check) -> Iterator[Finding]:
    """Expired, expiring before the next service, or without a date where there ought to be one."""
    if not one.number:
        return
    name = one.item.id if one.item is not None else one.typed
    if one.expires is None:
        if one.item is not None and one.item.id in knowledge.stores.dated:
            yield Finding("undated", name, one.place, f"{_told(one)}, no date written: read it off the item")
    elif one.expires < check.on:
        yield Finding("expired", name, one.place, f"{_told(one)}, good until {one.expires}")
    elif check.next_service is not None and one.expires < check.next_service:
        yield Finding("expiring", name, one.place, f"{_told(one)}, good until {one.expires}, before the service of {check.next_service}")


def _unknown(knowledge: Knowledge, one: Found) -> Finding:
    """The name as typed and the nearest name there is, counted for nothing."""
    names = {singular(name): item.name for item in knowledge.equipment.values() for name in (*item.also, item.name)}
    hint = did_you_mean(singular(one.typed), names)
    near = next((name for key, name in names.items() if f'"{key}"' in hint), "")
    asks = f'; did you mean "{near}"?' if near else ""
    return Finding("unknown", one.typed, one.place, f"{_told(one)} is no item this guide knows and counts for nothing{asks}")


def initial_facts(knowledge: Knowledge, found: Sequence[Found], pack: Pack | None = None,
                  persons: int | None = None, on: date | None = None) -> dict[str, Value]:
    """What a session starts from: how much there is, and for each item whether it is there.

    Pieces that are out of date on the day `on` are a reserve and are not counted, unless there are no others: the guide
    must not deny what a crew can still reach for. Water and food count whole. With a pack, what its list calls for and
    nobody found is reported missing. `persons` is the number the raft is rated for.
    """
    facts: dict[str, Value] = {} if pack is None else {"pack": pack.id}
    if persons is not None:
        facts["raft_capacity"] = persons
    numbers: dict[str, float] = {} if pack is None else {item: 0.0 for item in pack.items}
    for one in found:
        if one.item is not None:
            numbers[one.item.id] = numbers.get(one.item.id, 0.0) + (one.number if _counts(one, found, on) else 0.0)
    amounts: dict[str, float] = {}
    for item, number in numbers.items():
        fact = knowledge.equipment[item].amount
        if fact:
            amounts[fact] = amounts.get(fact, 0.0) + number
        else:
            facts[f"has_{item}"] = number > 0
    return facts | {fact: _allowed(knowledge, fact, number) for fact, number in amounts.items()}


def _counts(one: Found, found: Iterable[Found], on: date | None) -> bool:
    """Whether a session counts a line: it is good, or measured, or there is no good one of its item."""
    if on is None or _good(one, on) or one.item is None or one.item.amount in MEASURED:
        return True
    return not any(other.number and _good(other, on) for other in found if other.item is not None and other.item.id == one.item.id)


def _allowed(knowledge: Knowledge, fact: str, number: float) -> Value:
    """The amount in the fact's unit, within its limits."""
    limits = knowledge.facts[fact]
    number = number / KJ_PER_KCAL if limits.unit == "kcal" else number
    number = min(max(number, limits.low), limits.high)
    return int(number) if limits.type == "int" else round(number, 3)


def facts_of_file(path: Path, knowledge: Knowledge, on: date | None = None) -> dict[str, Value]:
    """`initial_facts` of a file on a day, with the pack and the rated number that it names. Raises StoresError as reading does."""
    file = read_inventory(path, knowledge)
    pack = find_pack(knowledge, file.pack) if file.pack else None
    return initial_facts(knowledge, file.found, pack, read_persons(knowledge, file.persons) if file.persons else None, on)


def read_persons(knowledge: Knowledge, text: str) -> int:
    """A rated number. Raises StoresError with what is allowed."""
    limits = knowledge.facts["raft_capacity"]
    if text.isascii() and text.isdigit() and len(text) < 9 and limits.low <= int(text) <= limits.high:
        return int(text)
    raise StoresError(f'persons is a whole number from {limits.low:g} to {limits.high:g}, not "{shown(text)}"')


def as_json(findings: Sequence[Finding], check: Check, facts: Mapping[str, Value]) -> dict[str, object]:
    """The findings and the facts of a session as plain data."""
    return {"pack": check.pack.id, "persons": check.persons, "date": check.on.isoformat(),
            "next_service": check.next_service.isoformat() if check.next_service else None,
            "findings": [{"kind": f.kind, "item": f.item, "place": str(f.place) if f.place != NOWHERE else None, "says": f.says}
                         for f in findings], "facts": dict(facts)}
