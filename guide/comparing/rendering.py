"""A comparison as lines of text, at any width: A is the one situation, B the other."""
from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Mapping

from guide.comparing.situations import Comparison, Situation, Stock
from guide.planning.differing import Lack, lack_words
from guide.planning.reasons import fact_words
from guide.stores.packs import amount

_TABLE = 60
"""Columns from which stores and figures stand in a table."""
_COLUMN = 16


def comparison_lines(comparison: Comparison, width: int = 80) -> list[str]:
    """The whole comparison in lines of at most `width` columns, where no single word is longer."""
    return [part for row in _rows(comparison, width) for line in row for part in ([line] if len(line) <= width else _wrapped(line, width, 2))]


def _rows(comparison: Comparison, width: int) -> Iterator[list[str]]:
    one, two = comparison.one, comparison.two
    known = "; ".join(fact_words(one.view, fact, value) for fact, value in one.view.state.known().items())
    supposed = "; ".join(fact_words(two.view, fact, value) for fact, value in comparison.supposed.items())
    yield _wrapped(f"A: {known or 'nothing is known'}.", width, 3)
    yield _wrapped(f"B: the same, but {supposed}.", width, 3)
    yield ["", "Next steps", "  A  B"]
    yield from _steps(comparison, width)
    yield ["", "Lacking"]
    yield from _lacking(one, two, width)
    yield ["", *_across("Stores", "A", "B", width=width, indent="")] if width >= _TABLE else ["", "Stores"]
    yield from _stores(comparison, width)
    if comparison.figures:
        yield ["", *_across("Figures", "A", "B", width=width, indent="")] if width >= _TABLE else ["", "Figures"]
        yield from (_across(*row, width=width) for row in _figures(comparison))


def _steps(comparison: Comparison, width: int) -> Iterator[list[str]]:
    """Every step of either, in the order of B and then what is dropped, with its number in each."""
    one, two = ({item.step.id: number for number, item in enumerate(side.next, 1)} for side in (comparison.one, comparison.two))
    difference, steps = comparison.difference, comparison.one.view.knowledge.steps
    marks = {**dict.fromkeys(difference.added, "new: "), **dict.fromkeys(difference.dropped, "no longer: "),
             **dict.fromkeys(difference.moved, "moved: ")}
    for name in dict.fromkeys((*two, *one)):
        lead = f"{one.get(name, '-'):>3}{two.get(name, '-'):>3}  "
        yield _wrapped(lead + marks.get(name, "") + steps[name].say.split(". ")[0].rstrip(".") + ".", width, len(lead))
    if not (difference.added or difference.dropped or difference.moved):
        yield ["The next steps are the same."]


def _lacking(one: Situation, two: Situation, width: int) -> Iterator[list[str]]:
    sides = [{lack.item: lack for lack in side.lacking} for side in (one, two)]
    groups: list[tuple[str, Situation, list[Lack]]] = [
        ("In both", two, [lack for item, lack in sides[1].items() if item in sides[0]]),
        ("Only in A", one, [lack for item, lack in sides[0].items() if item not in sides[1]]),
        ("Only in B", two, [lack for item, lack in sides[1].items() if item not in sides[0]])]
    for title, side, lacking in groups:
        if lacking:
            yield [f"  {title}:"]
            yield from (_wrapped(f"    {lack_words(side.view, lack)}", width, 6) for lack in sorted(lacking, key=lambda lack: bool(lack.instead)))
    if not any(lacking for _, _, lacking in groups):
        yield ["  Nothing is known to be lacking."]


def _stores(comparison: Comparison, width: int) -> Iterator[list[str]]:
    """The rows that differ; of the others the number."""
    equipment = comparison.one.view.knowledge.equipment
    differing = [row for row in comparison.stores if row.one != row.two]
    for row in differing:
        yield _across(equipment[row.item].name, *(_held(row, number) for number in (row.one, row.two)), width=width)
    same = len(comparison.stores) - len(differing)
    if same or not differing:
        yield [f"  {same} more are the same in both." if differing else "  The same in both." if same else "  Nothing is known of them."]


def _held(row: Stock, number: float | bool | None) -> str:
    if number is None:
        return "not known"
    if number is True:
        return "aboard"
    return amount(float(number), row.unit) if number else "none"


def _figures(comparison: Comparison) -> Iterator[tuple[str, str, str]]:
    for name in comparison.figures:
        one, two = comparison.one.figures[name], comparison.two.figures[name]
        what = str(one["id"]).replace("_", " ")
        yield what if name == one["id"] else f"{what}: {name[:1].lower()}{name[1:]}", _result(one), _result(two)


def _result(figure: Mapping[str, object]) -> str:
    value, unit = figure["value"], figure["unit"]
    if isinstance(value, (int, float)):
        value = f"{value:.3g}" if abs(value) < 1000 else f"{value:.0f}"  # more places than a ration or a range deserves
    return f"{value} {unit}".strip()


def _across(name: str, one: str, two: str, *, width: int, indent: str = "  ") -> list[str]:
    """A row of three columns, or a line where the screen is too narrow for them."""
    first = width - 2 * _COLUMN
    if width < _TABLE or max(len(one), len(two)) >= _COLUMN or len(name) + 4 > first:
        return _wrapped(f"{indent}{name}: A {one}, B {two}", width, 4)
    return [f"{indent}{name}".ljust(first) + one.ljust(_COLUMN) + two]


def _wrapped(text: str, width: int, hang: int) -> list[str]:
    return textwrap.wrap(text, width, subsequent_indent=" " * hang, break_on_hyphens=False) or [""]


def as_json(comparison: Comparison) -> dict[str, object]:
    """The comparison as plain data."""
    sides = {"a": comparison.one, "b": comparison.two}
    difference = comparison.difference
    return {
        "given": dict(comparison.one.view.state.known()), "with": dict(comparison.supposed),
        "next": {name: [{"step": item.step.id, "text": item.step.say, "reason": item.line} for item in side.next] for name, side in sides.items()},
        "difference": {"added": list(difference.added), "dropped": list(difference.dropped), "moved": list(difference.moved),
                       "first": difference.first},
        "lacking": {name: list(_lacks_json(side.lacking)) for name, side in sides.items()},
        "stores": [{"item": row.item, "a": row.one, "b": row.two, "unit": row.unit} for row in comparison.stores],
        "figures": [{"figure": name, "unit": comparison.one.figures[name]["unit"], "a": comparison.one.figures[name]["value"],
                     "b": comparison.two.figures[name]["value"]} for name in comparison.figures]}


def _lacks_json(lacking: Iterable[Lack]) -> Iterator[dict[str, str]]:
    return ({"item": lack.item, "instead": lack.instead, "how": lack.how} for lack in lacking)
