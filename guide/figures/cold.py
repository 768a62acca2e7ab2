"""Cold and heat on the body: wind chill, frostbite, heat under the canopy, cold water, and the raft's floor."""

from __future__ import annotations

import math
from dataclasses import dataclass
from types import MappingProxyType

from guide.figures.model import Answer, Figure, FigureError, Input, Source, range_note
from guide.figures.units import rounded, written

LEAST_CHILL_WIND_KMH = 4.8
FROSTBITE_LIMIT_MIN = 15.0
FROSTBITE_LONGEST_MIN = 30.0
# At -40 °C and 32 km/h trials had frostnip in 1.5 min, where the formula gives 3.9.
FROSTNIP_SHARE = 0.4
FLOOR_INSULATION = MappingProxyType({"dry": (0.236, 0.174), "wet": (0.146, 0.101)})


@dataclass(frozen=True, slots=True)
class Band:
    """A band of the cold-water chart, from `from_c` up to the next: exhaustion in minutes, survival in hours."""

    from_c: float
    exhaustion_min: tuple[float, float]
    survival_h: tuple[float, float]


BANDS = (
    Band(-2, (0, 15), (0.25, 0.75)),
    Band(0.3, (15, 30), (0.5, 1.5)),
    Band(4, (30, 60), (1, 3)),
    Band(10, (60, 120), (1, 6)),
    Band(16, (120, 420), (2, 40)),
)


def wind_chill(air_c: float, wind_kmh: float) -> Answer:
    """How cold the wind feels on bare skin, as an index in degC, from air in degC and wind at 10 m in km/h.

    Air up to 10 degC. At 4.8 km/h or less there is no chill and the answer is the air temperature.
    Source: wind chill index of Canada and the United States, 2001 (read).
    """
    if wind_kmh <= LEAST_CHILL_WIND_KMH:
        return Answer(air_c, notes=("At 4.8 km/h or less the wind adds no chill, so this is the air temperature.",))
    gust = wind_kmh**0.16
    return Answer(
        13.12 + 0.6215 * air_c - 11.37 * gust + 0.3965 * air_c * gust, notes=("Wet skin cools faster than this says.",)
    )


def frostbite_min(air_c: float, wind_kmh: float) -> float:
    """Minutes to frostbite of the cheek in the most susceptible 5 %; air below -4.8 degC, wind up to 80 km/h.

    Made for wind above 25 km/h and times under 15 min. Source: Environment Canada (memory).
    """
    return (-24.5 * (0.667 * wind_kmh + 4.8) + 2111) * math.pow(-4.8 - air_c, -1.668)


def frostbite_time(air_c: float, wind_kmh: float) -> Answer:
    """`frostbite_min` with a warning outside the span it was made for.

    Raises FigureError past 30 min, where the formula says nothing.
    """
    minutes = frostbite_min(air_c, wind_kmh)
    if minutes > FROSTBITE_LONGEST_MIN:
        raise FigureError(
            f"air_c {written(air_c)} °C with wind_kmh {written(wind_kmh)} km/h is outside what the frostbite "
            "formula covers; allowed: cold and wind that give 30 min or less (bare wet skin still suffers)",
            "air_c",
        )
    notes = [
        range_note(
            FROSTNIP_SHARE * minutes,
            minutes,
            "min",
            "The short end is frostnip, the first stage, which in "
            "trials came in as little as 0.4 of this time. Wet skin is quicker still.",
        ),
        "The formula stands for the 5 % of people who freeze first.",
    ]
    if minutes >= FROSTBITE_LIMIT_MIN or wind_kmh <= 25:
        notes.append(
            "Warning: the formula was made for wind above 25 km/h and times under 15 min; this is outside "
            "that, so it is rough."
        )
    return Answer(minutes, notes=tuple(notes))


