"""What the commands take, read from their own parsers."""
from __future__ import annotations

import argparse
from collections.abc import Iterator
from importlib import import_module
from typing import NamedTuple, cast

from guide.arguments import file_path
from guide.cli import COMMANDS


class Option(NamedTuple):
    """An option: its names, what it says, whether it takes a value, and which values, where it names them or takes a file."""

    names: tuple[str, ...]
    about: str
    takes: bool
    choices: tuple[str, ...]
    file: bool


class Taken(NamedTuple):
    """What a command or a subcommand takes."""

    name: str
    about: str
    options: tuple[Option, ...]
    words: tuple[str, ...]
    """Words that may stand where no option is meant."""
    inner: tuple[Taken, ...]


def parser_of(command: str) -> argparse.ArgumentParser:
    """The parser of `guide COMMAND`."""
    return cast(argparse.ArgumentParser, getattr(import_module(COMMANDS[command].module), f"parser_{command}")())


def commands() -> list[Taken]:
    """Every command."""
    return [_taken(name, command.about, parser_of(name)) for name, command in COMMANDS.items()]


def _taken(name: str, about: str, parser: argparse.ArgumentParser) -> Taken:
    inner = tuple(taken for action in parser._actions if isinstance(action, argparse._SubParsersAction) for taken in _inner(action))
    words = tuple(str(choice) for action in parser._actions if not action.option_strings and not isinstance(action, argparse._SubParsersAction)
                  for choice in action.choices or ())
    options = tuple(_option(action) for action in parser._actions if action.option_strings)
    return Taken(name, about, options, words, inner)


def _inner(action: argparse._SubParsersAction[argparse.ArgumentParser]) -> Iterator[Taken]:
    abouts = {choice.dest: choice.help or "" for choice in action._get_subactions()}
    for name, parser in action.choices.items():
        yield _taken(name, abouts.get(name, ""), parser)


def _option(action: argparse.Action) -> Option:
    return Option(tuple(action.option_strings), (action.help or "").replace("%%", "%"), action.nargs != 0,
                  tuple(str(choice) for choice in action.choices or ()), action.type is file_path)
