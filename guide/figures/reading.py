"""Reads what a person or a program gave for an input into a checked value, or says in one line what is allowed."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from datetime import UTC, date, datetime

from guide.figures.model import FigureError, Input
from guide.nearest import nearest

Value = float | int | str | date | datetime

# float() alone would also take "1_0", "nan", "infinity" and digits of other scripts.
NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d{1,3})?", re.ASCII)
DATE = re.compile(r"\d{4}-\d\d-\d\d", re.ASCII)
TIME = re.compile(r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d(:\d\d(\.\d{1,6})?)?(Z|[+-]\d\d:\d\d)?", re.ASCII)


def read(raw: object, wanted: Input) -> Value:
    """The value of `raw` as `wanted` asks, in its unit.

    Raises FigureError, naming the input and what is allowed, for anything that is not one: booleans, NaN,
    infinities, empty text, fractions where a whole number is due, values out of range.
    """
    match wanted.kind:
        case "choice":
            return _choice(raw, wanted)
        case "date":
            return _date(raw, wanted)
        case "time":
            return _time(raw, wanted)
    return _number(raw, wanted)


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """A question that offers the nearest known word, or nothing when none is near."""
    near = nearest(word, known)
    return f'; did you mean "{near}"?' if near else ""


def quoted(raw: object) -> str:
    """`raw` short enough and safe to print on one line, whatever it is."""
    if isinstance(raw, str):
        return f'"{repr(raw if len(raw) <= 40 else raw[:40] + "...")[1:-1]}"' if raw.strip() else "empty"
    if raw is None or isinstance(raw, bool):
        return {None: "null", True: "true", False: "false"}[raw]
    if isinstance(raw, float) or (isinstance(raw, int) and abs(raw) < 10**15):
        return str(raw)
    return "a number that large" if isinstance(raw, int) else f"a {type(raw).__name__}"


def _refusal(raw: object, wanted: Input) -> FigureError:
    return FigureError(f"{wanted.name} must be {wanted.allowed} ({wanted.meaning}), not {quoted(raw)}", wanted.name)


def _number(raw: object, wanted: Input) -> float | int:
    number = _finite(raw)
    if number is None or not wanted.low <= number <= wanted.high:
        raise _refusal(raw, wanted)
    if wanted.kind != "whole":
        return number
    if not number.is_integer():
        raise _refusal(raw, wanted)
    return int(number)


def _finite(raw: object) -> float | None:
    if isinstance(raw, bool) or not isinstance(raw, int | float | str):
        return None
    if isinstance(raw, str):
        raw = raw.strip().replace("\u2212", "-")
        if not NUMBER.fullmatch(raw):
            return None
    try:
        number = float(raw)
    except OverflowError:
        return None
    return number if math.isfinite(number) else None


def _choice(raw: object, wanted: Input) -> str:
    word = raw.strip().lower() if isinstance(raw, str) else None
    if word is None or word not in wanted.choices:
        error = _refusal(raw, wanted)
        raise FigureError(f"{error}{did_you_mean(word, wanted.choices)}" if word else str(error), wanted.name)
    return word


def _date(raw: object, wanted: Input) -> date:
    day: date | None = None
    if isinstance(raw, str) and DATE.fullmatch(raw.strip()):
        try:
            day = date.fromisoformat(raw.strip())
        except ValueError:
            day = None
    elif isinstance(raw, date) and not isinstance(raw, datetime):
        day = raw
    if day is None or not wanted.low <= day.year <= wanted.high:
        raise _refusal(raw, wanted)
    return day


def _time(raw: object, wanted: Input) -> datetime:
    instant: datetime | None = None
    try:
        if isinstance(raw, str) and TIME.fullmatch(raw.strip()):
            instant = datetime.fromisoformat(raw.strip())
        elif isinstance(raw, datetime):
            instant = raw
        if instant is not None:
            instant = instant.replace(tzinfo=UTC) if instant.tzinfo is None else instant.astimezone(UTC)
    except (ValueError, OverflowError):
        instant = None
    if instant is None or not wanted.low <= instant.year <= wanted.high:
        raise _refusal(raw, wanted)
    return instant
