"""What a check is given."""
from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from guide.audit.profile import Profile
from guide.knowledge.base import Knowledge
from guide.knowledge.problems import Problem

Hears = Callable[[str], Iterable[tuple[str, object]]]
"""A sentence → the facts that it is read to tell, with their values."""


@dataclass(frozen=True, slots=True)
class Case:
    """The knowledge, the profile by which it is judged, and what reads sentences where anything can."""

    knowledge: Knowledge
    profile: Profile
    hears: Hears | None = None
    problems: tuple[Problem, ...] = ()
    """What was amiss while it was read and linked."""
