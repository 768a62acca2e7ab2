"""A node of the knowledge as one value: what users see of it, when it holds, what it rests on, and all its links."""
from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from guide.audit import plainly
from guide.knowledge import graph
from guide.knowledge.base import Knowledge
from guide.knowledge.claims import duration, mark_of
from guide.knowledge.computed import Computed
from guide.knowledge.language import Phrase
from guide.knowledge.links import places, records
from guide.knowledge.problems import Place
from guide.knowledge.records import (
    COMMON_PRACTICE,
    UNVERIFIED,
    Caution,
    Clause,
    Dispute,
    Equipment,
    Fact,
    Pack,
    Source,
    Step,
    Topic,
    WatersRule,
)

SAMPLE = 8
"""Phrases shown of all that lead to a node."""
_MARKS = {COMMON_PRACTICE: "a rule of the trade, without a published source", UNVERIFIED: "from memory, without a source"}


@dataclass(frozen=True, slots=True)
class Said:
    """A text with what it is: `say`, `why`, `use`, ..."""

    label: str
    text: str


@dataclass(frozen=True, slots=True)
class Cited:
    """A source of a claim: the clause's id, how it is cited, its mark, and what the clause says."""

    id: str
    cite: str
    mark: str
    """One of guide.knowledge.claims.CLAIM_MARKS."""
    says: str
    of: str
    """The part that rests on it, where not the whole: a position, an item of a pack."""


@dataclass(frozen=True, slots=True)
class Linked:
    """A link as read from the node that is described."""

    name: str
    words: str
    type: str
    detail: str
    out: bool
    title: str
    """What the other node is called or says."""


@dataclass(frozen=True, slots=True)
class Phrases:
    """How many phrases of each voice lead to a node, and some of them."""

    total: int
    voices: Mapping[str, int]
    sample: tuple[Phrase, ...]


@dataclass(frozen=True, slots=True)
class Described:
    """A node with everything about it."""

    name: str
    kind: str
    id: str
    place: Place
    title: str
    words: tuple[Said, ...]
    conditions: tuple[Said, ...]
    sources: tuple[Cited, ...]
    disputes: tuple[Said, ...]
    phrases: Phrases
    links: tuple[Linked, ...]
    overlay: str
    """What of it came from an overlay file: `from FILE`, or nothing."""


