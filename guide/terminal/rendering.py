"""A turn as rows of plain text: what was understood, what to do, what not to miss, what comes next.

Pure functions of a turn. Rows are measured as a terminal shows them, and nothing that was typed is echoed with control
characters in it. Spoken rows are for a screen reader or large letters: one thing a row, its kind said in words.
"""
from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from typing import NamedTuple

from guide.knowledge.base import Knowledge
from guide.knowledge.records import Fact, Step
from guide.language.wording import clean
from guide.planning.planner import NextStep
from guide.terminal.wrapping import wrapped
from guide.turn import Change, Turn, in_short

OUTSIDE = ("That is not something this guide covers, or it was not understood. It is about leaving ship and living in a liferaft: "
           "say what is wrong in a few plain words. What now: the next steps.")
MORE = 'More: type "more".'
_NARROW = 60
"""Columns below which a hanging indent is kept short."""
_UNITS = {"items": "", "persons": "", "degC": "°C", "deg": "°"}
_TALK = ("what_now", "take_back")
"""Topics about the talk itself: with a note in the reply their title tells nothing more."""
_SELF = ("take_back", "why", "what_done")
"""Topics of which the notes are the whole answer; their steps say only how to ask."""
_HEAD, _FIRST, _NEXT, _LATER, _LAST, _ASKED = 0, 1, 2, 3, 99, 100
"""Ranks: what was understood; the first step, its cautions and what is missing; the first next step; further notes, then the
other steps, each with its cautions; the steps after the next; what nobody asked for."""


class Row(NamedTuple):
    """A row of the screen and what it belongs to: head, note, step, caution, choice, next or more."""

    kind: str
    text: str


class _Item(NamedTuple):
    """Rows that are shown together; where not all fit, those of a lower rank go first, a rank whole or not at all."""

    rank: int
    rows: tuple[Row, ...]


class _Page(NamedTuple):
    """How rows are set: wrapped to a width with marks in front, or spoken."""

    width: int
    spoken: bool

    def item(self, rank: int, kind: str, text: str, mark: str = "", said: str = "", hang: int | None = None) -> _Item:
        """One thing behind its mark, or behind what is said instead of the mark."""
        if self.spoken:
            return _Item(rank, (Row(kind, said + " ".join(clean(part) for part in text.split())), Row(kind, "")))
        return _Item(rank, tuple(Row(kind, row) for row in wrapped(text, self.width, mark, len(mark) if hang is None else hang)))


def turn_lines(turn: Turn, knowledge: Knowledge, *, width: int = 80, most: int | None = None, spoken: bool = False) -> list[str]:
    """The reply as lines of at most `width` columns; of at most `most` rows, the last then saying that there is more."""
    return [row.text for row in screens(turn, knowledge, width=width, most=most, spoken=spoken)[0]]


def screens(turn: Turn, knowledge: Knowledge, *, width: int = 80, most: int | None = None, spoken: bool = False) -> list[list[Row]]:
    """The whole reply, cut into screens of at most `most` rows at whole things; at least one screen.

    A step and its cautions stay on one screen where they fit, the first of the next steps is never left for later while
    a step is shown that could wait, and what nobody asked for has no place on the first screen.
    """
    items = [item for item in _items(turn, knowledge, _Page(width, spoken)) if item.rows]
    if most is None:
        return [[row for item in items for row in item.rows]]
    parts = [part for part in ([i for i in items if i.rank < _ASKED], [i for i in items if i.rank >= _ASKED]) if part]
    shown = [screen for part in parts for screen in _screens(part, most - 1 if part is not parts[-1] else most)] or [[]]
    return [screen + [Row("more", MORE)] for screen in shown[:-1]] + shown[-1:]


def paged(rows: Sequence[Row], most: int) -> list[list[Row]]:
    """Rows that are no reply as screens of at most `most` rows, all but the last saying that there is more."""
    starts = range(0, len(rows), most - 1)
    parts = [list(rows[at:at + most - 1]) for at in starts]
    return [[*part, Row("more", MORE)] for part in parts[:-1]] + parts[-1:]


