"""Changes as text at 80 columns, as Markdown and as JSON."""
from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator

from guide.review.changes import HOW, Change, Changes
from guide.review.situations import Difference, Shift

WIDTH = 80
_TITLES = {"added": "Added", "dropped": "Dropped", "reworded": "Reworded", "re-sourced": "Re-sourced",
           "conditions": "Conditions changed", "otherwise": "Changed otherwise"}
_NOTHING = "(nothing)"


def text(found: Changes) -> list[str]:
    """Rows at 80 columns."""
    if not found:
        return ["Nothing differs."]
    lines = []
    for how in HOW:
        part = [change for change in found.records if change.how == how]
        if part:
            lines += [f"{_TITLES[how]} ({len(part)})", ""]
            for change in part:
                lines += _wrapped(f"{head(change)} ({change.place.file}:{change.place.line})", "  ")
                lines += [row for label, words in _sides(change) for row in _wrapped(f"{label} {words}", "    ")]
            lines.append("")
    if found.situations:
        lines += [f"Next steps that differ, in {len(found.situations)} standard situations", ""]
    for difference in found.situations:
        lines += _wrapped(f"{difference.situation.title} ({difference.situation.id})", "  ")
        lines += [row for shift in difference.shifts for row in _wrapped(moved(shift), "    ")]
        lines.append("")
    return lines[:-1]


def markdown(found: Changes) -> list[str]:
    """The same as Markdown; what the knowledge says can make no markup."""
    if not found:
        return ["Nothing differs."]
    lines = ["# Changes", ""]
    for how in HOW:
        part = [change for change in found.records if change.how == how]
        lines += [f"## {_TITLES[how]} ({len(part)})", ""] if part else []
        for change in part:
            lines.append(f"- **{_plain(head(change))}** ({_plain(change.place.file)}:{change.place.line})")
            lines += [f"  - {label} {_plain(words)}" for label, words in _sides(change)]
        lines += [""] if part else []
    lines += ["## Next steps that differ", ""] if found.situations else []
    for difference in found.situations:
        lines += [f"### {_plain(difference.situation.title)}", ""]
        lines += [f"- {_plain(moved(shift))}" for shift in difference.shifts] + [""]
    return lines[:-1]


def as_json(found: Changes) -> dict[str, object]:
    """The same as plain data."""
    return {"changes": [{"kind": c.kind, "id": c.id, "how": c.how, "field": c.field, "old": c.old, "new": c.new,
                         "file": c.place.file, "line": c.place.line} for c in found.records],
            "situations": [_situation(difference) for difference in found.situations]}


def head(change: Change) -> str:
    """`step drogue_stream, why`."""
    return f"{change.kind} {change.id}" + (f", {change.field}" if change.field else "")


def moved(shift: Shift) -> str:
    """What a step did among the next ones, in words."""
    if shift.was is None:
        place = f"now {shift.now}, was not among them"
    elif shift.now is None:
        place = f"was {shift.was}, no longer among them"
    else:
        place = f"now {shift.now}, was {shift.was}"
    return f"{place}: {shift.says} [{shift.step}]"


def _situation(difference: Difference) -> dict[str, object]:
    return {"id": difference.situation.id, "title": difference.situation.title, "given": dict(difference.situation.given),
            "old": list(difference.old), "new": list(difference.new)}


def _sides(change: Change) -> Iterator[tuple[str, str]]:
    if change.how != "added":
        yield "old:", change.old or _NOTHING
    if change.how != "dropped":
        yield "new:", change.new or _NOTHING


def _wrapped(words: str, margin: str) -> list[str]:
    return textwrap.wrap(words, WIDTH, initial_indent=margin, subsequent_indent=margin + "  ")


def _plain(words: str) -> str:
    return re.sub(r"([\\`*_{}\[\]<>#|~&])", r"\\\1", words)
