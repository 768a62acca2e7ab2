"""Link the records of all files into one `Knowledge`; every dangling id is a problem with a place."""
from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Protocol, TypeVar

from guide.knowledge import lists, nodes, reading
from guide.knowledge.base import AUDIT, BANK, DRILLS, Knowledge, Overlay, default_folder, files
from guide.knowledge.conditions import Condition
from guide.knowledge.language import Language
from guide.knowledge.overlay import lay_over
from guide.knowledge.problems import Place, Problem, unknown
from guide.knowledge.reading import Harvest
from guide.knowledge.records import (
    COMMON_PRACTICE,
    NOTHING,
    UNVERIFIED,
    Caution,
    Equipment,
    Fact,
    Pack,
    Step,
    Stores,
)

__all__ = ["AUDIT", "BANK", "DRILLS", "Knowledge", "default_folder", "load"]


class _Record(Protocol):
    @property
    def id(self) -> str: ...
    @property
    def place(self) -> Place: ...


R = TypeVar("R", bound=_Record)


def load(folder: Path | None = None, *, bank: bool = True, overlay: Path | None = None) -> tuple[Knowledge, list[Problem]]:
    """Read and link a folder, with or without its phrase bank and the words of its concepts (both are only learned from), under a
    vessel's overlay. The knowledge is usable even with problems: what is broken is left out."""
    folder = folder or default_folder()
    problems: list[Problem] = []
    harvest = Harvest()
    names = files(folder, bank=bank)
    if not names:
        problems.append(Problem(Place(str(folder), 1, 1), "error", "K001", "no knowledge files (*.yaml) here"))
    for name in names:
        root = nodes.read(folder / name, name, problems)
        if root is not None:
            reading.read_file(root, harvest)
    if not bank:
        harvest.concepts.clear()
    own = lay_over(overlay, harvest, problems) if overlay else Overlay()
    knowledge = link(harvest, own, problems)._replace(folder=str(folder))
    return knowledge, sorted(set(problems))


def _by_id(records: Iterable[R], kind: str, problems: list[Problem]) -> dict[str, R]:
    found: dict[str, R] = {}
    for record in records:
        if record.id in found:
            first = found[record.id].place
            problems.append(Problem(record.place, "error", "K030", f"{kind} {record.id} stands twice; first at {first}"))
        else:
            found[record.id] = record
    return found


def link(harvest: Harvest, overlay: Overlay, problems: list[Problem]) -> Knowledge:
    """What was read as one knowledge; each id that stands twice or does not exist is noted among `problems`."""
    facts = _by_id(harvest.facts, "fact", problems)
    equipment = _by_id(harvest.equipment, "item", problems)
    for item in equipment.values():
        if not item.amount:
            facts[f"has_{item.id}"] = _has_fact(item)
    if "pack" in facts:
        facts["pack"] = _with_packs(facts["pack"], harvest.packs)
    language = Language(concepts=harvest.concepts, words=harvest.words, **{name: tuple(found) for name, found in (*harvest.rules.items(), *harvest.phrases.items())})
    knowledge = Knowledge(
        _by_id(harvest.priorities, "priority", problems), _by_id(harvest.sources, "source", problems),
        _by_id(harvest.clauses, "clause", problems), facts, tuple(harvest.presumptions), equipment,
        _by_id(harvest.packs, "pack", problems), _by_id(harvest.cautions, "caution", problems),
        _by_id(harvest.steps, "step", problems), _by_id(harvest.topics, "topic", problems),
        _by_id(harvest.disputes, "dispute", problems), tuple(_by_id(harvest.computed, "figure", problems).values()),
        _by_id(harvest.quantities, "quantity", problems), _by_id(harvest.shown_with, "figure that something is shown with", problems),
        language, _stores(harvest, problems), overlay)
    problems.extend(_dangling(knowledge))
    problems.extend(lists.problems(knowledge, harvest.listed))
    return knowledge


def _stores(harvest: Harvest, problems: list[Problem]) -> Stores:
    return Stores(_by_id(harvest.waters, "waters rule", problems), _by_id(harvest.serves, "served item", problems),
                  _by_id(harvest.substitutes, "substitute", problems), dict(harvest.dated),
                  _by_id(harvest.bag, "bag item", problems), _by_id(harvest.groups, "group", problems),
                  _by_id(harvest.lessons, "lessons", problems), harvest.says)


