"""The simulated raft: one step in time after another, the same for the same input. It holds what the crew cannot say."""
from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from datetime import datetime, timedelta

from guide.drills import bodies, hull
from guide.drills.model import Act, Model
from guide.drills.records import Setting
from guide.figures.drift import position_after
from guide.figures.radio import beacon_life
from guide.figures.sun import sun_position
from guide.figures.units import METRES_PER_NM

Lookup = Callable[[str], object]
DARK_DEG = -6.0
SUN_HIGH_DEG = 10.0
DRY_CM, SOAKING_CM = 0.5, 1.0


class Raft:
    """The state of raft and crew. `step` carries it forward; `values` reads it."""

    def __init__(self, model: Model, setting: Setting) -> None:
        self._model, self.setting = model, setting
        self.numbers = dict(setting.numbers)
        self._start = datetime.fromisoformat(setting.utc)
        self.t_s = 0.0
        self.deficit_l = self.cooled_k = 0.0
        self.sick_h: float | None = None
        self.wetness = 1.0 if setting.clothes == "wet" else 0.0
        self.raft_water_l = 0.0
        self.co2_pct = model["outside_pct"]
        self.east_nm = self.north_nm = 0.0
        self.epirb_h = self.sart_h = 0.0
        self.bagged = self.huddled = False
        self.caught_l = 0.0
        """Rain caught and not yet counted among the stores."""
        self.unnoticed = 1.0
        self.sun_deg = self._sun()
        self.filling_kpa = hull.filled_kpa(model["working_kpa"], self._gas_c())
        self._lost_w = self._made_w = 0.0
        self.add(setting.begins)
        self._held_m2kw = self._insulation(lambda name: None)

    def step(self, seconds: float, look: Lookup) -> None:
        """Carry everything forward by some seconds, under the facts that `look` gives."""
        if seconds <= 0:
            return
        shut = look("canopy_closed") is True and look("canopy_damaged") is not True
        hours = seconds / 3600
        self._wet(hours, shut)
        self._bodies(seconds, shut, look)
        self._tubes(hours, look("leak_open") is True)
        self.co2_pct = hull.co2_after_pct(self._model, self.co2_pct, self.persons(look), self.setting.rated, seconds, shut=shut)
        self._drift(seconds, look)
        self.epirb_h += hours if look("epirb_on") is True else 0
        self.sart_h += hours if look("sart_on") is True else 0
        if look("rain_gear_rigged") is True and self.numbers["rain_mm_h"] > 0:
            self.caught_l += hull.caught_l(self._model, self.setting.rated, self.numbers["rain_mm_h"] * hours)
        self.t_s += seconds
        self.sun_deg = self._sun()

    def act(self, act: Act) -> None:
        """What a deed does besides what its facts say. Drinking is `drink`, as it comes out of the stores."""
        if act.bails:
            self.raft_water_l *= self._model["bail_share"]
        if act.dries:
            self.raft_water_l = 0.0
        if act.airs:
            self.co2_pct = self._model["outside_pct"]
        if act.fills:
            self.filling_kpa = max(self.filling_kpa, hull.filled_kpa(self._model["working_kpa"], self._gas_c()))
        self.bagged = self.bagged or act.wears
        self.huddled = self.huddled or act.huddles

    def drink(self, litres: float, persons: int) -> None:
        """Water shared by all; a body that lacks nothing passes the rest."""
        self.deficit_l = max(0.0, self.deficit_l - litres / max(1, persons))

    def add(self, changes: Mapping[str, float]) -> None:
        """What an event does to the raft and the crew, by quantity."""
        self.raft_water_l = max(0.0, self.raft_water_l + changes.get("raft_water_l", 0))
        self.filling_kpa = max(0.0, self.filling_kpa + changes.get("tube_kpa", 0))
        self.deficit_l = max(0.0, self.deficit_l + changes.get("water_lack_pct", 0) / 100 * self._model["mass_kg"])
        self.cooled_k = max(0.0, self.cooled_k - changes.get("warmth_pct", 0) / 100 * self._model["spent_k"])

    def noticed(self, chance: float) -> None:
        """A craft had this chance of noticing the raft."""
        self.unnoticed *= 1 - chance

    @property
    def dark(self) -> bool:
        """Whether the sun is past the end of twilight."""
        return self.sun_deg < DARK_DEG

    def persons(self, look: Lookup) -> int:
        """How many are aboard, as reported or as the scenario has it."""
        found = look("persons")
        return found if isinstance(found, int) and not isinstance(found, bool) and found > 0 else self.setting.persons

    def sample(self, look: Lookup) -> dict[str, float]:
        """Every quantity of a sample."""
        latitude, longitude = self.position()
        return {**self.values(look), "latitude_deg": latitude, "longitude_deg": longitude}

    def values(self, look: Lookup) -> dict[str, float]:
        """Every quantity but the position, which takes longer to find."""
        return {
            "water_lack_pct": bodies.water_lack_pct(self._model, self.deficit_l), "warmth_pct": bodies.warmth_pct(self._model, self.cooled_k),
            "heat_loss_w": self._lost_w - self._made_w, "insulation_m2kw": self._held_m2kw, "raft_water_l": self.raft_water_l,
            "raft_water_cm": self._depth_cm(), "tube_kpa": hull.gauge_kpa(self.filling_kpa, self._gas_c()), "co2_pct": self.co2_pct,
            "drift_nm": math.hypot(self.east_nm, self.north_nm), "stock_water_l": _amount(look("water")),
            "rockets": _amount(look("rocket_flares")), "hand_flares": _amount(look("hand_flares")), "smokes": _amount(look("smoke_signals")),
            "epirb_h": beacon_life("epirb", self.epirb_h).value, "sart_h": beacon_life("sart", self.sart_h).value,
            "sun_deg": self.sun_deg, "noticed": 1 - self.unnoticed, "minutes": self.t_s / 60}

    def position(self) -> tuple[float, float]:
        """Latitude and longitude in degrees, north and east above 0."""
        start, drift_nm = (self.setting.numbers["latitude"], self.setting.numbers["longitude"]), math.hypot(self.east_nm, self.north_nm)
        if not drift_nm:
            return start
        bearing = math.degrees(math.atan2(self.east_nm, self.north_nm)) % 360
        there = position_after(*start, bearing, drift_nm * METRES_PER_NM / 1000).details
        return there["latitude"] or 0.0, there["longitude"] or 0.0

    def _wet(self, hours: float, shut: bool) -> None:
        """Water in the raft and in the clothes."""
        n = self.numbers
        inflow_l = hull.inflow_l_h(self._model, n["wave_m"], n["rain_mm_h"], shut=shut) * hours
        self.raft_water_l = min(hull.brim_l(self._model, self.setting.rated), self.raft_water_l + inflow_l)
        depth = self._depth_cm()
        if depth > SOAKING_CM:
            self.wetness = 1 - (1 - self.wetness) * math.exp(-hours / self._model["soak_h"])
        elif depth < DRY_CM and shut:
            self.wetness *= math.exp(-hours / self._model["dry_out_h"])

    def _bodies(self, seconds: float, shut: bool, look: Lookup) -> None:
        n, model = self.numbers, self._model
        in_sun = look("canopy_damaged") is True and self.sun_deg > SUN_HIGH_DEG
        shade_c = n["air_c"] + (model["sun_c"] if in_sun else model["shelter_c"] if shut else 0)
        self.sick_h = (self.sick_h or 0.0) + seconds / 3600 if look("someone_seasick") is True else None
        self.deficit_l += bodies.water_loss_l_day(model, shade_c, self.sick_h) * seconds / 86400
        self._held_m2kw = self._insulation(look)
        air_c = bodies.felt_c(model, n["air_c"], n["wind_kn"], sheltered=shut)
        self._lost_w = bodies.heat_lost_w(model, self._held_m2kw, air_c, n["sea_c"], self._depth_cm())
        self._made_w = bodies.heat_made_w(model, self._lost_w, self.cooled_k)
        self.cooled_k = bodies.cooled_after_k(model, self.cooled_k, self._lost_w, self._made_w, seconds)

    def _insulation(self, look: Lookup) -> float:
        bags = _amount(look("thermal_aids")) if self.bagged else 0.0
        return bodies.insulation_m2kw(
            self._model, floor_inflated=look("floor_inflated") is True, wetness=self.wetness, depth_cm=self._depth_cm(),
            bagged=min(1.0, bags / self.persons(look)), huddled=self.huddled)

    def _tubes(self, hours: float, leak: bool) -> None:
        model, gas = self._model, self._gas_c()
        self.filling_kpa = max(0.0, self.filling_kpa - (model["leak_kpa_h"] if leak else model["seep_kpa_h"]) * hours)
        most = model["relief_factor"] * model["working_kpa"]
        if hull.gauge_kpa(self.filling_kpa, gas) > most:
            self.filling_kpa = hull.filled_kpa(most, gas)

    def _drift(self, seconds: float, look: Lookup) -> None:
        """Downwind and with the current, once the raft is free of the vessel or the vessel is gone."""
        if look("painter_cut") is not True and look("vessel_afloat") is not False:
            return
        n = self.numbers
        wind_nm = hull.drift_ms(self.setting.raft_class, n["wind_kn"], drogue=look("drogue_set") is True,
                                inverted=look("raft_inverted") is True) * seconds / METRES_PER_NM
        current_nm = n["current_kn"] * seconds / 3600
        for run, towards in ((wind_nm, n["wind_from_deg"] + 180), (current_nm, n["current_to_deg"])):
            self.east_nm += run * math.sin(math.radians(towards))
            self.north_nm += run * math.cos(math.radians(towards))

    def _depth_cm(self) -> float:
        return hull.depth_cm(self._model, self.raft_water_l, self.setting.rated)

    def _gas_c(self) -> float:
        return hull.gas_c(self._model, self.numbers["air_c"], self.numbers["sea_c"], self.sun_deg)

    def _sun(self) -> float:
        at = self._start + timedelta(seconds=self.t_s)
        return sun_position(at, self.numbers["latitude"], self.numbers["longitude"]).value


def _amount(value: object) -> float:
    return float(value) if isinstance(value, (int, float)) and not isinstance(value, bool) else 0.0
