"""What is checked and how gravely: the profile file, and the list of findings that somebody accepted.

Both are YAML (`kind: audit`, `kind: accepted`), in the folder `audit` of the knowledge. A fault in one is a Misuse
with its place: an audit by a list that cannot be trusted is none.
"""
from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TypeVar

from guide.arguments import Misuse
from guide.audit.findings import LEVELS
from guide.knowledge import nodes
from guide.knowledge.base import AUDIT
from guide.knowledge.fields import mapping_in, text_in, texts_in
from guide.knowledge.nodes import Node
from guide.knowledge.problems import Place, Problem, did_you_mean

PROFILE = "profile.yaml"
ACCEPTED = "accepted.yaml"
ACCEPTED_KIND = "accepted"
LIMITS = ("say_characters", "sentence_words", "sentence_words_long", "reading_ease", "topic_phrases", "topic_voices",
          "fact_phrases", "fact_voices", "phrase_likeness", "blind_share")
_MOST = 5
"""Problems of a list that are told at once."""
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Rule:
    """How one check is to be taken."""

    id: str
    place: Place
    severity: str
    looks_for: str
    mend: str
    good: str
    """A piece of knowledge that it passes, as YAML."""
    bad: str
    """A piece of knowledge that it finds fault with."""


@dataclass(frozen=True, slots=True)
class Hazard:
    """A class of steps that do harm when they go wrong, and the cautions of which each must show one."""

    id: str
    place: Place
    items: tuple[str, ...]
    words: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Opposite:
    """Verbs that ask for opposite things, and the things of which they do; the first verb names its side."""

    one: tuple[str, ...]
    other: tuple[str, ...]
    of: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Forbidden:
    """A deed that no text may advise. Phrases are regular expressions of whole words."""

    id: str
    place: Place
    deed: str
    """What it is, as it follows "advises"."""
    do: tuple[str, ...]
    of: tuple[str, ...]
    """What it is done to, behind the deed; nothing where the deed alone is forbidden."""
    given: tuple[str, ...]
    """Circumstances of which one has to stand in the same sentence; nothing where it is always forbidden."""
    spares: tuple[str, ...]
    """Words that make a sentence harmless."""
    advises: tuple[str, ...]
    """Examples of the advice."""
    allowed: tuple[str, ...]
    """Examples near it that are no such advice."""


@dataclass(frozen=True, slots=True)
class Standard:
    """A standard of which each clause named has to be borne out by something."""

    id: str
    place: Place
    title: str
    clauses: Mapping[str, str]
    """Its own number or name of a clause → what it is about."""
    prefix: str
    """What the id of each of its clauses begins with."""


@dataclass(frozen=True, slots=True)
class Profile:
    """The checks with their severities, the limits, the classes of hazard, the standards."""

    rules: Mapping[str, Rule]
    limits: Mapping[str, float]
    hazards: tuple[Hazard, ...]
    opposites: tuple[Opposite, ...]
    forbidden: tuple[Forbidden, ...]
    standards: tuple[Standard, ...]
    conditions: Mapping[str, Mapping[str, str]]
    """Name of a condition → the facts that make it, as text."""
    base: str
    """The sound piece of knowledge into which every example is put, as YAML."""


@dataclass(frozen=True, slots=True)
class Acceptance:
    """Findings that somebody takes responsibility for, until a day."""

    place: Place
    check: str
    nodes: tuple[str, ...]
    who: str
    reason: str
    until: date


def read_profile(path: Path, checks: Iterable[str]) -> Profile:
    """The profile in a file. Misuse with its place where it is damaged, leaves a check out or names one that is none."""
    root, problems = _root(path)
    _of_kind(root, problems, "the audit's profile", AUDIT)
    fields = root.fields(("kind", "limits", "base", "checks"), ("hazards", "opposites", "forbidden", "standards", "conditions"))
    rules = {rule.id: rule for rule in _each(fields, "checks", _rule)}
    _complete(root, problems, rules, tuple(checks))
    limits = {name: node.number() for name, node in fields["limits"].fields(LIMITS).items()} if "limits" in fields else {}
    conditions = {key.text(): _facts(value) for key, value in fields["conditions"].pairs()} if "conditions" in fields else {}
    base = fields["base"].raw() if "base" in fields else ""
    profile = Profile(rules, limits, tuple(_each(fields, "hazards", _hazard)), tuple(_each(fields, "opposites", _opposite)),
                      tuple(_each(fields, "forbidden", _forbidden)), tuple(_each(fields, "standards", _standard)), conditions, base)
    _refuse(problems)
    return profile


