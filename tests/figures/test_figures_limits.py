"""Where a figure refuses or warns, and what its notes say first."""

from __future__ import annotations

import math

import pytest

from guide.figures.catalogue import FIGURES, compute
from guide.figures.model import Figure, FigureError

ESTIMATES = {
    "horizon_distance": {"eye_height_m": 4},
    "luminous_range": {"intensity_cd": 15_000, "visibility_nm": 5},
    "detection_range": {"intensity_cd": 15_000, "light_height_m": 2, "eye_height_m": 15, "visibility_nm": 10},
    "raft_drift": {"raft_class": "deep", "wind_ms": 10, "hours": 12},
    "frostbite_time": {"air_c": -30, "wind_kmh": 50},
    "rain_catch": {"area_m2": 4, "rain_mm": 5},
    "days_to_dehydration": {"mass_kg": 70, "net_loss_l_per_day": 1.1, "intake_l_per_day": 0.5},
    "resting_energy": {"sex": "m", "mass_kg": 80, "height_cm": 178, "age": 40},
    "radio_range": {"height_1_m": 1.5, "height_2_m": 25},
    "sound_distance": {"level_db": 100, "ambient_db": 60},
    "air_time": {"persons": 6, "canopy_m3": 3},
    "detection_chance": {"sweep_width_nm": 4, "track_spacing_nm": 4},
}


def notes(figure: str, **inputs: object) -> str:
    return "\n".join(compute(figure, inputs).notes)


@pytest.mark.parametrize(("figure", "inputs"), ESTIMATES.items(), ids=str)
def test_an_estimate_begins_with_its_range(figure: str, inputs: dict[str, object]) -> None:
    result = compute(figure, inputs)
    assert result.notes[0].startswith("Range, short end first: ")
    low, high = (
        float(end.replace(",", ""))
        for end in result.notes[0].removeprefix("Range, short end first: ").split(". ")[0].split(" to ", 1)[0:1]
        + [result.notes[0].split(" to ", 1)[1].split(" ")[0].rstrip(".")]
    )
    assert low <= result.value * 1.01 and result.value * 0.99 <= high
    assert FIGURES[figure].assumption in result.notes


def test_cold_water_puts_useful_time_before_survival() -> None:
    first, second, third, *_ = compute("cold_water_time", {"water_c": 5}).notes
    assert first.startswith("Useful time first") and "30 to 60 min" in second
    assert third.startswith("Range, short end first: 1.00 to 3.00 h") and "for those who search" in third


@pytest.mark.parametrize("water_c", [20.1, 23.1, 25, 30])
def test_cold_water_refuses_warm_water(water_c: float) -> None:
    with pytest.raises(FigureError, match="water_c must be a number from -2 to 20 °C"):
        compute("cold_water_time", {"water_c": water_c})


def test_cold_water_circular_takes_the_colder_column() -> None:
    assert "0.5 h at 5 °C" in notes("cold_water_time", water_c=9.9)
    assert "0.8 h at 10 °C" in notes("cold_water_time", water_c=19)
    assert "1.7 h at 20 °C" in notes("cold_water_time", water_c=20)
    assert "no time at all below 5 °C" in notes("cold_water_time", water_c=3)


@pytest.mark.parametrize(
    ("figure", "inputs"),
    [
        ("raft_drift", {"raft_class": "deep", "wind_ms": 30, "hours": 6}),
        ("raft_drift", {"raft_class": "deep", "wind_ms": 2, "hours": 6}),
        ("cold_water_time", {"water_c": 19}),
        ("frostbite_time", {"air_c": -30, "wind_kmh": 16}),
        ("frostbite_time", {"air_c": -18, "wind_kmh": 30}),
        ("heat_index", {"air_c": 50, "humidity_pct": 60}),
        ("water_ration", {"persons": 10, "stock_l": 9, "days": 4}),
        ("tube_pressure", {"gauge_kpa": 5, "from_c": 60, "to_c": 0}),
        ("sound_distance", {"level_db": 130, "ambient_db": 60}),
        ("watch_hours", {"fit_persons": 6, "watch_h": 4}),
        ("air_time", {"persons": 6, "canopy_m3": 3, "limit_pct": 6}),
        ("resting_energy", {"sex": "f", "mass_kg": 60, "height_cm": 165, "age": 85}),
    ],
)
def test_past_its_limits_a_figure_warns(figure: str, inputs: dict[str, object]) -> None:
    assert "Warning: " in "\n".join(compute(figure, inputs).notes)


