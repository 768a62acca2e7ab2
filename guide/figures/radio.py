"""Radio: how far the hand-held reaches, and how long a beacon or transponder has left."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from guide.figures.horizon import geographic_range_nm
from guide.figures.model import Answer, Figure, Input, Source, range_note

SIGHT_COEFFICIENT = 2.08


# The hours that its standard asks of a fresh battery.
RATED_H: Mapping[str, float] = MappingProxyType({"epirb": 48, "sart": 96, "ais_sart": 96})
STANDING_BY = "That is standing by; after it, a fresh one answers radar for 8 h more."


def radio_range(height_1_m: float, height_2_m: float, coefficient: float) -> Answer:
    """Reach of VHF in nm between two aerials at those heights in m; 2.25 nm per root metre, 2.5 for planning.

    Valid for heights up to a few km. Source: radio text, 4/3 Earth (read).
    """
    reach = geographic_range_nm(height_1_m, height_2_m, coefficient)
    short = geographic_range_nm(height_1_m, height_2_m, min(coefficient, SIGHT_COEFFICIENT))
    return Answer(
        reach,
        notes=(
            range_note(short, reach, "nm", "The short end is plain sight; radio bends a little farther round."),
            "Low power, a low battery and bodies in the way cut a hand-held further.",
        ),
    )


def beacon_life(device: str, hours_on: float) -> Answer:
    """Hours that the device's standard still promises after `hours_on` (h); 0 when that is used up.

    Detail: `rated_h`, the hours of a fresh battery. Sources: IMO A.802(19) (secondary), MSC.246(83), 406 MHz (read).
    """
    rated_h = RATED_H[device]
    left = max(0.0, rated_h - hours_on)
    waiting = (STANDING_BY,) if device == "sart" else ()
    spent = () if left else ("The promised time is used up, but it may still be working.",)
    return Answer(left, {"rated_h": rated_h}, (*waiting, *spent))


FIGURES = (
    Figure(
        id="radio_range",
        unit="nm",
        title="how far VHF reaches between two aerials",
        sentence="Aerials at {height_1_m} m and {height_2_m} m reach each other at about {value:.1f} nautical miles.",
        inputs=(
            Input("height_1_m", "height of the one aerial above the water", "m", 0, 15_000, fitted=(0, 3000)),
            Input("height_2_m", "height of the other aerial above the water", "m", 0, 15_000, fitted=(0, 3000)),
            Input("coefficient", "nautical miles for each root metre of height", "", 1.5, 3.0, default=2.25),
        ),
        assumption="VHF over open sea, both sets in good order.",
        limits="The curve of the sea only; power is not reckoned.",
        sources=(
            Source("Marine radio text, 2.25 per root metre", "read"),
            Source("IMO A.801(19), 2.5 for planning", "memory"),
        ),
        function=radio_range,
    ),
    Figure(
        id="beacon_life",
        unit="h",
        title="how long a beacon or transponder has left",
        sentence="After {hours_on} hours on, its standard still promises {value:.0f} hours.",
        inputs=(
            Input("device", "which device", kind="choice", choices=tuple(RATED_H)),
            Input("hours_on", "hours it has been switched on", "h", 0, 10_000),
        ),
        assumption="A battery in date and the least time that the standard asks; many last longer, cold ones less.",
        limits="From the standard, not from the device: its label and its light come first.",
        sources=(
            Source("406 MHz beacon standard, 48 h", "read"),
            Source("IMO A.802(19), radar transponder", "secondary"),
            Source("AIS transmitter, 96 h", "memory"),
        ),
        function=beacon_life,
    ),
)
