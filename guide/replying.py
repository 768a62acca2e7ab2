"""A reply: what was decided, with what the guide says about it and what comes next."""
from __future__ import annotations

from collections.abc import Sequence

from guide.guidance import Guidance, Matter
from guide.language.utterances import Utterance
from guide.log import Log
from guide.planning.items import View
from guide.planning.planner import NextStep, plan
from guide.quantities import Question
from guide.state.facts import State, changed
from guide.talk.deciding import Decision
from guide.turn import Change, Turn


class Replying:
    """Makes the turns of one log."""

    def __init__(self, log: Log, guidance: Guidance) -> None:
        self._log, self._guidance = log, guidance
        self.last: Turn | None = None
        """The last turn."""

    @property
    def question(self) -> Question | None:
        """What the figures of the last reply were asked of."""
        return self.last.question if self.last else None

    def next(self, state: State | None = None, told: Sequence[str] = (), about: str = "") -> tuple[NextStep, ...]:
        """What comes next, in the state as it is or as supposed, after `told` facts and a reply about a topic."""
        return tuple(plan(self._log.view(state), self._log.at, told=told, about=about))

    def reply(self, text: str, decision: Decision, utterance: Utterance | None = None, before: State | None = None,
              notes: Sequence[str] = (), *, state: State | None = None, question: Question | None = None,
              instead: tuple[View, Question] | None = None) -> Turn:
        """The turn for a decision, on the state as it is or as supposed; its figures by `question`, or as this sentence asks.
        `before`: the state before what the utterance told was noted; without it, nothing was."""
        readings = utterance.readings if utterance else ()
        now = self._log.state
        shown, was = now if state is None else state, now if before is None else before
        topic = decision.topics[0] if decision.topics and decision.outcome != "outside" else None
        reported = bool(changes_of(was, shown))
        changes = changes_of(was, now)
        steps = self.next(shown, [change.fact for change in changes], topic or "")
        asked = question or self._guidance.computing.question(topic or "", text, self._log.at)
        said = self._guidance.of(Matter(decision, self._log.view(shown), steps, readings, reported, self.last, self._log.at, asked, instead))
        steps = self._guidance.with_trouble(self._log.view(shown), steps, decision, readings, said.advice)
        return Turn(text, decision.outcome, topic, readings, changes, advice=said.advice, cautions=said.cautions, figures=said.figures, next=steps,
                    state=self._log.state.known(), notes=(*notes, *said.notes), question=said.question, weighed=decision.weighed, choices=decision.topics if decision.outcome == "unsure" else ())


def changes_of(before: State, after: State) -> tuple[Change, ...]:
    """The facts that differ between two states."""
    return tuple(Change._make(each) for each in changed(before, after))