@pytest.mark.parametrize(
    ("figure", "inputs", "named"),
    [
        ("aircraft_window", {"speed_kn": 100, "closest_nm": 3, "within_nm": 2}, "closest_nm"),
        ("air_time", {"persons": 60, "canopy_m3": 3}, "canopy_m3"),
        ("air_time", {"persons": 6, "canopy_m3": 3, "limit_pct": 0.03}, "limit_pct"),
        ("fresh_air", {"persons": 6, "hold_pct": 0.04}, "hold_pct"),
        ("water_days", {"persons": 4, "stock_l": 9, "ration_l": 0.5, "make_l_per_day": 2}, "make_l_per_day"),
        ("water_ration", {"persons": 4, "stock_l": 2, "days": 3, "first_day_l": 1}, "first_day_l"),
        ("days_to_dehydration", {"mass_kg": 70, "net_loss_l_per_day": 1, "intake_l_per_day": 1}, "intake_l_per_day"),
        ("dehydration", {"mass_kg": 70, "deficit_l": 40}, "deficit_l"),
        ("pump_strokes", {"volume_m3": 1, "from_kpa": 10, "to_kpa": 5, "stroke_l": 1}, "to_kpa"),
        ("watch_hours", {"fit_persons": 2, "lookouts": 3}, "lookouts"),
        ("visibility_needed", {"intensity_cd": 0.75, "distance_nm": 20}, "intensity_cd"),
        ("light_needed", {"distance_nm": 50, "transmissivity": 1e-20}, "distance_nm"),
        ("frostbite_time", {"air_c": -10, "wind_kmh": 30}, "air_c"),
    ],
)
def test_inputs_that_cannot_hold_together_are_refused(figure: str, inputs: dict[str, object], named: str) -> None:
    with pytest.raises(FigureError) as caught:
        compute(figure, inputs)
    assert caught.value.input_name == named and str(caught.value).startswith(named)
    assert "\n" not in str(caught.value)


def test_still_air_has_no_chill() -> None:
    assert compute("wind_chill", {"air_c": -5, "wind_kmh": 4.8}).value == -5
    assert compute("wind_chill", {"air_c": -5, "wind_kmh": 4.9}).value < -5


def test_water_that_does_not_cover_day_one_ends_on_it() -> None:
    result = compute("water_days", {"persons": 10, "stock_l": 5, "ration_l": 0.5, "first_day_l": 1})
    assert result.value == 0.5 and "ends on day one" in result.notes[0]


def test_casualties_and_made_water_count() -> None:
    inputs = {"persons": 4, "stock_l": 10, "ration_l": 0.5, "first_day_l": 0.5, "casualty_l": 1, "make_l_per_day": 0.6}
    assert compute("water_days", inputs).value == pytest.approx(1 + 7 / 1.4)


def test_leeway_never_runs_upwind() -> None:
    assert compute("raft_drift", {"raft_class": "deep", "wind_ms": 0, "hours": 24}).value == 0


@pytest.mark.parametrize(
    ("day", "latitude", "hours", "said"),
    [
        ("2025-06-21", 75, 24, "stays up"),
        ("2025-12-21", 75, 0, "stays down"),
        ("2025-12-21", -75, 24, "stays up"),
        ("2025-06-21", 90, 24, "stays up"),
        ("2025-12-21", 90, 0, "stays down"),
        ("2025-03-21", -90, 24, "stays up"),
    ],
)
def test_sun_that_does_not_cross_the_horizon(day: str, latitude: float, hours: float, said: str) -> None:
    result = compute("sun_times", {"date": day, "latitude": latitude, "longitude": 20})
    assert result.value == hours and said in result.notes[0]
    assert result.details["sunrise_min"] is None and result.details["sunset_min"] is None


def test_every_day_at_every_latitude_has_an_answer() -> None:
    for latitude in range(-90, 91, 3):
        for month in range(1, 13):
            day = f"2025-{month:02d}-{latitude % 28 + 1:02d}"
            result = compute("sun_times", {"date": day, "latitude": latitude, "longitude": 179})
            assert 0 <= result.value <= 24 and math.isfinite(result.value)


def test_times_with_an_offset_are_turned_into_utc() -> None:
    result = compute("moon_light", {"utc": "2025-01-01T02:00+02:00"})
    assert result.inputs == {"utc": "2025-01-01T00:00:00Z"}
    assert result.value == compute("moon_light", {"utc": "2025-01-01T00:00"}).value


@pytest.mark.parametrize("figure", FIGURES.values(), ids=lambda figure: figure.id)
def test_every_figure_says_what_it_rests_on(figure: Figure) -> None:
    assert figure.sources and figure.assumption.endswith(".") and figure.limits.endswith(".")
    assert all(wanted.meaning for wanted in figure.inputs)
    assert (figure.function.__doc__ or "").strip()


@pytest.mark.parametrize("air_f", range(-45, 45, 5))
def test_wind_chill_agrees_with_its_form_in_imperial_units(air_f: int) -> None:
    """US weather service, 2001, over the span of its chart; the two forms round their constants apart."""
    for wind_mph in range(5, 65, 5):
        gust = wind_mph**0.16
        imperial_f = 35.74 + 0.6215 * air_f - 35.75 * gust + 0.4275 * air_f * gust
        found = compute("wind_chill", {"air_c": (air_f - 32) / 1.8, "wind_kmh": wind_mph * 1.609344})
        assert found.value * 1.8 + 32 == pytest.approx(imperial_f, abs=0.1)
