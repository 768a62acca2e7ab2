"""The simulated raft against published rows at fixed inputs, each with its source beside the check."""
from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import pytest

from guide.drills import bodies, hull
from guide.drills.model import Act, Model, read_model
from guide.drills.raft import Raft
from guide.drills.records import Setting
from guide.drills.scenario import read_scenario
from guide.figures.units import MS_PER_KN
from guide.knowledge.base import Knowledge

ROOT = Path(__file__).resolve().parent.parent.parent


@pytest.fixture(scope="module")
def model(knowledge: Knowledge) -> Model:
    return read_model(ROOT / "knowledge", knowledge, [])


@pytest.fixture(scope="module")
def setting(knowledge: Knowledge) -> Setting:
    scenario = read_scenario(ROOT / "guide" / "drills" / "start.yaml", "start.yaml", knowledge, [])
    assert scenario is not None
    return scenario.setting


def raft(model: Model, setting: Setting, *, utc: str = "2026-06-14T13:00", begins: Mapping[str, float] | None = None, **numbers: float) -> Raft:
    """A raft in that weather; still air, flat sea and no rain unless said otherwise."""
    calm = {"wind_kn": 0.0, "wave_m": 0.0, "rain_mm_h": 0.0, "current_kn": 0.0}
    return Raft(model, replace(setting, utc=f"{utc}+00:00", numbers={**setting.numbers, **calm, **numbers}, begins=begins or {}))


def run(one: Raft, hours: float, facts: Mapping[str, object], step_s: float = 300.0) -> Raft:
    for _ in range(round(hours * 3600 / step_s)):
        one.step(step_s, facts.get)
    return one


# ---- drift

@pytest.mark.parametrize(("raft_class", "drogue", "wind_ms", "speed_ms"), [
    ("deep_small", False, 10, 0.352),  # Allen and Plourde 1999, revised: deep ballast, 4 to 14 persons, no drogue
    ("deep_small", True, 10, 0.200),  # the same, canopy, with drogue, average
    ("shallow", False, 15, 0.86 * MS_PER_KN),  # shallow ballast, canopy, no drogue: 0.86 kn
    ("bare_canopy", True, 10, 5.6 * 1852 / 86400)])  # no ballast, canopy, with drogue: 5.6 nm in 24 h
def test_a_raft_drifts_as_the_leeway_table_says(raft_class: str, drogue: bool, wind_ms: float, speed_ms: float) -> None:
    assert hull.drift_ms(raft_class, wind_ms / MS_PER_KN, drogue=drogue) == pytest.approx(speed_ms, abs=0.0025)


def test_a_capsized_raft_drifts_slower() -> None:
    # Allen and Plourde 1999, revised: deep ballast, capsized, 0.88 % of the wind; there is no such row for a bare raft.
    assert hull.drift_ms("deep_small", 10 / MS_PER_KN, drogue=False, inverted=True) == pytest.approx(0.088, abs=0.0005)
    assert hull.drift_ms("bare_open", 20, drogue=False, inverted=True) == hull.drift_ms("bare_open", 20, drogue=False)


def test_a_day_of_drift_without_a_drogue_ends_where_geodesy_says(model: Model, setting: Setting) -> None:
    # Allen and Plourde 1999, revised: no ballast, no canopy, no drogue, 10 m/s for 24 h: 29.5 nm downwind.
    # Due north along a meridian: 29.5 nm are 54.6 km, 0.491 degrees at 48 N (WGS84, 111.2 km a degree).
    one = raft(model, replace(setting, raft_class="bare_open"), wind_kn=10 / MS_PER_KN, wind_from_deg=180)
    run(one, 24, {"painter_cut": True})
    assert one.sample({}.get)["drift_nm"] == pytest.approx(29.5, abs=0.1)
    assert one.position()[0] - setting.numbers["latitude"] == pytest.approx(0.491, abs=0.003)
    assert one.position()[1] == pytest.approx(setting.numbers["longitude"], abs=1e-6)


def test_a_raft_that_is_tied_to_a_floating_vessel_does_not_drift(model: Model, setting: Setting) -> None:
    one = run(raft(model, setting, wind_kn=20), 2, {"painter_cut": False, "vessel_afloat": True})
    assert one.sample({}.get)["drift_nm"] == 0
    assert run(one, 2, {"painter_cut": False, "vessel_afloat": False}).sample({}.get)["drift_nm"] > 1


