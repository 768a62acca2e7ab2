"""`guide figure`: the figures on the command line, one at a time or a line of JSON each, with what the knowledge tells with them."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterable, Mapping

from guide.arguments import Misuse, carry_out, command_parser
from guide.figures.catalogue import FIGURES, compute, find
from guide.figures.model import Figure, FigureError, Input, Result
from guide.figures.reading import quoted
from guide.figures.units import written
from guide.knowledge import image
from guide.knowledge.base import Knowledge


def parser_figure() -> argparse.ArgumentParser:
    """The words of `guide figure`."""
    parser = command_parser(
        "figure", "Compute one figure, with its inputs, assumption, limits and sources.",
        "guide figure --list", "guide figure horizon_distance eye_height_m=4",
        "guide figure water_days persons=6 stock_l=9 ration_l=0.5 --json",
        """echo '{"figure": "wave_length", "inputs": {"period_s": 8}}' | guide figure --json --lines""")
    parser.add_argument("figure", nargs="?", metavar="ID", help="which figure; --list names them")
    parser.add_argument("inputs", nargs="*", metavar="NAME=VALUE", help="an input, in the unit its name ends with")
    parser.add_argument("--list", action="store_true", help="list the figures with their units and inputs")
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.add_argument("--lines", action="store_true", help="answer one JSON object a line from standard input")
    return parser


def run_figure(words: list[str]) -> int:
    """Carry out `guide figure`; returns the exit status: 0 done, 2 an unknown figure or a bad input.

    With --lines an error is the answer to its own line and the status stays 0.
    """
    return carry_out(parser_figure(), words, _figure)


def _figure(options: argparse.Namespace) -> int:
    if options.list:
        print("\n".join(_listed(figure) for figure in FIGURES.values()))
        return 0
    knowledge, _ = image.load()
    if options.lines:
        _answer_lines(sys.stdin.buffer, knowledge)
        return 0
    try:
        if options.figure is None:
            raise FigureError("name a figure, or use --list to see them all")
        figure = find(options.figure)
        result = compute(figure.id, pairs(options.inputs))
    except FigureError as error:
        raise Misuse(str(error)) from error
    given = {pair.partition("=")[0].strip() for pair in options.inputs}
    print(json.dumps(_as_json(result, knowledge)) if options.json else _told(figure, result, given, knowledge))
    return 0


def pairs(words: Iterable[str]) -> dict[str, str]:
    """`NAME=VALUE` words as names and values. Raises FigureError for any other word, or a name given twice."""
    found: dict[str, str] = {}
    for word in words:
        name, equals, value = word.partition("=")
        name = name.strip()
        if not equals or not name:
            raise FigureError(f"{quoted(word)} is no input; write NAME=VALUE")
        if name in found:
            raise FigureError(f"{name} is given twice; give it once", name)
        found[name] = value
    return found


def _as_json(result: Result, knowledge: Knowledge) -> dict[str, object]:
    told = [{"id": record.id, "text": record.say, "sources": [knowledge.cite(source) for source in record.sources]}
            for record in knowledge.told_with(result.figure)]
    return {**result.as_json(), "advice": told}


def _answer_lines(lines: Iterable[bytes], knowledge: Knowledge) -> None:
    for line in lines:
        text = line.decode("utf-8", errors="replace").strip()
        if text:
            print(json.dumps(_answer(text, knowledge)), flush=True)


def _answer(text: str, knowledge: Knowledge) -> dict[str, object]:
    """The JSON answer to one line. Never raises: whatever is wrong with the line is its answer."""
    try:
        asked = json.loads(text)
    except (ValueError, RecursionError):
        return {"figure": None, "error": 'the line is not JSON; write {"figure": ID, "inputs": {...}}'}
    if not isinstance(asked, dict):
        return {"figure": None, "error": 'the line must be an object, {"figure": ID, "inputs": {...}}'}
    name = asked.get("figure")
    figure = name if isinstance(name, str) else None
    try:
        inputs = asked.get("inputs", {})
        if not isinstance(inputs, Mapping):
            raise FigureError(f"inputs must be an object of names and values, not {quoted(inputs)}")
        return _as_json(compute(find(name).id, inputs), knowledge)
    except FigureError as error:
        return {"figure": figure, "error": str(error)}


def _listed(figure: Figure) -> str:
    words = [wanted.name if wanted.required else f"[{wanted.name}={_default(wanted)}]" for wanted in figure.inputs]
    return f"{figure.id} ({figure.unit}): {figure.title}\n    {' '.join(words)}"


def _default(wanted: Input) -> str:
    return (
        f"{wanted.default:g}"
        if isinstance(wanted.default, int | float)
        else wanted.default or wanted.default_from or ""
    )


def _told(figure: Figure, result: Result, given: set[str], knowledge: Knowledge) -> str:
    """The result as a person reads it: the sentence first, then what it rests on, last what to do and not to do with it."""
    inputs = [f"{name} = {value}" + ("" if name in given else " (default)") for name, value in result.inputs.items()]
    lines = [result.sentence, f"Inputs: {'; '.join(inputs)}"]
    if result.details:
        also = [f"{name} = {'none' if value is None else written(value)}" for name, value in result.details.items()]
        lines.append(f"Also: {'; '.join(also)}")
    lines.append(f"Assumption: {figure.assumption}")
    lines.append(f"Limits: {figure.limits}")
    lines += [f"Note: {note}" for note in result.notes if note != figure.assumption]
    lines.append(f"Sources: {'; '.join(result.sources)}")
    lines += [f"Advice: {record.say} ({'; '.join(map(knowledge.cite, record.sources))})" for record in knowledge.told_with(result.figure)]
    return "\n".join(lines)
