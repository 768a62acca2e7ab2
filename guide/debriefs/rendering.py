"""Debriefs, seasons and records as plain text of 80 columns."""
from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator

from guide.debriefs.debrief import LIMITS, Debrief, Harmed, Judged
from guide.debriefs.form import Line, Record
from guide.debriefs.paging import curves
from guide.debriefs.season import Course, Season, StepTally
from guide.safe import safe

WIDTH = 80
_BLANK = "_" * 40
_SIGNS = {"done": "[x]", "late": "[~]", "unordered": "[~]", "missed": "[ ]", "open": " - "}


def _wrapped(text: str, indent: str = "", hang: str | None = None) -> list[str]:
    return textwrap.wrap(safe(text), WIDTH, initial_indent=indent, subsequent_indent=indent if hang is None else hang,
                         break_on_hyphens=False) or [indent.rstrip()]


def _head(title: str) -> list[str]:
    title = safe(title)
    return ["", title, "-" * min(WIDTH, len(title))]


def debrief_lines(d: Debrief) -> list[str]:
    """The debrief of one drill."""
    return [
        *_wrapped(f"Debrief: {d.title}"), *_wrapped(d.about),
        *_wrapped(f"Begun {d.begun_words}. Crew: {', '.join(d.crew) or 'not named'}. Lasted {d.lasted_words}. Help: {d.help_words}."),
        *_wrapped(f"Score: {d.score_words}: {d.parts_words}."), *(line for p in d.problems for line in _wrapped(f"Note: {p}", hang="  ")),
        *_wrapped(LIMITS),
        *_head("What was expected  ([x] in time, [~] late or out of order, [ ] not done)"),
        *(line for item in d.judged for line in _judged_lines(item)),
        *_head("What was missed, or late"), *_missed_lines(d),
        *_head("What did harm"), *_harm_lines(d.harms),
        *_head("Order and help"), *_wrapped(d.order_words), *(_wrapped(d.strays_words) if d.strays else ()),
        *(line for x in d.strays for line in _wrapped(f'{x.when}: "{x.text}"; first: {x.first}', "  ", "    ")),
        *_head("What the raft and the bodies answered"), *_series_lines(d),
        *_head("Moment by moment, and what the guide would have put next just before"), *_moment_lines(d),
        *_head("To talk through"), *(line for n, q in enumerate(d.questions, 1) for line in _wrapped(q, f"{n}. ", "   ")),
        *record_lines(d.record)]


def _judged_lines(item: Judged) -> list[str]:
    points = f"{item.points_words}{'' if item.outcome == 'open' else ' points'}"
    return _wrapped(f"{item.label}. Done: {item.done_words}; allowed: {item.window_words}; {points}",
                    f"{_SIGNS[item.outcome]} ", "    ")


def _missed_lines(d: Debrief) -> Iterator[str]:
    if not d.missed:
        yield "Nothing: all that was expected was done within its time."
    for item in d.missed:
        yield from _wrapped(f"{item.label}. {item.outcome_words} {item.allowed_words}", "* ", "  ")
        yield from _wrapped(item.why, "  ")
        yield from _wrapped(f"Source: {'; '.join(item.sources)}", "  ")


def _harm_lines(harms: Iterable[Harmed]) -> list[str]:
    found = []
    for item in harms:
        typed = f', typed: "{item.typed}"' if item.typed else ""
        found += [*_wrapped(f"{item.label}. At {item.when}{typed}. {item.points_words}", "* ", "  "), *_wrapped(item.why, "  "),
                  *_wrapped(f"Source: {'; '.join(item.sources)}", "  ")]
    return found or ["Nothing that this drill counts as harm."]


def _series_lines(d: Debrief) -> list[str]:
    return [line for c in curves(d)[0] for line in _wrapped(c.summary, "* ", "  ")] or ["Nothing changed."]


def _moment_lines(d: Debrief) -> Iterator[str]:
    for m in d.moments:
        who = f"{m.who}: " if m.who else ""
        said = f'{who}"{m.text}"' if m.kind == "said" else m.text
        yield from _wrapped(f"{m.when}  {said}", "", "  ")
        if m.understood:
            yield from _wrapped(f"understood: {'; '.join(m.understood)}", "    ")
        if m.said and not m.again:
            yield from (line for n, step in enumerate(m.said, 1) for line in _wrapped(step.first, f"    guide {n}: ", "      "))


def record_lines(record: Record) -> list[str]:
    """The record of the drill, with blanks to fill in."""
    def cited(line: Line) -> str:
        return f"{line.label} ({'; '.join(line.sources)})"
    lines = [*_head(record.title)]
    for notice in record.notices:
        lines += _wrapped(cited(notice), "! ", "  ")
    lines.append("")
    for item in record.fields:
        lines += _wrapped(f"{cited(item)}: {item.value or _BLANK}", "", "    ")
    lines += _head(record.cases_title)
    for case in record.cases:
        lines += _wrapped(f"{case.label}: at the keyboard {case.value}; in the boats, by hand: {'_' * 20}", "", "    ")
    return lines


def season_lines(season: Season) -> list[str]:
    """A class or a season of drills."""
    lines = [*_wrapped(season.summary), *(line for p in season.problems for line in _wrapped(f"Note: {p}", hang="  "))]
    for course in season.courses:
        lines += [*_head(course.title), *_course_lines(course)]
    lines += _head("Missed most, over all drills")
    lines += [line for t in season.missed_most for line in _wrapped(f"{t.label} ({t.drill}): {t.missed_words}", "* ", "  ")] or ["Nothing was missed."]
    return lines


def _course_lines(course: Course) -> Iterator[str]:
    for run in course.runs:
        yield from _wrapped(f"{run.begun_words}  {run.percent:3.0f} %  {', '.join(run.crew) or 'not named'} ({run.file})", "", "    ")
    yield from _wrapped(course.improvement_words)
    for tally in course.tallies:
        yield from _tally_lines(tally)


def _tally_lines(t: StepTally) -> list[str]:
    return _wrapped(f"{t.label}: {t.missed_words}; {t.times_words}", "* ", "  ")
