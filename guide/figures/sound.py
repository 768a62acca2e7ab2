"""Sound: how loud a whistle is at a distance, and how far off it drowns in the noise."""

from __future__ import annotations

import math

from guide.figures.model import Answer, Figure, Input, Source, range_note

LEVEL = Input("level_db", "loudness of the source", "dB", 0, 200)
AT = Input("at_m", "distance at which that loudness was measured", "m", 0.01, 1000, default=1)
FAR_M = 300.0
FAR_NOTE = "Warning: past about 300 m the air itself takes some of a shrill sound, so expect less."
WIND_NOTE = "Downwind it carries better; upwind it may not carry at all."


def sound_distance(level_db: float, at_m: float, ambient_db: float) -> Answer:
    """Distance in m at which a source of `level_db` at `at_m` is as loud as the noise around the listener.

    Spherical spreading only; the air's own loss matters past about 300 m. Source: acoustics (common practice).
    """
    distance = at_m * 10 ** ((level_db - ambient_db) / 20)
    far = (FAR_NOTE,) if distance > FAR_M else ()
    return Answer(
        distance,
        notes=(
            range_note(
                distance / 2, distance, "m", "The short end leaves the whistle 6 dB above the noise to be noticed."
            ),
            WIND_NOTE,
            *far,
        ),
    )


def sound_level(level_db: float, at_m: float, distance_m: float) -> Answer:
    """Level in dB at `distance_m` of a source of `level_db` at `at_m`. Spherical spreading; validity as above."""
    far = (FAR_NOTE,) if distance_m > FAR_M else ()
    return Answer(level_db - 20 * math.log10(distance_m / at_m), notes=(WIND_NOTE, *far))


SPHERE = Source("Spherical spreading of sound", "common_practice")
WHISTLES = Source("33 CFR 86.05 and COLREG 72, Annex III, ship whistles", "read")
STILL = "Sound spreads evenly in still air over open sea."
FIGURES = (
    Figure(
        id="sound_distance",
        unit="m",
        title="how far off a sound can be heard",
        sentence="It is as loud as the noise around the listener at {value:.0f} metres.",
        inputs=(LEVEL, AT, Input("ambient_db", "noise around the listener", "dB", 0, 150)),
        assumption=STILL,
        limits=(
            "A whistle's loudness must come with the distance it was measured at: 1 m or 5 m is five times the range."
        ),
        sources=(SPHERE, WHISTLES),
        function=sound_distance,
    ),
    Figure(
        id="sound_level",
        unit="dB",
        title="how loud a sound is at a distance",
        sentence="At {distance_m} metres it is still {value:.0f} dB.",
        inputs=(LEVEL, AT, Input("distance_m", "distance to the listener", "m", 0.1, 50_000)),
        assumption=STILL,
        limits="Wind, and past about 300 m the air's own loss, are left out.",
        sources=(SPHERE, WHISTLES),
        function=sound_level,
    ),
)
