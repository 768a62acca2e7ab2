"""What a figure is made of: its inputs, its sources, the answer of its function and the result handed out."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Literal

from guide.figures.units import rounded, unit_written, written

Kind = Literal["number", "whole", "choice", "date", "time"]
Mark = Literal["read", "secondary", "memory", "common_practice", "unverified"]


class FigureError(ValueError):
    """A figure that cannot be computed as asked: one line that names the input and what is allowed.

    `input_name` is the input at fault, or None where the figure itself is unknown; `missing` is true where the
    input was needed and not given, so that a conversation can ask for it.
    """

    def __init__(self, text: str, input_name: str | None = None, *, missing: bool = False) -> None:
        super().__init__(text)
        self.input_name = input_name
        self.missing = missing


@dataclass(frozen=True, slots=True)
class Source:
    """Where a formula or a number comes from, and how far that text was read."""

    title: str
    mark: Mark

    def __str__(self) -> str:
        return f"{self.title} [{self.mark}]"


ARITHMETIC = Source("Plain arithmetic on the inputs", "common_practice")


@dataclass(frozen=True, slots=True)
class Input:
    """One input of a figure.

    `low` and `high` bound what is accepted, in `unit`. `fitted` is the narrower span the formula was made for:
    outside it the answer carries a warning. `default_from` names the input whose value stands in when this one is
    not given.
    """

    name: str
    meaning: str
    unit: str = ""
    low: float = 0.0
    high: float = 0.0
    kind: Kind = "number"
    default: float | str | None = None
    default_from: str | None = None
    fitted: tuple[float, float] | None = None
    choices: tuple[str, ...] = ()

    @property
    def required(self) -> bool:
        """Whether the figure cannot be computed without it."""
        return self.default is None and self.default_from is None

    @property
    def allowed(self) -> str:
        """What is accepted, in words, with the range and its unit."""
        match self.kind:
            case "choice":
                return "one of " + ", ".join(self.choices)
            case "date":
                return f"a date as YYYY-MM-DD, {self.low:.0f} to {self.high:.0f}"
            case "time":
                return f"a UTC time as YYYY-MM-DDTHH:MM[:SS], {self.low:.0f} to {self.high:.0f}"
        noun = "a whole number" if self.kind == "whole" else "a number"
        return f"{noun} from {written(self.low)} to {written(self.high)}{unit_written(self.unit)}"


@dataclass(frozen=True, slots=True)
class Answer:
    """What a figure's function returns: the headline, further named results, and sentences on how sure it is."""

    value: float
    details: Mapping[str, float | None] = field(default_factory=dict)
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of the catalogue. `sentence` is a format string over the value, the details and the inputs."""

    id: str
    unit: str
    title: str
    sentence: str
    inputs: tuple[Input, ...]
    assumption: str
    limits: str
    sources: tuple[Source, ...]
    function: Callable[..., Answer]


@dataclass(frozen=True, slots=True)
class Result:
    """A computed figure. `inputs` holds all of them, defaults filled in; dates and times are ISO text."""

    figure: str
    value: float
    unit: str
    details: Mapping[str, float | None]
    inputs: Mapping[str, float | str]
    notes: tuple[str, ...]
    sources: tuple[str, ...]
    sentence: str

    def as_json(self) -> dict[str, object]:
        """The result as plain JSON data, in the order of the machine interface."""
        return {
            "figure": self.figure,
            "value": self.value,
            "unit": self.unit,
            "details": dict(self.details),
            "inputs": dict(self.inputs),
            "notes": list(self.notes),
            "sources": list(self.sources),
        }


RANGE = "Range, short end first: "
"""How a note that gives both ends of an estimate begins."""


def range_note(low: float, high: float, unit: str, because: str) -> str:
    """A sentence that gives both ends of an estimate, the short end first, and why they differ."""
    return f"{RANGE}{rounded(low)} to {rounded(high)}{unit_written(unit)}. {because}"
