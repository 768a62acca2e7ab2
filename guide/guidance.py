"""What a reply says about its topic: advice, cautions, figures, and lines about the conversation itself."""
from __future__ import annotations

from collections.abc import Sequence

from guide.computing import Computing, told_amounts
from guide.knowledge.base import Knowledge
from guide.knowledge.language import SIGHTED
from guide.knowledge.records import Step
from guide.language.numbers import split
from guide.language.units import Units
from guide.language.utterances import Reading
from guide.language.wording import regular
from guide.packing import packed
from guide.planning.items import View
from guide.planning.planner import SHOWN, URGENT, NextStep, answer, just_told, plan
from guide.planning.readiness import returning, returning_words
from guide.planning.reasons import fact_words
from guide.quantities import Question
from guide.recognising import likely_items
from guide.talk.before import PATIENT
from guide.talk.deciding import Decision
from guide.turn import Advice, Turn, in_short

_TROUBLES = "troubles"
"""The list of the lexicon of topics that are no casualty's and, once reported, keep a place in the plan of that turn."""
Parts = tuple[tuple[Advice, ...], tuple[str, ...], tuple[dict[str, object], ...], tuple[str, ...], Question | None]
_MOST_CAUTIONS = 5
"""Cautions of an answer; beyond them only the first of a step, for none is shown without one of its own."""
_MOST_AFTER_REPORT = 3
"""Steps shown after a plain report: what matters then is what comes next, not the whole lesson."""


