"""One short function for each kind of file: node → records. Problems are noted, never raised."""
from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from guide.knowledge import figuring, lexical
from guide.knowledge.computed import Computed, Quantity
from guide.knowledge.fields import conditions_in as _conditions
from guide.knowledge.fields import mapping_in as _mapping
from guide.knowledge.fields import number_in as _number
from guide.knowledge.fields import seconds_in as _seconds
from guide.knowledge.fields import text_in as _text
from guide.knowledge.fields import texts_in as _texts
from guide.knowledge.fields import value_of
from guide.knowledge.fields import yes_in as _yes
from guide.knowledge.language import Phrase
from guide.knowledge.nodes import Node
from guide.knowledge.problems import Place
from guide.knowledge.records import (
    BANDS,
    MARKS,
    STORES_SAY,
    BagItem,
    Caution,
    Clause,
    Dispute,
    Equipment,
    Fact,
    Members,
    Pack,
    PackLine,
    Position,
    Presumption,
    Priority,
    Serving,
    Source,
    StandIn,
    Step,
    Substitute,
    Topic,
    WatersRule,
)

RULES: dict[str, Callable[[Node], object]] = {
    "reworded": lexical.reworded, "doubts": lexical.doubt, "unasserted": lexical.unasserted, "addressed": lexical.addressed, "supposing": lexical.opening,
    "turned": lexical.turned, "lacking": lexical.lacked, "reckoned": lexical.reckoned}
"""The rules of the lexicon, in sections of these names."""
PHRASE_SECTIONS = ("frames", "questions", "reports", "orders", "facts", "amounts", "nothing", "suppose", "outside", "follow_ups", "tellings")


@dataclass(slots=True)
class Harvest:
    """All that was read from the files of one folder, before ids are linked."""

    priorities: list[Priority] = field(default_factory=list)
    sources: list[Source] = field(default_factory=list)
    clauses: list[Clause] = field(default_factory=list)
    facts: list[Fact] = field(default_factory=list)
    presumptions: list[Presumption] = field(default_factory=list)
    equipment: list[Equipment] = field(default_factory=list)
    packs: list[Pack] = field(default_factory=list)
    cautions: list[Caution] = field(default_factory=list)
    steps: list[Step] = field(default_factory=list)
    topics: list[Topic] = field(default_factory=list)
    disputes: list[Dispute] = field(default_factory=list)
    computed: list[Computed] = field(default_factory=list)
    quantities: list[Quantity] = field(default_factory=list)
    shown_with: list[Members] = field(default_factory=list)
    waters: list[WatersRule] = field(default_factory=list)
    serves: list[Serving] = field(default_factory=list)
    substitutes: list[Substitute] = field(default_factory=list)
    dated: dict[str, Place] = field(default_factory=dict)
    bag: list[BagItem] = field(default_factory=list)
    groups: list[Members] = field(default_factory=list)
    lessons: list[Members] = field(default_factory=list)
    says: dict[str, str] = field(default_factory=dict)
    concepts: dict[str, tuple[str, ...]] = field(default_factory=dict)
    words: dict[str, tuple[str, ...]] = field(default_factory=dict)
    listed: dict[str, Place] = field(default_factory=dict)
    """Where each list of words stands."""
    rules: dict[str, list[Any]] = field(default_factory=lambda: {name: [] for name in RULES})
    """The rules of the lexicon by their section."""
    phrases: dict[str, list[Phrase]] = field(default_factory=lambda: {name: [] for name in PHRASE_SECTIONS})


def read_priorities(node: Node, into: Harvest) -> None:
    """The list of priorities, most urgent first: what a step serves."""
    for item in node.items():
        f = item.fields(("id", "title"))
        into.priorities.append(Priority(_text(f, "id"), item.place, _text(f, "title")))


def read_sources(node: Node, into: Harvest) -> None:
    """Works that clauses are of. `read` says how far each was read; `year` is for whoever looks at the file."""
    for item in node.items():
        f = item.fields(("id", "title", "short"), ("publisher", "read", "year"))
        into.sources.append(Source(_text(f, "id"), item.place, _text(f, "title"), _text(f, "short"),
                                   _text(f, "publisher"), _text(f, "read")))


