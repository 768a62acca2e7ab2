"""How far a light is seen through the air: candela, visibility and the threshold of the eye (COLREG 72, Annex I)."""

from __future__ import annotations

import math

from guide.figures.horizon import COEFFICIENT, EYE_HEIGHT, geographic_range_nm
from guide.figures.model import Answer, Figure, FigureError, Input, Source, range_note

LUX_AT_ONE_NM = 3.43e6
KOSCHMIEDER_CONTRAST = 0.05
NIGHT_LX = 2e-7
BACKGROUND_FACTOR = 10.0
GREATEST_LOG_CD = math.log(1e12)

THRESHOLD = Input(
    "threshold_lx", "light at the eye that is just noticed; 2e-7 on a dark night", "lx", 1e-9, 1.0, default=NIGHT_LX
)
INTENSITY = Input("intensity_cd", "strength of the light", "cd", 0.001, 1e8)
VISIBILITY = Input("visibility_nm", "meteorological visibility", "nm", 0.01, 100, fitted=(0.1, 50))
DISTANCE = Input("distance_nm", "distance from the light to the eye", "nm", 0.01, 100)

COLREG = Source("COLREG 72, Annex I section 8(a), intensity and range of lights", "read")
KOSCHMIEDER = Source("Lighting vocabulary, visibility as 5 % contrast", "read")
BACKGROUNDS = Source("Buoyage guidance, thresholds against background light", "memory")
DARK_EYE = "A watchful eye used to the dark, an even haze and a light that is a point."
LOOKOUT_NOTE = (
    "A look-out who is not searching sees far less, and cloud below a rocket's burst hides it. "
    "By day a threshold of 1e-3 lx fits, and the range shrinks to a mile or two."
)


def luminous_range_nm(intensity_cd: float, visibility_nm: float, threshold_lx: float) -> float:
    """Distance in nm at which a light of `intensity_cd` gives `threshold_lx` at the eye.

    All inputs above 0. Solved by halving in logarithms, as plain powers overflow in fog; good to 1e-9 of the range.
    Source: COLREG 72, Annex I section 8(a) (read).
    """
    loss_per_nm = -math.log(KOSCHMIEDER_CONTRAST) / visibility_nm
    wanted = math.log(intensity_cd / (LUX_AT_ONE_NM * threshold_lx))
    low, high = -30.0, 15.0
    for _ in range(80):
        middle = (low + high) / 2
        if 2 * middle + loss_per_nm * math.exp(middle) < wanted:
            low = middle
        else:
            high = middle
    return math.exp((low + high) / 2)


def light_needed(distance_nm: float, transmissivity: float, threshold_lx: float) -> Answer:
    """Intensity in cd to be seen at `distance_nm` through air that passes `transmissivity` of the light each nm.

    Raises FigureError where more than 1e12 cd would be needed. Source: COLREG 72, Annex I section 8(a) (read).
    """
    log_cd = math.log(LUX_AT_ONE_NM * threshold_lx) + 2 * math.log(distance_nm) - distance_nm * math.log(transmissivity)
    if log_cd > GREATEST_LOG_CD:
        raise FigureError(
            f"distance_nm {distance_nm:g} is too far for any light through air that passes "
            f"{transmissivity:g} of it each nm; allowed: a distance that needs at most 1e12 cd",
            "distance_nm",
        )
    needed = math.exp(log_cd)
    return Answer(needed, notes=(_intensity_note(needed),))


def luminous_range(intensity_cd: float, visibility_nm: float, threshold_lx: float) -> Answer:
    """`luminous_range_nm` with its short end, where some light behind raises the threshold tenfold."""
    distance = luminous_range_nm(intensity_cd, visibility_nm, threshold_lx)
    short = luminous_range_nm(intensity_cd, visibility_nm, threshold_lx * BACKGROUND_FACTOR)
    return Answer(distance, notes=(_background_note(short, distance), LOOKOUT_NOTE))


def visibility_needed(intensity_cd: float, distance_nm: float, threshold_lx: float) -> Answer:
    """Visibility in nm through which a light of `intensity_cd` is just seen at `distance_nm`.

    Raises FigureError where the light is too weak for that distance even in perfectly clear air.
    Source: COLREG 72, Annex I section 8(a) (read), turned round.
    """
    spare = math.log(intensity_cd / (LUX_AT_ONE_NM * threshold_lx * distance_nm**2))
    if spare <= 0:
        least = LUX_AT_ONE_NM * threshold_lx * distance_nm**2
        raise FigureError(
            f"intensity_cd {intensity_cd:g} is too weak to be seen at {distance_nm:g} nm in any air; "
            f"allowed: above {least:.4g} cd",
            "intensity_cd",
        )
    visibility = -math.log(KOSCHMIEDER_CONTRAST) * distance_nm / spare
    return Answer(visibility, notes=("A look-out who is not searching needs clearer air than this.",))


