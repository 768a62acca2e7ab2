"""What clues weigh, fitted to labelled turns: each by itself by logistic regression, then together by a small net. The one home of numpy in learning
from talks."""
from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from guide.language.weighing import Net, Weighing, is_open
from guide.talk.clues import Clues
from guide.talk.deciding import short_list

if TYPE_CHECKING:
    import numpy as np

    Slope = Callable[[np.ndarray, np.ndarray, np.ndarray], np.ndarray]
    """(points, right, first row of each turn) → how much too much speaks for each row."""

HOLD_TOPICS, HOLD_FACTS = 0.5, 1.0
"""How much weights are held near 0."""
STEPS = 25
"""Newton steps, with the curve of all that is likely; of what is right, where several are, it is left out, which only shortens the steps."""
_PLACES = 4
SECOND = 0.15
"""What another right topic counts beside the best, so that what may always be said (`what now`) is not learned as what is said best."""
HINGES = 32
ROUNDS, TURNS, DROPPED, PACE = 20, 256, 0.3, 0.003
"""How often the net sees every turn, how many at once, the share of hinges it does without each time, and how far it steps at first: with these it
left a fifth fewer facts unheard, and a twelfth fewer turns misunderstood, in talks that it was not learned from."""
_SPREAD = 0.01
"""What a clue spreads at least: one that hardly ever stands must not count for much."""
_SEED = 0


class Choice(NamedTuple):
    """A turn of a labelled talk: all it may be about, with the clues to each, and which of them are right, the best first."""

    found: Mapping[str, Clues]
    right: tuple[str, ...]

    def worth(self, topic: str) -> float:
        """How right a topic is: 1 for the best that may be, 0 for a wrong one."""
        able = [each for each in self.right if each in self.found]
        return (1.0 if topic == able[0] else SECOND) if topic in able else 0.0


class Asked(NamedTuple):
    """A fact that a turn of a labelled talk may tell, and whether it does."""

    clues: Clues
    told: bool


class Open(NamedTuple):
    """What each clue by itself leaves open: rows by turns, what speaks for each row already, and how right it is."""

    rows: list[Clues]
    points: list[float]
    right: list[float]
    sizes: list[int]
    """Rows of each turn."""


def choosing(turns: Sequence[Choice]) -> Weighing:
    """What clues weigh where the right topics are likeliest, among what each turn may be about."""
    able = [turn for turn in turns if not turn.found.keys().isdisjoint(turn.right)]
    weighing = Weighing(_choosing_alone(able))
    left = Open([], [], [], [])
    for turn in able:
        points = {topic: weighing.points(clues) for topic, clues in turn.found.items()}
        topics = short_list(points)
        if not set(topics).isdisjoint(turn.right):
            left.rows.extend(turn.found[topic] for topic in topics)
            left.points.extend(points[topic] for topic in topics)
            left.right.extend(map(turn.worth, topics))
            left.sizes.append(len(topics))
    return weighing._replace(net=_together(left, list(weighing.alone), _slope_among))


def answering(asked: Sequence[Asked]) -> Weighing:
    """What clues weigh where what is told, and what is not, is likeliest: yes or no."""
    weighing = Weighing(_answering_alone(asked))
    points = [weighing.points(each.clues) for each in asked]
    able = [(each, value) for each, value in zip(asked, points) if is_open(value)]
    left = Open([each.clues for each, _ in able], [value for _, value in able], [float(each.told) for each, _ in able], [1] * len(able))
    return weighing._replace(net=_together(left, list(weighing.alone), _slope_of_each))


def _choosing_alone(able: Sequence[Choice]) -> dict[str, float]:
    """Logistic regression among what each turn may be about."""
    import numpy as np
    names, table = _table([clues for turn in able for clues in turn.found.values()])
    right = np.array([turn.worth(topic) for turn in able for topic in turn.found])
    sizes = [len(turn.found) for turn in able]
    of_turn, begins = np.repeat(np.arange(len(able)), sizes), np.cumsum([0, *sizes[:-1]])
    weight = np.zeros(len(names))
    for _ in range(STEPS):
        points = table @ weight
        likely = np.exp(points - np.maximum.reduceat(points, begins)[of_turn])
        share = likely / np.add.reduceat(likely, begins)[of_turn]
        slope = table.T @ _slope_among(points, right, begins) + HOLD_TOPICS * weight
        usual = np.add.reduceat(share[:, None] * table, begins)  # what a turn's clues come to, each topic by its share
        apart = table - usual[of_turn]
        weight -= np.linalg.solve(apart.T @ (share[:, None] * apart) + HOLD_TOPICS * np.eye(len(names)), slope)
    return _rounded(names, weight)


def _answering_alone(asked: Sequence[Asked]) -> dict[str, float]:
    """Logistic regression on yes or no."""
    import numpy as np
    names, table = _table([each.clues for each in asked])
    told = np.array([each.told for each in asked])
    weight = np.zeros(len(names))
    for _ in range(STEPS):
        share = 1.0 / (1.0 + np.exp(-(table @ weight)))
        slope = table.T @ (share - told) + HOLD_FACTS * weight
        weight -= np.linalg.solve((table * (share * (1.0 - share))[:, None]).T @ table + HOLD_FACTS * np.eye(len(names)), slope)
    return _rounded(names, weight)


