"""The drill model (`drills/model.yaml`, `kind: drill_model`): rates, signals, signs and what deeds do, each with its source.

A rate without a source says why it was assumed; it is shown as a teaching assumption.
"""
from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

from guide.drills.records import CRAFT, Deed, Event
from guide.drills.scenario import ScenarioReader
from guide.knowledge import nodes
from guide.knowledge.base import DRILLS, Knowledge
from guide.knowledge.conditions import Condition
from guide.knowledge.fields import number_in, text_in, texts_in, yes_in
from guide.knowledge.nodes import Node
from guide.knowledge.problems import Problem

FILE = "model.yaml"
KIND = "drill_model"
RATES = tuple("""mass_kg skin_and_lungs_l_day urine_l_day faeces_l_day made_l_day dry_days_cool dry_days_32c dry_days_38c dry_days_49c
    dry_limit_pct sun_c vomit_l_h vomit_ease_h wet_floor_m2kw thermal_aid_gain huddle_gain tissue_m2kw core_c body_m2 heat_kj_kgk rest_w shiver_gain
    spent_k floor_share shelter_c dry_out_h soak_h floor_m2_each spray_l_h shut_share opening_m2 seep_l_h bail_share brim_cm working_kpa
    relief_factor seep_kpa_h leak_kpa_h sun_on_tube_c canopy_m3_each body_m3 co2_l_min outside_pct vent_l_min_each catch_m2_each
    catch_share night_lx day_lx hands job_s report_s question_s""".split())
"""Every rate that the simulated raft needs."""
_DEED = ("step", "fact", "told", "used")
_BASIS = ("sources", "assumed")


class Basis(NamedTuple):
    """What a number rests on."""

    sources: tuple[str, ...]
    assumed: str
    """Why it was assumed; empty where it has a source."""


@dataclass(frozen=True, slots=True)
class Rate:
    """A number of the model."""

    id: str
    value: float
    unit: str
    about: str
    basis: Basis


@dataclass(frozen=True, slots=True)
class Craft:
    """A kind of craft that comes by."""

    id: str
    fact: str
    eye_m: float
    attention: float
    """Chance, 0 to 1, that its look-out notices a signal close by."""
    gone: str
    """What the crew is told when it has gone."""
    none: str
    """What the crew is told that reports one where there is none."""
    basis: Basis


@dataclass(frozen=True, slots=True)
class Signal:
    """Something by which a craft can notice the raft: by a deed, or by itself while `when` holds."""

    id: str
    deed: Deed | None
    when: tuple[Condition, ...]
    cd: float
    height_m: float
    reach_nm: float
    by: str
    """day, night, or empty for both."""
    basis: Basis


@dataclass(frozen=True, slots=True)
class Act:
    """What a deed does in the simulated raft."""

    id: str
    deed: Deed
    bails: bool
    dries: bool
    airs: bool
    wears: bool
    huddles: bool
    fills: bool
    drinks_l: float
    """Litres that each person drinks."""


class Notice(NamedTuple):
    """What is said before a drill or after it."""

    at: str
    """before or after."""
    say: str
    sources: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Model:
    """The whole of a drill model."""

    about: str = ""
    limits: tuple[str, ...] = ()
    notices: tuple[Notice, ...] = ()
    rates: Mapping[str, Rate] = field(default_factory=dict)
    craft: Mapping[str, Craft] = field(default_factory=dict)
    signals: tuple[Signal, ...] = ()
    acts: tuple[Act, ...] = ()
    signs: tuple[Event, ...] = ()

    def said(self, at: str) -> str:
        """All that is said before, or after."""
        return " ".join(notice.say for notice in self.notices if notice.at == at)

    def __getitem__(self, rate: str) -> float:
        """The value of a rate, in its own unit."""
        return self.rates[rate].value