def _has_fact(item: Equipment) -> Fact:
    """The yes/no fact that an item is aboard, which the item brings with it."""
    return Fact(f"has_{item.id}", item.place, "bool", f"there is a {item.name} aboard", "", float("-inf"), float("inf"),
                (), {"true": f"you have the {item.name}", "false": f"no {item.name} aboard"}, {})


def _with_packs(fact: Fact, packs: Iterable[Pack]) -> Fact:
    """The fact of which pack there is, with a vessel's own packs among its values."""
    own = {pack.id: f"the raft carries a {pack.name}" for pack in packs if pack.id not in fact.values}
    return fact._replace(values=(*fact.values, *own), says={**own, **fact.says}) if own else fact


def _dangling(k: Knowledge) -> Iterator[Problem]:
    """Every id that is named and does not exist."""
    for clause in k.clauses.values():
        if clause.source not in k.sources:
            yield unknown(clause.place, f"clause {clause.id}, source", clause.source, k.sources)
    sourced: tuple[Caution | Step | Equipment, ...] = (*k.cautions.values(), *k.steps.values(), *k.equipment.values())
    for record in sourced:
        yield from _bad_sources(k, record.place, record.id, record.sources)
    for dispute in k.disputes.values():
        for position in dispute.positions:
            yield from _bad_sources(k, dispute.place, f"{dispute.id}.{position.id}", position.sources)
        if dispute.default not in [p.id for p in dispute.positions]:
            yield unknown(dispute.place, f"dispute {dispute.id}, default", dispute.default, [p.id for p in dispute.positions])
    for pack in k.packs.values():
        for line in pack.items.values():
            yield from _bad_sources(k, pack.place, f"{pack.id}, {line.item}", line.sources)
            if line.item not in k.equipment:
                yield unknown(pack.place, f"pack {pack.id}, item", line.item, k.equipment)
    for item in k.equipment.values():
        for other in item.stands_in:
            if other.item not in k.equipment:
                yield unknown(item.place, f"item {item.id}, stand-in", other.item, k.equipment)
        for field, fact in (("amount", item.amount), ("shown_by", item.shown_by)):
            if fact and fact not in k.facts:
                yield unknown(item.place, f"item {item.id}, {field}", fact, k.facts)
    yield from _dangling_overlay(k)
    yield from _dangling_steps(k)
    yield from _dangling_topics(k)
    yield from _dangling_phrases(k)
    yield from _dangling_stores(k)


def _dangling_overlay(k: Knowledge) -> Iterator[Problem]:
    own = k.overlay
    named: list[tuple[str, Iterable[str], Mapping[str, object]]] = [
        ("dispute", own.positions, k.disputes), ("fact", own.given, k.facts), ("topic", own.calls, k.topics)]
    for what, names, known in named:
        for name in names:
            if name not in known:
                yield unknown(own.places[name], f"overlay, {what}", name, known)
    for dispute, position in own.positions.items():
        sides = [p.id for p in k.disputes[dispute].positions] if dispute in k.disputes else [position]
        if position not in sides:
            yield unknown(own.places[dispute], f"overlay, position in {dispute}", position, sides)


def _bad_sources(k: Knowledge, place: Place, owner: str, sources: tuple[str, ...]) -> Iterator[Problem]:
    if not sources:
        yield Problem(place, "error", "K032", f"{owner} has no source; cite a clause, {COMMON_PRACTICE} or {UNVERIFIED}")
    for source in sources:
        if source not in k.clauses and source not in (COMMON_PRACTICE, UNVERIFIED):
            yield unknown(place, f"{owner}, source", source, k.clauses)


