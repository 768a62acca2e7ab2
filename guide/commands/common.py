"""What commands that answer share: the options about what is known, and the start."""
from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from guide.arguments import Misuse, file_path

if TYPE_CHECKING:
    from guide.knowledge.base import Knowledge
    from guide.knowledge.records import Value
    from guide.starting import Started


def add_given(parser: argparse.ArgumentParser) -> None:
    """The options of every command that starts a conversation."""
    parser.add_argument("--given", action="append", default=[], metavar="FACT=VALUE", help="a fact known before the first utterance")
    parser.add_argument("--inventory", type=file_path, metavar="FILE", help="what a look in the bag found: the guide advises from that")
    add_knowledge(parser)


def add_knowledge(parser: argparse.ArgumentParser) -> None:
    """The options of every command that reads the knowledge by `start`."""
    parser.add_argument("--knowledge", type=file_path, metavar="DIR", help="another knowledge folder")
    parser.add_argument("--overlay", type=file_path, metavar="FILE", help="your vessel's own raft, bag, numbers and choices")


def start(args: argparse.Namespace) -> Started:
    """Knowledge and reader, by the options `--knowledge` and `--overlay`. Misuse where they cannot be read."""
    from guide import starting
    try:
        return starting.start(args.knowledge, args.overlay)
    except OSError as error:
        raise Misuse(str(error)) from error


def read_given(knowledge: Knowledge, pairs: list[str], option: str = "--given") -> dict[str, Value]:
    """`FACT=VALUE` texts of an option as facts. Raises Misuse naming the fact and what is allowed."""
    from guide.knowledge.problems import did_you_mean
    from guide.values import ValueProblem, read_value
    facts: dict[str, Value] = {}
    for pair in pairs:
        name, equals, text = pair.partition("=")
        if not equals:
            raise Misuse(f'{option} {pair}: write it as FACT=VALUE, for example persons=6')
        if name not in knowledge.facts:
            raise Misuse(f'{option} {pair}: unknown fact "{name}"{did_you_mean(name, knowledge.facts)}')
        if name in facts:
            raise Misuse(f"{option} {pair}: {name} is given twice; give it once")
        try:
            facts[name] = read_value(knowledge.facts[name], text)
        except ValueProblem as error:
            raise Misuse(f"{option} {pair}: {error}") from error
    return facts


def known_at_start(args: argparse.Namespace, knowledge: Knowledge) -> dict[str, Value]:
    """What is known before the first utterance: an inventory, and over it what was typed."""
    facts: dict[str, Value] = {}
    if args.inventory:
        from datetime import date

        from guide.starting import now
        from guide.stores.inventory import facts_of_file
        from guide.stores.packs import StoresError
        try:
            facts = facts_of_file(args.inventory, knowledge, date.fromisoformat(now()[:10]))
        except StoresError as error:
            raise Misuse(str(error)) from error
    return {**facts, **read_given(knowledge, args.given)}
