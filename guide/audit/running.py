"""One audit of a folder: its knowledge, its profile or the shipped one, its acceptances, and what all checks find."""
from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from guide import starting
from guide.arguments import Misuse
from guide.audit.case import Hears
from guide.audit.checking import NAMES, findings, heard_by
from guide.audit.findings import LEVELS, Finding
from guide.audit.profile import ACCEPTED, PROFILE, Profile, read_accepted, read_profile
from guide.knowledge import compiling, graph
from guide.knowledge.base import AUDIT, Knowledge, default_folder


@dataclass(frozen=True, slots=True)
class Audited:
    """What an audit came to."""

    knowledge: Knowledge
    profile: Profile
    findings: tuple[Finding, ...]
    left_out: str
    """Why a check could not be run; nothing where all were."""

    def open(self, least: str = "note") -> list[Finding]:
        """Findings that nobody accepted, of this level or a graver one."""
        return [one for one in self.findings if not one.accepted and one.rank <= LEVELS.index(least)]


def profile_of(folder: Path, chosen: Path | None = None) -> Profile:
    """The profile chosen, else the folder's own, else the shipped one. Misuse where it is damaged or missing."""
    own = folder / AUDIT / PROFILE
    path = chosen or (own if own.is_file() else default_folder() / AUDIT / PROFILE)
    return read_profile(path, NAMES)


def audit(folder: Path | None = None, *, overlay: Path | None = None, profile: Path | None = None, today: date) -> Audited:
    """Audit a folder, or the shipped one, under an overlay. Misuse where the folder or a list cannot be read."""
    folder = folder or default_folder()
    if not folder.is_dir():
        raise Misuse(f"{folder}: not a folder of knowledge files")
    if overlay is not None and not overlay.is_file():
        raise Misuse(f"{overlay}: no such overlay file")
    judged = profile_of(folder, profile)
    knowledge, problems = compiling.load(folder, overlay=overlay)
    hears, left_out = _hearing(folder, overlay)
    found = findings(knowledge, judged, read_accepted(folder / AUDIT / ACCEPTED, NAMES), today=today, hears=hears,
                     problems=(*problems, *graph.problems(knowledge)))
    return Audited(knowledge, judged, found, left_out)


def _hearing(folder: Path, overlay: Path | None) -> tuple[Hears | None, str]:
    """What reads sentences with this knowledge, or why nothing can."""
    try:
        return heard_by(starting.start(folder, overlay).reader), ""
    except OSError as error:
        return None, f"denial_unheard was not run, since nothing can be read with this folder: {error}"


def counts(found: Iterable[Finding]) -> dict[str, int]:
    """How many of each level are open, and how many are accepted."""
    some = list(found)
    numbers = {level: sum(one.level == level and not one.accepted for one in some) for level in LEVELS}
    return {**numbers, "accepted": sum(bool(one.accepted) for one in some)}
