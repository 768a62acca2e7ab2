"""What the knowledge is made of: frozen records, each with its id and the place it stands at."""
from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import NamedTuple

from guide.knowledge.conditions import Condition, Lookup, parse
from guide.knowledge.problems import Place

COMMON_PRACTICE = "common_practice"
UNVERIFIED = "unverified"
MARKS = ("read", "secondary", "memory")
BANDS = ("emergency", "chance", "immediate", "ordered", "note")

STORES_SAY: Mapping[str, frozenset[str]] = MappingProxyType({name: frozenset(braces.split()) for name, braces in {
    "listed": "pack persons", "listed_each": "pack", "differ": "packs", "which_pack": "packs", "how_many": "",
    "number": "item amount pack persons", "none": "item pack", "depends": "item each", "unpacked": "item",
    "unseen": "", "reported": "item where", "counted": "item amount", "lacking": "item",
    "in_date": "item all good stale", "none_in_date": "item all", "how_many_in_date": "item"}.items()})
"""The sentences that a file of `kind: stores` gives under `says` → what each may have in braces."""

Value = bool | int | float | str


class Source(NamedTuple):
    """A published work."""

    id: str
    place: Place
    title: str
    short: str
    publisher: str
    read: str
    """How far the work was read for this knowledge."""


class Clause(NamedTuple):
    """One fact of a published work, in our own words."""

    id: str
    place: Place
    source: str
    clause: str
    mark: str
    """read, secondary (in a public summary) or memory (not read: unverified, never scored)."""
    says: str


_FROM, _WHILE = "from ", " while "


class Fact(NamedTuple):
    """Something the tracker remembers. Absent from the state means unknown, which is not false."""

    id: str
    place: Place
    type: str
    """bool, int, float or enum."""
    about: str
    unit: str
    low: float
    high: float
    values: tuple[str, ...]
    says: Mapping[str, str]
    """Value as text → the words that echo it."""
    topics: Mapping[str, str]
    """Value as text (or `any`, or `from 27`, or `ended` for what was so before, or `false while vessel_on_fire is true`) → the topic that a report of it is about."""
    told_by: str = ""
    """A topic whose reports make the fact true: a report of a helicopter tells that one is near."""
    ends_with: str = ""
    """The fact whose end ends this one."""
    thing: str = ""
    """What `it` or `they` stands for in a report of it: `the painter`."""
    ended_by: str = ""
    """The fact whose being told to be so ends this one: with everybody aboard nobody is in the water."""

    @property
    def said_of_thing(self) -> str:
        """What is said of its thing where it is so, `on` of `the beacon is on`; nothing for a fact without a thing."""
        return self.says.get("true", "").partition(" is ")[2] if self.thing else ""

    def meanwhile(self) -> Iterator[tuple[str, Condition | str, str]]:
        """Each value with a condition (or why it is none) and the topic that a report of the value is about while that holds."""
        for key, topic in self.topics.items():
            value, _, condition = key.partition(_WHILE)
            if condition:
                yield value, parse(condition), topic

    def topic(self, value: object, lookup: Lookup | None = None) -> str:
        """The topic that a report of this value is about, with `lookup` as things stand; nothing where it has none."""
        for so, condition, topic in self.meanwhile() if lookup else ():
            if so == str(value).lower() and isinstance(condition, Condition) and lookup and condition.holds(lookup):
                return topic
        exactly = self.topics.get(f"{value:g}" if isinstance(value, float) else str(value).lower())
        if exactly or isinstance(value, bool) or not isinstance(value, (int, float)):
            return exactly or self.topics.get("any", "")
        reached = [float(key[len(_FROM):]) for key in self.topics if key.startswith(_FROM) and value >= float(key[len(_FROM):])]
        return self.topics[f"{_FROM}{max(reached):g}"] if reached else self.topics.get("any", "")


class StandIn(NamedTuple):
    """An item that can do another's work, and how."""

    item: str
    how: str


class Equipment(NamedTuple):
    """An item of a pack, a part of the raft, or something always to hand."""

    id: str
    place: Place
    name: str
    also: tuple[str, ...]
    what: str
    where: str
    use: str
    looks: str
    always: bool
    """A part of the raft or a thing always to hand: aboard unless reported otherwise."""
    amount: str
    """The fact that counts it, or nothing."""
    shown_by: str
    """The fact that shows it to be aboard where it is so, or nothing."""
    stands_in: tuple[StandIn, ...]
    sources: tuple[str, ...]