# ---- light

@pytest.mark.parametrize(("utc", "latitude", "longitude", "minute"), [
    ("2025-06-21T21:00", 57.5, 2, 1326.7)])  # NOAA method, two solar libraries and an ephemeris: civil dusk 1326.7 min after 0 h UTC
def test_it_is_dark_from_civil_dusk(model: Model, setting: Setting, utc: str, latitude: float, longitude: float, minute: float) -> None:
    one = raft(model, setting, utc=utc, latitude=latitude, longitude=longitude)
    start = 21 * 60
    assert not run(one, (minute - 2 - start) / 60, {}, 30).dark
    assert run(one, 4 / 60, {}, 30).dark


def test_in_the_polar_night_the_sun_stays_down(model: Model, setting: Setting) -> None:
    # 68 N, 5 E, 21 December 2025: day length 0 h, civil twilight 08:59 to 14:17 UTC (NOAA method, against an ephemeris).
    one = raft(model, setting, utc="2025-12-21T08:30", latitude=68, longitude=5)
    assert one.dark
    assert not run(one, 1, {}).dark and one.sun_deg < -0.833
    assert run(one, 5, {}).dark


# ---- tubes

@pytest.mark.parametrize(("gauge", "from_c", "to_c", "then"), [
    (17, 35, 10, 7.4), (17, 10, 40, 29.5)])  # gas law at fixed volume, 101.325 kPa outside: warm noon to cold night, and back
def test_tubes_follow_the_gas_law(gauge: float, from_c: float, to_c: float, then: float) -> None:
    assert hull.gauge_kpa(hull.filled_kpa(gauge, from_c), to_c) == pytest.approx(then, abs=0.1)


def test_a_relief_valve_opens_below_twice_the_working_pressure(model: Model, setting: Setting) -> None:
    # LSA Code 4.2.2: relief keeps a compartment below twice its working pressure.
    one = raft(model, setting, begins={"tube_kpa": 40})
    run(one, 0.1, {})
    assert one.values({}.get)["tube_kpa"] == pytest.approx(2 * model["working_kpa"], abs=0.2)


def test_a_leak_empties_a_tube_and_a_sound_one_holds(model: Model, setting: Setting) -> None:
    leaking, sound = (run(raft(model, setting), 0.5, {"leak_open": leak}).values({}.get)["tube_kpa"] for leak in (True, False))
    assert leaking < 12 and sound > 18


# ---- warmth

def insulation(model: Model, *, floor: bool, wet: float = 0.0, depth: float = 0.0, bagged: float = 0.0) -> float:
    return bodies.insulation_m2kw(model, floor_inflated=floor, wetness=wet, depth_cm=depth, bagged=bagged, huddled=False)


@pytest.mark.parametrize(("floor", "wet", "held"), [(True, 0.0, 0.236), (True, 1.0, 0.146), (False, 0.0, 0.174), (False, 1.0, 0.101)])
def test_a_person_is_insulated_as_in_the_raft_trial(model: Model, floor: bool, wet: float, held: float) -> None:
    assert insulation(model, floor=floor, wet=wet) == pytest.approx(held, abs=5e-4)  # Mak and others 2009, 5 degC air and water


def test_ratios_of_the_raft_trial(model: Model) -> None:
    # Mak and others 2009: dry 0.236 / 0.174 = 1.36; a thermal aid adds 48 % to the wet flat floor; in 10 cm of water 0.05.
    assert insulation(model, floor=True) / insulation(model, floor=False) == pytest.approx(1.36, abs=0.01)
    assert insulation(model, floor=False, wet=1, bagged=1) / insulation(model, floor=False, wet=1) == pytest.approx(1.48, abs=0.005)
    assert insulation(model, floor=False, wet=1, depth=10) == pytest.approx(0.05, abs=5e-4)


def test_who_sits_in_cold_water_is_spent_about_when_the_cooling_curve_says(model: Model, setting: Setting) -> None:
    # Hayward 1975, 5 degC water: 132 min to a core of 30 degC. The model's tissue was fitted to this one point.
    one = raft(model, setting, sea_c=5, air_c=5, begins={"raft_water_l": 400})
    minutes = next(n for n in range(1, 400) if run(one, 1 / 60, {}, 60).values({}.get)["warmth_pct"] == 0)
    assert minutes == pytest.approx(132, abs=10)


