"""Questions about the plan itself: why not this, why this before that, why this first.

A question counts as one about the plan only where it names jobs of the plan; `why not drink sea water` names none that
could be done, and is answered as any other question.
"""
from __future__ import annotations

import re
from collections.abc import Mapping
from typing import NamedTuple

from guide.knowledge.base import Knowledge
from guide.knowledge.records import Step
from guide.language.reading import Reader
from guide.language.wording import regular, stem, stems
from guide.patterns import pattern
from guide.planning.items import View
from guide.planning.placing import behind_first, why_before
from guide.planning.planner import open_reason, plan
from guide.talk.before import Talk
from guide.talk.deciding import Deciding, Decision

_LEAD = r"^(?:(?:but|and|so|ok|okay|right|well|then|hang on|hm+)[, ]+)*why "
_WHO = r"(?:we|you|i|everybody|everyone)"
_ASKING = rf"(?:(?:is|are|does|do|did|should|must|would)? ?(?:{_WHO} )?)"
_COMES = r"(?:(?:come|go|stand|done|put|rank)e?s? )?"
_NOT = pattern(_LEAD + rf"(?:not|(?:are|do|would) (?:not {_WHO}|{_WHO} not))(?: just| simply)? (?P<one>.+)$")
_BEFORE = pattern(_LEAD + rf"{_ASKING}(?P<one>.+?) {_COMES}(?:before|ahead of|sooner than|earlier than) (?P<two>.+)$")
_RANKS = pattern(_LEAD + r"(?:is|are) |\b(?:come|go|stand|rank)(?:es|s)? (?:before|ahead)")
_FIRST = pattern(_LEAD + rf"{_ASKING}(?P<one>.+?) {_COMES}(?:first|next|on top|at the top)$")
_FURTHER = pattern(r"(?:[,;]| (?:because|since|right|straight) ).*")
"""Where the job is named, and what follows is no more than an argument."""
_CASE = pattern(r"\b(?:when|if|while|with|without|until|unless)\b")
"""A case of its own makes it a question about that case, not about the plan as it stands."""
_NAMED = 0.7
"""The share of the words of a part of a question that a job must have for the part to name it."""
_LOOKED_AT = 6
"""Topics, the likeliest first, whose jobs are looked at, with the neighbours of the first."""
_POINTING = frozenset("that this it".split())
_DENIAL = pattern(r"\b(?:no|not|never|nobody|nothing|none|without|no one|refuse)\b", re.IGNORECASE)
_FILLER = frozenset(map(stem, "a an the we you i they it is be to of on in at and or up out now then first just some any one straight away off all else "
                        "let put get go make take start anything everything anyone our us there have has had do does done right this that with for".split()))


class Asked(NamedTuple):
    """A question about the plan: `kind` is not, before or first; `two` only with before."""

    kind: str
    one: str
    two: str = ""
    ranks: bool = False
    """It says outright that one is before the other: `is the floor before`, `come before`."""


class Why(NamedTuple):
    """What is answered: the steps in question and the lines about them; or the topics to choose from for `unclear`."""

    lines: tuple[str, ...] = ()
    steps: tuple[Step, ...] = ()
    unclear: str = ""
    choices: tuple[str, ...] = ()


class Unclear(NamedTuple):
    """A question about the plan of which a part was unclear, and what its parts are known to mean."""

    question: Asked
    part: str
    chosen: Mapping[str, str]


def asked(text: str) -> Asked | None:
    """The question about the plan that a text asks, or None."""
    words = regular(text).rstrip(" ?!.")
    if "why" not in words:
        return None
    for kind, asks in (("not", _NOT), ("before", _BEFORE), ("first", _FIRST)):
        match = asks.match(words)
        if match and not _CASE.search(words) and (kind == "not" or not _DENIAL.search(match["one"])):
            before = kind == "before"
            return Asked(kind, _FURTHER.sub("", match["one"]), match["two"] if before else "", before and bool(_RANKS.search(words)))
    return None


