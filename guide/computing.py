"""Figures in a conversation: the quantity topics fed from the state, the sentence and the pack."""
from __future__ import annotations

from collections.abc import Sequence

from guide.knowledge.base import Knowledge
from guide.knowledge.records import Computed
from guide.language.reading import Reading
from guide.planning.items import View


class Computing:
    """Computes what a topic's figures need and says what is missing."""

    def __init__(self, knowledge: Knowledge) -> None:
        self._knowledge = knowledge

    def of(self, topic: str, view: View, readings: Sequence[Reading]) -> tuple[list[dict[str, object]], list[str]]:
        """The figures of a topic, and a line asking by name for what is not known. Nothing is computed from a guess."""
        told: dict[str, object] = {t.fact: t.value for reading in readings for t in reading.told if t.how == "set" and t.value is not None}
        figures: list[dict[str, object]] = []
        notes: list[str] = []
        for computed in self._knowledge.computed:
            if computed.topic == topic:
                self._compute(computed, view, told, figures, notes)
        return figures, notes

    def _compute(self, computed: Computed, view: View, told: dict[str, object],
                 figures: list[dict[str, object]], notes: list[str]) -> None:
        from guide.figures import catalogue
        from guide.figures.model import FigureError
        inputs: dict[str, object] = {}
        missing: list[str] = []
        for name, (start, factor) in computed.inputs.items():
            if start not in self._knowledge.facts:
                inputs[name] = start
                continue
            value = told.get(start, view.lookup(start))
            if value is None:
                missing.append(self._knowledge.facts[start].about)
            elif isinstance(value, (int, float)):
                inputs[name] = value * factor if factor != 1 else value
        if missing:
            notes.append(f"To work it out I need: {'; '.join(missing)}.")
            return
        try:
            result = catalogue.compute(computed.figure, inputs)
        except FigureError as error:
            notes.append(f"{computed.figure}: {error}")
            return
        figures.append({"id": computed.figure, "value": result.value, "unit": result.unit, "inputs": dict(result.inputs),
                        "sources": list(result.sources), "details": dict(result.details), "sentence": result.sentence,
                        "notes": list(result.notes)})
        notes.append(result.sentence)
        if computed.follows:
            notes.append(computed.follows)
