"""Evidence weights from the phrase bank: a multi-class passive-aggressive learner, averaged, deterministic.

Nothing is downloaded: the only teacher is the bank. Which words tell a topic from its neighbours is
counted nowhere by hand; a phrase that is not clear of its best rival by the margin pulls the weights
of the two apart (Crammer et al. 2006, "Online passive-aggressive algorithms", variant PA-I).
"""
from __future__ import annotations

import random
from collections.abc import Mapping, Sequence

Example = tuple[Mapping[str, float], str]
Weights = dict[str, dict[str, float]]
"""Feature → label → weight."""


def learn(examples: Sequence[Example], *, rounds: int = 8, step: float = 0.1, keep: float = 0.01) -> Weights:
    """Weights that put each example's label above the others; those below `keep` in size are dropped."""
    order = list(range(len(examples)))
    shuffle = random.Random(20)
    now: Weights = {}
    total: Weights = {}
    count = 0
    limit = len(examples) * rounds
    for _ in range(rounds):
        shuffle.shuffle(order)
        for index in order:
            count += 1
            shown, label = examples[index]
            scores = score(now, shown)
            own = scores.pop(label, 0.0)
            rival = max(scores, key=lambda name: (scores[name], name), default="")
            loss = 1.0 - own + (scores[rival] if rival else 0.0)
            if loss <= 0.0 or not rival and count > 1 and loss < 1.0:
                continue
            size = min(step, loss / 2.0)
            late = size * (limit - count + 1) / limit
            for name, value in shown.items():
                row, sums = now.setdefault(name, {}), total.setdefault(name, {})
                row[label] = row.get(label, 0.0) + size * value
                sums[label] = sums.get(label, 0.0) + late * value
                if rival:
                    row[rival] = row.get(rival, 0.0) - size * value
                    sums[rival] = sums.get(rival, 0.0) - late * value
    return _pruned(total, keep)


def _pruned(weights: Weights, keep: float) -> Weights:
    small = {name: {label: round(w, 3) for label, w in row.items() if abs(w) >= keep} for name, row in weights.items()}
    return {name: row for name, row in small.items() if row}


def score(weights: Weights, shown: Mapping[str, float]) -> dict[str, float]:
    """Label → sum of evidence."""
    found: dict[str, float] = {}
    get = found.get
    for name, value in shown.items():
        row = weights.get(name)
        if row:
            for label, weight in row.items():
                found[label] = get(label, 0.0) + weight * value
    return found
