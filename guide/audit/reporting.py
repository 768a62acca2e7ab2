"""The findings as text, as Markdown and as plain data."""
from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from itertools import groupby

from guide.audit.findings import Finding
from guide.audit.profile import Profile, Rule
from guide.audit.running import Audited, counts


def text_lines(audited: Audited, shown: Iterable[Finding]) -> list[str]:
    """A block for each check: what it looks for, its findings as `file:line:col: ...`, its mend."""
    lines: list[str] = []
    for check, found in groupby(shown, key=lambda one: one.check):
        rule = audited.profile.rules[check]
        lines += [f"{check}: {rule.looks_for}", *(f"  {one.line()}" for one in found), f"  mend: {rule.mend}", ""]
    return [*lines, *([audited.left_out] if audited.left_out else []), summary(audited)]


def summary(audited: Audited) -> str:
    """The counts in one line."""
    numbers = counts(audited.findings)
    said = ", ".join(f"{number} {level}{'' if number == 1 else 's'}" for level, number in numbers.items() if level != "accepted")
    return f"{len(audited.profile.rules)} checks: {said} open; {numbers['accepted']} accepted"


def markdown_lines(audited: Audited, shown: Iterable[Finding]) -> list[str]:
    """The same as a document with a table for each check."""
    lines = ["# Audit", "", summary(audited) + ".", ""]
    for check, found in groupby(shown, key=lambda one: one.check):
        rule = audited.profile.rules[check]
        lines += [f"## {check} ({rule.severity})", "", f"Looks for {_cell(rule.looks_for)}. Mend: {_cell(rule.mend)}.", "",
                  "| place | finding | accepted |", "| --- | --- | --- |"]
        lines += [f"| {_cell(str(one.place))} | {_cell(f'{one.problem} {one.overlay}'.strip())} | {_cell(one.accepted)} |" for one in found]
        lines.append("")
    return lines


def _cell(text: str) -> str:
    """A text that neither ends a table's cell nor begins a tag or a link."""
    for mark in ("\\", "|", "<", ">", "[", "]", "*", "_", "`"):
        text = text.replace(mark, "\\" + mark)
    return text


def data(audited: Audited, shown: Iterable[Finding]) -> dict[str, object]:
    """The same as plain data for JSON."""
    rows = [{name: value for name, value in asdict(one).items() if name not in ("rank", "place")} | one.place._asdict() for one in shown]
    return {"counts": counts(audited.findings), "left_out": audited.left_out, "findings": rows}


def check_lines(profile: Profile) -> list[str]:
    """Every check with its severity, its mend and its two examples."""
    return [line for rule in profile.rules.values() for line in _about(rule)]


def _about(rule: Rule) -> list[str]:
    examples = [line for name, text in (("good", rule.good), ("bad", rule.bad))
                for line in (f"  {name}:", *(f"    {row}" for row in text.rstrip().splitlines()))]
    return [f"{rule.id} ({rule.severity}): {rule.looks_for}", f"  mend: {rule.mend}", *examples, ""]