def read_accepted(path: Path, checks: Iterable[str]) -> tuple[Acceptance, ...]:
    """The accepted findings in a file; none where there is no file. Misuse with its place where it is damaged."""
    return accepted_of(*_root(path), checks) if path.exists() else ()


def accepted_of(root: Node, problems: list[Problem], checks: Iterable[str]) -> tuple[Acceptance, ...]:
    """As `read_accepted`, from the root of a file and what was noted while it was read."""
    _of_kind(root, problems, "a file of accepted findings", ACCEPTED_KIND)
    fields = root.fields(("kind", "accepted"))
    names = tuple(checks)
    found = tuple(_each(fields, "accepted", lambda node: _acceptance(node, names)))
    _refuse(problems)
    return found


def _root(path: Path) -> tuple[Node, list[Problem]]:
    problems: list[Problem] = []
    root = nodes.read(path, f"{AUDIT}/{path.name}" if path.parent.name == AUDIT else str(path), problems)
    _refuse(problems)
    if root is None:
        raise Misuse(f"{path}: cannot be read")
    return root, problems


def _of_kind(root: Node, problems: list[Problem], what: str, kind: str) -> None:
    if not root.is_a(what, kind):
        _refuse(problems)


def _refuse(problems: list[Problem]) -> None:
    if problems:
        raise Misuse("\n".join(problem.line() for problem in sorted(problems)[:_MOST]))


def _complete(root: Node, problems: list[Problem], rules: Mapping[str, Rule], checks: tuple[str, ...]) -> None:
    for name in checks:
        if name not in rules:
            root.problem("K015", f'the check "{name}" is missing from this profile')
    for rule in rules.values():
        if rule.id not in checks:
            problems.append(Problem(rule.place, "error", "K011", f'there is no check "{rule.id}"{did_you_mean(rule.id, checks)}'))


def _each(fields: Mapping[str, Node], name: str, read: Callable[[Node], T]) -> list[T]:
    return [read(item) for item in fields[name].items()] if name in fields else []


def _facts(node: Node) -> dict[str, str]:
    return {key.text(): value.text() for key, value in node.pairs()}


def _rule(node: Node) -> Rule:
    f = node.fields(("id", "severity", "looks_for", "mend", "good", "bad"))
    severity = f["severity"].choice(LEVELS, "error") if "severity" in f else "error"
    good, bad = (f[name].raw() if name in f else "" for name in ("good", "bad"))
    return Rule(text_in(f, "id"), node.place, severity, text_in(f, "looks_for"), text_in(f, "mend"), good, bad)


def _hazard(node: Node) -> Hazard:
    f = node.fields(("id", "cautions"), ("items", "words"))
    return Hazard(text_in(f, "id"), node.place, texts_in(f, "items"), texts_in(f, "words"), texts_in(f, "cautions"))


def _opposite(node: Node) -> Opposite:
    f = node.fields(("one", "other", "of"))
    return Opposite(texts_in(f, "one"), texts_in(f, "other"), texts_in(f, "of"))


def _forbidden(node: Node) -> Forbidden:
    f = node.fields(("id", "deed", "do", "advises", "allowed"), ("of", "given", "spares"))
    for name in ("do", "of", "given", "spares"):
        for item in f[name].items() if name in f else ():
            _whole_words(item)
    return Forbidden(text_in(f, "id"), node.place, text_in(f, "deed"), texts_in(f, "do"), texts_in(f, "of"), texts_in(f, "given"),
                     texts_in(f, "spares"), texts_in(f, "advises"), texts_in(f, "allowed"))


def _whole_words(node: Node) -> None:
    try:
        re.compile(node.text())
    except re.error as error:
        node.problem("K010", f'"{node.text()}" is no pattern: {error}')


def _standard(node: Node) -> Standard:
    f = node.fields(("id", "title", "prefix", "clauses"))
    return Standard(text_in(f, "id"), node.place, text_in(f, "title"), mapping_in(f, "clauses"), text_in(f, "prefix"))


def _acceptance(node: Node, checks: tuple[str, ...]) -> Acceptance:
    f = node.fields(("check", "nodes", "who", "reason", "until"))
    check = f["check"].choice(checks, "") if "check" in f else ""
    until = date.min
    if "until" in f:
        try:
            until = date.fromisoformat(f["until"].text())
        except ValueError:
            f["until"].problem("K012", f'"{f["until"].text()}" is not a day as YYYY-MM-DD')
    for name in ("who", "reason"):
        if name in f and not f[name].text():
            f[name].problem("K015", f'"{name}" is empty: somebody has to answer for it, with a reason')
    return Acceptance(node.place, check, texts_in(f, "nodes"), text_in(f, "who"), text_in(f, "reason"), until)
