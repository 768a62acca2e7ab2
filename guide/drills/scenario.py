"""Scenario files (`kind: drill`): read as all knowledge is, every problem with its place, every id held to the knowledge."""
from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Iterator, Mapping
from datetime import UTC, datetime
from pathlib import Path

from guide.drills.records import (
    CRAFT,
    HELP_LEVELS,
    QUANTITIES,
    Deed,
    Ending,
    Event,
    Expectation,
    Harm,
    Pass,
    Scenario,
    Setting,
    Weights,
)
from guide.figures.drift import LEEWAY
from guide.knowledge import nodes
from guide.knowledge.base import DRILLS, Knowledge
from guide.knowledge.conditions import Condition
from guide.knowledge.fields import conditions_in, seconds_in, text_in, texts_in, yes_in
from guide.knowledge.nodes import Node
from guide.knowledge.problems import Place, Problem, did_you_mean
from guide.knowledge.records import COMMON_PRACTICE, UNVERIFIED, Value
from guide.values import ValueProblem, read_value

KIND = "drill"
RAFT_CLASSES = tuple(sorted(name.removesuffix("_free") for name in LEEWAY
                            if name.endswith("_free") and name.removesuffix("_free") + "_drogue" in LEEWAY))
"""Kinds of raft whose leeway is tabled with and without a drogue."""
NUMBERS: Mapping[str, tuple[float, float, float | None]] = {
    "latitude": (-90, 90, None), "longitude": (-180, 180, None), "sea_c": (-2, 35, None), "air_c": (-40, 50, None),
    "wind_kn": (0, 80, None), "visibility_nm": (0.05, 50, None), "humidity_pct": (0, 100, 70), "wind_from_deg": (0, 360, 270),
    "wave_m": (0, 20, 0.5), "rain_mm_h": (0, 100, 0), "current_kn": (0, 6, 0), "current_to_deg": (0, 360, 0)}
"""Number of a setting → least, greatest, and what it is where left out (None: it must be given)."""
CHANGES = ("raft_water_l", "tube_kpa", "water_lack_pct", "warmth_pct")
"""What an event, or the start, may add to in the simulated raft."""
_EVENT_OPTIONAL = ("at", "since", "when", "sets", "changes", "weather", "passes")


def scenario_files(folder: Path) -> list[Path]:
    """The YAML files of a knowledge folder's drills, scenarios and the drill model."""
    return sorted((folder / DRILLS).glob("*.yaml"))


def read_scenario(path: Path, shown: str, knowledge: Knowledge, problems: list[Problem]) -> Scenario | None:
    """The scenario in a file; its problems are added. None where it cannot be read or is of another kind."""
    root = nodes.read(path, shown, problems)
    if root is None or not root.is_a("a scenario", KIND):
        return None
    fields = root.fields(("kind", "id", "title", "about", "setting", "events", "expect", "ends"),
                         ("harmful", "help", "weights", "questions"))
    if not {"setting", "ends"} <= fields.keys():
        return None
    reader = ScenarioReader(knowledge, problems)
    scenario = Scenario(
        text_in(fields, "id"), root.place, text_in(fields, "title"), text_in(fields, "about"), reader.setting(fields["setting"]),
        tuple(reader.event(item) for item in (fields["events"].items() if "events" in fields else ())),
        tuple(reader.expectation(item) for item in (fields["expect"].items() if "expect" in fields else ())),
        tuple(reader.harm(item) for item in (fields["harmful"].items() if "harmful" in fields else ())),
        reader.ending(fields["ends"]), fields["help"].choice(HELP_LEVELS, "asked") if "help" in fields else "asked",
        reader.weights(fields), texts_in(fields, "questions"), digest(path))
    problems.extend(_dangling(scenario))
    return scenario


def digest(path: Path) -> str:
    """The digest of a file's bytes by which a log knows the scenario it was played from."""
    return hashlib.sha256(path.read_bytes()).hexdigest()[:16]


