"""The figures against the work of others: an ephemeris, a solar library and the geodesic solved the other way."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from itertools import product

import astral
import astral.sun
import ephem
import pytest
from geographiclib.geodesic import Geodesic

from guide.figures.catalogue import compute

PLACES = [(0, 0), (50, -30), (57.5, 2), (-10, -150), (15, 65), (-45, 170), (35, 140), (-54, -68)]
DATES = [
    date(2025, 1, 15),
    date(2025, 3, 20),
    date(2025, 6, 21),
    date(2025, 9, 5),
    date(2025, 12, 21),
    date(2032, 2, 29),
]
EVENTS = ("civil_dawn_min", "sunrise_min", "sunset_min", "civil_dusk_min")


def observer(latitude: float, longitude: float) -> ephem.Observer:
    place = ephem.Observer()
    place.lat, place.lon = str(latitude), str(longitude)
    place.pressure = 0
    return place


def ephem_event(day: date, latitude: float, longitude: float, event: str) -> float:
    """Minutes after 00:00 UTC of the local day, by the ephemeris, for the centre of the sun."""
    place = observer(latitude, longitude)
    place.horizon = "-6" if event.startswith("civil") else "-0.833"
    midnight = datetime(day.year, day.month, day.day)
    noon = midnight + timedelta(minutes=720 - 4 * longitude)
    place.date = ephem.Date(noon)
    rising = event in ("civil_dawn_min", "sunrise_min")
    find = place.previous_rising if rising else place.next_setting
    return (find(ephem.Sun(), use_center=True).datetime() - midnight).total_seconds() / 60


@pytest.mark.parametrize(("place", "day"), list(product(PLACES, DATES)))
def test_sun_times_against_an_ephemeris(place: tuple[float, float], day: date) -> None:
    found = compute("sun_times", {"date": day.isoformat(), "latitude": place[0], "longitude": place[1]}).details
    for event in EVENTS:
        assert found[event] == pytest.approx(ephem_event(day, *place, event), abs=0.3), event


@pytest.mark.parametrize(("place", "day"), [(p, d) for p, d in product(PLACES, DATES) if abs(p[0]) < 55])
def test_sun_times_against_a_solar_library(place: tuple[float, float], day: date) -> None:
    """That library counts one UTC day, so its events may be a day off ours; only the time of day is held."""
    found = compute("sun_times", {"date": day.isoformat(), "latitude": place[0], "longitude": place[1]}).details
    there = astral.Observer(place[0], place[1], 0)
    for event, theirs in (("sunrise_min", astral.sun.sunrise), ("sunset_min", astral.sun.sunset)):
        at = theirs(there, day, tzinfo=UTC)
        minutes = at.hour * 60 + at.minute + at.second / 60
        ours = found[event]
        assert ours is not None
        assert abs((ours - minutes + 720) % 1440 - 720) <= 2, event


INSTANTS = [datetime(2024, 1, 3, 1, 17) + timedelta(days=31.3 * step, hours=5 * step) for step in range(24)]


@pytest.mark.parametrize("utc", INSTANTS, ids=str)
@pytest.mark.parametrize("place", PLACES)
def test_sun_position_against_an_ephemeris(utc: datetime, place: tuple[float, float]) -> None:
    there = observer(*place)
    there.date = ephem.Date(utc)
    body = ephem.Sun(there)
    found = compute(
        "sun_position", {"utc": utc.isoformat(timespec="seconds"), "latitude": place[0], "longitude": place[1]}
    )
    assert found.value == pytest.approx(_degrees(body.alt), abs=0.03)
    if abs(found.value) < 80:
        off = (found.details["azimuth_deg"] or 0.0) - _degrees(body.az)
        assert abs((off + 180) % 360 - 180) < 0.1


@pytest.mark.parametrize("utc", INSTANTS, ids=str)
def test_moon_light_against_an_ephemeris(utc: datetime) -> None:
    moon = ephem.Moon(ephem.Date(utc))
    assert compute("moon_light", {"utc": utc.isoformat(timespec="seconds")}).value == pytest.approx(
        moon.phase / 100, abs=0.02
    )


@pytest.mark.parametrize(("start", "bearing", "km"), list(product(PLACES, (0, 77.7, 225, 359), (1, 120, 5000))))
def test_position_after_is_the_inverse_of_the_inverse(start: tuple[float, float], bearing: float, km: float) -> None:
    """The way back, solved by the other problem, has the length and the bearing that were put in."""
    inputs = {"latitude": start[0], "longitude": start[1], "bearing_deg": bearing, "distance_km": km}
    end = compute("position_after", inputs).details
    back = Geodesic.WGS84.Inverse(*start, end["latitude"], end["longitude"])
    assert back["s12"] == pytest.approx(km * 1000, abs=0.01)
    assert (back["azi1"] - bearing + 180) % 360 - 180 == pytest.approx(0, abs=1e-5)
    assert -180 <= (end["longitude"] or 0.0) <= 180


def _degrees(angle: ephem.Angle) -> float:
    return float(angle) * 180 / ephem.pi


def test_wind_chill_and_heat_index_against_a_meteorological_library() -> None:
    """Every cell of the Canadian chart, +5 to -50 °C by 5 to 80 km/h, and of the US one, 40 to -25 °F by 5 to 60 mph; heat by
    85 to 110 °F and 40 to 100 % (below, the two join the simple formula at different points). Needs the extra `checks`."""
    weather = pytest.importorskip("metpy.calc")
    unit = pytest.importorskip("metpy.units").units
    metric = [(float(air), wind) for air in range(5, -51, -5) for wind in [5, *range(10, 81, 5)]]
    imperial = [((air - 32) / 1.8, wind * 1.609344) for air in range(40, -26, -5) for wind in range(5, 61, 5)]
    assert (len(metric), len(imperial)) == (192, 168)
    cells = [*metric, *imperial]
    theirs = weather.windchill([air for air, _ in cells] * unit.degC, [wind for _, wind in cells] * unit("km/h"), mask_undefined=False)
    ours = [compute("wind_chill", {"air_c": air, "wind_kmh": wind}).value for air, wind in cells]
    assert ours == pytest.approx(theirs.to("degC").magnitude.tolist(), abs=0.05)
    hot = list(product(range(85, 111, 5), range(40, 101, 10)))
    theirs = weather.heat_index([air for air, _ in hot] * unit.degF, [wet for _, wet in hot] * unit.percent, mask_undefined=False)
    ours = [compute("heat_index", {"air_c": (air - 32) / 1.8, "humidity_pct": wet}).value for air, wet in hot]
    assert ours == pytest.approx(theirs.to("degC").magnitude.tolist(), abs=0.05)
