"""Timing of signals: how long a craft is near, how high a rocket hangs, and how long the signals burn."""

from __future__ import annotations

import math

from guide.figures.model import ARITHMETIC, Answer, Figure, FigureError, Input, Source
from guide.figures.units import METRES_PER_NM, MS_PER_KN, written

ROCKET_S, HAND_FLARE_S, SMOKE_S = 40, 60, 180

LSA_ROCKET = Source("LSA Code 3.1, parachute rocket", "read")


def aircraft_window(speed_kn: float, closest_nm: float, within_nm: float) -> Answer:
    """Seconds that a craft on a straight track at `speed_kn` is within `within_nm`, passing at `closest_nm`.

    Raises FigureError where it never comes that near. Source: geometry.
    """
    if closest_nm > within_nm:
        raise FigureError(
            f"closest_nm must be from 0 to {written(within_nm)} nm, the range of within_nm, or it never "
            f"comes in range, not {written(closest_nm)}",
            "closest_nm",
        )
    half_m = math.sqrt(within_nm**2 - closest_nm**2) * METRES_PER_NM
    seconds = 2 * half_m / (speed_kn * MS_PER_KN)
    return Answer(seconds, notes=("Half of that is while it comes on.",))


def rocket_height(burst_m: float, sink_ms: float, burn_s: float) -> Answer:
    """Height in m of a parachute flare as it burns out, 0 if it reaches the sea first. Source: LSA Code 3.1 (read)."""
    height = burst_m - sink_ms * burn_s
    early = ("It reaches the water before it has burnt out.",) if height < 0 else ()
    return Answer(max(0.0, height), notes=("As it sinks it is seen less far.", *early))


def signal_burn_time(rockets: int, hand_flares: int, smokes: int) -> Answer:
    """Seconds of burning in all, one after the other, at the least times of the standard: 40, 60 and 180 s each.

    Source: LSA Code 3.1 to 3.3 (read).
    """
    return Answer(rockets * ROCKET_S + hand_flares * HAND_FLARE_S + smokes * SMOKE_S)


def ship_arrival(distance_nm: float, speed_kn: float) -> Answer:
    """Minutes for a ship to close `distance_nm` at `speed_kn`, straight on. Source: arithmetic."""
    return Answer(distance_nm / speed_kn * 60, notes=("A ship slows down for the last mile, and may stop upwind.",))


FIGURES = (
    Figure(
        id="aircraft_window",
        unit="s",
        title="how long a passing craft is within range",
        sentence="It is within {within_nm} nautical miles for {value:.0f} seconds.",
        inputs=(
            Input("speed_kn", "speed of the craft over the ground", "kn", 0.5, 700),
            Input("closest_nm", "distance at its nearest", "nm", 0, 100),
            Input("within_nm", "range that counts", "nm", 0.01, 100),
        ),
        assumption="A straight track at a steady speed.",
        limits="Any turn, wind or climb changes it.",
        sources=(ARITHMETIC,),
        function=aircraft_window,
    ),
    Figure(
        id="rocket_height",
        unit="m",
        title="how high a parachute rocket is when it burns out",
        sentence="The flare is still {value:.0f} metres up when it burns out.",
        inputs=(
            Input("burst_m", "height of the burst", "m", 1, 1000, default=300),
            Input("sink_ms", "rate of sinking", "m/s", 0, 50, default=5),
            Input("burn_s", "time it burns", "s", 1, 300, default=40),
        ),
        assumption="The least that the standard asks of a parachute rocket, unless given.",
        limits="Fired upright; a slant in strong wind loses height.",
        sources=(LSA_ROCKET,),
        function=rocket_height,
    ),
    Figure(
        id="signal_burn_time",
        unit="s",
        title="how long the signals aboard burn in all",
        sentence="They burn for {value:.0f} seconds in all, one after another.",
        inputs=(
            Input("rockets", "parachute rockets left", "", 0, 200, kind="whole", default=0),
            Input("hand_flares", "hand flares left", "", 0, 200, kind="whole", default=0),
            Input("smokes", "smoke floats left", "", 0, 200, kind="whole", default=0),
        ),
        assumption="The least burning time of the standard: rocket 40 s, hand flare 60 s, smoke 180 s.",
        limits="Smoke is for daylight. Out-of-date signals may fail.",
        sources=(Source("LSA Code 3.1 to 3.3, least burning times", "read"),),
        function=signal_burn_time,
    ),
    Figure(
        id="ship_arrival",
        unit="min",
        title="how soon a ship can be here",
        sentence="At {speed_kn} knots it takes {value:.0f} minutes to cover {distance_nm} nautical miles.",
        inputs=(
            Input("distance_nm", "distance of the ship", "nm", 0, 5000),
            Input("speed_kn", "speed of the ship", "kn", 0.5, 80),
        ),
        assumption="She steers straight here at that speed.",
        limits="Seas, other traffic and a search on the way all add.",
        sources=(ARITHMETIC,),
        function=ship_arrival,
    ),
)
