"""Every figure by id, and the one call that checks inputs and computes one.

Nothing here imports more than the standard library: a figure that needs a library loads it when it is computed.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from itertools import chain
from types import MappingProxyType

from guide.figures import (
    air,
    cold,
    drift,
    food,
    horizon,
    light,
    radio,
    search,
    signals,
    sound,
    sun,
    tubes,
    watches,
    water,
    waves,
)
from guide.figures.model import Figure, FigureError, Input, Result
from guide.figures.reading import Value, did_you_mean, quoted, read
from guide.figures.units import Plainly, unit_written, written

SUBJECTS = (horizon, light, drift, waves, cold, water, food, sun, radio, signals, tubes, sound, watches, air, search)
FIGURES: Mapping[str, Figure] = MappingProxyType(
    {figure.id: figure for figure in chain.from_iterable(subject.FIGURES for subject in SUBJECTS)}
)


def find(figure_id: object) -> Figure:
    """The figure of that id. Raises FigureError with the nearest id when there is none."""
    if isinstance(figure_id, str) and figure_id in FIGURES:
        return FIGURES[figure_id]
    hint = did_you_mean(figure_id, FIGURES) if isinstance(figure_id, str) else ""
    raise FigureError(f"there is no figure {quoted(figure_id)}{hint or '; --list names them all'}")


def missing(figure_id: str, inputs: Mapping[str, object]) -> tuple[Input, ...]:
    """The inputs that the figure still needs before it can be computed, in the order it asks for them."""
    return tuple(wanted for wanted in find(figure_id).inputs if wanted.required and wanted.name not in inputs)


def compute(figure_id: str, inputs: Mapping[str, object]) -> Result:
    """The figure computed from `inputs`, whose values may be numbers or text.

    Raises FigureError, one line that names the input and what is allowed, for an unknown figure or input, a missing
    input, a value out of range, or inputs that cannot hold together.
    """
    figure = find(figure_id)
    _refuse_unknown(figure, inputs)
    values = _values(figure, inputs)
    answer = figure.function(**values)
    shown = {name: _plain(value) for name, value in values.items()}
    return Result(
        figure=figure.id,
        value=answer.value,
        unit=figure.unit,
        details=answer.details,
        inputs=shown,
        notes=(*answer.notes, figure.assumption, *_warnings(figure, values)),
        sources=tuple(str(source) for source in figure.sources),
        sentence=figure.sentence.format_map({**{n: Plainly(v) if isinstance(v, float) else v for n, v in shown.items()},
                                             **answer.details, "value": answer.value}),
    )


def _refuse_unknown(figure: Figure, inputs: Mapping[str, object]) -> None:
    names = [wanted.name for wanted in figure.inputs]
    for name in inputs:
        if name not in names:
            hint = did_you_mean(name, names) if isinstance(name, str) else ""
            takes = ", ".join(names)
            raise FigureError(f"{figure.id} has no input {quoted(name)}{hint or ';'} it takes {takes}", str(name))


def _values(figure: Figure, inputs: Mapping[str, object]) -> dict[str, Value]:
    values: dict[str, Value] = {}
    for wanted in figure.inputs:
        if wanted.name in inputs:
            values[wanted.name] = read(inputs[wanted.name], wanted)
        elif wanted.default_from is not None:
            values[wanted.name] = values[wanted.default_from]
        elif wanted.default is not None:
            values[wanted.name] = wanted.default
        else:
            raise FigureError(
                f"{figure.id} needs {wanted.name}: {wanted.meaning}, {wanted.allowed}", wanted.name, missing=True
            )
    return values


def _plain(value: Value) -> float | str:
    if isinstance(value, datetime):
        return value.isoformat().replace("+00:00", "Z")
    if isinstance(value, date):
        return value.isoformat()
    return int(value) if isinstance(value, float) and value.is_integer() and abs(value) < 1e15 else value


def _warnings(figure: Figure, values: Mapping[str, Value]) -> list[str]:
    """A warning for each input outside the span its formula was made for."""
    warnings = []
    for wanted in figure.inputs:
        value = values[wanted.name]
        if wanted.fitted is None or not isinstance(value, int | float):
            continue
        low, high = wanted.fitted
        if not low <= value <= high:
            span = f"{written(low)} to {written(high)}{unit_written(wanted.unit)}"
            warnings.append(
                f"Warning: {wanted.name} {written(value)} is outside the {span} that this rests on; "
                "the answer is rough."
            )
    return warnings