def _dangling_steps(k: Knowledge) -> Iterator[Problem]:
    positions = {f"{d.id}.{p.id}" for d in k.disputes.values() for p in d.positions}
    for step in k.steps.values():
        named = [("topic", (step.topic,), k.topics), ("priority", (step.priority,), k.priorities),
                 ("item", (*step.needs, *step.uses), k.equipment), ("step", step.after, k.steps),
                 ("caution", step.cautions, k.cautions), ("fact", tuple(step.sets), k.facts)]
        for what, names, known in named:
            for name in names:
                if name not in known:
                    yield unknown(step.place, f"step {step.id}, {what}", name, known)
        if step.instead and step.instead not in k.steps:
            yield unknown(step.place, f"step {step.id}, instead", step.instead, k.steps)
        if step.dispute and step.dispute not in positions:
            yield unknown(step.place, f"step {step.id}, dispute", step.dispute, positions)
        if step.band != "note" and not step.when:
            yield Problem(step.place, "error", "K033", f"step {step.id} is planned but has no `when`")
        for condition in (*step.when, *step.unless, *step.done_when, *step.sooner_when):
            yield from _bad_condition(k, step.place, f"step {step.id}", condition)


def _bad_condition(k: Knowledge, place: Place, owner: str, condition: Condition) -> Iterator[Problem]:
    for atom in condition.any_of:
        known: Mapping[str, object] = k.equipment if atom.op in ("has", "lacks") else k.facts
        if atom.fact not in known:
            yield unknown(place, f"{owner}, condition", atom.fact, known)


def _dangling_topics(k: Knowledge) -> Iterator[Problem]:
    for topic in k.topics.values():
        named: list[tuple[str, tuple[str, ...], Mapping[str, object]]] = [
            ("priority", (topic.priority,), k.priorities), ("step", topic.steps, k.steps),
            ("topic", topic.see, k.topics), ("fact", topic.asks, k.facts)]
        for what, names, known in named:
            for name in names:
                if name not in known:
                    yield unknown(topic.place, f"topic {topic.id}, {what}", name, known)
        if not topic.steps:
            yield Problem(topic.place, "error", "K034", f"topic {topic.id} has no steps")
    for fact in k.facts.values():
        for name in (*fact.topics.values(), *filter(None, (fact.told_by,))):
            if name not in k.topics:
                yield unknown(fact.place, f"fact {fact.id}, topic", name, k.topics)
        for value, condition, _ in fact.meanwhile():
            if isinstance(condition, str):
                yield Problem(fact.place, "error", "K020", f"fact {fact.id}, topic of {value}: {condition}")
            else:
                yield from _bad_condition(k, fact.place, f"fact {fact.id}, topic of {value}", condition)
        for field, other in (("ends_with", fact.ends_with), ("ended_by", fact.ended_by)):
            if other and other not in k.facts:
                yield unknown(fact.place, f"fact {fact.id}, {field}", other, k.facts)
    yield from _dangling_figures(k)
    yield from _dangling_shown_with(k)
    yield from _dangling_doubts(k)
    yield from _dangling_turned(k)
    yield from _dangling_reckoned(k)
    for presumption in k.presumptions:
        if presumption.fact not in k.facts:
            yield unknown(presumption.place, "presumption, fact", presumption.fact, k.facts)
        for condition in presumption.when:
            yield from _bad_condition(k, presumption.place, f"presumption of {presumption.fact}", condition)


def _dangling_doubts(k: Knowledge) -> Iterator[Problem]:
    for doubt in k.language.doubts:
        yield from (unknown(doubt.place, "doubt, fact", fact, k.facts) for fact in doubt.facts if fact not in k.facts)
        if not doubt.clause and not doubt.sentence:
            yield Problem(doubt.place, "error", "K015", 'doubt: a "clause" or "sentence" that it is known by is missing')


def _dangling_turned(k: Knowledge) -> Iterator[Problem]:
    for turned in k.language.turned:
        if turned.fact not in k.facts:
            yield unknown(turned.place, "turned, fact", turned.fact, k.facts)


def _dangling_reckoned(k: Knowledge) -> Iterator[Problem]:
    for reckoned in k.language.reckoned:
        yield from (unknown(reckoned.place, "reckoned, fact", fact, k.facts) for fact in reckoned.facts if fact not in k.facts)


