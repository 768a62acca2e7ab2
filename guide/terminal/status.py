"""The status line: a session's state in words that a screen reader can say."""
from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from guide.knowledge.base import Knowledge
from guide.planning.planner import NextStep
from guide.state.facts import State
from guide.terminal.rendering import quantity
from guide.terminal.wrapping import wrapped

_SIGNALS = (("rocket_flares", "rocket", "rockets"), ("hand_flares", "hand flare", "hand flares"),
            ("smoke_signals", "smoke", "smokes"))


_WIDE = 120
"""Columns from which one row holds all there is to say."""


def status_rows(width: int) -> int:
    """How many rows the status may take on a screen of this width."""
    return 1 if width >= _WIDE else 2


def status_lines(state: State, steps: Sequence[NextStep], knowledge: Knowledge, at: str, *, due: Sequence[str] = (), width: int = 80,
                 whole: bool = False) -> list[str]:
    """What is in force, the topics that are due, time adrift at the ISO time `at`, people, water and signals left.

    What does not fit the rows of a status line is left out, unless the `whole` is asked for.
    """
    shown: list[str] = []
    parts = (*_pressing(steps, knowledge), *_due(due, knowledge, whole), *_adrift(state, at), *_people(state), *_water(state), *_signals(state))
    for words in parts:
        if whole or len(wrapped("; ".join([*shown, words]), width)) <= status_rows(width):
            shown.append(words)
    return wrapped("; ".join(shown) or "nothing counted yet", width)


def _pressing(steps: Sequence[NextStep], knowledge: Knowledge) -> list[str]:
    """The topics of emergencies and sightings among the next steps."""
    words = {"emergency": "EMERGENCY", "chance": "SIGHTING"}
    found = dict.fromkeys((item.step.band, item.step.topic) for item in steps if item.step.band in words)
    return [f"{words[band]}: {knowledge.topics[topic].title if topic in knowledge.topics else topic}" for band, topic in found]


def _due(topics: Sequence[str], knowledge: Knowledge, whole: bool) -> list[str]:
    """The topics of tasks that are due again; on a status line the first, and how many more."""
    titles = list(dict.fromkeys(knowledge.topics[topic].title if topic in knowledge.topics else topic for topic in topics))
    if not titles:
        return []
    return [f"DUE: {', '.join(titles)}" if whole or len(titles) == 1 else f"{len(titles)} DUE, first: {titles[0]}"]


def _adrift(state: State, at: str) -> list[str]:
    """Hours as last reported and the time gone by since, or the time since the painter was cut."""
    entry, cut = state.facts.get("hours_adrift"), state.facts.get("painter_cut")
    if entry is not None and isinstance(entry.value, (int, float)):
        return [f"adrift {_span(entry.value * 3600 + _seconds(entry.at, at))}"]
    if cut is not None and cut.value is True:
        return [f"adrift {_span(_seconds(cut.at, at))}"]
    return []


def _seconds(since: str, at: str) -> float:
    try:
        return max(0.0, (datetime.fromisoformat(at) - datetime.fromisoformat(since)).total_seconds())
    except (TypeError, ValueError):
        return 0.0


def _span(seconds: float) -> str:
    minutes = int(seconds // 60)
    days, hours, minutes = minutes // 1440, minutes // 60 % 24, minutes % 60
    if days:
        return f"{days} d {hours} h"
    return f"{hours} h {minutes} min" if hours else f"{minutes} min"


def _people(state: State) -> list[str]:
    persons = state.value("persons")
    missing = None if state.value("all_accounted") is True else state.value("persons_missing")
    said = [f"{persons} {'person' if persons == 1 else 'people'}"] if persons is not None else []
    return said + ([f"{missing} MISSING"] if missing else [])


def _water(state: State) -> list[str]:
    water = state.value("water")
    return [] if water is None else [f"water {quantity(water, 'L')}"]


def _signals(state: State) -> list[str]:
    counts = [(state.value(fact), one, many) for fact, one, many in _SIGNALS]
    said = [f"{count} {one if count == 1 else many}" for count, one, many in counts if count is not None]
    return [f"signals left: {', '.join(said)}"] if said else []