class Guidance:
    """Answers for topics, from one knowledge."""

    def __init__(self, knowledge: Knowledge) -> None:
        self._knowledge = knowledge
        self.computing = Computing(knowledge)
        self._units = Units(knowledge.language.words)

    def of(self, decision: Decision, view: View, steps: Sequence[NextStep], *, readings: Sequence[Reading],
           reported: bool, last: Turn | None, now_at: str, question: Question, instead: tuple[View, Question] | None = None) -> Parts:
        """Advice, cautions, figures and notes for a decision at the ISO time `now_at`, and what the figures were asked of.

        With `instead` the figures are compared with those of that view and question. Nothing is advised when outside or unsure.
        """
        if decision.outcome != "answered":
            return (), (), (), (), None
        topic = decision.topics[0]
        view = self._as_asked(view, readings)
        if topic == "what_now":
            return self._shown(view, [*(n.step for n in steps), *_meanwhile(view, steps, now_at)], (), most=None)
        if topic == "what_done":
            return self._shown(view, *self._of_topic(view, topic), notes=self._status(view, now_at))
        if topic == "why":
            return self._shown(view, *self._of_topic(view, topic), notes=self._why(view, last))
        if topic == "unknown_item":
            likely = likely_items(" ".join(r.clause for r in readings), self._knowledge.equipment)
            return self._shown(view, *self._of_topic(view, topic),
                               notes=[f"It may be the {item.name}: {item.what} {item.use}" for item in likely])
        about = packed(question, view, asks=bool(question.wants) or any(r.kind in ("question", "command") for r in readings))
        if about:
            listed, missing = self._of_topic(view, topic) if about.steps is None else answer(view, about.steps)
            return self._shown(view, listed, missing, notes=about.notes, question=about.question)
        told = told_amounts(self.computing.meant(question, (told for reading in readings for told in reading.told)))
        worked = self.computing.of(question, view, told, now_at)
        if instead:
            worked = self.computing.compared(worked, self.computing.of(instead[1], instead[0], {}, now_at))
        listed, missing = self._of_topic(view, topic, skip_done=reported)
        if reported and self._knowledge.topics[topic].band == "ordered" and not any(r.kind == "question" for r in readings):
            listed = listed[:_MOST_AFTER_REPORT]
        return self._shown(view, listed, missing, figures=worked.figures, notes=worked.notes,
                           question=worked.question if worked.figures or worked.question and worked.question.wants else None)

    def with_trouble(self, view: View, steps: Sequence[NextStep], decision: Decision, readings: Sequence[Reading],
                     advice: Sequence[Advice]) -> tuple[NextStep, ...]:
        """The next steps with the first of the advice among them, where the crew reports a trouble that the plan knows nothing of: that of a casualty
        goes before all that is not urgent, any other keeps the last place."""
        topic, lists = decision.topics[0] if decision.outcome == "answered" else "", self._knowledge.language.words
        if topic not in (*lists[PATIENT], *lists[_TROUBLES]) or self._knowledge.facts_about.get(topic) or not advice \
                or any(item.step.topic == topic for item in steps) or {reading.kind for reading in readings} != {"report"}:
            return tuple(steps)
        urgent = sum(item.step.band in URGENT for item in steps)
        at = urgent if topic in lists[PATIENT] else max(urgent, min(len(steps), SHOWN - 1))
        return (*steps[:at], just_told(view, advice[0].step), *steps[at:])[:SHOWN]

    def of_steps(self, view: View, steps: Sequence[Step]) -> tuple[tuple[Advice, ...], tuple[str, ...]]:
        """Just these steps, as advice with its cautions; without those that must not be done now."""
        shown, missing = answer(view, [step.id for step in steps])
        return self._shown(view, shown, missing)[:2]

    def _of_topic(self, view: View, topic: str, skip_done: bool = False) -> tuple[list[Step], list[str]]:
        return answer(view, self._knowledge.topics[topic].steps, skip_done=skip_done)

    def _shown(self, view: View, steps: Sequence[Step], missing: Sequence[str], *,
               figures: Sequence[dict[str, object]] = (), notes: Sequence[str] = (), question: Question | None = None,
               most: int | None = _MOST_CAUTIONS) -> Parts:
        advice = tuple(Advice(step, self._equipment(view, step)) for step in steps)
        cautions = [self._knowledge.cautions[name].say for name in _kept(steps, most)]
        return advice, (*missing, *cautions), tuple(figures), tuple(notes), question

    @staticmethod
    def _equipment(view: View, step: Step) -> tuple[str, ...]:
        """The items a step uses, without what is known to be lacking."""
        return tuple(item for item in dict.fromkeys((*step.needs, *step.uses)) if view.lookup("has:" + item) is not False)

    def _as_asked(self, view: View, readings: Sequence[Reading]) -> View:
        """The view with what a question speaks of as if it were there: `should we fire the rocket at the helicopter` is answered as where one is
        about. Of which facts that is so stands in the lexicon (`asked_as_so`)."""
        asked = [split(regular(reading.clause)) for reading in readings if reading.kind == "question"]
        able = self._knowledge.language.words.get("asked_as_so", ()) if asked else ()
        spoken = {fact: True for fact in able if view.state.value(fact) is not True and any(self._units.any(SIGHTED[fact], words) for words in asked)}
        return view.supposing(spoken) if spoken else view

    def _status(self, view: View, now_at: str) -> list[str]:
        """What is known, one line a fact; what was done; what returns, with when it was last done and when it is due."""
        lines = [fact_words(view, name, entry.value) for name, entry in view.state.facts.items()]
        again = {item.step.id: item for item in returning(view, now_at) if item.last_at is not None}
        once = [self._knowledge.steps[name] for name in view.state.done if name in self._knowledge.steps and name not in again]
        lines += [f"done: {in_short(step.say, '')}" for step in once]
        lines += [f"again: {returning_words(item)}" for item in again.values()]
        return lines or ["Nothing has been reported yet."]

    def _why(self, view: View, last: Turn | None) -> list[str]:
        """Facts, rule and source of the last advice: the reason trees the planner returned, and the steps' own whys."""
        if last is None or not (last.advice or last.next):
            return ["Nothing has been advised yet."]
        lines: list[str] = []
        advised = [] if last.topic == "take_back" else [a.step for a in last.advice[:2]]  # how to undo is no advice
        steps = advised or [n.step for n in last.next[:2]]
        for step in steps:
            lines.append(f'"{step.say}" {step.why} [{"; ".join(self._knowledge.cite(s) for s in step.sources)}]')
            lines += self._dispute(step)
            lines += self._signed(step)
        for item in last.next[:2]:
            lines.append(f'Next is "{in_short(item.step.say)}" because:')
            lines += item.reason.lines(1)
        return lines

    def _signed(self, step: Step) -> list[str]:
        """Who reviewed the step, where a file of reviews stands beside the knowledge. It is read only now."""
        from pathlib import Path

        from guide import signoff
        from guide.knowledge.claims import claim_of
        folder = self._knowledge.folder
        line = signoff.told(claim_of(self._knowledge, "step", step), Path(folder)) if folder else ""
        return [line] if line else []

    def _dispute(self, step: Step) -> list[str]:
        if not step.dispute:
            return []
        dispute = self._knowledge.disputes[step.dispute.partition(".")[0]]
        others = [p.says for p in dispute.positions if p.id != step.dispute.partition(".")[2]]
        return [f"Sources disagree: {dispute.question} Other view: {' / '.join(others)} This guide: {dispute.because}"]


def _kept(steps: Sequence[Step], most: int | None) -> list[str]:
    """The cautions to show, in their order: the first `most`, and of every step the first."""
    named = list(dict.fromkeys(name for step in steps for name in step.cautions))
    kept = {*named[:most], *(step.cautions[0] for step in steps if step.cautions)}
    return [name for name in named if name in kept]


def _meanwhile(view: View, steps: Sequence[NextStep], now_at: str) -> list[Step]:
    """A chance of being seen that emergencies keep out of the steps shown: it lasts only minutes, and takes one free hand."""
    if not steps or any(item.step.band != "emergency" for item in steps):
        return []
    return [item.step for item in plan(view, now_at, None) if item.step.band == "chance"][:1]
