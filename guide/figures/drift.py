"""Where the wind takes a raft: leeway by kind of raft, and the position after a run."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from guide.figures.model import Answer, Figure, Input, Source, range_note
from guide.figures.units import METRES_PER_NM, MS_PER_KN


@dataclass(frozen=True, slots=True)
class Line:
    """A fitted leeway line: a share of the wind in %, an offset, and the sigma of the fit, both in cm/s."""

    slope_pct: float
    offset_cms: float
    spread_cms: float

    def speed_ms(self, wind_ms: float) -> float:
        """Speed in m/s for the wind at 10 m in m/s; fitted for about 5 to 20 m/s."""
        return (self.slope_pct * wind_ms + self.offset_cms) / 100


@dataclass(frozen=True, slots=True)
class Leeway:
    """One row of the leeway table: downwind, and crosswind to either side of it."""

    row: str
    downwind: Line
    right: Line
    left: Line


def _leeway(row: str, *numbers: float) -> Leeway:
    a, b, s, right_c, right_d, right_s, left_c, left_d, left_s = numbers
    return Leeway(row, Line(a, b, s), Line(right_c, right_d, right_s), Line(left_c, left_d, left_s))


# Slope %, offset cm/s and sigma cm/s: downwind, then crosswind to the right, then to the left.
# fmt: off
LEEWAY: Mapping[str, Leeway] = MappingProxyType({
    "deep": _leeway(
        "deep ballast, general mean",
         3.52, -2.50,  6.10,   0.62, -3.00,  3.50,  -0.45, -0.20,  3.60),
    "deep_small": _leeway(
        "deep ballast, 4 to 14 persons, canopy, average",
         3.50, -1.80,  6.40,   0.78, -3.60,  3.60,  -0.47, -0.10,  3.90),
    "deep_small_free": _leeway(
        "deep ballast, 4 to 14 persons, no drogue",
         3.75, -2.30,  4.40,   0.78, -3.60,  3.60,  -0.47, -0.10,  3.90),
    "deep_small_free_light": _leeway(
        "deep ballast, 4 to 14 persons, no drogue, light load",
         3.75, -2.32,  4.51,   1.00, -5.31,  3.91,  -0.47, -0.14,  3.91),
    "deep_small_free_heavy": _leeway(
        "deep ballast, 4 to 14 persons, no drogue, heavy load",
         3.59, -1.92,  2.56,   0.48, -0.16,  2.17,  -0.48,  0.16,  2.17),
    "deep_small_drogue": _leeway(
        "deep ballast, 4 to 14 persons, canopy, with drogue, average",
         1.91,  0.90,  1.60,   0.78, -3.60,  3.60,  -0.47, -0.10,  3.90),
    "deep_small_drogue_light": _leeway(
        "deep ballast, 4 to 14 persons, canopy, with drogue, light load",
         1.95, -0.53,  3.59,   0.21,  1.29,  2.15,  -0.21, -1.29,  2.15),
    "deep_small_drogue_heavy": _leeway(
        "deep ballast, 4 to 14 persons, canopy, with drogue, heavy load",
         2.19, -0.96,  1.01,   1.39, -7.90,  1.46,  -1.39,  7.90,  1.46),
    "deep_large": _leeway(
        "deep ballast, 15 to 50 persons, canopy, general",
         3.68, -4.96,  5.37,   0.34, -1.85,  2.50,  -0.49,  1.58,  2.63),
    "deep_large_free_light": _leeway(
        "deep ballast, 15 to 50 persons, no drogue, light load",
         3.93, -3.30,  3.01,   0.38, -3.33,  2.16,  -0.59,  1.59,  2.28),
    "deep_large_drogue_heavy": _leeway(
        "deep ballast, 15 to 50 persons, with drogue, heavy load",
         3.15, -4.49,  3.35,   0.39, -1.80,  2.50,  -0.38,  2.98,  1.64),
    "deep_capsized": _leeway(
        "deep ballast, capsized",
         0.88,  0.00,  2.50,   0.18,  0.00,  2.40,  -0.18,  0.00,  2.40),
    "deep_swamped": _leeway(
        "deep ballast, swamped",
         0.99,  0.00,  2.40,   0.14,  0.00,  2.30,  -0.14,  0.00,  2.30),
    "shallow": _leeway(
        "shallow ballast, canopy, general",
         2.68,  0.00, 12.00,   1.10,  0.00,  9.40,  -1.10,  0.00,  9.40),
    "shallow_free": _leeway(
        "shallow ballast, canopy, no drogue",
         2.96,  0.00,  1.50,   1.21,  0.00,  1.70,  -1.21,  0.00,  1.70),
    "shallow_drogue": _leeway(
        "shallow ballast, canopy, with drogue",
         2.31,  0.00,  4.00,   0.95,  0.00,  3.50,  -0.95,  0.00,  3.50),
    "shallow_capsized": _leeway(
        "shallow ballast, canopy, capsized",
         1.68,  0.00,  2.40,   0.24,  0.00,  2.40,  -0.24,  0.00,  2.40),
    "bare": _leeway(
        "no ballast, general",
         3.70,  0.00, 12.00,   1.98,  0.00,  9.40,  -1.98,  0.00,  9.40),
    "bare_open_free": _leeway(
        "no ballast, no canopy, no drogue",
         5.34,  9.91,  9.82,   2.26,  1.04,  9.08,  -2.26, -1.04,  9.08),
    "bare_open_drogue": _leeway(
        "no ballast, no canopy, with drogue",
         3.15, -4.47,  4.00,   1.51,  0.00,  5.00,  -1.51,  0.00,  5.00),
    "bare_canopy_free": _leeway(
        "no ballast, canopy, no drogue",
         3.39,  0.00,  2.40,   1.49,  0.00,  2.40,  -1.49,  0.00,  2.40),
    "bare_canopy_drogue": _leeway(
        "no ballast, canopy, with drogue",
         1.21,  0.00, 12.00,   0.92,  0.00,  9.40,  -0.92,  0.00,  9.40),
    "slide_raft": _leeway(
        "aircraft slide-raft, 46 persons",
         2.71,  0.00,  3.80,   0.72,  0.00,  3.40,  -0.72,  0.00,  3.40),
    "person": _leeway(
        "person in the water, state unknown",
         0.96,  0.00, 12.00,   0.54,  0.00,  9.40,  -0.54,  0.00,  9.40),
})
# fmt: on


def spread_m(line: Line, wind_ms: float, hours: float) -> float:
    """One standard deviation of the distance run, in m, after `hours` in a wind of `wind_ms`.

    The sigma goes to the slope and the offset together, for the length of the run.
    Source: Breivik and Allen 2008 (memory).
    """
    return line.spread_cms / 100 * (wind_ms / 20 + 0.5) * hours * 3600


def raft_drift(raft_class: str, wind_ms: float, hours: float) -> Answer:
    """Distance downwind in nm after `hours` (h) in a wind of `wind_ms` (m/s at 10 m); current is not in it.

    Details: downwind speed, crosswind speed to the right and to the left of downwind, the angles off downwind, and
    the spread of the downwind run. Fitted for about 5 to 20 m/s. Source: Allen and Plourde 1999, revised (read).
    """
    leeway = LEEWAY[raft_class]
    downwind_ms = max(0.0, leeway.downwind.speed_ms(wind_ms))
    right_ms, left_ms = leeway.right.speed_ms(wind_ms), leeway.left.speed_ms(wind_ms)
    run_nm = downwind_ms * hours * 3600 / METRES_PER_NM
    spread = spread_m(leeway.downwind, wind_ms, hours)
    details: dict[str, float | None] = {
        "downwind_ms": downwind_ms,
        "downwind_kn": downwind_ms / MS_PER_KN,
        "crosswind_ms": right_ms,
        "divergence_deg": math.degrees(math.atan2(right_ms, downwind_ms)),
        "spread_m": spread,
        "left_crosswind_ms": left_ms,
        "left_divergence_deg": math.degrees(math.atan2(left_ms, downwind_ms)),
    }
    spread_nm = spread / METRES_PER_NM
    return Answer(
        run_nm,
        details,
        (
            range_note(
                max(0.0, run_nm - spread_nm), run_nm + spread_nm, "nm", "That is one standard deviation either way."
            ),
            f"Row of the table: {leeway.row}. crosswind_ms and divergence_deg are to the right of downwind.",
            "A raft keeps to one side of downwind and may change over.",
        ),
    )


def position_after(latitude: float, longitude: float, bearing_deg: float, distance_km: float) -> Answer:
    """The position after `distance_km` along a geodesic that starts on `bearing_deg` (true); the value is its latitude.

    Degrees, north and east above 0; longitude comes back within -180 to 180. Valid anywhere.
    Source: World Geodetic System 1984, direct geodesic problem.
    """
    from geographiclib.geodesic import Geodesic

    end = Geodesic.WGS84.Direct(latitude, longitude, bearing_deg, distance_km * 1000)
    return Answer(end["lat2"], {"latitude": end["lat2"], "longitude": end["lon2"]})


FIGURES = (
    Figure(
        id="raft_drift",
        unit="nm",
        title="how far the wind carries a raft",
        sentence=(
            "In {hours} hours the wind carries it about {value:.1f} nautical miles downwind, at "
            "{downwind_kn:.2f} knots."
        ),
        inputs=(
            Input("raft_class", "kind of raft: ballast, size, drogue, load", kind="choice", choices=tuple(LEEWAY)),
            Input("wind_ms", "mean wind at 10 m height", "m/s", 0, 60, fitted=(5, 20)),
            Input("hours", "time adrift", "h", 0, 720, fitted=(0, 48)),
        ),
        assumption="Wind alone, steady all the time: set and tide come on top and can be the larger part.",
        limits="Fitted for winds of about 5 to 20 m/s at 10 m height. The kind of ballast must be right.",
        sources=(
            Source("Allen and Plourde 1999, Review of Leeway, table as revised 2011", "read"),
            Source("Breivik and Allen 2008, spread of leeway", "memory"),
        ),
        function=raft_drift,
    ),
    Figure(
        id="position_after",
        unit="deg",
        title="the position after a run on one bearing",
        sentence="The position is then latitude {latitude:.4f}, longitude {longitude:.4f} degrees.",
        inputs=(
            Input("latitude", "latitude of the start, north above 0", "deg", -90, 90),
            Input("longitude", "longitude of the start, east above 0", "deg", -180, 180),
            Input("bearing_deg", "true bearing at the start", "deg", 0, 360),
            Input("distance_km", "distance run", "km", 0, 20_000),
        ),
        assumption="One run on the shortest line that starts on that true bearing.",
        limits="Exact on the ellipsoid; the doubt is all in the bearing and the distance put in.",
        sources=(Source("World Geodetic System 1984 ellipsoid, direct geodesic problem", "common_practice"),),
        function=position_after,
    ),
)