def _together(left: Open, names: Sequence[str], slope_of: Slope) -> Net | None:
    """A net that puts right what each clue by itself leaves wrong; none where nothing is left. Stochastic descent with moments (Adam); the
    libraries at hand fit no net on top of what speaks for a row already, nor rows that are weighed against each other."""
    import numpy as np
    if not left.rows:
        return None
    table, points, right = _table(left.rows, names)[1], np.array(left.points), np.array(left.right)
    middle, spread = table.mean(axis=0), table.std(axis=0) + _SPREAD
    table = (table - middle) / spread
    random = np.random.default_rng(_SEED)
    numbers = [random.uniform(-1.0, 1.0, size) * width ** -0.5 for size, width in (((len(names), HINGES), len(names)), (HINGES, len(names)), (HINGES, HINGES))]
    step = _stepping(numbers)
    for pace in np.linspace(PACE, 0.0, ROUNDS, endpoint=False):
        for rows, begins in _batches(left.sizes, random):
            inner, begin, ends = numbers
            sums, held = table[rows] @ inner + begin, (random.random((len(rows), HINGES)) >= DROPPED) / (1.0 - DROPPED)
            hinges = np.maximum(sums, 0.0) * held
            slope = slope_of(points[rows] + hinges @ ends, right[rows], begins) / len(begins)
            back = slope[:, None] * ends * held * (sums > 0.0)
            step(pace, [table[rows].T @ back, back.sum(axis=0), hinges.T @ slope])
    inner, begin, ends = numbers
    inner = inner / spread[:, None]
    return Net.of(names, inner.tolist(), (begin - middle @ inner).tolist(), ends.tolist())


def _batches(sizes: Sequence[int], random: np.random.Generator) -> Iterator[tuple[np.ndarray, np.ndarray]]:
    """All turns once, in any order, some at a time: their rows, and the first row of each among these."""
    import numpy as np
    begins = np.cumsum([0, *sizes])
    order = random.permutation(len(sizes))
    for at in range(0, len(order), TURNS):
        turns = order[at:at + TURNS]
        yield np.concatenate([np.arange(begins[turn], begins[turn + 1]) for turn in turns]), np.cumsum([0, *(sizes[turn] for turn in turns[:-1])])


def _stepping(numbers: Sequence[np.ndarray], fade: tuple[float, float] = (0.9, 0.999)) -> Callable[[float, Sequence[np.ndarray]], None]:
    """Moves numbers against their slopes in place, by the means of slopes and of their squares so far (Kingma and Ba 2015)."""
    import numpy as np
    means, squares, count = [np.zeros_like(each) for each in numbers], [np.zeros_like(each) for each in numbers], 0

    def step(pace: float, slopes: Sequence[np.ndarray]) -> None:
        nonlocal count
        count += 1
        for each, mean, square, slope in zip(numbers, means, squares, slopes):
            mean += (1.0 - fade[0]) * (slope - mean)
            square += (1.0 - fade[1]) * (slope * slope - square)
            each -= pace * (mean / (1.0 - fade[0] ** count)) / (np.sqrt(square / (1.0 - fade[1] ** count)) + 1e-8)

    return step


def _slope_among(points: np.ndarray, right: np.ndarray, begins: np.ndarray) -> np.ndarray:
    """A right row of each turn is to be the likeliest, rather the more right it is."""
    import numpy as np
    of_turn = np.repeat(np.arange(len(begins)), np.diff([*begins, len(points)]))
    likely = np.exp(points - np.maximum.reduceat(points, begins)[of_turn])
    good = likely * right
    slope: np.ndarray = likely / np.add.reduceat(likely, begins)[of_turn] - good / np.add.reduceat(good, begins)[of_turn]
    return slope


def _slope_of_each(points: np.ndarray, right: np.ndarray, begins: np.ndarray) -> np.ndarray:
    """Each row by itself is to be likely where it is right, and only there."""
    import numpy as np
    slope: np.ndarray = 1.0 / (1.0 + np.exp(-points)) - right
    return slope


def _table(rows: Sequence[Clues], names: Sequence[str] = ()) -> tuple[Sequence[str], np.ndarray]:
    """The names of all clues in order, or those that are asked for, and a row of numbers for each of these."""
    import numpy as np
    names = names or sorted({name for clues in rows for name in clues})
    column = {name: number for number, name in enumerate(names)}
    table = np.zeros((len(rows), len(names)))
    for row, clues in enumerate(rows):
        for name, value in clues.items():
            if name in column:
                table[row, column[name]] = value
    return names, table


def _rounded(names: Sequence[str], weight: np.ndarray) -> dict[str, float]:
    return {name: round(float(value), _PLACES) for name, value in zip(names, weight)}