def read_clauses(node: Node, into: Harvest) -> None:
    """Claims of the works in our own words, each with the mark of how it is known: MARKS, `memory` where none is given."""
    for item in node.items():
        f = item.fields(("id", "source", "clause", "mark", "says"))
        mark = f["mark"].choice(MARKS, "memory") if "mark" in f else "memory"
        into.clauses.append(Clause(_text(f, "id"), item.place, _text(f, "source"), _text(f, "clause"), mark, _text(f, "says")))


def read_facts(node: Node, into: Harvest) -> None:
    """What can be known. Amounts are in `unit` from `low` to `high`, both without limit where left out."""
    for item in node.items():
        f = item.fields(("id", "type", "about"), ("unit", "low", "high", "values", "says", "topics", "told_by", "ends_with", "thing", "ended_by"))
        kind = f["type"].choice(("bool", "int", "float", "enum"), "bool") if "type" in f else "bool"
        into.facts.append(Fact(_text(f, "id"), item.place, kind, _text(f, "about"), _text(f, "unit"),
                               _number(f, "low", float("-inf")), _number(f, "high", float("inf")), _texts(f, "values"),
                               _mapping(f, "says"), _mapping(f, "topics"), _text(f, "told_by"), _text(f, "ends_with"), _text(f, "thing"), _text(f, "ended_by")))


def read_presumptions(node: Node, into: Harvest) -> None:
    """Values that hold while nobody reported a fact, each with its conditions and reason."""
    for item in node.items():
        f = item.fields(("fact", "value", "when", "because"))
        into.presumptions.append(Presumption(_text(f, "fact"), item.place, value_of(_text(f, "value")),
                                             _conditions(f, "when"), _text(f, "because")))


def read_equipment(node: Node, into: Harvest) -> None:
    """Items. A part of the raft and what can be improvised are always to hand."""
    for item in node.items():
        f = item.fields(("id", "name", "what", "where", "use", "sources"),
                        ("also", "looks", "part", "improvised", "amount", "shown_by", "stands_in"))
        stand_ins = []
        for other in f["stands_in"].items() if "stands_in" in f else ():
            s = other.fields(("item", "how"))
            stand_ins.append(StandIn(_text(s, "item"), _text(s, "how")))
        into.equipment.append(Equipment(
            _text(f, "id"), item.place, _text(f, "name"), _texts(f, "also"), _text(f, "what"), _text(f, "where"),
            _text(f, "use"), _text(f, "looks"), _yes(f, "part") or _yes(f, "improvised"), _text(f, "amount"),
            _text(f, "shown_by"), tuple(stand_ins), _texts(f, "sources")))


def _pack_line(item: Node) -> PackLine:
    f = item.fields(("item", "sources"), ("count", "from", "each", "share", "least", "unit", "note"))
    if not {"count", "each", "share"} & f.keys():
        item.problem("K022", "a pack line needs count, each or share")
    steps = {key.whole(): value.number() for key, value in f["from"].pairs()} if "from" in f else {}
    return PackLine(_text(f, "item"), _number(f, "count"), steps, _number(f, "each"), _number(f, "share"),
                    _number(f, "least"), _text(f, "unit"), _text(f, "note"), _texts(f, "sources"))


def read_packs(node: Node, into: Harvest) -> None:
    """Packs with their lines; a second line of the same item takes the first one's place."""
    for item in node.items():
        f = item.fields(("id", "name", "items"), ("marked", "waters", "lacks"))
        lines = [_pack_line(line) for line in (f["items"].items() if "items" in f else ())]
        into.packs.append(Pack(_text(f, "id"), item.place, _text(f, "name"), _text(f, "marked"), _text(f, "waters"),
                               _text(f, "lacks"), {line.item: line for line in lines}))


