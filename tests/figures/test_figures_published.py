"""The figures against published numbers: worked examples, tables and charts, the source named beside each row.

Where the row says "(memory)" the published number was not read again. Where it says "formula" nothing was printed to
hold it to: it keeps an answer from changing unseen. Tolerances are half the last printed digit or a stated rounding.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import pytest

from guide.figures import sun
from guide.figures.catalogue import compute
from guide.figures.reading import Value

FOOT_M = 0.3048
# 1.17 nm per root foot, as the tables in feet have it.
PER_ROOT_FOOT = 1.17 / math.sqrt(FOOT_M)


@dataclass(frozen=True, slots=True)
class Row:
    """A published number, the inputs that should give it, and where it stands; `of` names a detail."""

    figure: str
    inputs: Mapping[str, Value]
    expected: float
    tolerance: float
    source: str
    of: str = ""
    scale: float = field(default=1.0)
    offset: float = field(default=0.0)

    def __str__(self) -> str:
        return f"{self.figure} {self.of or 'value'} {self.expected:g} ({self.source})"


def horizon_ft(eye_ft: float, expected: float, tolerance: float, source: str, object_ft: float = 0) -> Row:
    inputs = {"eye_height_m": eye_ft * FOOT_M, "object_height_m": object_ft * FOOT_M, "coefficient": PER_ROOT_FOOT}
    return Row("horizon_distance", inputs, expected, tolerance, source)


def chill_f(air_f: float, wind_mph: float, expected_f: float) -> Row:
    inputs = {"air_c": (air_f - 32) / 1.8, "wind_kmh": wind_mph * 1.609344}
    return Row("wind_chill", inputs, expected_f, 0.5, "US weather service, wind chill chart of 2001", "", 1.8, 32)


def heat_f(air_f: float, humidity: float, expected_f: float, source: str) -> Row:
    inputs = {"air_c": (air_f - 32) / 1.8, "humidity_pct": humidity}
    return Row("heat_index", inputs, expected_f, 0.1, source, "", 1.8, 32)


def drift(raft: str, wind_ms: float, hours: float, expected: float, tolerance: float, of: str = "") -> Row:
    inputs = {"raft_class": raft, "wind_ms": wind_ms, "hours": hours}
    return Row("raft_drift", inputs, expected, tolerance, "Allen and Plourde 1999, leeway table as revised 2011", of)


def sun_minutes(day: str, latitude: float, longitude: float, event: str, expected: float, tolerance: float) -> Row:
    inputs = {"date": day, "latitude": latitude, "longitude": longitude}
    return Row(
        "sun_times", inputs, expected, tolerance, "NOAA method; two solar libraries and an ephemeris agree", event
    )


HANDBOOK = "seamanship handbook, horizon table at 1.17 per root foot"
ANNEX_I = "COLREG 72, Annex I section 8(b), table at K = 0.8 and T = 2e-7 lx"
WMO = "WMO open-sea table of wind force and sea"
CANADA = "Environment Canada, wind chill chart"
HAYWARD = "Hayward 1975 (secondary)"
LEEWAY_SPREAD = "Breivik and Allen 2008, spread (memory)"
GEODESIC = "WGS84 geodesic"
SPA = "Solar position report of 2003, worked example (memory)"
WHISTLE = "33 CFR 86.05, ship whistles against the listening post"

HORIZON_AND_LIGHT = [
    horizon_ft(16, 4.7, 0.05, HANDBOOK),
    horizon_ft(125, 13.1, 0.05, HANDBOOK),
    horizon_ft(35, 16.3, 0.1, "US light list, worked example of geographic range", 65),
    horizon_ft(8, 18.56, 0.02, "worked example of computed range", 170),
    Row("horizon_distance", {"eye_height_m": 1}, 2.08, 0.01, "formula"),
    Row("horizon_distance", {"eye_height_m": 15, "object_height_m": 300}, 44.1, 0.1, "formula"),
    Row("horizon_distance", {"eye_height_m": 15, "object_height_m": 1}, 10.1, 0.1, "formula"),
    Row(
        "horizon_distance",
        {"eye_height_m": 1, "object_height_m": 1, "coefficient": 2.03},
        4.1,
        0.05,
        "list of lights, geographic range table (memory)",
    ),
    Row("light_needed", {"distance_nm": 1}, 0.9, 0.05, ANNEX_I),
    Row("light_needed", {"distance_nm": 2}, 4.3, 0.05, ANNEX_I),
    Row("light_needed", {"distance_nm": 4}, 27, 0.5, ANNEX_I),
    Row("light_needed", {"distance_nm": 6}, 94, 0.5, ANNEX_I),
    Row(
        "visibility_needed",
        {"intensity_cd": 100_000, "distance_nm": 12},
        5.2,
        0.05,
        "formula; luminous range diagram says about 5",
    ),
    Row("luminous_range", {"intensity_cd": 30_000, "visibility_nm": 10}, 16.8, 0.1, "formula"),
    Row("luminous_range", {"intensity_cd": 15_000, "visibility_nm": 5}, 9.25, 0.05, "formula"),
    Row(
        "luminous_range",
        {"intensity_cd": 30_000, "visibility_nm": 10, "threshold_lx": 1e-3},
        2.14,
        0.02,
        "formula; threshold of a day sky (memory)",
    ),
    Row(
        "detection_range",
        {"intensity_cd": 15_000, "light_height_m": 2, "eye_height_m": 15, "visibility_nm": 10},
        11,
        0.1,
        "lesser of luminous and geographic",
    ),
    Row(
        "detection_range",
        {"intensity_cd": 15_000, "light_height_m": 2, "eye_height_m": 15, "visibility_nm": 10},
        15.2,
        0.1,
        "formula",
        "luminous_nm",
    ),
]

DRIFT = [
    drift("deep_small_free", 10, 1, 0.352, 0.001, "downwind_ms"),
    drift("deep_small_drogue", 10, 1, 0.2, 0.001, "downwind_ms"),
    drift("shallow_free", 15, 1, 0.86, 0.005, "downwind_kn"),
    drift("bare_open_free", 10, 24, 29.5, 0.1),
    drift("bare_canopy_drogue", 10, 24, 5.6, 0.1),
    drift("deep", 10, 1, 5.6, 0.1, "divergence_deg"),
    drift("deep", 53.3, 24, 160 / 1.852, 0.6),
    Row("raft_drift", {"raft_class": "deep_small_free", "wind_ms": 10, "hours": 6}, 950, 5, LEEWAY_SPREAD, "spread_m"),
    *[
        Row(
            "position_after",
            {"latitude": 50, "longitude": -30, "bearing_deg": 45, "distance_km": 100},
            expected,
            0.0005,
            GEODESIC,
            of,
        )
        for expected, of in ((50.6314, ""), (50.6314, "latitude"), (-29.0006, "longitude"))
    ],
    Row(
        "position_after",
        {"latitude": 0, "longitude": 179.9, "bearing_deg": 90, "distance_km": 50},
        -179.6508,
        0.0005,
        GEODESIC,
        "longitude",
    ),
]

# Force, mean m/s, limits in knots, probable and highest wave in m.
WMO_TABLE = [
    (1, 0.8, 1, 3, 0.1, 0.1),
    (2, 2.4, 4, 6, 0.2, 0.3),
    (3, 4.3, 7, 10, 0.6, 1.0),
    (4, 6.7, 11, 16, 1.0, 1.5),
    (5, 9.3, 17, 21, 2.0, 2.5),
    (6, 12.3, 22, 27, 3.0, 4.0),
    (7, 15.5, 28, 33, 4.0, 5.5),
    (8, 18.9, 34, 40, 5.5, 7.5),
    (9, 22.6, 41, 47, 7.0, 10.0),
    (10, 26.4, 48, 55, 9.0, 12.5),
    (11, 30.5, 56, 63, 11.5, 16.0),
]
# Force and its limits in m/s.
WMO_LIMITS = [
    (1, 0.3, 1.5),
    (2, 1.6, 3.3),
    (3, 3.4, 5.4),
    (4, 5.5, 7.9),
    (5, 8.0, 10.7),
    (6, 10.8, 13.8),
    (7, 13.9, 17.1),
    (8, 17.2, 20.7),
    (9, 20.8, 24.4),
    (10, 24.5, 28.4),
    (11, 28.5, 32.6),
    (12, 32.7, 60),
]

WAVES = [
    Row("wave_length", {"period_s": 6}, 56.2, 0.1, "linear wave theory"),
    Row("wave_length", {"period_s": 10}, 156, 0.5, "wave text, 1.56 T squared"),
    Row("wave_length", {"period_s": 10}, 30.3, 0.1, "wave text, 3.0 T knots", "speed_kn"),
    Row("drogue_line", {"period_s": 8}, 50, 0.5, "half a wavelength, army survival manual 16-16"),
    Row("drogue_line", {"period_s": 8}, 100, 0.5, "twice that", "whole_wavelength_m"),
    Row("drogue_line_fits", {"line_m": 30}, 6.2, 0.05, "the same turned round"),
    Row("drogue_pull", {"mouth_diameter_m": 0.4, "speed_ms": 1}, 90, 1, "formula; drag coefficient (memory)"),
    *[
        Row("wind_of_force", {"beaufort": force}, expected, 0.05, WMO, of)
        for force, *numbers in WMO_TABLE
        for expected, of in zip(numbers, ("", "from_kn", "to_kn", "probable_wave_m", "highest_wave_m"), strict=True)
    ],
    *[Row("force_of_wind", {"wind_ms": wind}, force, 0, WMO) for force, *ends in WMO_LIMITS for wind in ends],
]

COLD_AND_HEAT = [
    *[
        Row("wind_chill", {"air_c": air, "wind_kmh": wind}, index, 0.5, CANADA)
        for air, wind, index in ((-10, 30, -20), (-20, 20, -30), (-25, 20, -37), (0, 40, -7), (-30, 50, -49))
    ],
    chill_f(0, 15, -19),
    chill_f(20, 30, 1),
    chill_f(-15, 40, -50),
    Row("frostbite_time", {"air_c": -35, "wind_kmh": 40}, 4.5, 0.1, "Environment Canada, formula (memory)"),
    Row("frostbite_time", {"air_c": -30, "wind_kmh": 50}, 5.4, 0.1, "Environment Canada, formula (memory)"),
    heat_f(90, 60, 99.7, "Rothfusz 1990, worked example of 99.68"),
    heat_f(95, 50, 105.2, "formula"),
    heat_f(84, 90, 98.3, "formula with the correction for damp air"),
    *[
        Row("cold_water_time", {"water_c": water}, minutes, 0.5, HAYWARD)
        for water, minutes in ((0, 106.7), (5, 132.1), (10, 176.8), (15, 276.8), (18, 431))
    ],
    Row("cold_water_time", {"water_c": 10}, 11.9, 0.1, "Xu and Giesbrecht 2018 (secondary)", "upper_limit_h"),
    Row("floor_insulation", {"clothes": "dry"}, 1.36, 0.01, "Mak and others 2009, 0.236 / 0.174"),
    Row("floor_insulation", {"clothes": "wet"}, 1.45, 0.01, "Mak and others 2009, 0.146 / 0.101"),
]

# A water temperature inside each band, exhaustion in minutes and survival in hours.
BANDS = [(0, 0, 15, 0.25, 0.75), (2, 15, 30, 0.5, 1.5), (7, 30, 60, 1, 3), (12, 60, 120, 1, 6), (18, 120, 420, 2, 40)]
BAND_DETAILS = ("exhaustion_min_low", "exhaustion_min_high", "survival_h_low", "survival_h_high")
BAND_ROWS = [
    Row("cold_water_time", {"water_c": water}, expected, 0, "coastguard chart (secondary)", of)
    for water, *ends in BANDS
    for expected, of in zip(ends, BAND_DETAILS, strict=True)
]

WATER_AND_FOOD = [
    Row(
        "water_days", {"persons": 6, "stock_l": 9, "ration_l": 0.5}, 4, 0.01, "crew handbook, a full pack lasts 4 days"
    ),
    Row("water_days", {"persons": 4, "stock_l": 10, "ration_l": 0.5}, 6, 0.01, "arithmetic: 6 L and 4 L of rain"),
    Row("rain_catch", {"area_m2": 4, "rain_mm": 5, "efficiency": 0.6}, 12, 0.05, "arithmetic"),
    Row(
        "desalinator_rate",
        {"persons": 1, "litres_each": 35 * 3.78541 / 2, "days": 0.5},
        5.52,
        0.01,
        "hand desalinator rated 35 US gallons a day",
    ),
    Row("dehydration", {"mass_kg": 70, "deficit_l": 3.5}, 5, 0.05, "arithmetic on % of body mass"),
    Row(
        "days_to_dehydration",
        {"mass_kg": 70, "net_loss_l_per_day": 1.1, "intake_l_per_day": 0.5},
        11.7,
        0.1,
        "arithmetic on % of body mass",
    ),
    Row("water_ration", {"persons": 6, "stock_l": 9, "days": 4}, 0.5, 0.005, "the handbook's 4 days turned round"),
    Row(
        "resting_energy",
        {"sex": "f", "mass_kg": 75, "height_cm": 165.1, "age": 45},
        1396,
        1,
        "Mifflin-St Jeor, worked example",
        "mifflin_kcal",
    ),
    Row(
        "resting_energy",
        {"sex": "f", "mass_kg": 55, "height_cm": 160, "age": 25},
        1302,
        1,
        "Schofield, FAO/WHO/UNU worked example",
        "schofield_kcal",
    ),
    Row("resting_energy", {"sex": "m", "mass_kg": 80, "height_cm": 178, "age": 40}, 1718, 1, "formula", "mifflin_kcal"),
    Row(
        "resting_energy", {"sex": "m", "mass_kg": 80, "height_cm": 178, "age": 40}, 1791, 1, "formula", "schofield_kcal"
    ),
    Row(
        "food_days", {"persons": 1, "stock_kcal": 10_000 / 4.184, "kcal_each_per_day": 1791}, 1.33, 0.01, "2390 / 1791"
    ),
    Row("protein_water", {"protein_g": 50}, 0.238, 0.002, "286 mOsm at 1200 mOsm/L"),
]

SUN_AND_MOON = [
    Row("sun_position", {"utc": "2003-10-17T19:30:30", "latitude": 39.7425, "longitude": -105.1786}, 39.87, 0.02, SPA),
    Row(
        "sun_position",
        {"utc": "2003-10-17T19:30:30", "latitude": 39.7425, "longitude": -105.1786},
        194.34,
        0.02,
        SPA,
        "azimuth_deg",
    ),
    sun_minutes("2025-01-15", 50, -30, "sunrise_min", 592.4, 1),
    sun_minutes("2025-06-21", 57.5, 2, "civil_dusk_min", 1326.7, 1.5),
    sun_minutes("2025-01-15", -10, -150, "sunset_min", 1708.8, 1),
    sun_minutes("2025-12-21", 15, 65, "sunset_min", 795.3, 1),
    sun_minutes("2025-12-21", 68, 5, "", 0, 0),
    sun_minutes("2025-12-21", 68, 5, "civil_dawn_min", 8 * 60 + 59, 1),
    sun_minutes("2025-12-21", 68, 5, "civil_dusk_min", 14 * 60 + 17, 1),
    Row("mirror_angle", {"sun_altitude_deg": 30, "bearing_difference_deg": 150}, 69.3, 0.1, "geometry"),
    Row("mirror_spot", {"distance_km": 5}, 46.5, 0.3, "sun's disc of 0.533 degree"),
    Row(
        "moon_light", {"utc": "1992-04-12T00:00"}, 0.68, 0.01, "Astronomical Algorithms, example 48.a, 0.6786 (memory)"
    ),
]

RADIO_AND_SIGNALS = [
    Row("radio_range", {"height_1_m": 30, "height_2_m": 62}, 30.04, 0.02, "marine radio text, worked example"),
    Row("radio_range", {"height_1_m": 1.5, "height_2_m": 25}, 14, 0.05, "formula"),
    Row("radio_range", {"height_1_m": 4, "height_2_m": 50, "coefficient": 2.5}, 22.7, 0.1, "IMO A.801(19) (memory)"),
    Row(
        "radio_range",
        {"height_1_m": 1, "height_2_m": 15, "coefficient": 2.21},
        10.8,
        0.05,
        "formula; radar horizon (memory)",
    ),
    Row("beacon_life", {"device": "epirb", "hours_on": 0}, 48, 0, "406 MHz beacon standard"),
    Row("beacon_life", {"device": "sart", "hours_on": 90}, 6, 0, "IMO A.802(19) (secondary)"),
    Row("beacon_life", {"device": "ais_sart", "hours_on": 200}, 0, 0, "AIS transmitter, 96 h (memory)"),
    Row("rocket_height", {}, 100, 0.5, "LSA Code 3.1, the least it asks"),
    Row("signal_burn_time", {"rockets": 4, "hand_flares": 6}, 520, 0, "LSA Code 3.1 and 3.2"),
    Row("signal_burn_time", {"smokes": 2}, 360, 0, "LSA Code 3.3"),
    Row("aircraft_window", {"speed_kn": 120, "closest_nm": 1, "within_nm": 2}, 103.9, 0.2, "geometry"),
    Row("aircraft_window", {"speed_kn": 150, "closest_nm": 0, "within_nm": 5}, 240, 0.2, "geometry"),
    Row("ship_arrival", {"distance_nm": 10, "speed_kn": 15}, 40, 0.1, "arithmetic"),
]

TUBES_SOUND_AND_AIR = [
    Row("tube_pressure", {"gauge_kpa": 17, "from_c": 35, "to_c": 10}, 7.4, 0.05, "gas law"),
    Row("tube_pressure", {"gauge_kpa": 17, "from_c": 10, "to_c": 40}, 29.5, 0.1, "gas law"),
    Row(
        "tube_pressure",
        {"gauge_kpa": 17, "from_c": 20, "to_c": 20, "air_from_kpa": 101, "air_to_kpa": 98},
        20,
        1e-9,
        "the gauge moves against the barometer",
    ),
    Row("pump_strokes", {"volume_m3": 0.6, "from_kpa": 7.4, "to_kpa": 17, "stroke_l": 1.5}, 38, 0.5, "gas law"),
    Row("raft_capacity", {"tube_volume_m3": 0.62, "floor_m2": 2.4}, 6, 0, "LSA Code 4.2"),
    Row("raft_capacity", {"tube_volume_m3": 0.96, "floor_m2": 37.2}, 10, 0, "LSA Code 4.2, an exact ten"),
    Row("sound_distance", {"level_db": 100, "ambient_db": 60}, 100, 1, "formula"),
    Row("sound_distance", {"level_db": 100, "at_m": 5, "ambient_db": 60}, 500, 5, "formula"),
    Row("sound_level", {"level_db": 143, "distance_m": 2 * 1852}, 71.6, 0.1, WHISTLE),
    Row("sound_level", {"level_db": 120, "distance_m": 0.5 * 1852}, 60.7, 0.1, WHISTLE),
    Row("watch_hours", {"fit_persons": 6}, 4, 0.01, "arithmetic"),
    Row("watch_hours", {"fit_persons": 6, "watch_h": 2}, 10, 0.01, "arithmetic", "off_h"),
    Row("watch_hours", {"fit_persons": 4}, 3, 0.01, "arithmetic", "off_h"),
    Row("watch_hours", {"fit_persons": 9, "lookouts": 2}, 5.33, 0.01, "arithmetic"),
    # The same balance, for oxygen falling from 21 to 12 %.
    Row(
        "air_time",
        {
            "persons": 10,
            "canopy_m3": 30,
            "body_m3": 0.1,
            "co2_l_per_min": 3.33e-6 * 60_000,
            "limit_pct": 9,
            "outside_pct": 0,
        },
        78_400,
        100,
        "university worked example",
        "",
        60,
    ),
    Row("air_time", {"persons": 6, "canopy_m3": 3, "co2_l_per_min": 0.25}, 50.9, 0.3, "formula"),
    Row("air_time", {"persons": 6, "canopy_m3": 3}, 42.4, 0.3, "formula"),
    Row("fresh_air", {"persons": 6, "co2_l_per_min": 0.25}, 156, 1, "formula"),
    Row("position_error", {"drift_error_nm": 1, "fix_error_nm": 0.1, "searcher_error_nm": 3}, 3.16, 0.01, "formula"),
    Row(
        "position_error",
        {"drift_error_nm": 1, "fix_error_nm": 0.1, "searcher_error_nm": 3},
        3.48,
        0.01,
        "IAMSAR volume II, factor 1.1 (memory)",
        "first_radius_nm",
    ),
    Row("detection_chance", {"sweep_width_nm": 4.2, "track_spacing_nm": 4.2}, 0.63, 0.005, "random search, coverage 1"),
]

ROWS = [
    *HORIZON_AND_LIGHT,
    *DRIFT,
    *WAVES,
    *COLD_AND_HEAT,
    *BAND_ROWS,
    *WATER_AND_FOOD,
    *SUN_AND_MOON,
    *RADIO_AND_SIGNALS,
    *TUBES_SOUND_AND_AIR,
]

# Candela, visibility in nm, range in nm at 2e-7 lx; the last column is air of K = 0.8.
K08_NM = math.log(0.05) / math.log(0.8)
LUMINOUS = [
    (30_000, 0.5, 1.62),
    (30_000, 1, 2.86),
    (30_000, 5, 10.1),
    (30_000, 10, 16.8),
    (30_000, K08_NM, 20.7),
    (15_000, 0.5, 1.53),
    (15_000, 5, 9.25),
    (15_000, 10, 15.2),
    (15_000, 20, 24.2),
    (15_000, K08_NM, 18.6),
    (4.3, 0.5, 0.52),
    (4.3, 1, 0.78),
    (4.3, 2, 1.10),
    (4.3, 10, 1.89),
    (4.3, 20, 2.13),
    (4.3, K08_NM, 2.00),
    (0.75, 0.5, 0.36),
    (0.75, 1, 0.50),
    (0.75, 2, 0.65),
    (0.75, 5, 0.82),
    (0.75, 20, 0.97),
    (0.75, K08_NM, 0.94),
]


def off_by(row: Row) -> float:
    """How far the figure is from the published number, in units of its tolerance."""
    result = compute(row.figure, row.inputs)
    found = result.details[row.of] if row.of else result.value
    assert found is not None
    return abs(found * row.scale + row.offset - row.expected) / (row.tolerance + 1e-9)


@pytest.mark.parametrize("row", ROWS, ids=str)
def test_published_row(row: Row) -> None:
    assert off_by(row) <= 1


def test_every_figure_has_a_row() -> None:
    from guide.figures.catalogue import FIGURES

    assert {row.figure for row in ROWS} == set(FIGURES)


@pytest.mark.parametrize(("candela", "visibility", "expected"), LUMINOUS)
def test_luminous_range_table(candela: float, visibility: float, expected: float) -> None:
    """Computed from COLREG 72, Annex I; rounded to three digits."""
    found = compute("luminous_range", {"intensity_cd": candela, "visibility_nm": visibility}).value
    assert abs(found - expected) <= 0.06 if expected > 10 else abs(found - expected) <= 0.006


def test_light_and_range_undo_each_other() -> None:
    each_nm = 0.05 ** (1 / 4)  # lighting vocabulary: 5 % contrast at the limit of visibility, here 4 nm (read)
    needed = compute("light_needed", {"distance_nm": 7.5, "transmissivity": each_nm}).value
    assert compute("luminous_range", {"intensity_cd": needed, "visibility_nm": 4}).value == pytest.approx(7.5)
    assert compute("visibility_needed", {"intensity_cd": needed, "distance_nm": 7.5}).value == pytest.approx(4)


def test_visibility_to_transmissivity() -> None:
    """Lighting vocabulary, nominal range: 10 nm of visibility passes 0.74 each nm (0.735 to 0.745 is 9.7 to 10.2 nm)."""
    needed = compute("light_needed", {"distance_nm": 5, "transmissivity": 0.74}).value
    assert compute("visibility_needed", {"intensity_cd": needed, "distance_nm": 5}).value == pytest.approx(10, abs=0.25)


def test_sun_place_of_a_worked_example() -> None:
    """Astronomical Algorithms, examples 25.a and 28.b, 13 October 1992 at 0 h (memory)."""
    place = sun.sun_place(sun.centuries_since_2000(sun.date(1992, 10, 13), 0))
    assert place.declination_deg == pytest.approx(-7.785, abs=0.01)
    assert place.equation_of_time_min == pytest.approx(13.71, abs=0.02)


def test_urea_of_protein() -> None:
    """16 % nitrogen at 28.01 g for a molecule of urea: 286 mOsm in 50 g."""
    assert compute("protein_water", {"protein_g": 50}).value * 1200 == pytest.approx(286, abs=1)
