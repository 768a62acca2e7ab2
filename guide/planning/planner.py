"""What comes next, and why: a pure function of knowledge and state."""
from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import NamedTuple

from guide.knowledge.records import Step
from guide.planning.items import View
from guide.planning.ordering import SHOWN, URGENT, Open, ordered, possible, stand_ins
from guide.planning.readiness import absent, allowed, any_returns, done, due_words, hindrance, lacking
from guide.planning.reasons import Reason, headline, item_reason, missing_words, standing, support

__all__ = ["ADVICE_LIMIT", "SHOWN", "URGENT", "NextStep", "Reason", "answer", "just_told", "open_reason", "plan"]

ADVICE_LIMIT = 9


class NextStep(NamedTuple):
    """A step that the crew can do now."""

    step: Step
    reason: Reason
    line: str
    """The reason in one line."""


def plan(view: View, now_at: str, limit: int | None = SHOWN, told: Sequence[str] = (), about: str = "") -> list[NextStep]:
    """The open steps, most urgent first; `now_at` is the ISO time by which returning steps are due. What the crew has just `told` (facts),
    in a turn `about` a topic, keeps the last place among the few where nothing that answers it stands before: they see that they were heard."""
    kept = now_at if any_returns(view) else "", limit, (about, *told) if told else ()
    if kept not in view.plans:
        items = list(enumerate(ordered(view, now_at)))
        view.plans[kept] = tuple(_explained(view, item, ahead, now_at) for ahead, item in _with_what_answers(view, items[:limit], items, told, about))
    return list(view.plans[kept])


def _with_what_answers(view: View, few: list[tuple[int, Open]], items: Sequence[tuple[int, Open]], told: Sequence[str], about: str) -> list[tuple[int, Open]]:
    """The first few, the last of them the first job that would change what was told, or else one about that, or one that it calls for, where none of
    its topic is among them; nothing that is urgent gives way."""
    if not told or not few or few[-1][1].step.band in URGENT:
        return few
    for answers in _answers(view, told):
        answering = [each for each in items if answers(each[1].step)]
        if answering:
            best = min(answering, key=lambda each: each[1].step.topic != about)
            heard = any(item.step.topic == best[1].step.topic for _, item in few)
            return few if heard else [*few[:-1], best]
    return few


def _answers(view: View, told: Sequence[str]) -> Iterator[Callable[[Step], bool]]:
    """What a job may be to what was told. What comes of a job is no news to act on, nor what is over."""
    known = {fact: view.lookup(fact) for fact in told}
    yield lambda step: any(fact in step.sets and step.sets[fact] != value for fact, value in known.items())
    news = [fact for fact, value in known.items() if value is True and (fact, True) not in view.knowledge.brought_about]
    topics = {view.knowledge.facts[fact].topic(True) for fact in news}
    yield lambda step: step.topic in topics
    called = frozenset().union(*(view.knowledge.jobs_called_by.get(fact, ()) for fact in news))
    yield lambda step: step.id in called


def just_told(view: View, step: Step) -> NextStep:
    """A step for what the crew has just told, of which the plan knows nothing."""
    line = f"{headline(view, step)}; it was just told"
    return NextStep(step, Reason("rule", line, support(view, step)), line)


def open_reason(view: View, step: Step, now_at: str = "") -> Reason:
    """Why a step is, or is not, next. Without `now_at` (ISO) the time of the last event counts."""
    now_at = now_at or view.state.at
    if step.band == "note":
        return Reason("blocked", "it answers a question and is no job", (Reason("rule", step.why),))
    hindered = hindrance(view, step, now_at)
    if hindered is not None:
        return Reason("blocked", "not now", (hindered,))
    if lacking(view, step):
        return _lacking_reason(view, step, now_at)
    items = ordered(view, now_at)
    ahead = next(n for n, item in enumerate(items) if item.step.id == step.id)
    found = _explained(view, items[ahead], ahead, now_at).reason
    if ahead < SHOWN:
        return found
    first = tuple(Reason("rule", item.step.say.split(". ")[0]) for item in items[:SHOWN])
    return Reason("rule", f"it can be done now, but {ahead} others go first", (*first, found))


def answer(view: View, step_ids: Iterable[str], skip_done: bool = False) -> tuple[list[Step], list[str]]:
    """At most nine steps to show as advice, and one sentence for each item missing without a stand-in.

    Left out: what must not be done now, the side not taken in a dispute, and what lacks an item;
    with `skip_done` what is done as well, unless it returns.
    """
    shown: dict[str, Step] = {}
    missing: dict[str, None] = {}
    steps = [step for name in step_ids for step in (view.knowledge.steps[name],)
             if view.chosen(step.dispute) and not (skip_done and not step.again_s and done(view, step))]
    idle = [step for step in steps if _is_how_to_use(view, step)]
    missing.update(dict.fromkeys(missing_words(view, step.topic) for step in idle))
    for step in [step for step in steps if step not in idle] or idle:
        usable = _usable(view, step)
        if usable is not None:
            shown.setdefault(usable.id, usable)
        else:
            missing.update(dict.fromkeys(missing_words(view, item) for item in absent(view, step)))
    return list(shown.values())[:ADVICE_LIMIT], list(missing)


def _is_how_to_use(view: View, step: Step) -> bool:
    """Whether a step says how to use a thing that its topic is about and that was reported to be lacking."""
    return step.topic in step.uses and view.state.value(f"has_{step.topic}") is False


def _usable(view: View, step: Step) -> Step | None:
    """The step as advice, or what stands in for it where it lacks an item; None where nothing does."""
    if not allowed(view, step):
        return None
    return next((s for s in stand_ins(view, step) if allowed(view, s) and not lacking(view, s)), None)


def _explained(view: View, item: Open, ahead: int, now_at: str) -> NextStep:
    step = item.step
    parts = [headline(view, step)]
    if item.instead_of is not None:
        parts = [missing_words(view, name).rstrip(".") + ": this stands in" for name in lacking(view, item.instead_of)]
    line = "; ".join(part for part in (*parts, due_words(view, step, now_at), standing(step, ahead)) if part)
    instead = () if item.instead_of is None else tuple(item_reason(view, n) for n in lacking(view, item.instead_of))
    return NextStep(step, Reason("rule", line, (*instead, *support(view, step))), line)


def _lacking_reason(view: View, step: Step, now_at: str) -> Reason:
    found = tuple(item_reason(view, item) for item in lacking(view, step))
    stand_in = possible(view, step, now_at)
    words = "nothing stands in for it" if stand_in is None else f"instead: {stand_in.say}"
    return Reason("blocked", "something it needs is missing", (*found, Reason("rule", words)))