def test_care_keeps_a_crew_warm_that_neglect_loses(model: Model, setting: Setting) -> None:
    wet = replace(setting, clothes="wet")
    cared, neglected = (raft(model, wet, sea_c=5, air_c=0, wind_kn=25, wave_m=2) for _ in range(2))
    for _ in range(4):
        run(cared, 1, {"canopy_closed": True, "floor_inflated": True})
        cared.raft_water_l = 0.0
        run(neglected, 1, {"canopy_closed": False, "floor_inflated": False})
    assert cared.values({}.get)["warmth_pct"] > 90 and neglected.values({}.get)["warmth_pct"] < 30


def test_open_entrances_let_the_wind_chill_the_air(model: Model) -> None:
    # Environment Canada chart: -10 degC in 40 km/h feels as -21.
    assert bodies.felt_c(model, -10, 40 / 1.852, sheltered=False) == pytest.approx(-21, abs=0.5)
    assert bodies.felt_c(model, -10, 40 / 1.852, sheltered=True) > -10


# ---- water in bodies

@pytest.mark.parametrize(("shade_c", "days"), [(21, 10), (32, 7), (38, 5), (49, 2)])
def test_without_water_days_are_those_of_the_survival_table(model: Model, setting: Setting, shade_c: float, days: float) -> None:
    # US survival manuals after Adolph 1947: days at rest in shade without water. The end is a lack of 15 % of body mass.
    one = run(raft(model, setting, air_c=shade_c), days * 24, {}, 600)
    assert one.values({}.get)["water_lack_pct"] == pytest.approx(15, rel=0.01)


def test_a_resting_body_in_the_cool_loses_what_the_balance_says(model: Model) -> None:
    # Physiology text: skin and lungs 650 to 850 mL, least urine 500 mL a day; net need at rest in the cool 0.9 to 1.2 L.
    assert 0.9 <= bodies.water_loss_l_day(model, 15) <= 1.2


def test_half_a_litre_a_day_stretches_the_time_to_a_tenth(model: Model, setting: Setting) -> None:
    # Net loss of about 1.1 L and 0.5 L drunk a day: 10 % of 70 kg after 11.7 days (7 / (1.1 - 0.5)); here the loss is 1.05 L.
    one = raft(model, setting, air_c=15)
    for _ in range(11):
        run(one, 24, {}, 3600)
        one.drink(0.5 * 6, 6)
    lack = one.values({}.get)["water_lack_pct"]
    assert lack == pytest.approx(100 * 11 * (1.05 - 0.5) / 70, rel=0.01) and lack < 10


def test_vomiting_costs_water_and_eases(model: Model) -> None:
    well, sick, later = (bodies.water_loss_l_day(model, 15, hours) for hours in (None, 0.0, 24.0))
    assert sick - well == pytest.approx(24 * model["vomit_l_h"]) and (later - well) / (sick - well) == pytest.approx(0.368, abs=0.001)


def test_without_a_canopy_the_sun_takes_water(model: Model, setting: Setting) -> None:
    shaded, bare = (run(raft(model, setting, utc="2026-06-14T12:00", air_c=30), 3, {"canopy_damaged": torn}) for torn in (False, True))
    assert bare.deficit_l > 1.3 * shaded.deficit_l
    at_night = [run(raft(model, setting, utc="2026-06-14T22:00", air_c=30), 3, {"canopy_damaged": torn}).deficit_l for torn in (False, True)]
    assert at_night[0] == at_night[1]


# ---- what is done to the raft

def act(model: Model, name: str) -> Act:
    return next(one for one in model.acts if one.id == name)


def test_bailing_leaves_a_film_and_sponging_none(model: Model, setting: Setting) -> None:
    one = raft(model, setting, begins={"raft_water_l": 100})
    one.act(act(model, "bailed"))
    assert one.raft_water_l == pytest.approx(20)
    one.act(act(model, "sponged"))
    assert one.raft_water_l == 0


def test_airing_and_topping_up(model: Model, setting: Setting) -> None:
    one = run(raft(model, setting), 1, {"canopy_closed": True, "leak_open": True})
    assert one.co2_pct > 1 and one.values({}.get)["tube_kpa"] < 5
    one.act(act(model, "aired"))
    one.act(act(model, "topped_up"))
    assert one.co2_pct == 0.04 and one.values({}.get)["tube_kpa"] == pytest.approx(20, abs=0.1)


