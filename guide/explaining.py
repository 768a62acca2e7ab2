"""The reply to a question about the plan: its reasons put into a turn. What finds the reasons is imported when somebody first asks why."""
from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from types import MappingProxyType
from typing import TYPE_CHECKING

from guide.guidance import Guidance
from guide.knowledge.base import Knowledge
from guide.language.reading import Reader
from guide.log import Log
from guide.talk.deciding import Deciding, Decision
from guide.turn import Turn

if TYPE_CHECKING:
    from guide.whys import Asked, Unclear, Whys

_WHY = "why"
"""Stands in every question about the plan."""


class Explaining:
    """Explains the plan of one log."""

    def __init__(self, log: Log, reader: Reader, deciding: Deciding, guidance: Guidance) -> None:
        self._log, self._reader, self._deciding, self._guidance = log, reader, deciding, guidance
        self.unclear: Unclear | None = None
        """The question of which a part was asked back."""

    @property
    def _knowledge(self) -> Knowledge:
        return self._log.knowledge

    @cached_property
    def _whys(self) -> Whys:
        from guide.whys import Whys
        return Whys(self._knowledge, self._reader, self._deciding)

    def asked(self, text: str) -> Asked | None:
        """The question about the plan that a text asks, or None."""
        if _WHY not in text.lower():
            return None
        from guide.whys import asked
        return asked(text)

    def explained(self, turn: Turn, question: Asked, decided: Decision, chosen: Mapping[str, str] = MappingProxyType({})) -> Turn:
        """The reply to a question about the plan: with reasons from it, or asking back for the part that is unclear."""
        why = self._whys.answer(question, decided, self._log.view(), self._log.at, chosen)
        if why is None:
            return turn
        if why.choices:
            from guide.whys import Unclear
            self.unclear = Unclear(question, why.unclear, chosen)
            return turn._replace(outcome="unsure", topic=why.choices[0], choices=why.choices, advice=(), cautions=(), figures=(), notes=())
        answered = turn.outcome == "answered"
        topic = turn.topic if answered else why.steps[0].topic if why.steps else "why"
        by_plan = not answered or question.kind != "not" or topic in {step.topic for step in why.steps}
        said = self._guidance.of_steps(self._log.view(), why.steps) if by_plan else turn
        return turn._replace(outcome="answered", topic=topic, advice=said.advice, cautions=said.cautions, choices=(), notes=(*why.lines, *turn.notes))
