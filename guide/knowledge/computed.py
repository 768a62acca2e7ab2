"""Records of what is computed in a conversation: the figures of a topic, where their inputs come from, how they are said."""
import re
from collections.abc import Mapping
from typing import NamedTuple

from guide.knowledge.conditions import Condition
from guide.knowledge.problems import Place

CHARTS = ("water", "food", "seen", "drift")
"""Charts that a figure may have."""
UNITS = ("L", "h", "kn", "m", "kcal")


class Scaled(NamedTuple):
    """A name, and what makes of its number the input's: number × factor + plus; an empty name is none."""

    name: str = ""
    factor: float = 1.0
    plus: float = 0.0

    def of(self, number: float) -> float:
        """The input's number."""
        return number * self.factor + self.plus


NOTHING = Scaled()


class Unit(NamedTuple):
    """A unit as it is said, `litres`, or a word list of the lexicon, `unit_L`: value = number × factor + offset."""

    form: str
    factor: float
    offset: float


class When(NamedTuple):
    """What an input is where a condition on the state holds."""

    condition: Condition
    value: str


class Quantity(NamedTuple):
    """An amount that a person says: a fact of the same id, or something that only a figure needs."""

    id: str
    place: Place
    ask: str
    """What is asked for, in words; for a fact what it is about stands in."""
    unit: str
    """Its unit where that is one of those that facts have; every form of it is then read."""
    units: tuple[Unit, ...]
    """Further units."""
    words: Mapping[str, float]
    """Phrases that stand for a value."""
    near: tuple[str, ...]
    """Words of which one must stand in the sentence; the number nearest to one is meant."""
    sides: int
    """Lengths that make it up when they are multiplied: 2 for an area, 3 for a room, 0 none."""
    clock: str
    """`until` or `since`: a time of day is hours from now, or hours ago."""
    events: Mapping[str, str]
    """Words for a moment of the day → the detail of the sun's times."""
    bare: bool
    """A number alone answers a question for it."""
    instead_of: str
    """The fact that its number is not told of, though the unit would fit: a litre each is no stock."""


class Feed(NamedTuple):
    """Where one input of a figure comes from; the first that gives a value is taken, in the order of the fields."""

    said: Scaled = NOTHING
    """A quantity in the sentence or in the answer to a question."""
    words: tuple[tuple[str, str], ...] = ()
    """Phrases of the sentence, each with the value that it means."""
    fact: Scaled = NOTHING
    when: tuple[When, ...] = ()
    """Conditions on the state, each with a value."""
    figure: Scaled = NOTHING
    """A figure computed before for the same topic, or a detail of it: `sun_times.sunrise_min`."""
    clock: bool = False
    """The date where the raft is; after last light the next."""
    pack: Scaled = NOTHING
    """An item of the pack's list."""
    usual: str = ""
    """What is assumed."""


class Computed(NamedTuple):
    """A figure that answers a topic, and where its inputs come from."""

    place: Place
    topic: str
    figure: str
    name: str
    """What stands before its sentence where a topic has several."""
    inputs: Mapping[str, Feed]
    words: tuple[str, ...]
    """It answers sentences with one of these; a topic's figures without words answer the others."""
    extra: bool
    """Told only where all of it is at hand; never asked for."""
    chart: str
    says: str
    """Its sentence in a conversation, a format string as `follows`; the figure's own where it is left out."""
    follows: str
    """What follows from the figure: a format string over the value, the details and the inputs."""

    @property
    def id(self) -> str:
        """The topic, the figure and its name: `signal_range.detection_range.hand_flare`."""
        return ".".join(part for part in (self.topic, self.figure, re.sub(r"\W+", "_", self.name.lower())) if part)