def detection_range(
    intensity_cd: float,
    light_height_m: float,
    eye_height_m: float,
    visibility_nm: float,
    threshold_lx: float,
    coefficient: float,
) -> Answer:
    """The lesser of luminous and geographic range, in nm; heights in m above the water.

    Details: `luminous_nm` and `geographic_nm`. Sources: COLREG 72, Annex I (read) and Bowditch, chapter 22 (secondary).
    """
    over_the_curve = geographic_range_nm(light_height_m, eye_height_m, coefficient)
    through_the_air = luminous_range_nm(intensity_cd, visibility_nm, threshold_lx)
    distance = min(over_the_curve, through_the_air)
    short = min(over_the_curve, luminous_range_nm(intensity_cd, visibility_nm, threshold_lx * BACKGROUND_FACTOR))
    bound = "the curve of the sea" if over_the_curve < through_the_air else "the light and the air"
    return Answer(
        distance,
        {"luminous_nm": through_the_air, "geographic_nm": over_the_curve},
        (_background_note(short, distance), f"What bounds it here is {bound}.", LOOKOUT_NOTE),
    )


def _background_note(short: float, distance: float) -> str:
    return range_note(short, distance, "nm", "The short end is with some light behind it, where it takes ten times the light.")


def _intensity_note(needed_cd: float) -> str:
    known = (
        (0.75, "a lifejacket light (0.75 cd)"),
        (4.3, "a raft's outside lamp (4.3 cd)"),
        (15_000, "a hand flare (15,000 cd)"),
        (30_000, "a parachute rocket (30,000 cd)"),
    )
    enough = [name for strength, name in known if strength >= needed_cd]
    return f"The least signal that gives as much is {enough[0]}." if enough else "No signal in a raft gives as much."


RANGE_SOURCES = (COLREG, KOSCHMIEDER, BACKGROUNDS)
FIGURES = (
    Figure(
        id="light_needed",
        unit="cd",
        title="how strong a light must be to be seen at a distance",
        sentence="To be seen at {distance_nm} nautical miles a light needs {value:,.1f} candela.",
        inputs=(
            DISTANCE,
            Input("transmissivity", "share of light that passes one nautical mile of air", "", 1e-30, 1, default=0.8),
            THRESHOLD,
        ),
        assumption=DARK_EYE,
        limits="Night, unless the threshold is raised; 0.8 each nautical mile is air of about 13 nm visibility.",
        sources=(
            COLREG,
            Source("LSA Code, chapter III, least intensities of signals", "read"),
            Source("LSA Code 4.1.3, raft lamps", "memory"),
        ),
        function=light_needed,
    ),
    Figure(
        id="luminous_range",
        unit="nm",
        title="how far off a light is seen through the air",
        sentence=(
            "A light of {intensity_cd} candela in {visibility_nm} nm visibility can be seen at "
            "{value:.2f} nautical miles."
        ),
        inputs=(INTENSITY, VISIBILITY, THRESHOLD),
        assumption=DARK_EYE,
        limits="The curve of the sea is left out: detection_range takes the lesser of the two.",
        sources=RANGE_SOURCES,
        function=luminous_range,
    ),
    Figure(
        id="visibility_needed",
        unit="nm",
        title="how clear the air must be for a light to be seen at a distance",
        sentence=(
            "A light of {intensity_cd} candela is seen at {distance_nm} nautical miles "
            "if the visibility is at least {value:.1f} nm."
        ),
        inputs=(INTENSITY, DISTANCE, THRESHOLD),
        assumption=DARK_EYE,
        limits="The curve of the sea is left out.",
        sources=(COLREG, KOSCHMIEDER),
        function=visibility_needed,
    ),
    Figure(
        id="detection_range",
        unit="nm",
        title="how far off a signal is seen, by its light and over the curve of the sea",
        sentence="The light can be seen at {value:.1f} nautical miles: {luminous_nm:.1f} nm through the air, "
        "{geographic_nm:.1f} nm over the curve of the sea.",
        inputs=(
            INTENSITY,
            Input("light_height_m", "height of the light or burst above the water", "m", high=2000),
            EYE_HEIGHT,
            VISIBILITY,
            THRESHOLD,
            COEFFICIENT,
        ),
        assumption=DARK_EYE,
        limits="Cloud below the light, rain and a look-out who is not searching each make it less.",
        sources=(*RANGE_SOURCES, Source("Bowditch, chapter 22, geographic range", "secondary")),
        function=detection_range,
    ),
)