def _dangling_figures(k: Knowledge) -> Iterator[Problem]:
    for quantity in k.quantities.values():
        if not quantity.ask and quantity.id not in k.facts:
            yield Problem(quantity.place, "error", "K015", f'quantity {quantity.id}: field "ask" is missing, and no fact is called so')
        if quantity.instead_of and quantity.instead_of not in k.facts:
            yield unknown(quantity.place, f"quantity {quantity.id}, instead_of", quantity.instead_of, k.facts)
    for computed in k.computed:
        owner = f"figure {computed.figure}"
        if computed.topic not in k.topics:
            yield unknown(computed.place, f"{owner}, topic", computed.topic, k.topics)
        for name, source in computed.inputs.items():
            named: tuple[tuple[str, str, Mapping[str, object]], ...] = (
                ("quantity", source.said.name, k.quantities), ("fact", source.fact.name, k.facts), ("item", source.pack.name, k.equipment))
            for what, wanted, known in named:
                if wanted and wanted not in known:
                    yield unknown(computed.place, f"{owner}, input {name}, {what}", wanted, known)
            for condition, _ in source.when:
                yield from _bad_condition(k, computed.place, f"{owner}, input {name}", condition)


def _dangling_shown_with(k: Knowledge) -> Iterator[Problem]:
    for shown in k.shown_with.values():
        for name in shown.members:
            if name not in k.cautions and name not in k.steps:
                yield unknown(shown.place, f"shown with {shown.id}, caution or step", name, (*k.cautions, *k.steps))


def _dangling_phrases(k: Knowledge) -> Iterator[Problem]:
    for phrase in (*k.language.questions, *k.language.reports, *k.language.orders):
        if phrase.means not in k.topics:
            yield unknown(phrase.place, "phrase", phrase.means, k.topics)
    for phrase in k.language.follow_ups:
        for topic in phrase.means.split(">"):
            if topic not in k.topics:
                yield unknown(phrase.place, "phrase", topic, k.topics)
    for phrase in k.language.tellings:
        spoken_of, _, told = phrase.means.partition(">")
        if spoken_of not in k.topics:
            yield unknown(phrase.place, "phrase", spoken_of, k.topics)
        for fact in (re.split("[=+-]", part.strip())[0] for part in told.split(",")):
            if fact not in k.facts and told != NOTHING:
                yield unknown(phrase.place, "phrase", fact, k.facts)
    for phrase in (*k.language.facts, *k.language.frames):
        fact = phrase.means.partition("=")[0]
        if fact not in k.facts:
            yield unknown(phrase.place, "phrase", fact, k.facts)


def _dangling_stores(k: Knowledge) -> Iterator[Problem]:
    stores = k.stores
    cited = [(r.place, r.id, r.sources) for r in stores.waters.values()]
    cited += [(s.place, s.id, s.sources) for s in stores.substitutes.values()]
    cited += [(b.place, b.id, b.sources) for b in stores.bag.values()]
    for place, owner, sources in cited:
        yield from _bad_sources(k, place, owner, sources)
    for rule in stores.waters.values():
        if rule.pack and rule.pack not in k.packs:
            yield unknown(rule.place, f"waters rule {rule.id}, pack", rule.pack, k.packs)
    for serving in stores.serves.values():
        if serving.priority not in k.priorities:
            yield unknown(serving.place, "serves, priority", serving.priority, k.priorities)
    items = [(s.place, s.id) for s in stores.serves.values()] + [(place, owner) for place, owner, _ in cited if owner not in stores.waters]
    items += [(s.place, s.stands_for) for s in stores.substitutes.values()]
    items += [(place, item) for item, place in stores.dated.items()]
    items += [(group.place, item) for group in stores.groups.values() for item in group.members]
    for place, item in items:
        if item not in k.equipment:
            yield unknown(place, "stores, item", item, k.equipment)
    for lesson in stores.lessons.values():
        if lesson.id not in k.packs:
            yield unknown(lesson.place, "lessons, pack", lesson.id, k.packs)
        yield from (unknown(lesson.place, f"lessons, {lesson.id}", step, k.steps) for step in lesson.members if step not in k.steps)
    packed = [(pack.place, item) for pack in k.packs.values() for item in pack.items] if stores.serves else []
    for place, item in (*packed, *((b.place, b.id) for b in stores.bag.values())):
        if item not in stores.serves:
            yield unknown(place, "priority that an item of a pack or bag serves", item, stores.serves)
