"""How far the curve of the sea lets one see: the horizon, and an object that stands beyond it."""

from __future__ import annotations

import math

from guide.figures.model import Answer, Figure, Input, Source, range_note

SHORTER_COEFFICIENT = 2.03

EYE_HEIGHT = Input("eye_height_m", "height of the watching eye above the water", "m", high=15_000, fitted=(0, 3000))
COEFFICIENT = Input(
    "coefficient", "nautical miles of horizon for each root metre of height", "", 1.5, 3.0, default=2.08
)
TABLES = Source("Nautical tables, horizon distance with 2.08 per root metre", "memory")
BOWDITCH = Source("Bowditch, 1995 and 2002 editions, chapter 22, horizon and geographic range", "secondary")
LIGHT_LIST = Source("US light list, worked example of geographic range", "read")


def geographic_range_nm(height_1_m: float, height_2_m: float, coefficient: float) -> float:
    """Distance in nm at which two heights in m above the water just see each other over the curve.

    `coefficient` is in nm per root metre: 2.08 for light in common tables, 2.03 on the short side, 2.25 for VHF.
    Valid for calm refraction and heights from 0 to a few km. Raises ValueError for a height below 0.
    Source: Bowditch, chapter 22 (secondary).
    """
    return coefficient * (math.sqrt(height_1_m) + math.sqrt(height_2_m))


def horizon_distance(eye_height_m: float, object_height_m: float, coefficient: float) -> Answer:
    """The range of `geographic_range_nm` for an eye and an object; object height 0 m gives the sea horizon.

    Heights in m from the waterline, answer in nm. Source and validity as there; the inputs are checked before.
    """
    distance = geographic_range_nm(eye_height_m, object_height_m, coefficient)
    short = geographic_range_nm(eye_height_m, object_height_m, min(coefficient, SHORTER_COEFFICIENT))
    return Answer(
        distance,
        notes=(
            range_note(
                short, distance, "nm", "Air bends light now more, now less; the short end takes the least that tables use."
            ),
            "Down in a trough a raft sees next to nothing, and swell hides a low canopy for much of each wave.",
        ),
    )


FIGURES = (
    Figure(
        id="horizon_distance",
        unit="nm",
        title="how far off the sea horizon, or an object beyond it, can be seen",
        sentence="From {eye_height_m} m above the water an object {object_height_m} m high shows over the horizon "
        "at {value:.1f} nautical miles.",
        inputs=(
            EYE_HEIGHT,
            Input(
                "object_height_m", "height of the object above the water", "m", high=15_000, default=0, fitted=(0, 3000)
            ),
            COEFFICIENT,
        ),
        assumption="Clear air, ordinary refraction, and heights measured from the waterline.",
        limits="Only the curve of the sea is reckoned: haze, cloud and the light of the object can each make it less.",
        sources=(TABLES, BOWDITCH, LIGHT_LIST),
        function=horizon_distance,
    ),
)