def read_cautions(node: Node, into: Harvest) -> None:
    """Cautions by id; a step names them."""
    for item in node.items():
        f = item.fields(("id", "say", "sources"))
        into.cautions.append(Caution(_text(f, "id"), item.place, _text(f, "say"), _texts(f, "sources")))


_STEP_OPTIONAL = ("band", "when", "unless", "done_when", "sooner_when", "needs", "uses", "instead", "after", "takes",
                  "again", "sets", "cautions", "dispute")


def read_steps(node: Node, into: Harvest) -> None:
    """Steps. `takes` and `again` are kept in seconds; `sets` holds values as a fact has them."""
    for item in node.items():
        f = item.fields(("id", "topic", "priority", "say", "why", "sources"), _STEP_OPTIONAL)
        band = f["band"].choice(BANDS, "ordered") if "band" in f else "ordered"
        into.steps.append(Step(
            _text(f, "id"), item.place, _text(f, "topic"), _text(f, "priority"), band, _text(f, "say"), _text(f, "why"),
            _conditions(f, "when"), _conditions(f, "unless"), _conditions(f, "done_when"), _conditions(f, "sooner_when"),
            _texts(f, "needs"), _texts(f, "uses"), _text(f, "instead"), _texts(f, "after"), _seconds(f, "takes"),
            _seconds(f, "again"), {name: value_of(value) for name, value in _mapping(f, "sets").items()},
            _texts(f, "cautions"), _text(f, "dispute"), _texts(f, "sources")))


def read_topics(node: Node, into: Harvest) -> None:
    """Topics, with their steps in the order in which they are told."""
    for item in node.items():
        f = item.fields(("id", "title", "priority", "steps"), ("band", "see", "asks"))
        band = f["band"].choice(("emergency", "chance"), "ordered") if "band" in f else "ordered"
        into.topics.append(Topic(_text(f, "id"), item.place, _text(f, "title"), _text(f, "priority"), band,
                                 _texts(f, "steps"), _texts(f, "see"), _texts(f, "asks")))


def read_disputes(node: Node, into: Harvest) -> None:
    """Questions on which sources disagree, with the sides."""
    for item in node.items():
        f = item.fields(("id", "question", "positions", "default", "because"), ("care",))
        positions = []
        for side in f["positions"].items() if "positions" in f else ():
            s = side.fields(("id", "says", "sources"))
            positions.append(Position(_text(s, "id"), _text(s, "says"), _texts(s, "sources")))
        into.disputes.append(Dispute(_text(f, "id"), item.place, _text(f, "question"), tuple(positions),
                                     _text(f, "default"), _text(f, "because"), _text(f, "care")))


def read_computed(node: Node, into: Harvest) -> None:
    """Figures of a talk; see `figuring.read_one`."""
    into.computed += [figuring.read_one(item) for item in node.items()]


def read_quantities(node: Node, into: Harvest) -> None:
    """Amounts that only figures need; see `figuring.read_quantity`."""
    into.quantities += [figuring.read_quantity(item) for item in node.items()]


def _numbers(fields: dict[str, Node], name: str) -> dict[float, float]:
    return {key.number(): value.number() for key, value in fields[name].pairs()} if name in fields else {}


def _water(fields: dict[str, Node]) -> str:
    return fields["water"].choice(("cold", "warm", "any"), "any") if "water" in fields else "any"


def read_waters(node: Node, into: Harvest) -> None:
    """Rules of which pack the waters call for: nautical miles from the coast, lengths in feet, all without limit where left out."""
    endless = float("inf")
    for item in node.items():
        f = item.fields(("id", "basis", "calls_for", "sources"),
                        ("at_least", "beyond", "inside", "upto", "water", "length_from_ft", "length_below_ft", "persons_upto", "pack"))
        basis = f["basis"].choice(("us_rule", "practice"), "practice") if "basis" in f else "practice"
        into.waters.append(WatersRule(
            _text(f, "id"), item.place, basis, _water(f), _number(f, "at_least"), _number(f, "beyond", -1.0),
            _number(f, "inside", endless), _number(f, "upto", endless), _number(f, "length_from_ft"),
            _number(f, "length_below_ft", endless), _number(f, "persons_upto", endless), _text(f, "pack"),
            _text(f, "calls_for"), _texts(f, "sources")))