def test_thermal_aids_and_sitting_close_hold_warmth(model: Model, setting: Setting) -> None:
    facts = {"thermal_aids": 3, "persons": 6}
    bare, bagged, huddled = (raft(model, replace(setting, clothes="wet")) for _ in range(3))
    bagged.act(act(model, "bagged"))
    huddled.act(act(model, "close_together"))
    held = [run(one, 0.1, facts).values(facts.get)["insulation_m2kw"] for one in (bare, bagged, huddled)]
    assert held[1] / held[0] == pytest.approx(1.24, abs=0.005) and held[2] > held[0]  # 48 % for three of six


def test_a_body_that_lacks_nothing_gains_nothing_by_drinking(model: Model, setting: Setting) -> None:
    one = raft(model, setting)
    one.drink(50, 6)
    assert one.values({}.get)["water_lack_pct"] == 0


# ---- air, stores, signals

def test_carbon_dioxide_in_a_sealed_raft(model: Model) -> None:
    # Mass balance: six people, 3 m3 less 0.07 m3 each, 0.3 L/min each: 42.4 min to 3 %.
    assert hull.co2_after_pct(model, 0.04, 6, 6, 42.4 * 60, shut=True, vent_l_min=0) == pytest.approx(3.0, abs=0.01)
    # Steady: 156 L/min hold 1 % for six at 0.25 L/min; at 0.3 L/min they come to 1.19 %.
    assert hull.co2_after_pct(model, 0.04, 6, 6, 1e6, shut=True, vent_l_min=156) == pytest.approx(0.04 + 100 * 6 * 0.3 / 156, abs=0.01)


@pytest.mark.parametrize(("device", "hours"), [("epirb_on", 48), ("sart_on", 96)])  # 406 MHz beacon 48 h; SART 96 h standing by
def test_a_battery_lasts_as_its_standard_promises(model: Model, setting: Setting, device: str, hours: float) -> None:
    one = run(raft(model, setting), hours - 1, {device: True}, 3600)
    name = device.replace("_on", "_h")
    assert one.values({}.get)[name] == pytest.approx(1)
    assert run(one, 3, {device: True}, 3600).values({}.get)[name] == 0


def test_rain_is_caught_only_when_rigged(model: Model, setting: Setting) -> None:
    rigged, bare = (run(raft(model, setting, rain_mm_h=10), 1, {"rain_gear_rigged": rigged}) for rigged in (True, False))
    # 1 mm on 1 m2 is 1 L: 10 mm on six times 0.3 m2, half of it caught.
    assert rigged.caught_l == pytest.approx(9) and bare.caught_l == 0


def reach(model: Model, name: str, *, dark: bool, visibility: float = 10) -> float:
    signal = next(one for one in model.signals if one.id == name)
    return hull.reach_nm(model, signal, model.craft["ship"], visibility, dark=dark)


def test_signals_reach_as_far_as_their_light(model: Model) -> None:
    # COLREG 72 Annex I section 8: 30,000 cd in 10 nm of visibility: 16.8 nm by night, 2.14 nm against a day sky.
    assert reach(model, "rocket", dark=True) == pytest.approx(16.8, abs=0.1)
    assert reach(model, "rocket", dark=False) == pytest.approx(2.14, abs=0.02)
    # 15,000 cd in 5 nm: 9.25 nm of light. At 2 m it is lost over the curve for an eye at 15 m beyond 10.7 nm (2.03 a root metre).
    assert reach(model, "hand_flare", dark=True, visibility=5) == pytest.approx(9.25, abs=0.05)
    assert reach(model, "hand_flare", dark=True) == pytest.approx(10.7, abs=0.1)
    assert reach(model, "smoke", dark=True) == 0 and reach(model, "mirror", dark=True) == 0


def test_the_nearer_the_likelier(model: Model) -> None:
    rocket, ship = next(one for one in model.signals if one.id == "rocket"), model.craft["ship"]
    near, far, gone = (hull.notice_chance(model, rocket, ship, nm, 10, dark=True) for nm in (1, 8, 20))
    assert ship.attention > near > far > gone == 0


def test_every_rate_has_a_source_or_says_that_it_was_assumed(model: Model) -> None:
    bases = [*(r.basis for r in model.rates.values()), *(c.basis for c in model.craft.values()), *(s.basis for s in model.signals)]
    assert all(bool(basis.sources) != bool(basis.assumed) for basis in bases)
    assert sum(bool(basis.sources) for basis in bases) > 20
