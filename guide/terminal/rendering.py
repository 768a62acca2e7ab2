"""A turn as rows of plain text: what was understood, what to do, what not to miss, what comes next.

Pure functions of a turn. Rows are measured as a terminal shows them (wide characters take two columns), and
nothing that was typed is echoed with control characters in it.
"""
from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from guide.knowledge.compiling import Knowledge
from guide.knowledge.records import Fact
from guide.language.reading import Reader, Reading
from guide.language.wording import clean
from guide.turn import Change, Turn

OUTSIDE = "That is not something this guide covers: it is about leaving ship and living in a liferaft."
MORE = 'More: type "more".'
_NARROW = 60
"""Columns below which a hanging indent is kept short."""
_UNITS = {"items": "", "persons": "", "degC": "°C", "deg": "°"}
_TALK = ("what_now", "take_back")
"""Topics about the talk itself: with a note in the reply their title tells nothing more."""


class Row(NamedTuple):
    """A row of the screen and what it belongs to: head, note, step, caution, choice, next or more."""

    kind: str
    text: str


class _Item(NamedTuple):
    """Rows that are shown together or not at all; where not all fit, those of a lower rank go first."""

    rank: int
    rows: tuple[Row, ...]


def turn_lines(turn: Turn, knowledge: Knowledge, *, width: int = 80, most: int | None = None) -> list[str]:
    """The reply as lines of at most `width` columns; of at most `most` rows, the last then saying that there is more."""
    return [row.text for row in screens(turn, knowledge, width=width, most=most)[0]]


def screens(turn: Turn, knowledge: Knowledge, *, width: int = 80, most: int | None = None) -> list[list[Row]]:
    """The whole reply, cut into screens of at most `most` rows at whole items; at least one screen.

    Cautions and the first of the next steps are never left for later while a step is shown that could wait.
    """
    left = [item for item in _items(turn, knowledge, width) if item.rows]
    shown: list[list[Row]] = []
    while most is not None and sum(len(item.rows) for item in left) > most:
        now, left = _fitting(left, max(1, most - 1))
        shown.append([row for item in now for row in item.rows] + [Row("more", MORE)])
    return [*shown, [row for item in left for row in item.rows]]


def _fitting(items: list[_Item], room: int) -> tuple[list[_Item], list[_Item]]:
    """What is shown in `room` rows, and what is left; an item longer than a screen is cut at a row."""
    order = sorted(range(len(items)), key=lambda n: (items[n].rank, n))
    chosen: set[int] = set()
    used = 0
    for at in order:
        used += len(items[at].rows)
        if used > room:
            break
        chosen.add(at)
    if chosen:
        return [item for n, item in enumerate(items) if n in chosen], [item for n, item in enumerate(items) if n not in chosen]
    at, rows = order[0], items[order[0]].rows
    return [_Item(0, rows[:room])], [*items[:at], items[at]._replace(rows=rows[room:]), *items[at + 1:]]