def _screens(left: list[_Item], most: int) -> Iterator[list[Row]]:
    while sum(len(item.rows) for item in left) > most:
        chosen, left = _fitting(left, max(1, most - 1))
        yield [row for item in chosen for row in item.rows]
    yield [row for item in left for row in item.rows]


def _fitting(items: list[_Item], room: int) -> tuple[list[_Item], list[_Item]]:
    """What is shown in `room` rows, and what is left; an item longer than a screen is cut at a row."""
    order = sorted(range(len(items)), key=lambda n: (items[n].rank, n))
    chosen: set[int] = set()
    for rank, members in groupby(order, key=lambda n: items[n].rank):
        together = list(members)
        room_left = room - sum(len(items[n].rows) for n in chosen)
        if sum(len(items[n].rows) for n in together) > room_left:
            chosen.update(_some(items, together, room_left) if rank in (_HEAD, _FIRST, _LATER) or not chosen else ())
            break
        chosen.update(together)
    if chosen:
        return [item for n, item in enumerate(items) if n in chosen], [item for n, item in enumerate(items) if n not in chosen]
    at, rows = order[0], items[order[0]].rows
    return [_Item(_HEAD, rows[:room])], [*items[:at], items[at]._replace(rows=rows[room:]), *items[at + 1:]]


def _some(items: list[_Item], members: Sequence[int], room: int) -> Iterator[int]:
    """As many of one rank as fit, from the top."""
    for n in members:
        room -= len(items[n].rows)
        if room < 0:
            return
        yield n


