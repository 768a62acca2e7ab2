"""Waves, the drogue and its line, and the wind scale."""

from __future__ import annotations

import math
from dataclasses import dataclass

from guide.figures.model import Answer, Figure, Input, Source
from guide.figures.units import GRAVITY_MS2, MS_PER_KN, SEA_WATER_KG_M3

BEAUFORT_MS = 0.836
USUAL_LINE_M = 30.0

PERIOD = Input("period_s", "time from crest to crest, counted over ten waves or more", "s", 0.5, 30, fitted=(2, 25))
DEEP_WATER = "Deep water, more than half a wavelength, and one regular swell."
TWO_RULES = (
    "Two rules conflict: half a wave (raft on a crest, drogue in a trough) and one whole wave (both on the same "
    "slope)."
)


@dataclass(frozen=True, slots=True)
class Force:
    """A row of the wind scale: limits in m/s and whole knots, probable and highest wave in m on the open sea."""

    from_ms: float
    from_kn: float
    to_kn: float | None
    probable_wave_m: float
    highest_wave_m: float | None


FORCES = (
    Force(0.0, 0, 1, 0.0, 0.0),
    Force(0.3, 1, 3, 0.1, 0.1),
    Force(1.6, 4, 6, 0.2, 0.3),
    Force(3.4, 7, 10, 0.6, 1.0),
    Force(5.5, 11, 16, 1.0, 1.5),
    Force(8.0, 17, 21, 2.0, 2.5),
    Force(10.8, 22, 27, 3.0, 4.0),
    Force(13.9, 28, 33, 4.0, 5.5),
    Force(17.2, 34, 40, 5.5, 7.5),
    Force(20.8, 41, 47, 7.0, 10.0),
    Force(24.5, 48, 55, 9.0, 12.5),
    Force(28.5, 56, 63, 11.5, 16.0),
    Force(32.7, 64, None, 14.0, None),
)


def wavelength_m(period_s: float) -> float:
    """Length in m of a wave of `period_s` in water deeper than half of it. Source: linear wave theory (read)."""
    return GRAVITY_MS2 * period_s**2 / (2 * math.pi)


def wave_length(period_s: float) -> Answer:
    """Length in m, and speed in knots, of a deep-water wave of `period_s` (s). Source: linear wave theory (read)."""
    speed_ms = GRAVITY_MS2 * period_s / (2 * math.pi)
    return Answer(wavelength_m(period_s), {"speed_kn": speed_ms / MS_PER_KN})


def drogue_line(period_s: float) -> Answer:
    """Line in m that puts the drogue half a wave from the raft; a whole wave is among the details.

    Sources: army survival manual 16-16 for the half (read), yacht practice for the whole (memory).
    """
    whole = wavelength_m(period_s)
    long = (f"That is more than the {USUAL_LINE_M:.0f} m of a usual line.",) if whole / 2 > USUAL_LINE_M else ()
    return Answer(whole / 2, {"whole_wavelength_m": whole}, (TWO_RULES, *long))


def drogue_line_fits(line_m: float) -> Answer:
    """Period in s of the waves for which `line_m` (m) is half a wavelength. Source: the half-wave rule turned round."""
    return Answer(math.sqrt(2 * line_m * 2 * math.pi / GRAVITY_MS2), notes=(TWO_RULES,))


def drogue_pull(mouth_diameter_m: float, speed_ms: float, drag_coefficient: float) -> Answer:
    """Steady pull in N of an open cone with that mouth (m) drawn through sea water at `speed_ms` (m/s).

    A breaking crest pulls many times harder. Source: the drag equation; drag coefficient 1.2 to 1.4 (memory).
    """
    mouth_m2 = math.pi * mouth_diameter_m**2 / 4
    pull = SEA_WATER_KG_M3 * drag_coefficient * mouth_m2 * speed_ms**2 / 2
    return Answer(pull, notes=("Steady pull only: when a crest breaks the line snatches with far more.",))


def wind_of_force(beaufort: int) -> Answer:
    """Mean wind in m/s of a force 0 to 12, its limits in knots and the waves it raises in m.

    `to_kn` and `highest_wave_m` are None for force 12, which has no upper end. Source: WMO open-sea table (read).
    """
    force = FORCES[beaufort]
    details = {"from_kn": force.from_kn, "to_kn": force.to_kn, **_waves(force)}
    return Answer(BEAUFORT_MS * beaufort**1.5, details, _top_note(force))