def heat_index(air_c: float, humidity_pct: float) -> Answer:
    """How hot shade feels, in degC, from air in degC and relative humidity in %.

    Rothfusz's regression with its two corrections from 80 degF of apparent heat, the simpler mean below that.
    Good to about 0.7 degC inside the published chart, which ends near 58 degC of apparent heat.
    Source: Rothfusz 1990, US weather service (read).
    """
    fahrenheit = air_c * 1.8 + 32
    apparent = 0.5 * (fahrenheit + 61 + 1.2 * (fahrenheit - 68) + 0.094 * humidity_pct)
    if apparent >= 80:
        apparent = _rothfusz_f(fahrenheit, humidity_pct)
    feels_c = (apparent - 32) / 1.8
    notes = ["In the sun it can feel up to 8 °C hotter."]
    if feels_c > 58:
        notes.append("Warning: this is past the end of the published chart and says no more than extreme danger.")
    return Answer(feels_c, notes=tuple(notes))


def _rothfusz_f(t: float, r: float) -> float:
    heat = (
        -42.379
        + 2.04901523 * t
        + 10.14333127 * r
        - 0.22475541 * t * r
        - 0.00683783 * t * t
        - 0.05481717 * r * r
        + 0.00122874 * t * t * r
        + 0.00085282 * t * r * r
        - 0.00000199 * t * t * r * r
    )
    if r < 13 and 80 <= t <= 112:
        return heat - (13 - r) / 4 * math.sqrt((17 - abs(t - 95)) / 17)
    if r > 85 and 80 <= t <= 87:
        return heat + (r - 85) / 10 * (87 - t) / 5
    return heat


def hayward_min(water_c: float) -> float:
    """Minutes until the core of a still, lightly clothed average adult in a lifejacket is at 30 degC.

    Water 0 to 18 degC, refused above 20 as the curve runs away to infinity at 23. Source: Hayward 1975 (secondary).
    """
    return 15 + 7.2 / (0.0785 - 0.0034 * water_c)


def upper_limit_h(water_c: float) -> float:
    """Hours in the water that few will reach; water in degC. Source: Xu and Giesbrecht 2018 (secondary)."""
    return 0.0547 * water_c**2 + 0.5048 * water_c + 1.3604


def cold_water_time(water_c: float) -> Answer:
    """Minutes to a core of 30 degC in the water by `hayward_min`, with the shorter useful time in the details.

    Water in degC up to 20; a band of the chart begins at its lower edge. Details: exhaustion in minutes and survival
    in hours from the chart, and `upper_limit_h`. Sources: Hayward 1975, coastguard chart (both secondary).
    """
    band = max((band for band in BANDS if band.from_c <= water_c), key=lambda band: band.from_c)
    (tired, spent), (short, long) = band.exhaustion_min, band.survival_h
    limit = upper_limit_h(water_c)
    details = {
        "exhaustion_min_low": tired,
        "exhaustion_min_high": spent,
        "survival_h_low": short,
        "survival_h_high": long,
        "upper_limit_h": limit,
    }
    notes = (
        "Useful time first: gasping at once, and hands that fail within 3 to 30 min, kill more than the cold does.",
        f"Exhaustion comes at about {written(tired)} to {written(spent)} min.",
        range_note(
            short,
            long,
            "h",
            f"That is survival by the chart's band; {rounded(limit)} h is a limit that few reach, for those who search.",
        ),
        f"To a core of 35 °C or 2 °C lost, in clothes and a lifejacket, {_circular_time(water_c)}.",
        *_band_doubt(band, water_c),
    )
    return Answer(hayward_min(water_c), details, notes)


def floor_insulation(clothes: str) -> Answer:
    """How many times warmer an inflated floor is than a flat one, from trials at 5 degC with dry or wet clothes.

    Details: insulation of each in m2 K/W. Source: Mak and others 2009 (read).
    """
    inflated, flat = FLOOR_INSULATION[clothes]
    return Answer(
        inflated / flat,
        {"inflated_m2kw": inflated, "flat_m2kw": flat},
        ("Sitting in 10 cm of water leaves only 0.05 m2 K/W.",),
    )


def _circular_time(water_c: float) -> str:
    """The time of the nearest column that is no warmer, so that the answer errs on the short side."""
    if water_c < 5:
        return "a ships' circular gives no time at all below 5 °C, and half an hour at 5 °C"
    column, hours = max((column, hours) for column, hours in ((5, 0.5), (10, 0.8), (20, 1.7)) if column <= water_c)
    return f"a ships' circular gives about {hours} h at {column} °C"