def read_model(folder: Path, knowledge: Knowledge, problems: list[Problem]) -> Model:
    """The drill model of a knowledge folder; its problems are added."""
    shown = f"{DRILLS}/{FILE}"
    root = nodes.read(folder / DRILLS / FILE, shown, problems)
    if root is None or not root.is_a("the drill model", KIND):
        return Model()
    f = root.fields(("kind", "about", "limits", "notices", "rates", "craft", "signals", "acts", "signs"))
    reader = _ModelReader(knowledge, problems)
    lists = {name: f[name].items() if name in f else [] for name in ("notices", "rates", "craft", "signals", "acts", "signs")}
    rates = reader.rates(root, lists["rates"])
    model = Model(text_in(f, "about"), texts_in(f, "limits"), tuple(map(reader.notice, lists["notices"])), rates, reader.craft(root, lists["craft"]),
                  tuple(map(reader.signal, lists["signals"])), tuple(map(reader.act, lists["acts"])), tuple(map(reader.sign, lists["signs"])))
    return model


class _ModelReader(ScenarioReader):
    """Nodes → records of the drill model."""

    def notice(self, item: Node) -> Notice:
        f = item.fields(("at", "say", "sources"))
        at = f["at"].choice(("before", "after"), "before") if "at" in f else "before"
        return Notice(at, text_in(f, "say"), self.sources(item, "a notice", texts_in(f, "sources")))

    def rates(self, root: Node, items: list[Node]) -> dict[str, Rate]:
        found: dict[str, Rate] = {}
        for item in items:
            f = item.fields(("id", "value", "unit", "about"), _BASIS)
            name = f["id"].choice(RATES, "") if "id" in f else ""
            if name in found:
                item.problem("K030", f"rate {name} stands twice")
            found[name] = Rate(name, number_in(f, "value"), text_in(f, "unit"), text_in(f, "about"), self._basis(item, f))
        for name in RATES:
            if name not in found:
                root.problem("K015", f'rate "{name}" is missing')
        return found

    def craft(self, root: Node, items: list[Node]) -> dict[str, Craft]:
        found = {}
        for item in items:
            f = item.fields(("id", "fact", "eye_m", "attention", "gone", "none"), _BASIS)
            name = f["id"].choice(CRAFT, CRAFT[0]) if "id" in f else CRAFT[0]
            self.known(item.place, "fact", text_in(f, "fact"), self.knowledge.facts)
            found[name] = Craft(name, text_in(f, "fact"), number_in(f, "eye_m"), number_in(f, "attention"), text_in(f, "gone"),
                                text_in(f, "none"), self._basis(item, f))
        for name in CRAFT:
            if name not in found:
                root.problem("K015", f'craft "{name}" is missing')
        return found

    def signal(self, item: Node) -> Signal:
        f = item.fields(("id",), ("when", "cd", "height_m", "reach_nm", "by", *_DEED, *_BASIS))
        deed = self.deed(item, f)
        if deed is None and "when" not in f:
            item.problem("K060", "a signal needs `when` or one of step, fact, told, used")
        by = f["by"].choice(("day", "night"), "day") if "by" in f else ""
        return Signal(text_in(f, "id"), deed, self.conditions(f, "when"), number_in(f, "cd"), number_in(f, "height_m"),
                      number_in(f, "reach_nm"), by, self._basis(item, f))

    def act(self, item: Node) -> Act:
        f = item.fields(("id",), (*_DEED, "bails", "dries", "airs", "wears", "huddles", "fills", "drinks_l"))
        deed = self.deed(item, f)
        if deed is None:
            item.problem("K060", "an act needs one of step, fact, told, used")
            deed = Deed("told", "")
        return Act(text_in(f, "id"), deed, yes_in(f, "bails"), yes_in(f, "dries"), yes_in(f, "airs"), yes_in(f, "wears"),
                   yes_in(f, "huddles"), yes_in(f, "fills"), number_in(f, "drinks_l"))

    def sign(self, item: Node) -> Event:
        f = item.fields(("id", "say", "when"), ("sets",))
        return Event(text_in(f, "id"), item.place, None, "", self.conditions(f, "when"), text_in(f, "say"), self.facts(f, "sets"),
                     {}, {}, None, repeats=True)

    def _basis(self, item: Node, fields: dict[str, Node]) -> Basis:
        sources, assumed = texts_in(fields, "sources"), text_in(fields, "assumed")
        if bool(sources) == bool(assumed):
            item.problem("K032", "cite `sources`, or say in `assumed` why it was assumed; one of the two")
        self.cited(item.place, sources)
        return Basis(sources, assumed)

