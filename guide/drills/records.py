"""What a drill is made of: the scenario as written, the log as typed, and the drill as played.

A log holds only what was typed and when. Everything else is computed anew from it, always the same. One call does it:

    from guide.drills.opening import play_log
    played = play_log(Path("mylog.jsonl"), folder=None)      # -> Played; raises guide.arguments.Misuse with one line

`played.log` has the head of the log (crew, help level, record of the drill), `played.scenario` the scenario with its
questions, `played.moments` what happened in order of time, `played.samples` the curves, `played.results`, `played.harms`
and `played.score` what it comes to. All times are seconds since the drill began.
"""
from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import NamedTuple

from guide.knowledge.conditions import Condition
from guide.knowledge.problems import Place
from guide.knowledge.records import Value

HELP_LEVELS = ("full", "asked", "none")
CRAFT = ("ship", "aircraft", "helicopter")


class Quantity(NamedTuple):
    """A value that the simulated raft keeps, with its unit and what it stands for."""

    unit: str
    title: str


QUANTITIES: Mapping[str, Quantity] = MappingProxyType({
    "water_lack_pct": Quantity("% of body mass", "body water lacking, mean of the crew"),
    "warmth_pct": Quantity("%", "body warmth left, mean of the crew (100 is warm)"),
    "heat_loss_w": Quantity("W", "heat that a body loses, less what it makes"),
    "insulation_m2kw": Quantity("m2 K/W", "insulation of a body in the raft"),
    "raft_water_l": Quantity("L", "water in the raft"),
    "raft_water_cm": Quantity("cm", "depth of water on the floor"),
    "tube_kpa": Quantity("kPa", "gauge pressure of the tubes"),
    "co2_pct": Quantity("%", "carbon dioxide under the canopy"),
    "drift_nm": Quantity("nm", "run since the raft came free"),
    "latitude_deg": Quantity("deg", "latitude, north above 0"),
    "longitude_deg": Quantity("deg", "longitude, east above 0"),
    "stock_water_l": Quantity("L", "drinking water aboard"),
    "rockets": Quantity("", "parachute rockets left"),
    "hand_flares": Quantity("", "hand flares left"),
    "smokes": Quantity("", "smoke signals left"),
    "epirb_h": Quantity("h", "hours that the beacon is still promised to send"),
    "sart_h": Quantity("h", "hours that the radar transponder is still promised to stand by"),
    "sun_deg": Quantity("deg", "height of the sun"),
    "noticed": Quantity("", "chance, 0 to 1, that some craft has noticed the raft"),
    "minutes": Quantity("min", "time since the drill began"),
})
"""Every name that a condition of a drill may test besides facts, items and steps; those of a sample's values."""


@dataclass(frozen=True, slots=True)
class Setting:
    """Where and in what a drill begins. The plain numbers can change by an event's `weather`."""

    pack: str
    persons: int
    rated: int
    """Persons the raft is approved for."""
    raft_class: str
    """Kind of raft in the drill model, which gives its leeway rows with and without a drogue."""
    utc: str
    """ISO time in UTC."""
    numbers: Mapping[str, float]
    """latitude, longitude, sea_c, air_c, humidity_pct, wind_kn, wind_from_deg, wave_m, visibility_nm, rain_mm_h,
    current_kn, current_to_deg."""
    clothes: str
    """dry or wet."""
    given: Mapping[str, Value]
    """Facts that hold at the start, over what pack and numbers tell."""
    begins: Mapping[str, float]
    """Quantity of the simulated raft → how much is added at the start, such as water on the floor."""
    told: str
    """What the crew is told at the start: where they are, what is afloat."""


class Pass(NamedTuple):
    """A craft that comes by."""

    craft: str
    """ship, aircraft or helicopter."""
    nm: float
    seconds: float
    stays: bool = False
    """Whether it is still in sight when the time to notice the raft is over, as one that has turned to help."""


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happens to the crew.

    With `at_s` alone it happens at that time; with `when` alone as soon as all of it holds; with both at that time if it
    holds then. Times count from the start, or from the event that `since` names. A sign of the drill model has
    `repeats`: it happens each time `when` comes to hold.
    """

    id: str
    place: Place
    at_s: float | None
    since: str
    when: tuple[Condition, ...]
    say: str
    sets: Mapping[str, Value]
    changes: Mapping[str, float]
    """Quantity of the simulated raft → how much is added."""
    weather: Mapping[str, float]
    """Number of the setting → its new value."""
    passes: Pass | None
    repeats: bool = False


@dataclass(frozen=True, slots=True)
class Deed:
    """Something the crew does, as it can be seen in what they type."""

    kind: str
    """step (it is done), fact (it has the value), told (a report on the topic), used (less of the amount is left)."""
    name: str
    value: Value | None = None
    also: tuple[str, ...] = ()
    """Other topics or amounts that count as well, where people say the same thing in several ways."""

    @property
    def names(self) -> tuple[str, ...]:
        """All names that count."""
        return (self.name, *self.also)


@dataclass(frozen=True, slots=True)
class Expectation:
    """What a crew is expected to do. It counts once its window opens: at the start, or with the event `since`."""

    id: str
    place: Place
    deed: Deed
    says: str
    since: str
    within_s: float
    after: tuple[str, ...]
    """Expectations that are to be met before."""
    weight: float
    why: str
    sources: tuple[str, ...]
    timing: tuple[str, ...]
    """Sources of the time allowed; empty where it is a teaching assumption."""


@dataclass(frozen=True, slots=True)
class Harm:
    """What costs points, once: a deed while `when` holds, or, without a deed, `when` holding for `lasts_s`."""

    id: str
    place: Place
    deed: Deed | None
    when: tuple[Condition, ...]
    lasts_s: float
    says: str
    weight: float
    why: str
    sources: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Weights:
    """How a score is made. All teaching assumptions; a scenario may set its own."""

    late: float = 0.5
    """Share of the points for what is done after its time."""
    unordered: float = 0.75
    """Share of the points for what is done before what it comes after."""
    order: float = 2.0
    """Points for going by the planner's order."""
    help: float = 0.25
    """Points that a request for advice costs."""