def read_serves(node: Node, into: Harvest) -> None:
    """Priority → the items that serve it."""
    for key, items in node.pairs():
        into.serves += [Serving(item.text(), item.place, key.text()) for item in items.items()]


def read_substitutes(node: Node, into: Harvest) -> None:
    """What may stand in for an item of a pack: `each` for so many persons, `all` for the whole line, else one for one."""
    for item in node.items():
        f = item.fields(("item", "for", "says", "sources"), ("each", "all"))
        into.substitutes.append(Substitute(_text(f, "item"), item.place, _text(f, "for"), _number(f, "each"),
                                           _yes(f, "all"), _text(f, "says"), _texts(f, "sources")))


def read_dated(node: Node, into: Harvest) -> None:
    """Items that carry a date."""
    into.dated.update({item.text(): item.place for item in node.items()})


def read_bag(node: Node, into: Harvest) -> None:
    """What a grab bag may add: weights in kg, volumes in L, beyond so many nautical miles, `worth` from 1 to 3."""
    for item in node.items():
        f = item.fields(("item", "weight_kg", "volume_l", "worth", "why", "sources"),
                        ("unit", "size", "figure", "a_day", "count", "farther", "each", "water", "beyond", "days", "need"))
        if not {"count", "each", "figure"} & f.keys():
            item.problem("K022", "a bag item needs count, each or figure")
        figure = f["figure"].choice(("water_days", "food_days"), "") if "figure" in f else ""
        if figure and not {"size", "a_day"} <= f.keys():
            item.problem("K022", "a bag item with a figure needs size and a_day")
        a_day = f["a_day"].fields(("cold", "warm")) if "a_day" in f else {}
        worth = f["worth"].choice(("1", "2", "3"), "3") if "worth" in f else "3"
        into.bag.append(BagItem(
            _text(f, "item"), item.place, _text(f, "unit"), _number(f, "size"), figure,
            {water: value.number() for water, value in a_day.items()}, _number(f, "count"), _numbers(f, "farther"),
            _number(f, "each"), _water(f), _number(f, "beyond", -1.0), _number(f, "days"), _text(f, "need"),
            _number(f, "weight_kg"), _number(f, "volume_l"), int(worth), _text(f, "why"), _texts(f, "sources")))


def _members(section: str) -> Callable[[Node, Harvest], None]:
    """A reader of names, each with the ids that belong to it."""
    def read(node: Node, into: Harvest) -> None:
        getattr(into, section).extend(Members(key.text(), key.place, ids.texts()) for key, ids in node.pairs())
    return read


def read_says(node: Node, into: Harvest) -> None:
    """What a talk says of packs, each sentence with the names that may stand in its braces."""
    for name, text in node.fields(STORES_SAY).items():
        into.says[name] = figuring.sentence(text, STORES_SAY[name])


def _word_lists(node: Node) -> dict[str, tuple[str, ...]]:
    return {key.text(): tuple(word.strip() for word in value.text().split(",") if word.strip())
            for key, value in node.pairs()}


def read_concepts(node: Node, into: Harvest) -> None:
    """Concept → the words that mean it."""
    into.concepts.update(_word_lists(node))


def read_words(node: Node, into: Harvest) -> None:
    """Name of a word list → its words."""
    into.words.update(_word_lists(node))
    into.listed.update({key.text(): key.place for key, _ in node.pairs()})


def _grouped(section: str) -> Callable[[Node, Harvest, str], None]:
    """Phrases under the topic or `fact=value` that they mean, one a line."""
    def reader(node: Node, into: Harvest, voice: str) -> None:
        for key, block in node.pairs():
            place = block.place
            into.phrases[section] += [Phrase(text, key.text(), voice, place._replace(line=line))
                                      for line, text in block.lines()]
    return reader


