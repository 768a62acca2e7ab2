"""What clues weigh, fitted to labelled turns by logistic regression. The one home of numpy in learning from talks."""
from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from guide.talk.clues import Clues

if TYPE_CHECKING:
    import numpy as np

HOLD_TOPICS, HOLD_FACTS = 0.5, 1.0
"""How much weights are held near 0."""
STEPS = 25
"""Newton steps, with the curve of all that is likely; of what is right, where several are, it is left out, which only shortens the steps."""
_PLACES = 4


class Choice(NamedTuple):
    """A turn of a labelled talk: all it may be about, with the clues to each, and which of them are right."""

    found: Mapping[str, Clues]
    right: frozenset[str]


class Asked(NamedTuple):
    """A fact that a turn of a labelled talk may tell, and whether it does."""

    clues: Clues
    told: bool


def choosing(turns: Sequence[Choice]) -> dict[str, float]:
    """The weights under which the right topics are likeliest: logistic regression among what each turn may be about."""
    import numpy as np
    able = [turn for turn in turns if turn.right & turn.found.keys()]
    names, table = _table([clues for turn in able for clues in turn.found.values()])
    right = np.array([topic in turn.right for turn in able for topic in turn.found])
    sizes = [len(turn.found) for turn in able]
    of_turn, begins = np.repeat(np.arange(len(able)), sizes), np.cumsum([0, *sizes[:-1]])
    weight = np.zeros(len(names))
    for _ in range(STEPS):
        points = table @ weight
        likely = np.exp(points - np.maximum.reduceat(points, begins)[of_turn])
        share, good = likely / np.add.reduceat(likely, begins)[of_turn], likely * right
        slope = table.T @ (share - good / np.add.reduceat(good, begins)[of_turn]) + HOLD_TOPICS * weight
        usual = np.add.reduceat(share[:, None] * table, begins)  # what a turn's clues come to, each topic by its share
        apart = table - usual[of_turn]
        weight -= np.linalg.solve(apart.T @ (share[:, None] * apart) + HOLD_TOPICS * np.eye(len(names)), slope)
    return _rounded(names, weight)


def answering(asked: Sequence[Asked]) -> dict[str, float]:
    """The weights under which what is told, and what is not, is likeliest: logistic regression on yes or no."""
    import numpy as np
    names, table = _table([each.clues for each in asked])
    told = np.array([each.told for each in asked])
    weight = np.zeros(len(names))
    for _ in range(STEPS):
        share = 1.0 / (1.0 + np.exp(-(table @ weight)))
        slope = table.T @ (share - told) + HOLD_FACTS * weight
        weight -= np.linalg.solve((table * (share * (1.0 - share))[:, None]).T @ table + HOLD_FACTS * np.eye(len(names)), slope)
    return _rounded(names, weight)


def _table(rows: Sequence[Clues]) -> tuple[list[str], np.ndarray]:
    """The names of all clues in order, and a row of numbers for each of these."""
    import numpy as np
    names = sorted({name for clues in rows for name in clues})
    column = {name: number for number, name in enumerate(names)}
    table = np.zeros((len(rows), len(names)))
    for row, clues in enumerate(rows):
        for name, value in clues.items():
            table[row, column[name]] = value
    return names, table


def _rounded(names: Sequence[str], weight: np.ndarray) -> dict[str, float]:
    return {name: round(float(value), _PLACES) for name, value in zip(names, weight)}
