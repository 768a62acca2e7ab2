"""Whether a step can be done now: what forbids it, what it lacks, whether it is done, and due again."""
from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from guide.knowledge.conditions import Atom
from guide.knowledge.records import Step
from guide.planning.items import View
from guide.planning.reasons import Reason, failing, holding, moment_words
from guide.state.facts import Entry

if TYPE_CHECKING:
    from datetime import datetime


class Returning(NamedTuple):
    """A step that returns: when it was last done, and when it is due."""

    step: Step
    last_at: str | None
    """ISO time, None where it was not done yet."""
    again_s: float
    due_in_s: float
    """Seconds until it is due; negative where it is overdue, 0 where it was never done."""


def allowed(view: View, step: Step) -> bool:
    """Whether it is on the side taken in its dispute and nothing forbids it now."""
    return view.chosen(step.dispute) and not view.any_holds(step.unless)


def lacking(view: View, step: Step) -> tuple[str, ...]:
    """The items that it needs and that are known not to be there."""
    return tuple(item for item in step.needs if view.has(item) is False)


def absent(view: View, step: Step) -> tuple[str, ...]:
    """The items whose absence keeps the step from being shown: those it needs, and those it is no use without."""
    useless = [atom.fact for condition in step.unless for atom in condition.met(view.lookup) if atom.op == "lacks"]
    return tuple(dict.fromkeys([*lacking(view, step), *useless]))


def ready(view: View, step: Step, now_at: str) -> bool:
    """Whether it can be done now, items apart; `now_at` is the ISO time by which returning steps are due."""
    return view.all_hold(step.when) and allowed(view, step) and not settled(view, step, now_at)


def settled(view: View, step: Step, now_at: str) -> bool:
    """Whether it is done and not due again."""
    return done(view, step) and not due(view, step, now_at)


def hindrance(view: View, step: Step, now_at: str) -> Reason | None:
    """The first thing that keeps it from being ready; None where it is."""
    if not view.chosen(step.dispute):
        return Reason("blocked", f"it follows a side of a dispute that is not taken: {step.dispute}")
    if settled(view, step, now_at):
        return _settled_reason(view, step)
    for condition in step.when:
        if not view.holds(condition):
            return failing(view, condition)
    for condition in step.unless:
        if view.holds(condition):
            return Reason("blocked", f"not while {condition.words()}", (holding(view, condition),))
    return None


def _settled_reason(view: View, step: Step) -> Reason:
    again = f"; due every {span(step.again_s)}" if step.again_s else ""
    mark = _mark(view, step)
    if mark is not None:
        quote = f' (you said: "{mark.text}")' if mark.text else ""
        return Reason("blocked", f"done at {moment_words(mark.at)}{quote}{again}")
    return Reason("blocked", f"it is done{again}", tuple(holding(view, condition) for condition in step.done_when))


def done(view: View, step: Step) -> bool:
    """Whether it was done, by what it brings about or by its mark."""
    return _brought_about(view, step) or _mark(view, step) is not None


def due(view: View, step: Step, now_at: str) -> bool:
    """Whether a returning step that was done is to be done again. Without a time known it is not."""
    passed = _since_done(view, step, now_at)
    return passed is not None and bool(step.again_s) and passed >= step.again_s


