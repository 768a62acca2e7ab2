"""How a figure in a conversation is said: its sentence or its range, what was used, what follows, what is instead of what."""
from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from guide.figures.units import Plainly, unit_written, written
from guide.knowledge.computed import Computed

if TYPE_CHECKING:
    from datetime import date

    from guide.figures.model import Result

SAID, REPORTED, PRESUMED, SUPPOSED = "as you say", "as reported", "as presumed", "as supposed"
KNOWN, CLOCK = "from what is known", "by the clock"
WORKED, USUAL = "from the figure before", "assumed"


class Moment(NamedTuple):
    """Minutes after 00:00 UTC of a day, and those of now. In a format string `clock` gives the time, else how far off it is."""

    minutes: float | None
    now: float

    def __format__(self, spec: str) -> str:
        if self.minutes is None:
            return "not that day"
        if spec == "clock":
            whole = round(self.minutes) % 1440
            return f"{whole // 60:02d}:{whole % 60:02d} UTC"
        away = self.minutes - self.now
        return f"in {spoken(away, 'min')}" if away >= 0 else f"{spoken(-away, 'min')} ago, again in about {spoken(away + 1440, 'min')}"


class Found(NamedTuple):
    """A value for an input, where it is from, and how it is shown where its own name or number would tell nobody anything."""

    value: object
    origin: str
    shown: str = ""
    label: str = ""


def minutes_of(now: str, day: date) -> float:
    """Minutes of `now` after 00:00 UTC of a day."""
    from datetime import datetime
    at = datetime.fromisoformat(now)
    return (at - datetime(day.year, day.month, day.day, tzinfo=at.tzinfo)).total_seconds() / 60


def as_data(computed: Computed, result: Result, inputs: Mapping[str, Found], cautions: Sequence[str], now: str) -> dict[str, object]:
    """A figure as plain data. `lines` tell it, `used` its inputs with where they are from, `follows` what follows, `cautions` what
    must not be missed with it."""
    from guide.figures import catalogue
    fields = _fields(result, now)
    named = {name: value for name, value in (("name", computed.name), ("chart", computed.chart)) if value}
    return {"id": computed.figure, **named, "title": catalogue.find(computed.figure).title, "value": result.value, "unit": result.unit,
            "inputs": dict(result.inputs), "from": {name: found.origin for name, found in inputs.items()}, "sources": list(result.sources),
            "details": dict(result.details), "notes": list(result.notes), "cautions": list(cautions), "used": _shown(result, inputs),
            "lines": _lines(computed, result, cautions, _filled(computed.says, fields) or result.sentence), "follows": _follows(computed, result, fields)}


def _follows(computed: Computed, result: Result, fields: Mapping[str, object]) -> str:
    """What follows; where something that it names has no value, as sunrise in the polar night, the figure's own first note."""
    empty = any(value is None and f"{{{name}" in computed.follows for name, value in result.details.items())
    return result.notes[0] if empty else _filled(computed.follows, fields)


def _filled(sentence: str, fields: Mapping[str, object]) -> str:
    """A sentence of the knowledge with its numbers; nothing where it names what this figure does not have."""
    try:
        return sentence.format_map(fields)
    except (LookupError, ValueError, TypeError, AttributeError):
        return ""


def _fields(result: Result, now: str) -> dict[str, object]:
    """What the sentences of the knowledge may name: inputs, details, `value`, and for days `spoken` and the `day` it ends on."""
    numbers = {name: Plainly(value) if isinstance(value, float) else value for name, value in result.inputs.items()}
    fields: dict[str, object] = {**numbers, **result.details, "value": result.value, "spoken": spoken(result.value, result.unit)}
    if result.unit == "days":
        fields["day"] = math.ceil(round(result.value, 6))
    if "date" in result.inputs:
        from datetime import date
        at = minutes_of(now, date.fromisoformat(str(result.inputs["date"])))
        fields |= {name: Moment(minutes, at) for name, minutes in result.details.items()}
    return fields


def _lines(computed: Computed, result: Result, cautions: Sequence[str], sentence: str) -> list[str]:
    """The sentence, after its range and what stands before that, where it has one: the short end is told first. Then warnings, and
    where there is one the figure's cautions."""
    lead = f"{computed.name}: " if computed.name else ""
    warned = [note for note in result.notes if note.startswith("Warning: ")]
    warned += cautions if warned else ()
    from guide.figures.model import RANGE
    at = next((n for n, note in enumerate(result.notes) if note.startswith(RANGE)), None)
    if at is None:
        return [f"{lead}{sentence}", *warned]
    first, *more = [note.removeprefix(RANGE) for note in result.notes[:at + 1]]
    return [f"{lead}{first}", *more, *([] if computed.name else [sentence]), *warned]


def used_line(figures: Iterable[Mapping[str, object]]) -> list[str]:
    """Each input that is not assumed, with its value, by where it is from; assumptions stand in what follows."""
    groups: dict[str, dict[str, None]] = {}
    for figure in figures:
        shown = figure["used"]
        assert isinstance(shown, Mapping)
        for words, origin in shown.items():
            groups.setdefault(origin, {})[words] = None
    return ["Used: " + "; ".join(f"{', '.join(words)} ({origin})" for origin, words in groups.items()) + "."] if groups else []


def _shown(result: Result, inputs: Mapping[str, Found]) -> dict[str, str]:
    """Inputs that are not assumed in words, `people aboard 6`, each with where it is from."""
    from guide.figures import catalogue
    said: dict[str, str] = {}
    for wanted in catalogue.find(result.figure).inputs:
        found = inputs.get(wanted.name)
        if found and found.origin not in (USUAL, WORKED):
            value = result.inputs[wanted.name]
            number = written(value) + unit_written(wanted.unit) if isinstance(value, (int, float)) else value
            said.setdefault(f"{found.label or re.split('[:;,]', wanted.meaning)[0]} {found.shown or number}", found.origin)
    return said


def instead_line(figure: Mapping[str, object], was: Mapping[str, object]) -> str:
    """`how long the water lasts: 4 days 12 h instead of 6 days`."""
    what = str(figure.get("name") or figure["title"])
    then, now = (spoken(float(str(each["value"])), str(each["unit"])) for each in (figure, was))
    from guide.figures.model import RANGE
    about = "about " if any(note.startswith(RANGE) for note in as_list(figure["notes"])) else ""
    said = f"{then}, the same as now" if then == now else f"{about}{then} instead of {now}"
    return f"{what[0].upper()}{what[1:]}: {said}."


def as_list(value: object) -> Sequence[str]:
    """A list of texts out of plain data; empty where it is none."""
    return value if isinstance(value, list) else ()


def spoken(value: float, unit: str) -> str:
    """A figure as it is said aloud: `4 days 12 h`, `3 h 20 min`, `8 min 40 s`, `12.4 nm`."""
    if unit == "min" and value >= 90:
        return spoken(value / 60, "h")
    if unit == "s" and value >= 120:
        whole, rest = divmod(round(value), 60)
        return f"{whole} min" + (f" {rest} s" if rest else "")
    if unit == "min" and value >= 10:
        return f"{value:.0f} min"
    for large, small, parts, plural in (("days", "h", 24, "day"), ("h", "min", 60, ""), ("min", "s", 60, "")):
        if unit == large:
            whole, rest = divmod(round(value * parts), parts)
            first = f"{whole} {plural if plural and whole == 1 else large}"
            return (first if whole or not rest else "") + (" " if whole and rest else "") + (f"{rest} {small}" if rest else "")
    return f"{written(round(value, 1 if abs(value) >= 1 else 2))}{unit_written(unit)}"