class Describer:
    """Describes the nodes of one knowledge; the graph is built once."""

    def __init__(self, knowledge: Knowledge) -> None:
        self.knowledge = knowledge
        self.graph = graph.build(knowledge)
        self.places = places(knowledge)
        self._records = dict(records(knowledge))
        self._phrases: dict[str, list[Phrase]] = {}
        for name, phrase in _led(knowledge):
            self._phrases.setdefault(name, []).append(phrase)

    def names(self, wanted: str) -> list[str]:
        """The nodes of an id, or the one of a full name `kind:id`; none where there is no such node."""
        if wanted in self.places:
            return [wanted]
        return [name for name in self.places if name.partition(":")[2] == wanted]

    def title(self, name: str) -> str:
        """What a node is called or says, in one line."""
        kind, _, own = name.partition(":")
        if kind == "clause":
            return self.knowledge.cite(own)
        record = self._records.get(name)
        for field in ("title", "say", "name", "about", "question", "calls_for", "figure"):
            text = getattr(record, field, "")
            if text:
                return str(text)
        return own

    def node(self, name: str) -> Described:
        """Everything about a node. KeyError where there is none of that name."""
        kind, _, own = name.partition(":")
        record = self._records.get(name)
        return Described(
            name, kind, own, self.places[name], self.title(name), self.words(name),
            tuple(self._conditions(record)) if isinstance(record, Step) else (), tuple(self._cited(name)),
            tuple(self._disputes(record)), self._led_to(name),
            tuple(Linked(*neighbour, self.title(neighbour.name)) for neighbour in graph.neighbours(self.graph, name)),
            origin(self.knowledge, name, self.places[name]))

    def words(self, name: str) -> tuple[Said, ...]:
        """What users see of a node."""
        return tuple(self._words(name.partition(":")[2], self._records.get(name)))

    def phrases(self, name: str) -> list[Phrase]:
        """The phrases that lead to a node; to a step, those of the topics that call for it."""
        if not name.startswith("step:"):
            return self._phrases.get(name, [])
        topics = [link.name for link in graph.neighbours(self.graph, name) if not link.out and link.name.startswith("topic:")]
        return [phrase for topic in topics for phrase in self._phrases.get(topic, ())]

    def _words(self, own: str, record: object) -> Iterator[Said]:
        k = self.knowledge
        if record is None:
            yield Said("means", _MARKS.get(own, own))
        elif isinstance(record, Step):
            yield from _said(record, "say", "why")
            yield from (Said("caution", k.cautions[name].say) for name in record.cautions if name in k.cautions)
        elif isinstance(record, Equipment):
            yield from _said(record, "name", "what", "where", "use", "looks")
            yield from (Said("also", name) for name in record.also)
            yield from (Said("stands in", f"{self.title('item:' + other.item)}: {other.how}") for other in record.stands_in)
        elif isinstance(record, Pack):
            yield from _said(record, "name", "marked", "waters", "lacks")
            yield from (Said(self.title("item:" + line.item), line.note) for line in record.items.values() if line.note)
        elif isinstance(record, Fact):
            yield Said("about", f"{record.about} ({record.type}{', ' + record.unit if record.unit else ''})")
            yield from (Said(f"= {value}", words) for value, words in record.says.items())
            yield from (Said("presumed", f"{plainly.value_words(k, p.fact, p.value)}, because {p.because}")
                        for p in k.presumptions if p.fact == record.id)
        else:
            yield from _plain_words(record)

    def _conditions(self, step: Step) -> Iterator[Said]:
        k = self.knowledge
        for label, conditions, joined in (("when", step.when, "and"), ("not while", step.unless, "or"),
                                          ("done when", step.done_when, "and"), ("sooner when", step.sooner_when, "or")):
            if conditions:
                yield Said(label, plainly.conditions_words(k, conditions, joined))
        if step.again_s:
            yield Said("again", f"every {duration(step.again_s)}")
        if step.takes_s:
            yield Said("takes", f"about {duration(step.takes_s)}")
        yield from (Said("a report of it sets", plainly.value_words(k, fact, value)) for fact, value in step.sets.items())
        yield Said("band", {"note": "answers a question, is never planned"}.get(step.band, step.band))

    def _cited(self, name: str) -> Iterator[Cited]:
        parts: dict[str, list[str]] = {}
        for link in graph.neighbours(self.graph, name):
            if link.out and link.name.startswith("clause:"):
                parts.setdefault(link.name.removeprefix("clause:"), []).append(link.detail)
        for own, details in parts.items():
            clause = self.knowledge.clauses.get(own)
            says = clause.says if clause else _MARKS.get(own, "there is no such clause")
            yield Cited(own, self.knowledge.cite(own), mark_of(self.knowledge, own), says, ", ".join(filter(None, details)))

    def _disputes(self, record: object) -> Iterator[Said]:
        if isinstance(record, Step) and record.dispute:
            name, _, side = record.dispute.partition(".")
            record = self.knowledge.disputes.get(name)
            yield Said("this step takes the side", f"{name}.{side}")
        if isinstance(record, Dispute):
            chosen = self.knowledge.overlay.positions.get(record.id, record.default)
            yield Said("question", record.question)
            yield from (Said(f"{p.id}{' (followed)' if p.id == chosen else ''}", p.says) for p in record.positions)
            yield from (Said(label, text) for label, text in (("because", record.because), ("either way", record.care)) if text)

    def _led_to(self, name: str) -> Phrases:
        found = self.phrases(name)
        voices = dict(Counter(phrase.voice for phrase in found).most_common())
        return Phrases(len(found), voices, tuple(_spread(found, voices)))


def origin(k: Knowledge, name: str, place: Place) -> str:
    """`from FILE` where an overlay added, replaced or chose it, else nothing."""
    own, (kind, _, id_) = k.overlay, name.partition(":")
    tables: Mapping[str, Mapping[str, object]] = {"dispute": own.positions, "fact": own.given, "topic": own.calls}
    changed = id_ in own.changed and place.file == own.file or id_ in tables.get(kind, {})
    return f"from {own.file}" if own.file and changed else ""


def _said(record: object, *fields: str) -> Iterator[Said]:
    return (Said(field, str(getattr(record, field))) for field in fields if getattr(record, field))


def _plain_words(record: object) -> Iterable[Said]:
    """The texts of the records that are short."""
    if isinstance(record, Caution):
        return _said(record, "say")
    if isinstance(record, Topic):
        return _said(record, "title", "band")
    if isinstance(record, Source):
        return _said(record, "title", "publisher", "read")
    if isinstance(record, Clause):
        return _said(record, "says", "clause", "mark")
    if isinstance(record, Dispute):
        return _said(record, "question")
    if isinstance(record, WatersRule):
        return _said(record, "calls_for", "basis", "water")
    if isinstance(record, Computed):
        return _said(record, "figure", "follows")
    return _said(record, "title")


def _led(k: Knowledge) -> Iterator[tuple[str, Phrase]]:
    """Each phrase with the node that it leads to."""
    language = k.language
    yield from ((f"topic:{phrase.means}", phrase) for phrase in (*language.questions, *language.reports, *language.orders))
    yield from ((f"fact:{phrase.means.partition('=')[0]}", phrase)
                for phrase in (*language.frames, *language.facts, *language.amounts))


def _spread(phrases: list[Phrase], voices: Mapping[str, Any]) -> Iterator[Phrase]:
    """Some phrases, of as many voices as may be: the first of each voice, then the second."""
    rounds: dict[str, list[Phrase]] = {voice: [] for voice in voices}
    for phrase in phrases:
        rounds[phrase.voice].append(phrase)
    order = [own[turn] for turn in range(SAMPLE) for own in rounds.values() if turn < len(own)]
    yield from order[:SAMPLE]
