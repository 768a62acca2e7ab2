"""The examples of a profile: each is put into a sound little world and the checks are run on it.

An example is a text of sections, as the files of the knowledge have them, without `kind:`. Sections of phrases stand
under `phrases:`, acceptances under `accepted:`.
"""
from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator
from dataclasses import fields
from datetime import date

from guide.arguments import Misuse
from guide.audit.case import Hears
from guide.audit.checking import NAMES, findings
from guide.audit.forbidding import advice
from guide.audit.profile import ACCEPTED_KIND, Acceptance, Profile, Rule, accepted_of
from guide.knowledge import compiling, nodes, reading
from guide.knowledge.base import Knowledge, Overlay
from guide.knowledge.problems import Problem
from guide.knowledge.reading import Harvest
from guide.language.frames import Frames
from guide.language.wording import regular

_KIND_OF = {section: kind for kind, sections in reversed(reading.KINDS.items()) for section in sections if kind != "phrases"}


def unproven(profile: Profile, today: date) -> list[str]:
    """One line for each example that does not show what it is there for: a good one found fault with, a bad one let pass."""
    lines = []
    for rule in profile.rules.values():
        for text, name, wanted in ((rule.good, "good", False), (rule.bad, "bad", True)):
            if (rule.id in found_in(profile, rule, text, today)) is not wanted:
                lines.append(f"{rule.place}: the {name} example of {rule.id} is {'let pass' if wanted else 'found fault with'}")
    return [*lines, *_unheard(profile)]


def _unheard(profile: Profile) -> Iterator[str]:
    """Forbidden deeds that do not see their own advice, or see it where there is none."""
    for deed in profile.forbidden:
        yield from (f'{deed.place}: {deed.id} lets pass "{text}"' for text in deed.advises if not advice(deed, text))
        yield from (f'{deed.place}: {other.id} finds fault with "{text}"' for text in deed.allowed for other in profile.forbidden if advice(other, text))


def found_in(profile: Profile, rule: Rule, example: str, today: date) -> set[str]:
    """The names of the checks that find fault with an example of a rule."""
    shown = f"{rule.place}: example of {rule.id}"
    knowledge, accepted, problems = world(profile.base, example, shown)
    found = findings(knowledge, profile, accepted, today=today, hears=_by_patterns(knowledge), problems=problems)
    return {finding.check for finding in found}


def _by_patterns(knowledge: Knowledge) -> Hears:
    """In an example only the patterns of reports are read: nothing is learned from it."""
    frames = Frames(knowledge.language.frames)

    def hears(text: str) -> list[tuple[str, object]]:
        fact, _, value = (frames.told(regular(text)) or "").partition("=")
        return [(fact, value == "true")] if fact else []
    return hears


def world(base: str, example: str, shown: str) -> tuple[Knowledge, tuple[Acceptance, ...], list[Problem]]:
    """The base with the example's records added, or in place of those of the same id, and what linking them found amiss.

    Misuse, with `shown` as the place, where a text cannot be read.
    """
    harvest, own = Harvest(), Harvest()
    accepted = [*_read(base, harvest, shown), *_read(example, own, shown)]
    for field in fields(Harvest):
        setattr(harvest, field.name, _merged(getattr(harvest, field.name), getattr(own, field.name)))
    problems: list[Problem] = []
    return compiling.link(harvest, Overlay(), problems), tuple(accepted), problems


def _merged(old: object, new: object) -> object:
    if isinstance(old, dict) and isinstance(new, dict):
        return {name: _merged(value, new[name]) if name in new else value for name, value in {**new, **old}.items()}
    if isinstance(old, list) and isinstance(new, list):
        ids = {getattr(record, "id", None) for record in new} - {None}
        return [record for record in old if getattr(record, "id", None) not in ids] + new
    return new


def _read(text: str, into: Harvest, shown: str) -> Iterator[Acceptance]:
    """Read a text of sections into a harvest; yields the acceptances in it."""
    for block in re.split(r"^(?=\w)", text, flags=re.MULTILINE):
        section, _, body = block.partition(":")
        if not block.strip():
            continue
        problems: list[Problem] = []
        kind = section if section in ("phrases", ACCEPTED_KIND) else _KIND_OF.get(section)
        if kind is None:
            raise Misuse(f'{shown}: "{section}" is no section of the knowledge')
        content = textwrap.dedent(body.lstrip("\n")) if section == "phrases" else block
        root = nodes.parse(f"kind: {kind}\n{content}", shown, problems)
        if root is not None and kind == ACCEPTED_KIND:
            yield from accepted_of(root, problems, NAMES)
        elif root is not None:
            reading.read_file(root, into)
        if problems:
            raise Misuse(f"{shown}: {problems[0].message}")
