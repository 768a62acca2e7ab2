"""The audit report: one HTML page with every node, its words, sources and links, findings, disputes and sign-off."""
from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from guide import pages
from guide.audit.describing import Cited, Described, Describer, Linked
from guide.audit.findings import LEVELS
from guide.audit.running import Audited, counts
from guide.knowledge.base import Knowledge
from guide.knowledge.claims import CLAIM_MARKS, Claim, claims
from guide.knowledge.links import (
    AFTER,
    ASKS,
    CALLS_FOR,
    CARRIES,
    COMPUTES,
    INSTEAD,
    NEAR,
    NEEDS,
    SETS,
    SIDES,
    STANDS_IN,
    TAKES,
    TELLS,
    USES,
    WARNS,
)
from guide.knowledge.records import COMMON_PRACTICE, UNVERIFIED, Dispute, Source
from guide.planning.items import View
from guide.planning.readiness import absent
from guide.review.choosing import Standing, counted, standings
from guide.review.covering import covered
from guide.review.drawing import Drawer, Drawing
from guide.signoff import STATES, Review
from guide.state.facts import Event, fold

_TOLD = frozenset((CALLS_FOR, NEEDS, USES, AFTER, INSTEAD, STANDS_IN, CARRIES, SIDES, NEAR, ASKS, TELLS, COMPUTES, TAKES))
"""Links that a step, topic or item lists; conditions, sources and cautions stand in its words already."""
_MOST_TITLES = 25
"""A longer list of links shows ids instead of sentences."""
_OTHERS = (("item", "Equipment"), ("pack", "Packs"), ("caution", "Cautions"), ("fact", "Facts that are tracked"),
           ("waters", "Packs that the waters call for"), ("figure", "Figures"), ("priority", "Priorities"))
_WITHOUT_CLAUSE = ((COMMON_PRACTICE, "Rules of the trade, without a published source"), (UNVERIFIED, "From memory, without a source"))


@dataclass(frozen=True, slots=True)
class Group:
    """Links of one type as read from a node."""

    words: str
    links: tuple[Linked, ...]
    brief: bool
    """Ids instead of sentences."""
    short: bool
    """Names that go into one line."""


@dataclass(frozen=True, slots=True)
class Entry:
    """A node's section."""

    node: Described
    filters: Mapping[str, str]
    """Name of a filter → the words by which the section is found, apart by blanks."""
    standing: Standing | None
    groups: tuple[Group, ...]
    drawing: Drawing | None


@dataclass(frozen=True, slots=True)
class Side:
    """One position of a dispute."""

    id: str
    says: str
    followed: bool
    sources: tuple[Cited, ...]
    steps: tuple[Linked, ...]


@dataclass(frozen=True, slots=True)
class Debate:
    """A dispute with its positions side by side."""

    entry: Entry
    record: Dispute
    sides: tuple[Side, ...]


@dataclass(frozen=True, slots=True)
class Resting:
    """A claim in the reading list: where its section is, what it says, its state."""

    anchor: str
    says: str
    state: str


@dataclass(frozen=True, slots=True)
class Work:
    """A published work, or what stands for none, with its clauses and the claims that rest on each."""

    name: str
    record: Source | None
    title: str
    clauses: tuple[tuple[Entry, tuple[Resting, ...]], ...]


