"""The raft's tubes: pressure as it warms or cools, topping up by hand, and how many a raft may carry."""

from __future__ import annotations

import math

from guide.figures.model import Answer, Figure, FigureError, Input, Source
from guide.figures.units import STANDARD_AIR_KPA, ZERO_C_IN_KELVIN, written

TUBE_M3_EACH = 0.096
FLOOR_M2_EACH = 0.372
FEWEST_PERSONS = 6


def tube_pressure(gauge_kpa: float, from_c: float, to_c: float, air_from_kpa: float, air_to_kpa: float) -> Answer:
    """Gauge pressure in kPa of a tight tube after its gas goes from `from_c` to `to_c` (degC) and the air's pressure
    from `air_from_kpa` to `air_to_kpa`.

    Fixed volume, dry gas, no leak. Below 0 the tube has gone limp. Source: the gas law.
    """
    ratio = (to_c + ZERO_C_IN_KELVIN) / (from_c + ZERO_C_IN_KELVIN)
    after = (gauge_kpa + air_from_kpa) * ratio - air_to_kpa
    limp = ("Warning: below 0 the tube is limp and the formula no longer holds.",) if after < 0 else ()
    return Answer(
        after,
        notes=(
            "A tube that is softer than this is leaking or its valve is passing.",
            "Relief valves act by themselves, and what they let out in the heat is missing in the cold.",
            *limp,
        ),
    )


def pump_strokes(volume_m3: float, from_kpa: float, to_kpa: float, stroke_l: float, air_kpa: float) -> Answer:
    """Strokes of a pump of `stroke_l` (L) that raise a tube of `volume_m3` from one gauge pressure to another (kPa).

    Every stroke counts in full and the tube keeps its shape. Raises FigureError where `to_kpa` is below `from_kpa`.
    Source: the gas law.
    """
    if to_kpa < from_kpa:
        raise FigureError(
            f"to_kpa must be from {written(from_kpa)} kPa, where it starts, to 100 kPa, not {written(to_kpa)}", "to_kpa"
        )
    strokes = volume_m3 * (to_kpa - from_kpa) / air_kpa / (stroke_l / 1000)
    return Answer(strokes, notes=("It takes more: a pump loses some of each stroke.",))


def raft_capacity(tube_volume_m3: float, floor_m2: float) -> Answer:
    """Persons a raft may be rated for by tube volume (m3) and floor (m2), whichever is fewer.

    Details: each of the two counts. Seats, the third test, are not counted here.
    Source: LSA Code 4.2: 0.096 m3 a person (read), 0.372 m2 a person (memory).
    """
    # Without the small addition 0.96 / 0.096 comes out a hair under 10.
    by_tube, by_floor = (
        math.floor(size / each + 1e-9) for size, each in ((tube_volume_m3, TUBE_M3_EACH), (floor_m2, FLOOR_M2_EACH))
    )
    persons = min(by_tube, by_floor)
    few = (f"No raft is approved for fewer than {FEWEST_PERSONS}.",) if persons < FEWEST_PERSONS else ()
    return Answer(
        persons, {"by_tube": by_tube, "by_floor": by_floor}, ("The number marked on the raft stands before this.", *few)
    )


GAS_LAW = Source("Gas law at fixed volume", "common_practice")
AIR = Input("air_kpa", "air pressure outside", "kPa", 80, 110, default=STANDARD_AIR_KPA)
FIGURES = (
    Figure(
        id="tube_pressure",
        unit="kPa",
        title="what pressure the tubes come to as they warm or cool",
        sentence="From {from_c} °C to {to_c} °C a tight tube at {gauge_kpa} kPa comes to {value:.1f} kPa.",
        inputs=(
            Input("gauge_kpa", "gauge pressure now", "kPa", 0, 100),
            Input("from_c", "gas temperature now", "degC", -40, 80),
            Input("to_c", "gas temperature then", "degC", -40, 80),
            Input("air_from_kpa", "air pressure outside now", "kPa", 80, 110, default=STANDARD_AIR_KPA),
            Input("air_to_kpa", "air pressure outside then", "kPa", 80, 110, default_from="air_from_kpa"),
        ),
        assumption="No leak, a tube that keeps its volume, and gas that is as warm as stated all through.",
        limits="The relief valve caps the warm end; the raft's label gives the working pressure.",
        sources=(GAS_LAW,),
        function=tube_pressure,
    ),
    Figure(
        id="pump_strokes",
        unit="strokes",
        title="how many strokes top a tube up",
        sentence="From {from_kpa} to {to_kpa} kPa takes about {value:.0f} strokes.",
        inputs=(
            Input("volume_m3", "volume of the tube", "m3", 0.001, 50),
            Input("from_kpa", "gauge pressure now", "kPa", 0, 100),
            Input("to_kpa", "gauge pressure wanted", "kPa", 0, 100),
            Input("stroke_l", "air moved by a stroke", "L", 0.01, 50),
            AIR,
        ),
        assumption="Each stroke moves its full volume and the tube is already in shape.",
        limits="A tube that is limp needs its slack filled first.",
        sources=(GAS_LAW,),
        function=pump_strokes,
    ),
    Figure(
        id="raft_capacity",
        unit="persons",
        title="how many a raft of that size may carry",
        sentence="By tube and floor such a raft may carry {value} persons.",
        inputs=(
            Input("tube_volume_m3", "volume of the main tubes", "m3", 0.001, 100),
            Input("floor_m2", "area of the floor", "m2", 0.01, 300),
        ),
        assumption="Tube and floor only; the count of seats can make it fewer.",
        limits="A count for understanding: the label stands before it.",
        sources=(
            Source("LSA Code 4.2, 0.096 m3 of tube each", "read"),
            Source("LSA Code 4.2, 0.372 m2 of floor each", "memory"),
        ),
        function=raft_capacity,
    ),
)