class ScenarioReader:
    """Nodes → records, held to one knowledge. Notes problems, raises nothing."""

    def __init__(self, knowledge: Knowledge, problems: list[Problem]) -> None:
        self.knowledge, self._problems = knowledge, problems

    def setting(self, node: Node) -> Setting:
        """Where and in what the drill begins."""
        needed = tuple(name for name, (_, _, default) in NUMBERS.items() if default is None)
        rest = tuple(name for name in NUMBERS if name not in needed)
        f = node.fields(("pack", "persons", "rated", "raft_class", "utc", "told", *needed), ("clothes", "given", "begins", *rest))
        numbers = {name: self._number(f[name], NUMBERS[name]) if name in f else default or 0.0
                   for name, (_, _, default) in NUMBERS.items()}
        return Setting(
            f["pack"].choice(self.knowledge.packs, "") if "pack" in f else "", self._persons(f, "persons"), self._persons(f, "rated"),
            f["raft_class"].choice(RAFT_CLASSES, RAFT_CLASSES[0]) if "raft_class" in f else RAFT_CLASSES[0], _utc(f), numbers,
            f["clothes"].choice(("dry", "wet"), "dry") if "clothes" in f else "dry", self.facts(f, "given"),
            self._amounts(f, "begins", CHANGES), text_in(f, "told"))

    def event(self, node: Node) -> Event:
        """Something that happens."""
        f = node.fields(("id", "say"), _EVENT_OPTIONAL)
        when = self.conditions(f, "when")
        if not {"at", "when"} & f.keys():
            node.problem("K061", "an event needs `at`, `when` or both")
        if "since" in f and "at" not in f:
            f["since"].problem("K061", "`since` goes with `at`")
        return Event(text_in(f, "id"), node.place, seconds_in(f, "at") if "at" in f else None, text_in(f, "since"), when,
                     text_in(f, "say"), self.facts(f, "sets"), self._amounts(f, "changes", CHANGES), self._weather(f), self._passes(f))

    def expectation(self, node: Node) -> Expectation:
        """What is expected."""
        f = node.fields(("id", "within", "why", "sources"), ("says", "since", "after", "weight", "timing", "step", "fact", "told", "used"))
        deed = self.deed(node, f)
        if deed is None:
            node.problem("K060", "an expectation needs one of step, fact, told, used")
            deed = Deed("told", "")
        says = text_in(f, "says") or (self.knowledge.steps[deed.name].say if deed.kind == "step" and deed.name in self.knowledge.steps else "")
        if not says and deed.kind != "step":
            node.problem("K015", 'field "says" is missing')
        timing = texts_in(f, "timing")
        sources = self.sources(node, text_in(f, "id"), texts_in(f, "sources"))
        return Expectation(text_in(f, "id"), node.place, deed, says, text_in(f, "since"), self._time(f, "within"),
                           texts_in(f, "after"), self._weight(f), text_in(f, "why"), sources,
                           self.sources(node, text_in(f, "id"), timing) if timing else ())

    def harm(self, node: Node) -> Harm:
        """What costs points."""
        f = node.fields(("id", "says", "why", "sources"), ("when", "lasts", "weight", "step", "fact", "told", "used"))
        deed = self.deed(node, f)
        when = self.conditions(f, "when")
        if deed is None and "when" not in f:
            node.problem("K060", "what is harmful needs `when` or one of step, fact, told, used")
        return Harm(text_in(f, "id"), node.place, deed, when, seconds_in(f, "lasts"), text_in(f, "says"), self._weight(f),
                    text_in(f, "why"), self.sources(node, text_in(f, "id"), texts_in(f, "sources")))

    def ending(self, node: Node) -> Ending:
        """When it is over."""
        f = node.fields(("at", "say"), ("when",))
        return Ending(self._time(f, "at"), self.conditions(f, "when"), text_in(f, "say"))

    def weights(self, fields: dict[str, Node]) -> Weights:
        """How the score is made."""
        usual = Weights()
        if "weights" not in fields:
            return usual
        f = fields["weights"].fields((), ("late", "unordered", "order", "help"))
        share, any_weight = (0.0, 1.0, None), (0.0, 100.0, None)
        return Weights(*(self._number(f[name], limits) if name in f else getattr(usual, name) for name, limits in
                         (("late", share), ("unordered", share), ("order", any_weight), ("help", any_weight))))

    def conditions(self, fields: dict[str, Node], name: str) -> tuple[Condition, ...]:
        """The conditions of a field, each name in them held to facts, items, steps and quantities."""
        found = conditions_in(fields, name)
        for atom in (atom for condition in found for atom in condition.any_of):
            known: Iterable[str] = self.knowledge.equipment if atom.op in ("has", "lacks") else [*self.knowledge.facts, *QUANTITIES]
            if atom.op in ("is", "not") and atom.value == "done":
                known = self.knowledge.steps
            self.known(fields[name].place, "condition", atom.fact, known)
        return found

    def sources(self, node: Node, owner: str, sources: tuple[str, ...]) -> tuple[str, ...]:
        """Sources that exist, of which at least one was read: no score rests on memory alone."""
        if not sources:
            node.problem("K032", f"{owner} has no source; cite a clause or {COMMON_PRACTICE}")
        self.cited(node.place, sources)
        if sources and all(self._unverified(source) for source in sources):
            node.problem("K063", f"{owner} rests on nothing but unverified sources; cite one that was read, or {COMMON_PRACTICE}")
        return sources

    def cited(self, place: Place, sources: Iterable[str]) -> None:
        """Hold each source to the clauses of the knowledge."""
        for source in sources:
            self.known(place, "source", source, [*self.knowledge.clauses, COMMON_PRACTICE, UNVERIFIED])

    def known(self, place: Place, what: str, name: str, known: Iterable[str]) -> None:
        """Note a name that does not exist."""
        if name not in known:
            self._problems.append(Problem(place, "error", "K031", f'{what}: unknown "{name}"{did_you_mean(name, known)}'))

    def _unverified(self, source: str) -> bool:
        return source == UNVERIFIED or source in self.knowledge.clauses and self.knowledge.clauses[source].mark == "memory"

    def _number(self, node: Node, limits: tuple[float, float, float | None]) -> float:
        value = node.number(limits[0])
        if not limits[0] <= value <= limits[1]:
            node.problem("K062", f"{value:g} is not from {limits[0]:g} to {limits[1]:g}")
        return value

    def _persons(self, fields: dict[str, Node], name: str) -> int:
        if name not in fields:
            return 1
        number = fields[name].whole(1)
        if not 1 <= number <= 150:
            fields[name].problem("K062", f"{number} is not from 1 to 150")
        return min(150, max(1, number))

    def _time(self, fields: dict[str, Node], name: str) -> float:
        """A duration that is not nothing, and at most thirty days."""
        seconds, longest = seconds_in(fields, name), 30 * 86400
        if name in fields and not 0 < seconds <= longest:
            fields[name].problem("K062", f"`{name}` is more than nothing and at most {longest // 86400} days")
        return min(seconds, longest)

    def _weight(self, fields: dict[str, Node]) -> float:
        return self._number(fields["weight"], (0.0, 100.0, None)) if "weight" in fields else 1.0

    def _fact(self, place: Node, name: str, text: str) -> Value | None:
        if name not in self.knowledge.facts:
            self.known(place.place, "fact", name, self.knowledge.facts)
            return None
        try:
            return read_value(self.knowledge.facts[name], text)
        except ValueProblem as error:
            place.problem("K062", str(error))
            return None

    def facts(self, fields: dict[str, Node], name: str) -> dict[str, Value]:
        """Facts with values that they can have."""
        pairs = fields[name].pairs() if name in fields else ()
        read = {key.text(): self._fact(key, key.text(), value.text()) for key, value in pairs}
        return {fact: value for fact, value in read.items() if value is not None}

    def _amounts(self, fields: dict[str, Node], name: str, known: Iterable[str]) -> dict[str, float]:
        pairs = fields[name].pairs() if name in fields else ()
        return {key.choice(known, next(iter(known))): value.number() for key, value in pairs}

    def _weather(self, fields: dict[str, Node]) -> dict[str, float]:
        pairs = fields["weather"].pairs() if "weather" in fields else ()
        named = [(key.choice(NUMBERS, "wind_kn"), value) for key, value in pairs]
        return {name: self._number(value, NUMBERS[name]) for name, value in named}

    def _passes(self, fields: dict[str, Node]) -> Pass | None:
        if "passes" not in fields:
            return None
        f = fields["passes"].fields(("craft", "nm", "for"), ("stays",))
        craft = f["craft"].choice(CRAFT, CRAFT[0]) if "craft" in f else CRAFT[0]
        return Pass(craft, self._number(f["nm"], (0.0, 50.0, None)) if "nm" in f else 0.0, self._time(f, "for"), yes_in(f, "stays"))

    def deed(self, node: Node, fields: dict[str, Node]) -> Deed | None:
        """The one deed that the fields name; None where they name none."""
        kinds = [kind for kind in ("step", "fact", "told", "used") if kind in fields]
        if len(kinds) > 1:
            node.problem("K060", f"one of {', '.join(kinds)}, not several")
        if not kinds:
            return None
        at = fields[kinds[0]]
        name, _, text = at.text().partition("=")
        if kinds[0] == "fact":
            return Deed("fact", name, self._fact(at, name, text))
        known: Mapping[str, object] = {"step": self.knowledge.steps, "told": self.knowledge.topics, "used": self.knowledge.facts}[kinds[0]]
        name, *also = at.text().split(" or ") if kinds[0] in ("told", "used") else [name]
        for one in (name, *also):
            self.known(at.place, kinds[0], one, known)
        return Deed(kinds[0], name, also=tuple(also))


