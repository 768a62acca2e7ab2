"""The raft itself in the simulated raft: water inside, tubes, air, drift, and what a passing craft can notice. Pure functions."""
from __future__ import annotations

import math

from guide.drills.model import Craft, Model, Signal
from guide.figures.drift import LEEWAY
from guide.figures.horizon import geographic_range_nm
from guide.figures.light import luminous_range_nm
from guide.figures.tubes import tube_pressure
from guide.figures.units import MS_PER_KN, STANDARD_AIR_KPA
from guide.figures.water import rain_catch

FILLED_AT_C = 15.0
"""Gas temperature at which the filling of the tubes is kept."""
OXYGEN_PCT = 20.9
"""Oxygen in air: no more carbon dioxide than that can come of it."""
CALM_WAVE_M = 0.5
SHORT_COEFFICIENT = 2.03


def inflow_l_h(model: Model, wave_m: float, rain_mm_h: float, *, shut: bool) -> float:
    """Litres an hour that come in by spray, rain and seep."""
    spray = model["spray_l_h"] * max(0.0, wave_m - CALM_WAVE_M)
    rain = model["opening_m2"] * rain_mm_h
    return model["seep_l_h"] + (spray + rain) * (model["shut_share"] if shut else 1.0)


def brim_l(model: Model, rated: int) -> float:
    """Litres that a swamped raft for `rated` persons holds."""
    return model["brim_cm"] * 10 * model["floor_m2_each"] * rated


def depth_cm(model: Model, litres: float, rated: int) -> float:
    """Depth on the floor of a raft for `rated` persons."""
    return litres / (model["floor_m2_each"] * rated) / 10


def caught_l(model: Model, rated: int, rain_mm: float) -> float:
    """Litres of drinking water that the catcher takes from a depth of rain."""
    return rain_catch(model["catch_m2_each"] * rated, rain_mm, model["catch_share"]).value


def gas_c(model: Model, air_c: float, sea_c: float, sun_deg: float) -> float:
    """Warmth of the gas in the tubes: between sea and air, more in the sun."""
    return (air_c + sea_c) / 2 + model["sun_on_tube_c"] * max(0.0, math.sin(math.radians(sun_deg)))


def filled_kpa(gauge_kpa: float, at_c: float) -> float:
    """The filling, as gauge pressure at FILLED_AT_C, that gives `gauge_kpa` at a gas temperature."""
    return tube_pressure(gauge_kpa, at_c, FILLED_AT_C, STANDARD_AIR_KPA, STANDARD_AIR_KPA).value


def gauge_kpa(filling_kpa: float, at_c: float) -> float:
    """Gauge pressure of a filling at a gas temperature, not below 0."""
    return max(0.0, tube_pressure(filling_kpa, FILLED_AT_C, at_c, STANDARD_AIR_KPA, STANDARD_AIR_KPA).value)


def co2_after_pct(model: Model, co2_pct: float, persons: int, rated: int, seconds: float, *, shut: bool, vent_l_min: float | None = None) -> float:
    """Carbon dioxide under the canopy after some seconds, by mass balance; open, it is that of the air outside.

    `vent_l_min` is the air let through where it is not that of the model.
    """
    outside = model["outside_pct"]
    if not shut:
        return outside
    room_l = 1000 * max(0.1, model["canopy_m3_each"] * rated - model["body_m3"] * persons)
    vent = model["vent_l_min_each"] * rated if vent_l_min is None else vent_l_min
    made = persons * model["co2_l_min"] * 100
    minutes = seconds / 60
    if vent <= 0:
        return min(OXYGEN_PCT, co2_pct + made * minutes / room_l)
    steady = outside + made / vent
    return min(OXYGEN_PCT, steady + (co2_pct - steady) * math.exp(-vent * minutes / room_l))


def drift_ms(raft_class: str, wind_kn: float, *, drogue: bool, inverted: bool = False) -> float:
    """Downwind speed in m/s by the leeway table."""
    row = f"{raft_class}_{'drogue' if drogue else 'free'}"
    if inverted:
        row = next((name for name in (f"{raft_class.partition('_')[0]}_capsized",) if name in LEEWAY), row)
    return max(0.0, LEEWAY[row].downwind.speed_ms(wind_kn * MS_PER_KN))


def reach_nm(model: Model, signal: Signal, craft: Craft, visibility_nm: float, *, dark: bool) -> float:
    """How far off a craft can see the signal; 0 at the wrong time of day."""
    if signal.by and signal.by != ("night" if dark else "day"):
        return 0.0
    if not signal.cd:
        return min(signal.reach_nm, visibility_nm) if signal.by == "day" else signal.reach_nm
    light = luminous_range_nm(signal.cd, visibility_nm, model["night_lx" if dark else "day_lx"])
    return min(light, geographic_range_nm(signal.height_m, craft.eye_m, SHORT_COEFFICIENT))


def notice_chance(model: Model, signal: Signal, craft: Craft, nm: float, visibility_nm: float, *, dark: bool) -> float:
    """Chance, 0 to 1, that the craft notices the signal: its look-out's attention, less in step with the distance."""
    reach = reach_nm(model, signal, craft, visibility_nm, dark=dark)
    return craft.attention * max(0.0, 1 - nm / reach) if reach > 0 else 0.0