class Report:
    """The values of the page, from one knowledge and its reviews."""

    def __init__(self, audited: Audited, reviews: Mapping[str, Review]) -> None:
        self._audited, self.knowledge = audited, audited.knowledge
        knowledge = audited.knowledge
        self.standings = standings(claims(knowledge), reviews)
        self._describer, self._by_id = Describer(knowledge), {s.claim.id: s for s in self.standings}
        self._drawer, self._packs = Drawer(self._describer), _usable(knowledge)
        self._entries = {name: self._entry(name) for name in self._describer.places}

    def values(self, today: date) -> dict[str, object]:
        """All that the template reads."""
        k, findings = self.knowledge, self._audited.findings
        return {
            "vessel": k.overlay.vessel, "today": today.isoformat(), "counts": self._counts(), "findings": findings, "left_out": self._audited.left_out,
            "open": counts(findings), "covered": covered(k, self._audited.profile), "level_names": LEVELS, "states": STATES, "signed": counted(self.standings),
            "families": self._families(), "debates": [self._debate(d) for d in k.disputes.values()],
            "others": [(kind, title, self._of_kind(kind)) for kind, title in _OTHERS if self._of_kind(kind)], "works": self._works(),
            "marks": Counter(mark for s in self.standings for mark in s.claim.marks), "choices": self._choices(), "names": self._describer.places}

    def _counts(self) -> list[tuple[str, int]]:
        k = self.knowledge
        tables: tuple[tuple[str, Mapping[str, object]], ...] = (
            ("situations", k.topics), ("steps", k.steps), ("cautions", k.cautions), ("items", k.equipment), ("packs", k.packs),
            ("facts", k.facts), ("disputes", k.disputes), ("works", k.sources), ("clauses", k.clauses))
        return [*((name, len(table)) for name, table in tables), ("claims", len(self.standings))]

    def _choices(self) -> dict[str, list[tuple[str, str]]]:
        """Filter → its values with the words shown for each."""
        k = self.knowledge
        used = {work for s in self.standings for work in s.claim.works}
        kinds = dict.fromkeys(entry.node.kind for entry in self._entries.values())
        return {"kind": [(kind, kind) for kind in kinds], "priority": [(p.id, p.title) for p in k.priorities.values()],
                "pack": [(p.id, p.name) for p in k.packs.values()],
                "source": sorted(((w.id, w.short) for w in k.sources.values() if w.id in used), key=lambda pair: pair[1].lower()),
                "mark": [(mark, mark) for mark in CLAIM_MARKS], "review": [(state.replace(" ", "_"), state) for state in STATES]}

    def _entry(self, name: str) -> Entry:
        node = self._describer.node(name)
        standing = self._by_id.get(name)
        claim = standing.claim if standing else None
        found = {"kind": node.kind, "priority": self._priorities(node), "pack": self._packs_of(node),
                 "source": " ".join(claim.works) if claim else self._work(node), "mark": " ".join(claim.marks) if claim else _mark(node),
                 "review": standing.state.replace(" ", "_") if standing else ""}
        return Entry(node, {key: words for key, words in found.items() if words}, standing, tuple(_groups(node)), self._drawer.drawing(name))

    def _priorities(self, node: Described) -> str:
        steps = [link.name for link in node.links if link.type == WARNS and not link.out]
        k = self.knowledge
        named = [link.name.partition(":")[2] for link in node.links if link.out and link.name.startswith("priority:")]
        named += [k.steps[name.partition(":")[2]].priority for name in steps]
        return " ".join(dict.fromkeys(named))

    def _packs_of(self, node: Described) -> str:
        if node.kind == "pack":
            return node.id
        if node.kind == "item":
            always = self.knowledge.equipment[node.id].always
            return " ".join(p.id for p in self.knowledge.packs.values() if always or node.id in p.items)
        steps = [node.id] if node.kind == "step" else [
            link.name.partition(":")[2] for link in node.links if link.name.startswith("step:") and link.type in (CALLS_FOR, WARNS)]
        return " ".join(dict.fromkeys(pack for step in steps for pack in self._packs.get(step, ())))

    def _work(self, node: Described) -> str:
        return self.knowledge.clauses[node.id].source if node.kind == "clause" and node.id in self.knowledge.clauses else ""

    def _of_kind(self, kind: str) -> list[Entry]:
        return [entry for name, entry in self._entries.items() if name.startswith(kind + ":")]

    def _families(self) -> list[tuple[str, list[tuple[Entry, list[Entry]]]]]:
        """Family → its topics, each with the steps whose home it is."""
        k = self.knowledge
        at_home: dict[str, list[Entry]] = {}
        for step in k.steps.values():
            at_home.setdefault(step.topic, []).append(self._entries[f"step:{step.id}"])
        families: dict[str, list[tuple[Entry, list[Entry]]]] = {}
        for topic in k.topics.values():
            family = topic.place.file.rpartition("/")[2].removesuffix(".yaml")
            families.setdefault(family, []).append((self._entries[f"topic:{topic.id}"], at_home.get(topic.id, [])))
        return list(families.items())

    def _debate(self, record: Dispute) -> Debate:
        entry = self._entries[f"dispute:{record.id}"]
        chosen = self.knowledge.overlay.positions.get(record.id, record.default)
        sides = tuple(Side(side.id, side.says, side.id == chosen, tuple(c for c in entry.node.sources if c.of == side.id),
                           tuple(link for link in entry.node.links if link.type == SIDES and link.detail == side.id))
                      for side in record.positions)
        return Debate(entry, record, sides)

    def _works(self) -> list[Work]:
        """The reading list: each work with its clauses in the order of its pages, then what no work bears out."""
        resting: dict[str, list[Resting]] = {}
        for standing in self.standings:
            for source in standing.claim.sources:
                resting.setdefault(source, []).append(Resting(_anchor(standing.claim), standing.claim.says, standing.state))
        found = [Work(work.id, work, work.title, tuple(
            (self._entries[f"clause:{clause.id}"], tuple(resting.get(clause.id, ())))
            for clause in sorted(self.knowledge.clauses.values(), key=lambda c: _paged(c.clause)) if clause.source == work.id))
            for work in self.knowledge.sources.values()]
        bare = [Work(name, None, title, ((self._entries[f"clause:{name}"], tuple(resting.get(name, ()))),)) for name, title in _WITHOUT_CLAUSE]
        return [*found, *bare]