def _in_talk(section: str) -> Callable[[Node, Harvest, str], None]:
    """Phrases under the topic that was spoken of; what they mean stands before a bar, or it is that topic."""
    def reader(node: Node, into: Harvest, voice: str) -> None:
        for key, block in node.pairs():
            place, spoken_of = block.place, key.text()
            for line, text in block.lines():
                means, _, words = text.rpartition("|")
                into.phrases[section].append(Phrase(words.strip(), f"{spoken_of}>{means.strip() or spoken_of}", voice, place._replace(line=line)))
    return reader


def _listed(section: str, *, labelled: bool) -> Callable[[Node, Harvest, str], None]:
    """Phrases one a line; a label stands before a bar where the section has labels."""
    def reader(node: Node, into: Harvest, voice: str) -> None:
        place = node.place
        for line, text in node.lines():
            label, bar, words = text.partition("|") if labelled else ("", "|", text)
            if not bar:
                node.problem("K023", f'line {line}: a "meaning | sentence" is expected')
            else:
                into.phrases[section].append(Phrase(words.strip(), label.strip(), voice, place._replace(line=line)))
    return reader


_PHRASE_READERS = {
    "frames": _grouped("frames"), "questions": _grouped("questions"), "reports": _grouped("reports"),
    "orders": _grouped("orders"), "facts": _grouped("facts"), "amounts": _listed("amounts", labelled=True),
    "nothing": _listed("nothing", labelled=False), "suppose": _listed("suppose", labelled=True),
    "outside": _listed("outside", labelled=False), "follow_ups": _in_talk("follow_ups"), "tellings": _in_talk("tellings")}

def _rules(section: str, rule: Callable[[Node], object]) -> Callable[[Node, Harvest], None]:
    """A reader of rules of the lexicon."""
    def read(node: Node, into: Harvest) -> None:
        into.rules[section] += map(rule, node.items())
    return read


_SECTIONS: dict[str, Callable[[Node, Harvest], None]] = {
    "priorities": read_priorities, "sources": read_sources, "clauses": read_clauses, "facts": read_facts,
    "presumptions": read_presumptions, "equipment": read_equipment, "packs": read_packs, "cautions": read_cautions,
    "steps": read_steps, "topics": read_topics, "disputes": read_disputes, "computed": read_computed,
    "quantities": read_quantities, "concepts": read_concepts,
    "words": read_words, **{name: _rules(name, rule) for name, rule in RULES.items()}, "waters": read_waters, "serves": read_serves, "substitutes": read_substitutes, "dated": read_dated,
    "bag": read_bag, **{name: _members(name) for name in ("groups", "lessons", "shown_with")}, "says": read_says}

KINDS: dict[str, tuple[str, ...]] = {
    "priorities": ("priorities",), "sources": ("sources", "clauses"), "facts": ("facts", "presumptions"),
    "equipment": ("equipment",), "packs": ("packs",), "cautions": ("cautions",), "steps": ("steps",),
    "topics": ("topics",), "disputes": ("disputes",), "computed": ("computed", "quantities", "shown_with"), "waters": ("waters",),
    "stores": ("serves", "substitutes", "dated", "bag", "groups", "lessons", "says"), "lexicon": ("concepts", "words", *RULES),
    "phrases": PHRASE_SECTIONS}


def read_section(name: str, node: Node, into: Harvest) -> None:
    """Read one section of records."""
    _SECTIONS[name](node, into)


def read_file(root: Node, into: Harvest) -> None:
    """Read one file by its `kind`."""
    kind_node = next((value for key, value in root.pairs() if key.text() == "kind"), None)
    if kind_node is None:
        root.problem("K006", "the first line must be `kind:` and one of " + ", ".join(KINDS))
        return
    kind = kind_node.choice(KINDS, "")
    if not kind:
        return
    extra = ("voice", "about") if kind == "phrases" else ()
    fields = root.fields(("kind",), (*KINDS[kind], *extra))
    voice = _text(fields, "voice", "house")
    for name, node in fields.items():
        if kind == "phrases" and name in _PHRASE_READERS:
            _PHRASE_READERS[name](node, into, voice)
        elif name in _SECTIONS:
            _SECTIONS[name](node, into)
