"""`guide pack`, `guide waters`, `guide inventory` and `guide bag` on the command line.

Exit status: 0 fine, 1 something is short or expired (`inventory`), 2 misuse or a file that cannot be read.
"""
from __future__ import annotations

import argparse
import json
import math
import shutil
from collections.abc import Callable, Sequence
from datetime import date

from guide.arguments import Misuse, carry_out, command_parser, file_path
from guide.knowledge import image
from guide.knowledge.base import Knowledge
from guide.knowledge.problems import check_command, in_one_line
from guide.stores import grab_bag, inventory, packs, rendering, waters
from guide.stores.packs import StoresError, find_pack, shown

_MOST_MILES = 10_000
_MOST_DAYS = 60
_MOST_FEET = 2000
_WIDEST, _NARROWEST = 100, 20


def _run(parser: argparse.ArgumentParser, words: list[str],
         work: Callable[[Knowledge, argparse.Namespace], int]) -> int:
    """Carry out one command on the knowledge that its words name."""
    def with_knowledge(args: argparse.Namespace) -> int:
        knowledge, problems = image.load(args.knowledge, args.overlay)
        errors = [problem for problem in problems if problem.level == "error"]
        if errors:
            raise Misuse(in_one_line(errors, check_command(args.knowledge, args.overlay)))
        if not knowledge.stores.serves:
            raise Misuse(f"{args.knowledge}: this knowledge says nothing of stores (a file of `kind: stores`)")
        try:
            return work(knowledge, args)
        except StoresError as error:
            raise Misuse(str(error)) from error
    return carry_out(parser, words, with_knowledge)


def _parser(name: str, about: str, example: str) -> argparse.ArgumentParser:
    parser = command_parser(name, about, example)
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.add_argument("--knowledge", type=file_path, metavar="DIR", help="another knowledge folder")
    parser.add_argument("--overlay", type=file_path, metavar="FILE", help="your vessel's own packs, items and bag")
    return parser