def _utc(fields: dict[str, Node]) -> str:
    """The time of the start, ISO with its offset."""
    if "utc" not in fields:
        return "2000-01-01T12:00:00+00:00"
    text = fields["utc"].text()
    if not re.fullmatch(r"(19|20)\d\d-\d\d-\d\dT\d\d:\d\d", text):
        fields["utc"].problem("K062", f'"{text}" is not a time in UTC such as 2026-01-31T22:40')
        return "2000-01-01T12:00:00+00:00"
    try:
        return datetime.fromisoformat(text).replace(tzinfo=UTC).isoformat()
    except ValueError as error:
        fields["utc"].problem("K062", f'"{text}" is not a time: {error}')
        return "2000-01-01T12:00:00+00:00"


def _dangling(scenario: Scenario) -> Iterator[Problem]:
    """Ids inside the scenario that stand twice, or are named and do not exist."""
    events, expected = [e.id for e in scenario.events], [e.id for e in scenario.expect]
    for records in (scenario.events, scenario.expect, scenario.harmful):
        seen: set[str] = set()
        for record in records:
            if record.id in seen:
                yield Problem(record.place, "error", "K030", f"{record.id} stands twice")
            seen.add(record.id)
    named = [(e.place, f"event {e.id}, since", e.since, events[:n]) for n, e in enumerate(scenario.events) if e.since]
    named += [(x.place, f"{x.id}, since", x.since, events) for x in scenario.expect if x.since]
    named += [(x.place, f"{x.id}, after", name, [o for o in expected if o != x.id]) for x in scenario.expect for name in x.after]
    for place, what, name, known in named:
        if name not in known:
            yield Problem(place, "error", "K031", f'{what}: unknown "{name}"{did_you_mean(name, known)}')
