"""What clues weigh: each by itself, and what they add taken together. Learned from labelled talks (`guide.talk.fitting`)."""
from __future__ import annotations

import binascii
import math
from array import array
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property
from operator import mul
from sys import byteorder
from typing import NamedTuple

OPEN = 0.01
"""Share up to which, and up to which short of 1, a yes or no is settled by each clue by itself."""
STEP = 1 / 1000
"""The numbers of a net are whole steps of two bytes."""


class Net:
    """Clues taken together: some hinges over sums of clues, and what each hinge adds. As text it is base64 of steps: for each clue a number a
    hinge, then where the hinges begin, then what they add."""

    def __init__(self, clues: Sequence[str], text: str) -> None:
        self._clues, self.text = tuple(clues), text

    @classmethod
    def of(cls, clues: Sequence[str], rows: Iterable[Sequence[float]], begins: Sequence[float], adds: Sequence[float]) -> Net:
        """From numbers: for each clue a row with a number a hinge."""
        steps = array("h", [max(-32767, min(32767, round(number / STEP))) for row in (*rows, begins, adds) for number in row])
        if byteorder == "big":
            steps.byteswap()
        return cls(clues, binascii.b2a_base64(steps.tobytes(), newline=False).decode())

    @cached_property
    def _numbers(self) -> tuple[Mapping[str, Sequence[float]], Sequence[float], Sequence[float]]:
        steps = array("h", binascii.a2b_base64(self.text))
        if byteorder == "big":
            steps.byteswap()
        size = len(steps) // (len(self._clues) + 2)
        rows = [[STEP * step for step in steps[at:at + size]] for at in range(0, len(steps), size)]
        return dict(zip(self._clues, rows)), rows[-2], rows[-1]

    def adds(self, clues: Mapping[str, float]) -> float:
        """What these clues add together, in nepers."""
        rows, begins, ends = self._numbers
        shown = [name for name, value in clues.items() if value and name in rows]
        values = [clues[name] for name in shown]
        hinges = zip(begins, ends, zip(*[rows[name] for name in shown])) if shown else ((begin, end, ()) for begin, end in zip(begins, ends))
        return sum([total * end for begin, end, row in hinges if (total := sum(map(mul, values, row), begin)) > 0.0])


class Weighing(NamedTuple):
    """What clues weigh."""

    alone: Mapping[str, float]
    """Each by itself, in nepers at a strength of 1."""
    net: Net | None = None

    def points(self, clues: Mapping[str, float]) -> float:
        """What clues come to, each by itself."""
        alone = self.alone
        return sum([alone[name] * value for name, value in clues.items() if value and name in alone])

    def together(self, clues: Mapping[str, float]) -> float:
        """What they add to that, taken together."""
        return self.net.adds(clues) if self.net else 0.0


def share(points: float) -> float:
    """How likely yes is, 0 to 1, where so much speaks for it in nepers."""
    return 1.0 / (1.0 + math.exp(-points))


def is_open(points: float) -> bool:
    """Whether so much leaves a doubt of yes or no."""
    return OPEN < share(points) < 1.0 - OPEN