def _items(turn: Turn, knowledge: Knowledge, page: _Page) -> Iterator[_Item]:
    """The reply from top to bottom."""
    for line in _heads(turn, knowledge):
        yield page.item(_HEAD, "head", line)
    if turn.outcome == "outside":
        return
    for number, note in enumerate(turn.notes):
        blanks = "- " if turn.topic == "what_done" else " " * min(len(note) - len(note.lstrip(" ")), page.width // 4)
        yield page.item(_FIRST if number == 0 else _LATER, "note", note, blanks)
    if _only_told(turn, knowledge):
        yield from _next(turn, knowledge, page)
        yield page.item(_ASKED, "head", f"About: {knowledge.topics[turn.topic or ''].title}")
        yield from (item._replace(rank=_ASKED + item.rank) for item in _advice(turn, knowledge, page))
        return
    presses = _presses(turn, knowledge)
    if presses:
        yield from _next(turn, knowledge, page)
    yield from _advice(turn, knowledge, page)
    if turn.outcome == "unsure":
        yield from _choices(turn, knowledge, page)
    if turn.supposed is not None:
        yield from (page.item(_NEXT, "note", line, hang=2) for line in _compared(turn, knowledge))
    if not presses:
        yield from _next(turn, knowledge, page)


def _presses(turn: Turn, knowledge: Knowledge) -> bool:
    """Whether what comes next is more urgent than the steps about a report, so that it is told before them."""
    if not turn.next or not _reports(turn) or _comes_after(turn, knowledge):
        return False
    first = turn.next[0].step
    urgent = first.band in ("emergency", "chance") or first.band == "immediate" and not turn.as_before
    return urgent and first.id not in [advice.step.id for advice in turn.advice]


def _only_told(turn: Turn, knowledge: Knowledge) -> bool:
    """Whether something was reported and nothing asked, and none of the steps about it is left to do. Of an emergency that
    holds only where the report ends it."""
    topic = knowledge.topics.get(turn.topic or "")
    told = bool(turn.changes) and turn.outcome == "answered" and _reports(turn)
    if not told or topic is None or not turn.next or not turn.advice or turn.figures:
        return False
    coming = {item.step.id for item in turn.next}
    ended = topic.band == "ordered" or all(change.now is False for change in turn.changes)
    return ended and not any(advice.step.id in coming or _to_do(advice.step, turn) for advice in turn.advice)


def _to_do(step: Step, turn: Turn) -> bool:
    """Whether the step is a job, and what it brings about is not reported."""
    return step.band != "note" and not (step.done_when and all(condition.holds(turn.state.get) for condition in step.done_when))


def _heads(turn: Turn, knowledge: Knowledge) -> Iterator[str]:
    """What was understood: the facts, and the topic where something was asked or nothing changed."""
    if turn.outcome == "outside":
        yield OUTSIDE
        return
    if turn.changes:
        yield f"Understood: {_told(turn.changes, knowledge)}."
    if turn.supposed:
        yield f"If so: {_told(turn.supposed, knowledge)}."
    asked = any(reading.kind == "question" for reading in turn.readings) or not (turn.changes or turn.supposed)
    said = turn.notes and turn.topic in _TALK
    topic = knowledge.topics.get(turn.topic or "")
    if turn.outcome == "answered" and topic and asked and not said:
        yield f"About: {topic.title}"


def _advice(turn: Turn, knowledge: Knowledge, page: _Page) -> Iterator[_Item]:
    """The steps, then the cautions, each of the rank of the first step that it belongs to."""
    if _speaks_for_itself(turn):
        return
    first = turn.next[0].step.id if turn.next else ""
    ranks: dict[str, int] = {}
    for number, advice in enumerate(turn.advice, start=1):
        rank = _FIRST if number == 1 or advice.step.id == first else _LATER + number
        for name in advice.step.cautions:
            ranks.setdefault(knowledge.cautions[name].say, rank)
        tools = ", ".join(_name(knowledge, item) for item in advice.equipment)
        text = advice.step.say + (f" Uses: {tools}." if page.spoken and tools else f" [{tools}]" if tools else "")
        yield page.item(rank, "step", text, f"{number}. ", f"Step {number}: ")
    for caution in turn.cautions:
        yield page.item(ranks.get(caution, _FIRST), "caution", caution, "CAUTION: ", "Caution: ", hang=2)


def _choices(turn: Turn, knowledge: Knowledge, page: _Page) -> Iterator[_Item]:
    """What the guide asks back: which situation is meant, or which job is done."""
    named = [in_short(step.say, "") for step in turn.jobs] or [knowledge.topics[topic].title for topic in turn.choices]
    yield page.item(_FIRST, "choice", "Which is done?" if turn.jobs else "Which of these do you mean?")
    for number, name in enumerate(named, start=1):
        yield page.item(_FIRST, "choice", name, f"{number}. ", f"Number {number}: ")
    yield page.item(_FIRST, "choice", f"Answer with the number, {'' if turn.jobs else 'a word of it, '}or: neither")


def _compared(turn: Turn, knowledge: Knowledge) -> Iterator[str]:
    """How a what-if would change the plan."""
    compare = turn.compare or {}
    if turn.supposed:
        first = compare.get("first") if not turn.next or turn.next[0].step.id != compare.get("first") else None
        added = [say for step, say in _says(compare.get("added"), knowledge) if step != first]
        dropped = [say for _, say in _says(compare.get("dropped"), knowledge)]
        above = turn.advice[0].step.id if turn.advice else ""
        yield from (f"First then: {'step 1 above' if step == above else say}" for step, say in _says([first], knowledge))
        yield from (f"New then: {in_short(say)}" for say in added)
        yield from (f"No longer then: {in_short(say)}" for say in dropped)
        if not first and not added and not dropped:
            yield "The next steps would stay the same."
    yield "Nothing has been changed."


def _says(steps: object, knowledge: Knowledge) -> list[tuple[str, str]]:
    """Those of the ids that are steps, each with its sentence."""
    return [(step, knowledge.steps[step].say) for step in steps if step in knowledge.steps] if isinstance(steps, Sequence) else []


def _next(turn: Turn, knowledge: Knowledge, page: _Page) -> Iterator[_Item]:
    """The next step in full with its reason and the others in short, unless the advice begins with just these; those that
    the turn before showed are only called to mind."""
    advised = [] if _speaks_for_itself(turn) else [advice.step.id for advice in turn.advice]
    if turn.jobs or turn.topic == "why" and turn.notes or _only_asked(turn) or [item.step.id for item in turn.next] == advised[:len(turn.next)]:
        return
    where = "below" if _presses(turn, knowledge) else "above"
    first = "After that: " if _comes_after(turn, knowledge) else "Next: "
    for number, item in enumerate(turn.next[:1] if turn.as_before else turn.next, start=1):
        told = f"step {advised.index(item.step.id) + 1} {where}" if item.step.id in advised else ""
        whole = number == 1 and (not turn.as_before or item.step.band in ("emergency", "chance"))
        said = first if number == 1 else "Then: "
        text = told or (item.step.say if whole else in_short(item.step.say, ", and more." if page.spoken else " ..."))
        text += " (as before)" if turn.as_before else "" if told or number > 1 else _because(item)
        yield page.item(_NEXT if number == 1 and first == "Next: " else _LAST, "next", text, said, said, hang=len("Next: ") if page.width >= _NARROW else 3)


def _only_asked(turn: Turn) -> bool:
    """Whether something is asked or supposed and nothing was ever reported: a class has no use for the first steps of a crew of which nothing is known."""
    return not turn.state and turn.outcome == "answered" and turn.topic not in _TALK and all(reading.kind in ("question", "what_if") for reading in turn.readings)


def _comes_after(turn: Turn, knowledge: Knowledge) -> bool:
    """Whether an emergency is reported that the plan does not know of, so that what it puts next can only come later."""
    topic = knowledge.topics.get(turn.topic or "")
    if topic is None or topic.band != "emergency" or turn.changes or not (turn.advice and turn.next and _reports(turn)):
        return False
    return turn.next[0].step.band not in ("emergency", "chance")


def _reports(turn: Turn) -> bool:
    """Whether something was reported, and nothing asked or ordered."""
    return {reading.kind for reading in turn.readings} == {"report"}


def _because(item: NextStep) -> str:
    return f" ({item.line})" if item.line else ""


def _speaks_for_itself(turn: Turn) -> bool:
    return turn.topic in _SELF and bool(turn.notes)


def _told(changes: Iterable[Change], knowledge: Knowledge) -> str:
    """The facts as they are now; where that replaces what was known, what it was."""
    said = []
    for change in changes:
        fact = knowledge.facts.get(change.fact)
        if fact is not None:
            replaced = change.was is not None and change.now is not None
            before = quantity(change.was, fact.unit) if fact.type in ("int", "float") else fact_words(fact, change.was)
            said.append(fact_words(fact, change.now) + (f" (before: {before})" if replaced else ""))
    return "; ".join(said)


def fact_words(fact: Fact, value: object) -> str:
    """A fact with its value in a few words: `the drogue is out`, `drinking water aboard: 4 L`, `...: no longer known` for None."""
    if value is None:
        return f"no longer known whether {fact.about}" if fact.type == "bool" else f"{fact.about}: no longer known"
    word = str(value).lower() if isinstance(value, bool) else str(value)
    return fact.says.get(word) or f"{fact.about}: {quantity(value, fact.unit)}"


def quantity(value: object, unit: str) -> str:
    """A number with its unit, without noughts that tell nothing."""
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return str(value)
    number = f"{value:.3f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)
    unit = _UNITS.get(unit, unit)
    return number + ("" if unit in ("", "°") else " ") + unit


def _name(knowledge: Knowledge, item: str) -> str:
    return knowledge.equipment[item].name if item in knowledge.equipment else item.replace("_", " ")
