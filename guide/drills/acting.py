"""What is typed in a drill besides talk with the guide: who speaks, waiting, and how long an act takes."""
from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from guide.drills.model import Model
from guide.drills.records import Deed
from guide.knowledge.records import Step
from guide.turn import Turn

LONGEST_WAIT_S = 10 * 86400.0
_UNIT_S = {"s": 1.0, "m": 60.0, "h": 3600.0, "d": 86400.0}
_NUMBERS = {"a": 1.0, "an": 1.0, "one": 1.0, "two": 2.0, "three": 3.0, "four": 4.0, "five": 5.0, "six": 6.0, "eight": 8.0, "ten": 10.0,
            "twelve": 12.0, "fifteen": 15.0, "twenty": 20.0, "thirty": 30.0, "forty": 40.0, "half a": 0.5, "half an": 0.5}
_WAIT = re.compile(r"(?:ok(?:ay)?,? |we |let us |let's |now )*(?:just )?wait(?: for)? (?:another )?(?:about )?(\d+(?:\.\d+)?|half an?|[a-z]+) ?"
                   r"(s|secs?|seconds?|m|mins?|minutes?|h|hrs?|hours?|d|days?)[ .!]*", re.IGNORECASE)


def waiting_s(text: str) -> float | None:
    """Seconds that `wait 20 minutes` asks for, `wait` alone an hour; None where it is something else. No more than ten days."""
    if text.strip(" .!").lower() == "wait":
        return 3600.0
    match = _WAIT.fullmatch(" ".join(text.split()))
    if match is None:
        return None
    number = _NUMBERS.get(match[1].lower()) if not match[1][0].isdigit() else float(match[1])
    return None if number is None else min(LONGEST_WAIT_S, number * _UNIT_S[match[2][0].lower()])


def speaker(text: str, crew: Sequence[str]) -> tuple[str, str]:
    """Who speaks and what is said: `Ines: drogue's out` where Ines is of the crew; else nobody by name."""
    name, colon, rest = text.partition(":")
    who = next((member for member in crew if member.casefold() == name.strip().casefold()), "")
    return (who, rest.strip()) if colon and who and rest.strip() else ("", text.strip())


def asks(turn: Turn) -> bool:
    """Whether it asked the guide for advice."""
    return any(reading.kind in ("question", "what_if") for reading in turn.readings) and turn.outcome != "outside"


def reports_on(turn: Turn) -> str:
    """The topic that was reported on or ordered about; empty for a question, a refusal or what was not understood."""
    kinds = {reading.kind for reading in turn.readings}
    return turn.topic or "" if turn.outcome == "answered" and kinds & {"report", "command"} and not asks(turn) else ""


def used(turn: Turn) -> dict[str, float]:
    """Each amount that is less than it was, and by how much."""
    found = {}
    for change in turn.changes:
        if _number(change.was) and _number(change.now) and float(str(change.now)) < float(str(change.was)):
            found[change.fact] = float(str(change.was)) - float(str(change.now))
    return found


def seconds_taken(model: Model, turn: Turn, steps: Iterable[Step], persons: int) -> float:
    """How long an act takes: its jobs, shared by the hands there are, or a look, or a question.

    Steps of one topic that one report settles are ways to one end: the first of them, which the plan puts first, counts.
    """
    jobs: dict[str, float] = {}
    for step in steps:
        jobs.setdefault(step.topic, step.takes_s or model["job_s"])
    if jobs:
        return round(sum(jobs.values()) / min(model["hands"], persons))
    return model["question_s"] if asks(turn) else model["report_s"]


def does(deed: Deed, turn: Turn, steps: Iterable[str]) -> bool:
    """Whether a turn that settles `steps` is the deed."""
    if deed.kind == "step":
        return deed.name in steps
    if deed.kind == "told":
        return reports_on(turn) in deed.names
    if deed.kind == "used":
        return not used(turn).keys().isdisjoint(deed.names)
    return any(change.fact == deed.name and change.now == deed.value for change in turn.changes)


def says_again(deed: Deed, turn: Turn) -> bool:
    """Whether a report tells a fact as it was already: bailed again, dry again."""
    return deed.kind == "fact" and any(
        told.fact == deed.name and told.value == deed.value for reading in turn.readings if reading.kind == "report" for told in reading.told)


def _number(value: object) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)