def report(audited: Audited, reviews: Mapping[str, Review], today: date) -> str:
    """The page as text. Misuse where Jinja2 is missing, ModuleNotFoundError where what lays out the drawings is."""
    return pages.page("report.html", Report(audited, reviews).values(today))


def _paged(clause: str) -> list[tuple[int, str]]:
    """A key by which 4.1.5.10 comes after 4.1.5.9."""
    return [(int(part), "") if part.isdecimal() else (0, part) for part in re.split(r"(\d+)", clause)]


def _anchor(claim: Claim) -> str:
    """The section in which a claim stands: what stands in for an item and what a bag adds stand with their item."""
    kind, _, own = claim.id.partition(":")
    return f"item:{own}" if kind in ("substitute", "bag") else claim.id


def _mark(node: Described) -> str:
    return next((said.text for said in node.words if said.label == "mark"), "") if node.kind == "clause" else ""


def _groups(node: Described) -> Iterator[Group]:
    """The links by type; for what is not told in words of its own, all of them."""
    plain = node.kind in ("step", "topic", "item", "dispute", "pack")
    found: dict[str, list[Linked]] = {}
    for link in node.links:
        if plain and link.type not in _TOLD and not (link.type == SETS and not link.out) or link.name.startswith("clause:"):
            continue
        if node.kind in ("clause", "dispute") or (node.kind, link.type) == ("pack", CARRIES) and not link.detail:
            continue
        found.setdefault(link.words, []).append(link)
    for words, links in found.items():
        unique = tuple({link.name: link for link in links}.values())
        yield Group(words, unique, len(unique) > _MOST_TITLES, not any(link.name.startswith(("step:", "caution:")) for link in unique))


def _usable(k: Knowledge) -> dict[str, list[str]]:
    """Step → the packs with which it can be done, as far as items go."""
    found: dict[str, list[str]] = {}
    for pack in k.packs:
        view = View(k, fold([Event("fact", 0, "", "given", "pack", pack)]))
        for step in k.steps.values():
            if not absent(view, step):
                found.setdefault(step.id, []).append(pack)
    return found
