"""The air under a closed canopy: how long before it must be opened, and the fresh air it needs."""

from __future__ import annotations

from guide.figures.model import Answer, Figure, FigureError, Input, Source, range_note
from guide.figures.units import written
from guide.figures.water import PERSONS

RESTING_L_PER_MIN = 0.24
BUSY_L_PER_MIN = 0.48


def air_time(
    persons: int, canopy_m3: float, co2_l_per_min: float, limit_pct: float, body_m3: float, outside_pct: float
) -> Answer:
    """Minutes until the carbon dioxide under a sealed canopy reaches `limit_pct`, from outside air.

    Air is `canopy_m3` less `body_m3` a person; each gives off `co2_l_per_min`. Raises FigureError where the bodies fill
    the canopy or the limit is not above the outside air. Sources: mass balance; NIOSH limits (read).
    """
    air_m3 = canopy_m3 - body_m3 * persons
    if air_m3 <= 0:
        raise FigureError(
            f"canopy_m3 must be above {written(body_m3 * persons)} m3, what the bodies of {persons} take up, "
            f"not {written(canopy_m3)}",
            "canopy_m3",
        )
    _refuse_below_outside("limit_pct", limit_pct, outside_pct)
    room_l = air_m3 * 1000 * (limit_pct - outside_pct) / 100
    minutes, busy, resting = (room_l / (persons * rate) for rate in (co2_l_per_min, BUSY_L_PER_MIN, RESTING_L_PER_MIN))
    return Answer(
        minutes,
        notes=(
            range_note(
                min(busy, minutes),
                max(resting, minutes),
                "min",
                "The short end is people who are tense, 0.48 L/min each, the long end people quite at rest, 0.24 L/min.",
            ),
        ),
    )


def fresh_air(persons: int, co2_l_per_min: float, hold_pct: float, outside_pct: float) -> Answer:
    """Litres of outside air a minute that hold carbon dioxide at `hold_pct` for `persons`.

    Raises FigureError where `hold_pct` is not above the outside air. Source: steady mass balance.
    """
    _refuse_below_outside("hold_pct", hold_pct, outside_pct)
    flow = persons * co2_l_per_min / ((hold_pct - outside_pct) / 100)
    busy = persons * max(co2_l_per_min, BUSY_L_PER_MIN) / ((hold_pct - outside_pct) / 100)
    return Answer(flow, notes=(f"People who are tense or at work need up to {written(busy)} L/min.",))


def _refuse_below_outside(name: str, percent: float, outside_pct: float) -> None:
    if percent <= outside_pct:
        raise FigureError(f"{name} must be above outside_pct, {written(outside_pct)} %, not {written(percent)}", name)


CO2_RATE = Input("co2_l_per_min", "carbon dioxide each gives off", "L/min", 0.1, 4, default=0.3, fitted=(0.19, 0.48))
OUTSIDE = Input("outside_pct", "carbon dioxide in the air outside", "%", 0, 2, default=0.04)
SOURCES = (
    Source("Physiology text, 0.24 L/min at rest; class rules, 0.48 L/min", "read"),
    Source("NIOSH, limits for carbon dioxide", "read"),
)
FIGURES = (
    Figure(
        id="air_time",
        unit="min",
        title="how long a closed canopy can stay shut",
        sentence=(
            "Sealed with {persons} inside, the air reaches {limit_pct} % carbon dioxide in about {value:.0f} minutes."
        ),
        inputs=(
            PERSONS,
            Input("canopy_m3", "space under the canopy", "m3", 0.1, 200),
            CO2_RATE,
            Input(
                "limit_pct",
                "carbon dioxide that counts as the limit",
                "%",
                0.01,
                10,
                default=3,
                fitted=(0.5, 4),
            ),
            Input("body_m3", "space a body takes up", "m3", 0, 0.2, default=0.07),
            OUTSIDE,
        ),
        assumption="No air comes in at all, as with iced or wetted cloth and stopped vents: the worst case.",
        limits="A sound raft passes air with its entrances shut, so it lasts longer.",
        sources=SOURCES,
        function=air_time,
    ),
    Figure(
        id="fresh_air",
        unit="L/min",
        title="how much fresh air the people inside need",
        sentence=(
            "To hold carbon dioxide at {hold_pct} %, {persons} people need {value:.0f} litres of fresh air a minute."
        ),
        inputs=(
            PERSONS,
            CO2_RATE,
            Input("hold_pct", "carbon dioxide to hold", "%", 0.01, 10, default=1),
            OUTSIDE,
        ),
        assumption="Steady, and the air well mixed.",
        limits="Half a per cent is the usual limit for a whole working day.",
        sources=SOURCES,
        function=fresh_air,
    ),
)