class PackLine(NamedTuple):
    """How many of an item a pack holds, by the number of persons the raft is rated for."""

    item: str
    pieces: float
    steps: Mapping[int, float]
    """Rated persons from which the count is another."""
    each: float
    share: float
    least: float
    unit: str
    note: str
    sources: tuple[str, ...]

    def number(self, persons: int) -> float:
        """The amount in `unit` (pieces where empty) for a raft rated for `persons`."""
        if self.each:
            return self.each * persons
        if self.share:
            return max(self.least, float(-(-persons * self.share // 1)))
        best = self.pieces
        for threshold in sorted(self.steps):
            if persons >= threshold:
                best = self.steps[threshold]
        return best


class Pack(NamedTuple):
    """A kind of equipment pack."""

    id: str
    place: Place
    name: str
    marked: str
    waters: str
    lacks: str
    items: Mapping[str, PackLine]


class Caution(NamedTuple):
    """A sentence that a person must not miss."""

    id: str
    place: Place
    say: str
    sources: tuple[str, ...]


class Step(NamedTuple):
    """Something the crew does, or a note that answers a question."""

    id: str
    place: Place
    topic: str
    priority: str
    band: str
    say: str
    why: str
    when: tuple[Condition, ...]
    unless: tuple[Condition, ...]
    done_when: tuple[Condition, ...]
    sooner_when: tuple[Condition, ...]
    needs: tuple[str, ...]
    uses: tuple[str, ...]
    instead: str
    after: tuple[str, ...]
    takes_s: float
    again_s: float
    sets: Mapping[str, Value]
    cautions: tuple[str, ...]
    dispute: str
    """`dispute.position` when the step follows one side of a dispute, else nothing."""
    sources: tuple[str, ...]


class Topic(NamedTuple):
    """What a person can ask about or report, and the steps that answer it."""

    id: str
    place: Place
    title: str
    priority: str
    band: str
    steps: tuple[str, ...]
    see: tuple[str, ...]
    asks: tuple[str, ...]


class Position(NamedTuple):
    """One side of a dispute."""

    id: str
    says: str
    sources: tuple[str, ...]


class Dispute(NamedTuple):
    """A question on which good sources disagree."""

    id: str
    place: Place
    question: str
    positions: tuple[Position, ...]
    default: str
    because: str
    care: str


class Presumption(NamedTuple):
    """What the planner takes a fact to be while nobody has reported it."""

    fact: str
    place: Place
    value: Value
    when: tuple[Condition, ...]
    because: str


class Priority(NamedTuple):
    """A rank of the plan; the lowest number goes first."""

    id: str
    place: Place
    title: str


class WatersRule(NamedTuple):
    """What a raft's pack is called for by. `at_least` and `upto` (nautical miles) include the number, the others do not."""

    id: str
    place: Place
    basis: str
    """us_rule, or practice where no source was found."""
    water: str
    """cold, warm or any."""
    at_least: float
    beyond: float
    inside: float
    upto: float
    length_from_ft: float
    length_below_ft: float
    persons_upto: float
    pack: str
    """The least pack, or nothing where no pack is called for."""
    calls_for: str
    sources: tuple[str, ...]


class Serving(NamedTuple):
    """The priority that an item serves first."""

    id: str
    place: Place
    priority: str


class Substitute(NamedTuple):
    """What a rule lets stand in for an item of a pack's list."""

    id: str
    """The item that stands in."""
    place: Place
    stands_for: str
    each: float
    """How much of the line it replaces for each place; 0 where pieces count alike."""
    whole: bool
    """One replaces the whole line."""
    says: str
    sources: tuple[str, ...]


class BagItem(NamedTuple):
    """What a grab bag adds, and for which waters, time and needs."""

    id: str
    """The item."""
    place: Place
    unit: str
    size: float
    """How much a piece holds: litres of water or kcal of food."""
    figure: str
    """The figure that says how long a stock lasts, or nothing where pieces are counted."""
    a_day: Mapping[str, float]
    """cold and warm → issue for each person a day, in the unit of `size`."""
    pieces: float
    farther: Mapping[float, float]
    """Nautical miles from which the count is another."""
    each: float
    water: str
    beyond: float
    days: float
    """Only for this many days or more."""
    need: str
    """Only for a crew with this need."""
    weight_kg: float
    volume_l: float
    worth: int
    """1 nothing in the raft replaces it, 2 spares great suffering, 3 helps."""
    why: str
    sources: tuple[str, ...]


class Members(NamedTuple):
    """A name and the ids that belong to it."""

    id: str
    place: Place
    members: tuple[str, ...]


class Stores(NamedTuple):
    """What the commands on packs, inventories and grab bags read."""

    waters: Mapping[str, WatersRule] = MappingProxyType({})
    serves: Mapping[str, Serving] = MappingProxyType({})
    substitutes: Mapping[str, Substitute] = MappingProxyType({})
    dated: Mapping[str, Place] = MappingProxyType({})
    """Items that carry a date."""
    bag: Mapping[str, BagItem] = MappingProxyType({})
    groups: Mapping[str, Members] = MappingProxyType({})
    """A word for several items, `flares` → the items."""
    lessons: Mapping[str, Members] = MappingProxyType({})
    """Pack → the steps that tell of it."""
    says: Mapping[str, str] = MappingProxyType({})
    """What a talk says of packs and dates, by STORES_SAY; empty where a knowledge has none."""


NOTHING = "nothing"
"""What a sentence of the bank tells that tells nothing that is tracked."""