def force_of_wind(wind_ms: float) -> Answer:
    """Force of a wind in m/s at 10 m, by the limits of the table, and the waves it raises in m.

    The table steps by 0.1 m/s, so the wind is first rounded to that. Source: WMO open-sea table (read).
    """
    rounded = math.floor(wind_ms * 10 + 0.5) / 10
    number = max(index for index, force in enumerate(FORCES) if force.from_ms <= rounded)
    return Answer(number, _waves(FORCES[number]), _top_note(FORCES[number]))


def _waves(force: Force) -> dict[str, float | None]:
    return {"probable_wave_m": force.probable_wave_m, "highest_wave_m": force.highest_wave_m}


def _top_note(force: Force) -> tuple[str, ...]:
    return () if force.to_kn else ("Force 12 has no upper end: waves are 14 m and more, and no highest is given.",)


WMO = Source("World Meteorological Organization, wind force and sea height in the open sea", "read")
SEA = "The sea a wind raises in the open, once it has blown long enough."
SEA_LIMITS = "Less with a short fetch, a wind that has just risen, or heavy rain; more when a current runs against it."
THEORY = Source("Linear deep-water wave theory", "read")
HALF_RULE = Source("Army survival manual, 16-16, sea anchor in the trough", "read")
WHOLE_RULE = Source("Yacht practice, whole wavelengths", "memory")

FIGURES = (
    Figure(
        id="wave_length",
        unit="m",
        title="how long a wave is, from its period",
        sentence="Waves of {period_s} s are {value:.0f} m long and run at {speed_kn:.0f} knots.",
        inputs=(PERIOD,),
        assumption=DEEP_WATER,
        limits="Shorter and steeper in shallow water or against a current.",
        sources=(THEORY,),
        function=wave_length,
    ),
    Figure(
        id="drogue_line",
        unit="m",
        title="what length of drogue line suits the waves",
        sentence=(
            "For waves of {period_s} s half a wavelength of line is {value:.0f} m, a whole one "
            "{whole_wavelength_m:.0f} m."
        ),
        inputs=(PERIOD,),
        assumption=DEEP_WATER,
        limits="A starting length only: how the line pulls decides.",
        sources=(THEORY, HALF_RULE, WHOLE_RULE),
        function=drogue_line,
    ),
    Figure(
        id="drogue_line_fits",
        unit="s",
        title="which waves a drogue's line fits at half a wavelength",
        sentence="A line of {line_m} m is half a wavelength for waves of {value:.1f} s.",
        inputs=(Input("line_m", "length of the drogue's line", "m", 0.1, 500, fitted=(5, 300)),),
        assumption=DEEP_WATER,
        limits="A starting length only: how the line pulls decides.",
        sources=(THEORY, HALF_RULE),
        function=drogue_line_fits,
    ),
    Figure(
        id="drogue_pull",
        unit="N",
        title="how hard a drogue pulls",
        sentence="The drogue pulls with about {value:.0f} newtons; ten newtons is the weight of about one kilogram.",
        inputs=(
            Input("mouth_diameter_m", "diameter of the drogue's mouth", "m", 0.01, 5, fitted=(0.2, 1.0)),
            Input("speed_ms", "speed of the drogue through the water", "m/s", 0, 15, fitted=(0, 5)),
            Input("drag_coefficient", "drag coefficient of the open cone", "", 0.1, 3, default=1.4, fitted=(1.2, 1.4)),
        ),
        assumption="A steady tow in sea water of 1025 kg/m3, the mouth fully open.",
        limits="A snatch load is not in it.",
        sources=(Source("Drag equation; 1.2 to 1.4 for an open cone", "memory"),),
        function=drogue_pull,
    ),
    Figure(
        id="wind_of_force",
        unit="m/s",
        title="the wind of a Beaufort force, and its sea",
        sentence=(
            "Force {beaufort} is a mean wind of about {value:.1f} m/s, with waves of about {probable_wave_m:.1f} m."
        ),
        inputs=(Input("beaufort", "wind force", "", 0, 12, kind="whole"),),
        assumption=SEA,
        limits=SEA_LIMITS,
        sources=(WMO,),
        function=wind_of_force,
    ),
    Figure(
        id="force_of_wind",
        unit="force",
        title="the Beaufort force of a wind, and its sea",
        sentence="A wind of {wind_ms} m/s is force {value}, with waves of about {probable_wave_m:.1f} m.",
        inputs=(Input("wind_ms", "mean wind at 10 m height", "m/s", 0, 110),),
        assumption=SEA,
        limits=SEA_LIMITS,
        sources=(WMO,),
        function=force_of_wind,
    ),
)
