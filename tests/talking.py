"""What tests of talks share: a talk from its lines, and what a turn changed."""
from __future__ import annotations

from collections.abc import Mapping

from guide.knowledge.records import Value
from guide.starting import Started
from guide.turn import Turn

AT = "2000-01-01T12:00:00+00:00"
"""The time of every turn."""


def turns(started: Started, *lines: str, given: Mapping[str, Value] | None = None) -> list[Turn]:
    """The replies to these lines, in one talk."""
    session = started.session(clock=lambda: AT)
    session.given(given or {})
    return [session.answer(line) for line in lines]


def last(started: Started, *lines: str, given: Mapping[str, Value] | None = None) -> Turn:
    """The reply to the last of these lines."""
    return turns(started, *lines, given=given)[-1]


def changed(turn: Turn) -> dict[str, object]:
    """Fact → what it is now, of all that a turn changed."""
    return {change.fact: change.now for change in turn.changes}