def urgency(view: View, step: Step, now_at: str) -> int:
    """How urgent a step is that can be done now: a point for each condition that makes it so, and one for each time that a
    returning step has come due since it was last done."""
    times = int((_since_done(view, step, now_at) or 0.0) // step.again_s) if step.again_s else 0
    return times + sum(map(view.holds, step.sooner_when))


def returning(view: View, now_at: str) -> list[Returning]:
    """The returning steps that can be done now, each with when it was last done; the longest overdue first.

    `now_at` is the ISO time. One of which the time is not known counts as done just now.
    """
    found = [_returning(view, step, now_at) for step in view.knowledge.jobs
             if step.again_s and view.all_hold(step.when) and allowed(view, step) and not lacking(view, step)]
    return sorted(found, key=lambda item: item.due_in_s)


def any_returns(view: View) -> bool:
    """Whether a returning step was done, so that a plan depends on the time."""
    return any(done(view, step) for step in view.knowledge.returning)


def _returning(view: View, step: Step, now_at: str) -> Returning:
    if not done(view, step):
        return Returning(step, None, step.again_s, 0.0)
    passed = _since_done(view, step, now_at)
    return Returning(step, _last_done(view, step), step.again_s, step.again_s - (passed or 0.0))


def due_words(view: View, step: Step, now_at: str) -> str:
    """When a returning step was last done and how often it returns; nothing where it was not done."""
    passed = _since_done(view, step, now_at)
    if passed is None or not step.again_s:
        return ""
    return f"last done {_ago(passed)}, due every {span(step.again_s)}"


def returning_words(item: Returning) -> str:
    """`last done 20 min ago, every 1 h, due in 40 min`, and what it is."""
    late = f"due in {span(item.due_in_s)}" if item.due_in_s > 0 else f"overdue by {span(-item.due_in_s)}" if item.due_in_s <= -60 else "due now"
    last = f"last done {_ago(item.again_s - item.due_in_s)}, " if item.last_at is not None else ""
    return f"{item.step.say.split('. ')[0].rstrip('.')}: {last}every {span(item.again_s)}, {late}"


def span(seconds: float) -> str:
    """A stretch of time in words: `20 min`, `2 h`, `3 d 4 h`."""
    minutes = round(seconds / 60)
    if minutes < 60:
        return f"{minutes} min"
    parts = [(minutes // 1440, "d"), (minutes // 60 % 24, "h"), (minutes % 60, "min")]
    return " ".join(f"{number} {unit}" for number, unit in [part for part in parts if part[0]][:2])


def _ago(seconds: float) -> str:
    return f"{span(seconds)} ago" if seconds >= 60 else "just now"


def _brought_about(view: View, step: Step) -> bool:
    return bool(step.done_when) and view.all_hold(step.done_when)


def _mark(view: View, step: Step) -> Entry | None:
    """The mark that the step was done, unless what calls for it has come up anew since."""
    mark = view.state.done.get(step.id)
    if mark is None:
        return None
    undone = bool(step.done_when) and not _brought_about(view, step)
    if undone and any(_turned(view, atom) > mark.turn for c in step.done_when for atom in c.any_of):
        return None
    if any(_turned(view, atom) > mark.turn and _came_up(view, atom) for c in step.when for atom in c.any_of):
        return None
    return mark


def _turned(view: View, atom: Atom) -> int:
    entry = view.state.facts.get(atom.fact)
    return -1 if entry is None or atom.op in ("has", "lacks") else entry.turned


def _came_up(view: View, atom: Atom) -> bool:
    """Whether the last change of its fact made the atom hold. Hearing what was presumed anyway is no change."""
    entry = view.state.facts[atom.fact]
    if entry.was is None and any(p.fact == atom.fact for p in view.knowledge.presumptions):
        return False
    return atom.holds(lambda _: entry.value) and not atom.holds(lambda _: entry.was)


def _last_done(view: View, step: Step) -> str | None:
    """The ISO time at which the step was last done, by its mark or by the report of what it brings about."""
    mark = _mark(view, step)
    times = [] if mark is None else [mark.at]
    if _brought_about(view, step):
        facts = [atom.fact for condition in step.done_when for atom in condition.any_of]
        times += [view.state.facts[fact].at for fact in facts if fact in view.state.facts]
    moments = {at: moment for at in times if (moment := _moment(at)) is not None}
    return max(moments, key=lambda at: moments[at], default=None)


def _since_done(view: View, step: Step, now_at: str) -> float | None:
    """Seconds since the step was last done; None where it was not, or where no time is known."""
    done = _last_done(view, step)
    if not done:
        return None
    last, now = _moment(done), _moment(now_at)
    return (now - last).total_seconds() if last is not None and now is not None else None


def _moment(at: str) -> datetime | None:
    """An ISO time; without an offset it counts as UTC."""
    from datetime import UTC, datetime
    try:
        moment = datetime.fromisoformat(at)
    except ValueError:
        return None
    return moment if moment.tzinfo else moment.replace(tzinfo=UTC)