@dataclass(frozen=True, slots=True)
class Ending:
    """When a drill is over: at a time, or as soon as `when` holds."""

    at_s: float
    when: tuple[Condition, ...]
    say: str


@dataclass(frozen=True, slots=True)
class Scenario:
    """A scenario file."""

    id: str
    place: Place
    title: str
    about: str
    setting: Setting
    events: tuple[Event, ...]
    expect: tuple[Expectation, ...]
    harmful: tuple[Harm, ...]
    ends: Ending
    help: str
    weights: Weights
    questions: tuple[str, ...]
    digest: str
    """Of the file's bytes."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of a log: typed by `who` at `t_s`. Empty text only says that the clock had come this far."""

    t_s: float
    who: str
    text: str


@dataclass(frozen=True, slots=True)
class Log:
    """A log file: its head, and what was typed in order of time."""

    scenario: str
    digest: str
    help: str
    crew: tuple[str, ...]
    started: str
    """ISO time at which the drill was begun, of the real clock."""
    record: Mapping[str, str]
    """vessel, date, and whatever else the record of the drill holds."""
    entries: tuple[Entry, ...]
    problems: tuple[str, ...] = ()
    """One line for each thing wrong with the file."""


class NextShown(NamedTuple):
    """A step that the guide would have put next, with its reason in one line."""

    step: str
    say: str
    line: str


class Changed(NamedTuple):
    """A fact's value before and after; None is unknown."""

    fact: str
    was: object
    now: object


@dataclass(frozen=True, slots=True)
class Moment:
    """Something typed or something that happened."""

    t_s: float
    """When it was typed or happened."""
    done_s: float
    """When the act was over and what it changes took effect; `t_s` for an event."""
    kind: str
    """said, event, sign (the simulated raft shows something), wait or end."""
    who: str
    text: str
    """What was typed, or what the crew was told."""
    event: str = ""
    outcome: str = ""
    """answered, unsure or outside, for what was said."""
    topic: str = ""
    asked: bool = False
    """Whether it asked the guide for advice."""
    understood: tuple[str, ...] = ()
    """What was understood, in words."""
    changes: tuple[Changed, ...] = ()
    steps: tuple[str, ...] = ()
    """Steps that it settled."""
    used: Mapping[str, float] = field(default_factory=dict)
    """Amount → how much less is left."""
    next: tuple[NextShown, ...] = ()
    """What the guide would have put next just before."""
    advice: tuple[str, ...] = ()
    """What the guide says to it: the steps of its answer."""


@dataclass(frozen=True, slots=True)
class Sample:
    """The simulated raft at one time. Keys of `values` are those of QUANTITIES."""

    t_s: float
    values: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Result:
    """How an expectation was met."""

    expectation: Expectation
    opened_s: float | None
    """When its window opened; None where its event never happened: it does not count."""
    due_s: float | None
    done_s: float | None
    in_time: bool
    in_order: bool
    points: float
    of: float


@dataclass(frozen=True, slots=True)
class HarmDone:
    """A harmful act or neglect that took place."""

    harm: Harm
    times_s: tuple[float, ...]
    """When; the first one costs the points."""
    points: float
    """Points lost."""


@dataclass(frozen=True, slots=True)
class Score:
    """What a drill comes to, in points."""

    met: float
    order: float
    harmed: float
    helped: float
    of: float
    settled: int
    """Jobs that the crew did."""
    as_planned: int
    """Of these, the ones that came when the plan puts them: see `guide.drills.scoring.score`."""
    asked: int
    """Requests for advice."""

    @property
    def points(self) -> float:
        """Points in all, not below 0."""
        return max(0.0, self.met + self.order - self.harmed - self.helped)

    @property
    def percent(self) -> float:
        """Points in per cent of what could be had."""
        return 100 * self.points / self.of if self.of else 0.0


@dataclass(frozen=True, slots=True)
class Played:
    """A drill as played. The same scenario, knowledge and log give the same."""

    scenario: Scenario
    log: Log
    moments: tuple[Moment, ...]
    samples: tuple[Sample, ...]
    results: tuple[Result, ...]
    harms: tuple[HarmDone, ...]
    score: Score
    ended_s: float
    finished: bool
    """Whether it came to its ending, and was not broken off."""
    problems: tuple[str, ...] = ()
    """What is to be known about the log: a damaged line, a scenario that has changed since."""