def _items(turn: Turn, knowledge: Knowledge, width: int) -> Iterator[_Item]:
    """The reply from top to bottom."""
    for line in _heads(turn, knowledge):
        yield _item(0, "head", line, width)
    if turn.outcome == "outside":
        return
    for number, note in enumerate(turn.notes):
        blanks = min(len(note) - len(note.lstrip(" ")), width // 4)
        yield _item(1 if number == 0 else 3, "note", note, width, " " * blanks, blanks)
    for number, advice in enumerate(turn.advice, start=1):
        tools = ", ".join(_name(knowledge, item) for item in advice.equipment)
        text = advice.step.say + (f" [{tools}]" if tools else "")
        yield _item(1 if number == 1 else 3, "step", text, width, f"{number}. ", len(f"{number}. "))
    for caution in turn.cautions:
        yield _item(2, "caution", caution, width, "CAUTION: ", 2)
    if turn.outcome == "unsure":
        yield from _choices(turn, knowledge, width)
    if turn.supposed is not None:
        yield from (_item(2, "note", line, width, "", 2) for line in _compared(turn, knowledge))
    yield from _next(turn, width)


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


def _choices(turn: Turn, knowledge: Knowledge, width: int) -> Iterator[_Item]:
    yield _item(1, "choice", "Which of these do you mean?", width)
    for number, topic in enumerate(turn.choices, start=1):
        yield _item(1, "choice", knowledge.topics[topic].title, width, f"{number}. ", 3)
    yield _item(1, "choice", "or say: neither", width)


def _compared(turn: Turn, knowledge: Knowledge) -> Iterator[str]:
    """How a what-if would change the plan."""
    compare = turn.compare or {}
    if turn.supposed:
        added, dropped = _says(compare.get("added"), knowledge), _says(compare.get("dropped"), knowledge)
        if not turn.next or turn.next[0].step.id != compare.get("first"):
            yield from (f"First then: {say}" for say in _says([compare.get("first")], knowledge))
        yield from (f"New then: {say}" for say in added)
        yield from (f"No longer then: {say}" for say in dropped)
        if not added and not dropped:
            yield "The next steps would stay the same."
    yield "Nothing has been changed."


def _says(steps: object, knowledge: Knowledge) -> list[str]:
    return [knowledge.steps[step].say for step in steps if step in knowledge.steps] if isinstance(steps, Sequence) else []


def _next(turn: Turn, width: int) -> Iterator[_Item]:
    """The next steps with their reasons, unless they are the advice itself."""
    advised = {advice.step.id for advice in turn.advice}
    if turn.topic == "what_now" and turn.advice or all(item.step.id in advised for item in turn.next):
        return
    first = turn.advice[0].step.id if turn.advice else ""
    for number, item in enumerate(turn.next, start=1):
        say = "Step 1 above" if item.step.id == first else item.step.say
        reason = f" ({item.line})" if item.line else ""
        yield _item(2 if number == 1 else 4, "next", say + reason, width, f"Next: {number}. ", 9 if width >= _NARROW else 3)


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
    """A fact with its value in a few words: `the drogue is out`, `water: 4 L`, `no longer known: ...` for None."""
    if value is None:
        return f"no longer known {'whether ' if fact.type == 'bool' else '- '}{fact.about}"
    word = str(value).lower() if isinstance(value, bool) else str(value)
    return fact.says.get(word) or f"{fact.id.replace('_', ' ')}: {quantity(value, fact.unit)}"


def quantity(value: object, unit: str) -> str:
    """A number with its unit, without noughts that tell nothing."""
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return str(value)
    number = f"{value:.3f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)
    unit = _UNITS.get(unit, unit)
    return number + ("" if unit in ("", "°") else " ") + unit


def _name(knowledge: Knowledge, item: str) -> str:
    return knowledge.equipment[item].name if item in knowledge.equipment else item.replace("_", " ")


def _item(rank: int, kind: str, text: str, width: int, lead: str = "", hang: int = 0) -> _Item:
    return _Item(rank, tuple(Row(kind, line) for line in wrapped(text, width, lead, hang)))


def columns(text: str) -> int:
    """How many columns of a terminal a text takes."""
    return sum(map(_columns, text))


def _columns(character: str) -> int:
    if unicodedata.combining(character) or unicodedata.category(character) in ("Mn", "Me"):
        return 0
    return 2 if unicodedata.east_asian_width(character) in "WF" else 1


def wrapped(text: str, width: int, lead: str = "", hang: int = 0) -> list[str]:
    """The text in lines of at most `width` columns, the first after `lead`, the others after `hang` blanks."""
    lines: list[str] = []
    line, empty = lead, True
    for word in _words(text, max(2, width - max(columns(lead), hang))):
        if not empty and columns(line) + 1 + columns(word) > width:
            lines.append(line)
            line, empty = " " * hang, True
        line, empty = line + ("" if empty else " ") + word, False
    return [*lines, line.rstrip()]


def _words(text: str, room: int) -> Iterator[str]:
    """The words of a text without control characters, those wider than `room` columns in pieces."""
    for word in " ".join(clean(part) for part in text.split()).split():
        piece = ""
        for character in word:
            if columns(piece) + _columns(character) > room:
                yield piece
                piece = ""
            piece += character
        yield piece


def explain_lines(turn: Turn, reader: Reader, *, width: int = 80) -> list[str]:
    """For each clause: how it was read, the words the best topic rests on, and where the second one fell behind."""
    lines: list[str] = []
    for reading in turn.readings:
        lines += wrapped(f'"{reading.clause}" - {reading.kind.replace("_", " ")}', width)
        for told in _explained(reading, reader):
            lines += wrapped(told, width, "  ", 4)
    return lines or ["Nothing was read in it."]


_BESTS, _FEATURES = 3, 5


def _explained(reading: Reading, reader: Reader) -> Iterator[str]:
    for told in reading.told:
        value = "an amount not said" if told.value is None else str(told.value).lower()
        yield f"tells: {told.fact} {'=' if told.how == 'set' else told.how} {value}"
        label = f"{told.fact}={value}"
        if isinstance(told.value, bool):
            yield f"that rests on: {_evidence(reader.matcher.rests_on('facts', reading.clause, label, _FEATURES))}"
    if not reading.candidates:
        yield "a word to the guide itself: no topic was looked for"
        return
    best, *others = reading.candidates
    yield "topics: " + ", ".join(f"{c.label} {c.evidence:+.2f}" for c in reading.candidates[:_BESTS]) + " (above 0 speaks for it)"
    family = "reports" if reading.kind == "report" else "topics"
    speaking = reader.matcher.rests_on(family, reading.clause, best.label, 1000)
    yield f"{best.label} rests on: {_evidence(speaking[:_FEATURES])}"
    if others:
        second = {name: part for part, name in reader.matcher.rests_on(family, reading.clause, others[0].label, 1000)}
        behind = sorted(((part - second.get(name, 0.0), name) for part, name in speaking), reverse=True)
        yield (f"{others[0].label} is {best.evidence - others[0].evidence:.2f} behind, most of it for: "
               f"{_evidence(behind[:_FEATURES])}")


def _evidence(parts: Iterable[tuple[float, str]]) -> str:
    return "; ".join(f"{_feature(name)} {part:+.2f}" for part, name in parts if part > 0) or "no word in particular"


def _feature(name: str) -> str:
    """A feature of `guide.language.features` as a person reads it."""
    kind, text = name[:1], name[1:]
    one, _, two = text.partition(" ")
    if kind == "b" and "^" in (one, two) or kind == "b" and "$" in (one, two):
        return f'beginning "{two}"' if one == "^" else f'ending "{one}"'
    shown = {"w": f'word "{text}"', "b": f'pair "{text}"', "s": f'"{one} ... {two}"', "c": f'letters "{text.strip("^$")}"',
             "k": f"meaning <{text}>", "j": f"meanings <{one}> <{two}>", "n": f'"{text}" denied'}
    return shown.get(kind, name)