def _band_doubt(band: Band, water_c: float) -> tuple[str, ...]:
    edge = (
        (f"Water of {written(water_c)} °C is on the edge of a band; the colder one is shorter.",)
        if water_c == band.from_c and band is not BANDS[0]
        else ()
    )
    doubt = ("Another print of the chart gives this band only 30 to 90 min of survival.",) if band.from_c == 4 else ()
    return edge + doubt


AIR = "air temperature in the shade"
WIND_KMH = "mean wind at 10 m height"
CANADA = Source("Environment Canada, wind chill index and chart", "read")
FIGURES = (
    Figure(
        id="wind_chill",
        unit="degC",
        title="how cold the wind feels on bare skin",
        sentence="At {air_c} °C in a wind of {wind_kmh} km/h bare skin cools as in still air of {value:.0f} °C.",
        inputs=(
            Input("air_c", AIR, "degC", -70, 10, fitted=(-50, 10)),
            Input("wind_kmh", WIND_KMH, "km/h", 0, 200, fitted=(0, 100)),
        ),
        assumption="Dry bare skin of an adult walking into the wind, without sun.",
        limits="Air of 10 °C or less.",
        sources=(CANADA, Source("US weather service, wind chill chart of 2001", "read")),
        function=wind_chill,
    ),
    Figure(
        id="frostbite_time",
        unit="min",
        title="how soon bare skin freezes",
        sentence="At {air_c} °C in a wind of {wind_kmh} km/h bare cheeks can freeze in about {value:.0f} minutes.",
        inputs=(Input("air_c", AIR, "degC", -70, -5), Input("wind_kmh", WIND_KMH, "km/h", 5, 80)),
        assumption="Dry bare cheeks, the 5 % of adults most at risk, no shelter.",
        limits="Made for wind above 25 km/h and times under 15 min.",
        sources=(
            Source("Environment Canada, minutes to frostbite", "memory"),
            Source("Ducharme and Brajkovic, frostnip in trials", "read"),
        ),
        function=frostbite_time,
    ),
    Figure(
        id="heat_index",
        unit="degC",
        title="how hot shade feels with the damp",
        sentence="Air of {air_c} °C at {humidity_pct} % humidity feels like {value:.0f} °C in the shade.",
        inputs=(
            Input("air_c", AIR, "degC", 20, 55, fitted=(20, 45)),
            Input("humidity_pct", "relative humidity", "%", 0, 100),
        ),
        assumption="Shade, light wind, an adult at rest.",
        limits="From 20 °C up; least sure where it is very hot and very damp.",
        sources=(Source("Rothfusz 1990, US weather service heat index", "read"),),
        function=heat_index,
    ),
    Figure(
        id="cold_water_time",
        unit="min",
        title="how long a person in cold water has",
        sentence=(
            "In water of {water_c} °C exhaustion comes at about {exhaustion_min_low:.0f} to "
            "{exhaustion_min_high:.0f} minutes; a still adult reaches a core of 30 °C at about {value:.0f} minutes."
        ),
        inputs=(
            Input("water_c", "temperature of the water; the curve fails above 20", "degC", -2, 20, fitted=(0, 18.2)),
        ),
        assumption="An average adult in light clothes and a lifejacket, keeping still and breathing.",
        limits="From -2 to 20 °C; above that the curve runs away, though people still tire and drown.",
        sources=(
            Source("Hayward 1975, core cooling in cold water", "secondary"),
            Source("Coastguard chart of exhaustion and survival by water temperature", "secondary"),
            Source("Xu and Giesbrecht 2018, upper limit of survival", "secondary"),
            Source("IMO circular MSC/Circ.1046, table 1", "read"),
        ),
        function=cold_water_time,
    ),
    Figure(
        id="floor_insulation",
        unit="ratio",
        title="how much warmer a pumped-up floor is",
        sentence="With {clothes} clothes a pumped-up floor keeps {value:.2f} times as much warmth in as a flat one.",
        inputs=(
            Input(
                "clothes",
                "whether the people's clothes are dry or wet",
                kind="choice",
                choices=("dry", "wet"),
                default="dry",
            ),
        ),
        assumption="Trials with air and water at 5 °C.",
        limits="Other rafts and temperatures will differ a little.",
        sources=(Source("Mak and others 2009, heat loss in liferafts", "read"),),
        function=floor_insulation,
    ),
)
