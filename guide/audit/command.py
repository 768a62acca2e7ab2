"""`guide show`, `guide find` and `guide path` on the command line."""
from __future__ import annotations

import argparse
import json
import shutil
from collections.abc import Callable
from pathlib import Path

from guide.arguments import Misuse, carry_out, command_parser, file_path
from guide.audit import showing
from guide.audit.describing import Describer
from guide.audit.searching import Searcher
from guide.knowledge import compiling
from guide.knowledge.base import Knowledge
from guide.knowledge.problems import did_you_mean
from guide.language.wording import clean
from guide.terminal.wrapping import wrapped


def _parser(name: str, about: str, *examples: str) -> argparse.ArgumentParser:
    parser = command_parser(name, about, *examples)
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.add_argument("--knowledge", type=file_path, metavar="DIR", help="another knowledge folder")
    parser.add_argument("--overlay", type=file_path, metavar="FILE", help="your vessel's own file; what came from it is marked")
    return parser


def _run(parser: argparse.ArgumentParser, words: list[str], work: Callable[[Describer, argparse.Namespace], int]) -> int:
    return carry_out(parser, words, lambda args: work(Describer(read_all(args.knowledge, args.overlay)), args))


def read_all(folder: Path | None, overlay: Path | None) -> Knowledge:
    """The knowledge with its phrase bank, whatever is wrong with it. Misuse where there is none."""
    folder = folder or compiling.default_folder()
    if not folder.is_dir():
        raise Misuse(f"{folder}: not a folder of knowledge files")
    if overlay is not None and not overlay.is_file():
        raise Misuse(f"{overlay}: no such overlay file")
    knowledge, problems = compiling.load(folder, overlay=overlay)
    unread = [problem for problem in problems if problem.code in ("K001", "K002", "K005")]
    if unread:
        raise Misuse(unread[0].line())
    return knowledge


def _width() -> int:
    """The columns of the terminal, as far as lines of them can still be read."""
    return max(40, min(showing.WIDTH, shutil.get_terminal_size((80, 24)).columns))


def parser_show() -> argparse.ArgumentParser:
    """The words of `guide show ID`."""
    parser = _parser("show", "A node of the knowledge: its words, conditions, sources and all its links both ways.",
                     "guide show drogue_stream", "guide show item:drogue --all")
    parser.add_argument("id", metavar="ID", help="an id, or kind:id where several kinds share it")
    parser.add_argument("--all", action="store_true", help="every link, and where each phrase stands")
    return parser


def run_show(words: list[str]) -> int:
    """Carry out `guide show`; returns the exit status."""
    return _run(parser_show(), words, _show)


def _show(describer: Describer, args: argparse.Namespace) -> int:
    nodes = [describer.node(name) for name in _names(describer, args.id)]
    if args.json:
        print(json.dumps([showing.node_data(node) for node in nodes]))
        return 0
    print("\n\n".join("\n".join(showing.node_lines(node, every=args.all, width=_width())) for node in nodes))
    return 0


def parser_find() -> argparse.ArgumentParser:
    """The words of `guide find WORDS`."""
    parser = _parser("find", "Find nodes of the knowledge by their text, best first.", "guide find soft tubes at night")
    parser.add_argument("words", nargs="+", metavar="WORDS", help="what to look for; misspelt words are mended")
    parser.add_argument("--most", type=int, default=10, metavar="N", help="how many to show (10)")
    return parser


def run_find(words: list[str]) -> int:
    """Carry out `guide find`: 0 found, 1 nothing found, 2 misuse."""
    return _run(parser_find(), words, _find)


def _find(describer: Describer, args: argparse.Namespace) -> int:
    if args.most < 1:
        raise Misuse("--most is at least 1")
    hits = Searcher(describer).find(" ".join(args.words), args.most)
    if args.json:
        print(json.dumps([{"node": hit.name, "score": hit.score, "title": hit.title, "place": hit.place} for hit in hits]))
    else:
        rows = [line for hit in hits for line in wrapped(f"{hit.title}  ({hit.place})", _width(), f"{hit.name}: ", 4)]
        print("\n".join(rows) or "Nothing in the knowledge is like that.")
    return 0 if hits else 1


def parser_path() -> argparse.ArgumentParser:
    """The words of `guide path A B`."""
    parser = _parser("path", "How one node leads to another, as sentences: a situation to a step, or any two.",
                     "guide path rough_sea drogue_stream", "guide path item:bailer source:lsa")
    parser.add_argument("start", metavar="A", help="where it begins: an id, or kind:id")
    parser.add_argument("end", metavar="B", help="where it ends")
    return parser


def run_path(words: list[str]) -> int:
    """Carry out `guide path`: 0 a way, 1 none, 2 misuse."""
    return _run(parser_path(), words, _path)


def _path(describer: Describer, args: argparse.Namespace) -> int:
    start, end = _names(describer, args.start)[0], _names(describer, args.end)[0]
    if start == end:
        raise Misuse(f"{start} is both ends: name two nodes")
    lines = showing.way(describer, start, end)
    if args.json:
        print(json.dumps({"from": start, "to": end, "way": lines}))
    else:
        rows = [row for line in lines for row in wrapped(line, _width(), "- ", 2)]
        print("\n".join(rows) or f"Nothing leads from {start} to {end}.")
    return 0 if lines else 1


def _names(describer: Describer, wanted: str) -> list[str]:
    """The nodes of an id. Misuse with the nearest where there is none."""
    names = describer.names(wanted)
    if not names:
        known = [*describer.places, *(name.partition(":")[2] for name in describer.places)]
        raise Misuse(f'there is no node "{clean(wanted)[:60]}"{did_you_mean(wanted, known) or "; look for it with guide find WORDS"}')
    return names