def _add_waters(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--miles", required=True, metavar="N", help="nautical miles from the coast")
    water = parser.add_mutually_exclusive_group(required=True)
    water.add_argument("--cold", dest="water", action="store_const", const="cold",
                       help="normal monthly mean low of the water 15 °C (59 °F) or below")
    water.add_argument("--warm", dest="water", action="store_const", const="warm", help="warmer than that")


def _number(name: str, text: str, low: float, high: float, unit: str) -> float:
    try:
        number = float(text) if text.isascii() and "_" not in text else math.nan
    except ValueError:
        number = math.nan
    if not low <= number <= high:
        raise StoresError(f'{name} is a number of {unit} from {low:g} to {high:g}, not "{shown(text)}"')
    return int(number) if number.is_integer() else number


def _day(name: str, text: str) -> date:
    try:
        if len(text) != len("2026-01-31"):
            raise ValueError
        return date.fromisoformat(text)
    except ValueError:
        raise StoresError(f'{name} is a date as YYYY-MM-DD, not "{shown(text)}"') from None


def parser_pack() -> argparse.ArgumentParser:
    """The words of `guide pack KIND... --persons N`."""
    parser = _parser("pack", "What a pack holds for a raft's rated number, and what it does not.",
                     "guide pack solas_b coastal --persons 12")
    parser.add_argument("kinds", nargs="+", metavar="KIND", help="solas_a, solas_b or coastal; several go side by side")
    parser.add_argument("--persons", required=True, metavar="N", help="the number the raft is rated for")
    return parser


def run_pack(words: list[str]) -> int:
    """Carry out `guide pack`; returns the exit status."""
    return _run(parser_pack(), words, _pack)


def _pack(knowledge: Knowledge, args: argparse.Namespace) -> int:
    chosen = list({p.id: p for p in (find_pack(knowledge, kind) for kind in args.kinds)}.values())
    persons = inventory.read_persons(knowledge, args.persons)
    if args.json:
        return _print_json(packs.as_json(knowledge, chosen, persons))
    return _print(rendering.pack_lines(knowledge, chosen, persons, _width()))


def parser_waters() -> argparse.ArgumentParser:
    """The words of `guide waters --miles N (--cold|--warm)`."""
    parser = _parser("waters", "Which pack the waters call for, by United States rules for fishing vessels and by common practice.",
                     "guide waters --miles 30 --cold")
    _add_waters(parser)
    parser.add_argument("--length-ft", metavar="L", help="length of the vessel in feet")
    parser.add_argument("--persons", metavar="N", help="people aboard")
    return parser


def run_waters(words: list[str]) -> int:
    """Carry out `guide waters`; returns the exit status."""
    return _run(parser_waters(), words, _waters)


def _waters(knowledge: Knowledge, args: argparse.Namespace) -> int:
    length = None if args.length_ft is None else _number("--length-ft", args.length_ft, 1, _MOST_FEET, "feet")
    persons = None if args.persons is None else inventory.read_persons(knowledge, args.persons)
    where = waters.Waters(_number("--miles", args.miles, 0, _MOST_MILES, "nautical miles"), args.water, length, persons)
    if args.json:
        return _print_json(waters.as_json(knowledge, where))
    return _print(rendering.waters_lines(knowledge, where, _width()))


def parser_inventory() -> argparse.ArgumentParser:
    """The words of `guide inventory FILE --pack KIND --persons N --date DAY`."""
    parser = _parser("inventory", "What was found in a pack against its list: short, out of date, and the rest.",
                     "guide inventory found.yaml --pack solas_b --persons 12 --date 2026-11-25 --next-service 2027-11-01")
    parser.add_argument("file", type=file_path, metavar="FILE", help="YAML, or CSV with the columns item, number, expires, note")
    parser.add_argument("--pack", metavar="KIND", help="the pack; may stand in the YAML file instead")
    parser.add_argument("--persons", metavar="N", help="the number the raft is rated for; may stand in the YAML file instead")
    parser.add_argument("--date", required=True, metavar="YYYY-MM-DD", help="the day it is held against")
    parser.add_argument("--next-service", metavar="YYYY-MM-DD", help="when the raft is serviced next")
    return parser


def run_inventory(words: list[str]) -> int:
    """Carry out `guide inventory`; returns the exit status."""
    return _run(parser_inventory(), words, _inventory)


def _inventory(knowledge: Knowledge, args: argparse.Namespace) -> int:
    on = _day("--date", args.date)
    service = None if args.next_service is None else _day("--next-service", args.next_service)
    if service is not None and service < on:
        raise StoresError(f"--next-service {service} is before --date {on}")
    file = inventory.read_inventory(args.file, knowledge)
    kind, persons = args.pack or file.pack, args.persons or file.persons
    if not kind or not persons:
        raise StoresError("say which pack and for how many: --pack KIND --persons N")
    check = inventory.Check(find_pack(knowledge, kind), inventory.read_persons(knowledge, persons), on, service)
    findings = inventory.compare(knowledge, file.found, check)
    if args.json:
        _print_json(inventory.as_json(findings, check, inventory.initial_facts(knowledge, file.found, check.pack, check.persons, on)))
    else:
        _print(rendering.inventory_lines(findings, check, _width()))
    return 1 if inventory.failing(findings) else 0


def parser_bag() -> argparse.ArgumentParser:
    """The words of `guide bag --pack KIND --persons N --miles N (--cold|--warm) --days D`."""
    parser = _parser("bag", "What a grab bag adds so that each priority is covered for a time.",
                     "guide bag --pack coastal --persons 4 --miles 15 --cold --days 2 --needs medicine")
    parser.add_argument("--pack", required=True, metavar="KIND", help="the raft's pack")
    parser.add_argument("--persons", required=True, metavar="N", help="people aboard; the pack is counted for the same number")
    _add_waters(parser)
    parser.add_argument("--days", required=True, metavar="D", help="days to last, from leaving the ship")
    parser.add_argument("--needs", default="", metavar="A,B", help="what somebody cannot do without: medicine, glasses")
    return parser


def run_bag(words: list[str]) -> int:
    """Carry out `guide bag`; returns the exit status."""
    return _run(parser_bag(), words, _bag)


def _bag(knowledge: Knowledge, args: argparse.Namespace) -> int:
    needs = [need.strip() for need in args.needs.split(",") if need.strip()]
    voyage = grab_bag.Voyage(
        find_pack(knowledge, args.pack), inventory.read_persons(knowledge, args.persons),
        _number("--miles", args.miles, 0, _MOST_MILES, "nautical miles"), args.water,
        _number("--days", args.days, 1, _MOST_DAYS, "days"), grab_bag.check_needs(knowledge, needs))
    lines = grab_bag.bag(knowledge, voyage)
    if args.json:
        return _print_json(grab_bag.as_json(knowledge, voyage, lines))
    return _print(rendering.bag_lines(knowledge, voyage, lines, _width()))


def _width() -> int:
    return max(_NARROWEST, min(shutil.get_terminal_size().columns, _WIDEST))


def _print(lines: Sequence[str]) -> int:
    print("\n".join(lines))
    return 0


def _print_json(data: dict[str, object]) -> int:
    print(json.dumps(data))
    return 0
