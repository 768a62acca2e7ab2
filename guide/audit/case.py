"""What a check is given."""
from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from guide.audit.profile import Profile
from guide.knowledge.base import Knowledge

if TYPE_CHECKING:
    from guide.language.reading import Reader


@dataclass(frozen=True, slots=True)
class Case:
    """The knowledge, the profile by which it is judged, and what reads sentences where the evidence weights fit."""

    knowledge: Knowledge
    profile: Profile
    reader: Reader | None = None