class Whys:
    """Answers questions about the plan, by what the reader makes of the words in them."""

    def __init__(self, knowledge: Knowledge, reader: Reader, deciding: Deciding) -> None:
        self._knowledge, self._reader, self._deciding = knowledge, reader, deciding

    def answer(self, question: Asked, decided: Decision, view: View, now_at: str, chosen: Mapping[str, str]) -> Why | None:
        """The reasons, or what is unclear; None where the question, whose topic is `decided`, is not about jobs of the plan.
        `chosen` has the topic meant by a part that was unclear before."""
        if question.kind == "before":
            return self._before(question, decided, view, now_at, chosen)
        meant = self._meant(question.one, chosen, view)
        sure = question.one in chosen
        step = self._pointed(question, view, now_at) or self._job(question.one, meant, view, now_at, sure) \
            or self._job(question.one, decided, view, now_at)
        if step is None:
            return _unclear(question.one, meant) if decided.outcome != "answered" else None
        if question.kind == "first" and not (question.one in _POINTING or _about(decided, step)):
            return None
        behind = behind_first(view, step, now_at)
        lines = [f'"{step.say}"', *([f"  {behind}"] if behind else []), *open_reason(view, step, now_at).lines(1)]
        return Why(tuple(lines), (step,))

    def _before(self, question: Asked, decided: Decision, view: View, now_at: str, chosen: Mapping[str, str]) -> Why | None:
        parts = [(text, self._meant(text, chosen, view)) for text in (question.one, question.two)]
        found = [self._job(text, meant, view, now_at, text in chosen) for text, meant in parts]
        one, two = found
        if one is not None and two is not None:
            named = one.id != two.id and _about(decided, one, two)
            return Why(tuple(why_before(view, one, two, now_at).lines()), (one, two)) if named else None
        text, meant = parts[found.index(None)]
        known = one or two
        if known is None or not question.ranks or not _about(decided, known) or not _content(text):
            return None
        return _unclear(text, meant) or Why((f'No job of the plan is known by "{text}".',))

    def _meant(self, text: str, chosen: Mapping[str, str], view: View) -> Decision:
        """What a part of a question is about; whoever asks about the plan asks about the raft, whatever is known."""
        talk = Talk(self._knowledge, known={**view.state.known(), "aboard_raft": True})
        return Decision("answered", (chosen[text],)) if text in chosen else self._deciding.decide(talk, self._reader.read(text))

    @staticmethod
    def _pointed(question: Asked, view: View, now_at: str) -> Step | None:
        """`why that first`: the step that is first now."""
        first = plan(view, now_at, 1) if question.one in _POINTING else []
        return first[0].step if first else None

    def _job(self, text: str, meant: Decision, view: View, now_at: str, sure: bool = False) -> Step | None:
        """The job that is meant: of the jobs of the first topic that has one the one that shares most words with the text,
        an open one before others; None where the text is about something else, or no job has enough of its words and the topic is
        not `sure`."""
        said = _content(text)
        if meant.outcome != "answered" or not said:
            return None
        open_now = {item.step.id for item in plan(view, now_at, None)}
        topics = self._knowledge.topics
        near = dict.fromkeys((*meant.topics[:_LOOKED_AT], *(() if sure else topics[meant.topics[0]].see)))
        for topic in near:
            jobs = [step for name in topics[topic].steps if (step := self._knowledge.steps[name]).band != "note"]
            shared = {step.id: len(said & self._words(step)) for step in jobs}
            best = max(jobs, key=lambda step: (shared[step.id], step.id in open_now), default=None)
            if best is not None and (sure or shared[best.id] >= _NAMED * len(said)):
                return best
        return None

    def _words(self, step: Step) -> frozenset[str]:
        """The words for what is to be done: of the step without what it forbids, of the items it needs, and of its topic and
        name where its first sentence forbids nothing (a topic that is forbidden is no job)."""
        clauses = re.split(r"[,.;:!?]\s", step.say)
        items = [self._knowledge.equipment[name] for name in step.needs if name in self._knowledge.equipment]
        texts = [*(clause for clause in clauses if not _DENIAL.search(clause)), *(name for item in items for name in (item.name, *item.also))]
        if not _DENIAL.search(re.split(r"[.;!?]\s", step.say)[0]):
            texts += [self._knowledge.topics[step.topic].title, *(name.replace("_", " ") for name in (step.id, step.topic))]
        return frozenset[str]().union(*map(stems, texts))


def _content(text: str) -> set[str]:
    return set(stems(text) - _FILLER)


def _unclear(text: str, meant: Decision) -> Why | None:
    return Why(unclear=text, choices=meant.topics[:3]) if meant.outcome == "unsure" else None


def _about(decided: Decision, *steps: Step) -> bool:
    """Whether a question as a whole is about one of the steps, or about the plan, or by itself about nothing."""
    return decided.outcome != "answered" or decided.topics[0] in ("why", "what_now", *(step.topic for step in steps))
