"""One turn as a value: what was understood, what changed, what to do, what comes next."""
from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

from guide.language.labels import OUTSIDE
from guide.language.matching import shares
from guide.patterns import pattern

if TYPE_CHECKING:  # a prompt is drawn before any turn is made
    from guide.knowledge.base import Knowledge
    from guide.knowledge.records import Step
    from guide.language.utterances import Reading
    from guide.planning.planner import NextStep
    from guide.quantities import Question
    from guide.talk.deciding import Weighed
    from guide.whether import Whether

_SENTENCE = pattern(r"(?<=[.!?]) (?=[A-Z])")


def in_short(say: str, more: str = " ...") -> str:
    """The first sentence of a step, ending with `more` where there is more to it."""
    first, *rest = _SENTENCE.split(say, maxsplit=1)
    return first.rstrip(".") + more if rest else first


class Change(NamedTuple):
    """A fact's value before and after; None is unknown."""

    fact: str
    was: object
    now: object

    def as_json(self) -> dict[str, object]:
        """The change as plain data; an unknown value is null."""
        return {"fact": self.fact, "was": self.was, "now": self.now}


class Advice(NamedTuple):
    """A step shown as an answer, with the items it uses that are not known to be lacking."""

    step: Step
    equipment: tuple[str, ...]


class Turn(NamedTuple):
    """The reply to one utterance."""

    text: str
    outcome: str
    topic: str | None
    readings: tuple[Reading, ...] = ()
    changes: tuple[Change, ...] = ()
    supposed: tuple[Change, ...] | None = None
    compare: Mapping[str, object] | None = None
    advice: tuple[Advice, ...] = ()
    cautions: tuple[str, ...] = ()
    figures: tuple[Mapping[str, object], ...] = ()
    next: tuple[NextStep, ...] = ()
    as_before: bool = False
    """The next steps are those that the turn before showed."""
    state: Mapping[str, object] = MappingProxyType({})
    choices: tuple[str, ...] = ()
    """The topics asked about when the outcome is unsure."""
    jobs: tuple[Step, ...] = ()
    """The jobs that `done` may have meant, when the outcome is unsure about that."""
    question: Question | None = None
    """What the figures were asked of, and what the guide asked for: the next turn may answer it, or vary it."""
    weighed: tuple[Weighed, ...] = ()
    """The likeliest topics with the clues to each, for `--explain`."""
    whether: Whether | None = None
    """What the crew asked after: `yes` or `no` tells it."""
    notes: tuple[str, ...] = ()
    """Lines of the guide about the turn itself: what it took back, what it needs to know, why."""

    def as_json(self, knowledge: Knowledge) -> dict[str, object]:
        """The turn in the form of the machine interface."""
        shown: dict[str, object] = {
            "text": self.text, "outcome": self.outcome, "topic": self.topic,
            "readings": [_reading_json(reading, self) for reading in self.readings],
            "changes": [change.as_json() for change in self.changes if not knowledge.is_of_an_item(change.fact)],
            "advice": [_step_json(a.step) | {"equipment": list(a.equipment), "sources": [knowledge.cite(s) for s in a.step.sources]}
                       for a in self.advice],
            "cautions": list(self.cautions), "figures": list(self.figures),
            "next": [_step_json(n.step) | {"reason": n.line} for n in self.next],
            "state": {fact: value for fact, value in self.state.items() if not knowledge.is_of_an_item(fact)}, "notes": list(self.notes)}
        if self.supposed is not None:
            shown["supposed"] = [change.as_json() for change in self.supposed if not knowledge.is_of_an_item(change.fact)]
            shown["compare"] = dict(self.compare or {})
        return shown


def _step_json(step: Step) -> dict[str, object]:
    return {"step": step.id, "text": step.say, "topic": step.topic, "priority": step.priority}


def _reading_json(reading: Reading, turn: Turn) -> dict[str, object]:
    score = dict(zip((c.label for c in reading.candidates), (round(share, 3) for share in shares(reading.candidates))))
    topics = [c.label for c in reading.candidates if c.label != OUTSIDE]
    outside = turn.outcome == "outside" or not topics
    best, others = (None, []) if outside else (topics[0], topics[1:5])
    shown = 0.0 if outside else score[topics[0]]
    if turn.outcome == "unsure" and not outside:
        best, others = turn.topic, [name for name in turn.choices if name != turn.topic][:4]
    return {"clause": reading.clause, "kind": reading.kind, "topic": best, "score": shown,
            "others": [{"topic": name, "score": score.get(name, 0.0)} for name in others]}
