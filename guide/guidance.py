"""What a reply says about its topic: advice, cautions, figures, and lines about the conversation itself."""
from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from guide.computing import Computing, told_amounts
from guide.knowledge.base import Knowledge
from guide.knowledge.language import SIGHTED
from guide.knowledge.records import Step
from guide.language.numbers import split
from guide.language.units import Units
from guide.language.utterances import Reading, told_in
from guide.language.wording import regular
from guide.packing import packed
from guide.planning.items import View
from guide.planning.planner import SHOWN, URGENT, NextStep, answer, just_told, plan
from guide.planning.readiness import returning, returning_words
from guide.planning.reasons import fact_words
from guide.pointing import pointed_at_first
from guide.quantities import Question
from guide.recognising import likely_items
from guide.talk.before import PATIENT
from guide.talk.deciding import Decision
from guide.turn import Advice, Turn, in_short

_TROUBLES = "troubles"
"""The list of the lexicon of topics that are no casualty's and, once reported, keep a place in the plan of that turn."""
_MOST_CAUTIONS = 5
"""Cautions of an answer; beyond them only the first of a step, for none is shown without one of its own."""
_MOST_AFTER_REPORT = 3
"""Steps shown after a plain report: what matters then is what comes next, not the whole lesson."""


class Matter(NamedTuple):
    """What a reply is about, and as things stand."""

    decision: Decision
    view: View
    steps: Sequence[NextStep]
    """What comes next."""
    readings: Sequence[Reading]
    reported: bool
    """Something was noted."""
    last: Turn | None
    now_at: str
    """ISO time."""
    question: Question
    """What figures are asked of."""
    instead: tuple[View, Question] | None = None
    """With which the figures are compared."""

    @property
    def topic(self) -> str:
        """The topic that is answered."""
        return self.decision.topics[0]


class Said(NamedTuple):
    """What is said about it."""

    advice: tuple[Advice, ...] = ()
    cautions: tuple[str, ...] = ()
    """What is missing, then the cautions of the steps."""
    figures: tuple[dict[str, object], ...] = ()
    notes: tuple[str, ...] = ()
    question: Question | None = None
    """What the figures were asked of."""


class Guidance:
    """Answers for topics, from one knowledge."""

    def __init__(self, knowledge: Knowledge) -> None:
        self._knowledge = knowledge
        self.computing = Computing(knowledge)
        self._units = Units(knowledge.language.words)

    def of(self, matter: Matter) -> Said:
        """What is said; nothing is advised when outside or unsure."""
        if matter.decision.outcome != "answered":
            return Said()
        matter = matter._replace(view=self._as_asked(matter.view, matter.readings))
        return self._of_the_talk(matter) or self._of_the_pack(matter) or self._of_figures(matter)

    def _of_the_talk(self, matter: Matter) -> Said | None:
        """An answer about the talk itself, or about a thing that nobody knows."""
        view, topic = matter.view, matter.topic
        if topic == "what_now":
            return self._shown(view, [*(n.step for n in matter.steps), *_meanwhile(view, matter.steps, matter.now_at)], (), most=None)
        notes = {"what_done": self._status, "why": self._why, "unknown_item": self._likely}.get(topic)
        return self._shown(view, *self._of_topic(matter), notes=notes(matter)) if notes else None

    def _of_the_pack(self, matter: Matter) -> Said | None:
        """An answer by what the pack holds; None where it is not asked for."""
        asks = bool(matter.question.wants) or any(r.kind in ("question", "command") for r in matter.readings)
        about = packed(matter.question, matter.view, asks=asks)
        if not about:
            return None
        listed, missing = self._of_topic(matter) if about.steps is None else answer(matter.view, about.steps)
        return self._shown(matter.view, listed, missing, notes=about.notes, question=about.question)

    def _of_figures(self, matter: Matter) -> Said:
        """The steps of the topic with its figures; of a plain report only the first steps that are left to do."""
        view, question = matter.view, matter.question
        told = told_amounts(self.computing.meant(question, told_in(matter.readings)))
        worked = self.computing.of(question, view, told, matter.now_at)
        if matter.instead:
            worked = self.computing.compared(worked, self.computing.of(matter.instead[1], matter.instead[0], {}, matter.now_at))
        listed, missing = self._of_topic(matter, skip_done=matter.reported)
        if matter.reported and self._knowledge.topics[matter.topic].band == "ordered" and not any(r.kind == "question" for r in matter.readings):
            listed = listed[:_MOST_AFTER_REPORT]
        asked_for = worked.question if worked.figures or worked.question and worked.question.wants else None
        return self._shown(view, listed, missing, figures=worked.figures, notes=worked.notes, question=asked_for)

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

    def of_steps(self, view: View, steps: Sequence[Step]) -> Said:
        """Just these steps, with their cautions; without those that must not be done now."""
        return self._shown(view, *answer(view, [step.id for step in steps]))

    def _of_topic(self, matter: Matter, skip_done: bool = False) -> tuple[list[Step], list[str]]:
        """The steps of the topic, the one first that what was asked, or told without a fact, points at; and what is missing."""
        steps = [self._knowledge.steps[name] for name in self._knowledge.topics[matter.topic].steps]
        asked = [reading for reading in matter.readings if reading.kind != "report" or not matter.reported]
        told, coming = all(reading.kind == "report" for reading in asked), {item.step.id for item in matter.steps[:1]}

        def presses(step: Step) -> bool:
            return step.id in coming or step.band == "emergency" and matter.view.all_hold(step.when)

        pointed = pointed_at_first(" ".join(reading.clause for reading in asked), steps, self._knowledge.generic, presses, told=told) if asked else steps
        return answer(matter.view, [step.id for step in pointed], skip_done=skip_done)

    def _shown(self, view: View, steps: Sequence[Step], missing: Sequence[str], *,
               figures: Sequence[dict[str, object]] = (), notes: Sequence[str] = (), question: Question | None = None,
               most: int | None = _MOST_CAUTIONS) -> Said:
        advice = tuple(Advice(step, self._equipment(view, step)) for step in steps)
        cautions = [self._knowledge.cautions[name].say for name in _kept(steps, most)]
        return Said(advice, (*missing, *cautions), tuple(figures), tuple(notes), question)

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

    def _likely(self, matter: Matter) -> list[str]:
        """What a thing may be that nobody knows, by how it looks."""
        likely = likely_items(" ".join(r.clause for r in matter.readings), self._knowledge.equipment)
        return [f"It may be the {item.name}: {item.what} {item.use}" for item in likely]

    def _status(self, matter: Matter) -> list[str]:
        """What is known, one line a fact; what was done; what returns, with when it was last done and when it is due."""
        view = matter.view
        lines = [fact_words(view, name, entry.value) for name, entry in view.state.facts.items()]
        again = {item.step.id: item for item in returning(view, matter.now_at) if item.last_at is not None}
        once = [self._knowledge.steps[name] for name in view.state.done if name in self._knowledge.steps and name not in again]
        lines += [f"done: {in_short(step.say, '')}" for step in once]
        lines += [f"again: {returning_words(item)}" for item in again.values()]
        return lines or ["Nothing has been reported yet."]

    def _why(self, matter: Matter) -> list[str]:
        """Facts, rule and source of the last advice: the reason trees the planner returned, and the steps' own whys."""
        last = matter.last
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
