"""Sun, signal mirror and moon: daylight, where the sun stands, how to hold the mirror, how bright the night is."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from guide.figures.model import Answer, Figure, Input, Source

SUNRISE_ALTITUDE_DEG = -0.833
CIVIL_ALTITUDE_DEG = -6.0
SUN_WIDTH_DEG = 0.533
J2000_ORDINAL = date(2000, 1, 1).toordinal()
DAYS_PER_CENTURY = 36_525
PASSES = 3


@dataclass(frozen=True, slots=True)
class SunPlace:
    """The sun as it stands at one instant: declination in degrees and the equation of time in minutes."""

    declination_deg: float
    equation_of_time_min: float


def centuries_since_2000(day: date, minutes: float) -> float:
    """Julian centuries from noon of 1 January 2000 to `minutes` after 00:00 UTC of `day`."""
    return (day.toordinal() - J2000_ORDINAL - 0.5 + minutes / 1440) / DAYS_PER_CENTURY


def sun_place(centuries: float) -> SunPlace:
    """Declination and equation of time, good to about 0.01 degree and 0.02 min for 1900 to 2099.

    `centuries` as `centuries_since_2000` counts them. Source: the NOAA method, after Meeus at low precision.
    """
    t = centuries
    mean_longitude = math.radians((280.46646 + t * (36000.76983 + 0.0003032 * t)) % 360)
    anomaly = math.radians(357.52911 + t * (35999.05029 - 0.0001537 * t))
    eccentricity = 0.016708634 - t * (0.000042037 + 0.0000001267 * t)
    centre_deg = (
        math.sin(anomaly) * (1.914602 - t * (0.004817 + 0.000014 * t))
        + math.sin(2 * anomaly) * (0.019993 - 0.000101 * t)
        + math.sin(3 * anomaly) * 0.000289
    )
    node = math.radians(125.04 - 1934.136 * t)
    longitude = mean_longitude + math.radians(centre_deg - 0.00569 - 0.00478 * math.sin(node))
    seconds = 21.448 - t * (46.815 + t * (0.00059 - 0.001813 * t))
    obliquity = math.radians(23 + (26 + seconds / 60) / 60 + 0.00256 * math.cos(node))
    y = math.tan(obliquity / 2) ** 2
    equation = (
        y * math.sin(2 * mean_longitude)
        - 2 * eccentricity * math.sin(anomaly)
        + 4 * eccentricity * y * math.sin(anomaly) * math.cos(2 * mean_longitude)
        - 0.5 * y * y * math.sin(4 * mean_longitude)
        - 1.25 * eccentricity**2 * math.sin(2 * anomaly)
    )
    declination = math.asin(math.sin(obliquity) * math.sin(longitude))
    return SunPlace(math.degrees(declination), 4 * math.degrees(equation))


def sun_event_min(day: date, latitude: float, longitude: float, altitude_deg: float, *, rising: bool) -> float | None:
    """Minutes after 00:00 UTC of the local `day` when the sun passes `altitude_deg`, or None if it does not.

    Degrees, north and east above 0. May fall below 0 or past 1440. Within 1 min up to about 65 degrees of latitude;
    the sun's place is taken at the event itself by passing three times. Source: the NOAA method.
    """
    minutes = 720 - 4 * longitude
    angle: float | None = None
    for _ in range(PASSES):
        place = sun_place(centuries_since_2000(day, minutes))
        cosine = _hour_angle_cosine(latitude, place.declination_deg, altitude_deg)
        angle = math.degrees(math.acos(cosine)) if -1 <= cosine <= 1 else None
        # Where a pass finds no event the next one starts from its limit, noon or midnight.
        reach = angle if angle is not None else 180.0 if cosine < -1 else 0.0
        minutes = 720 - 4 * longitude - place.equation_of_time_min + (-4 if rising else 4) * reach
    return minutes if angle is not None else None


def _hour_angle_cosine(latitude: float, declination_deg: float, altitude_deg: float) -> float:
    # At a pole the cosine of latitude is a rounding error, never exactly 0, so the quotient only grows huge.
    here, sun = math.radians(latitude), math.radians(declination_deg)
    return (math.sin(math.radians(altitude_deg)) - math.sin(here) * math.sin(sun)) / (math.cos(here) * math.cos(sun))


def sun_times(date: date, latitude: float, longitude: float) -> Answer:
    """Length of the day in h, with dawn, sunrise, sunset and dusk in minutes after 00:00 UTC of the local date.

    Where the sun does not pass the horizon the value is 24 or 0 and those details are None.
    """
    rise, down = (
        sun_event_min(date, latitude, longitude, SUNRISE_ALTITUDE_DEG, rising=rising) for rising in (True, False)
    )
    dawn, dusk = (
        sun_event_min(date, latitude, longitude, CIVIL_ALTITUDE_DEG, rising=rising) for rising in (True, False)
    )
    details = {"civil_dawn_min": dawn, "sunrise_min": rise, "sunset_min": down, "civil_dusk_min": dusk}
    if rise is not None and down is not None:
        return Answer((down - rise) / 60, details, (_clock_note(dawn, rise, down, dusk),))
    place = sun_place(centuries_since_2000(date, 720 - 4 * longitude))
    # Twice the mean of its height at noon and at midnight: above the horizon's, then it stays up.
    if abs(latitude + place.declination_deg) - abs(latitude - place.declination_deg) > 2 * SUNRISE_ALTITUDE_DEG:
        return Answer(24.0, details, ("The sun stays up all that day.",))
    light = f" First light is at {_clock(dawn)} and last light at {_clock(dusk)} UTC." if dawn and dusk else ""
    return Answer(0.0, details, (f"The sun stays down all that day.{light}",))


def _clock(minutes: float | None) -> str:
    if minutes is None:
        return "no time that day"
    whole = round(minutes)
    day = {-1: " the day before", 0: "", 1: " the day after"}[whole // 1440]
    return f"{whole % 1440 // 60:02d}:{whole % 60:02d}{day}"


def _clock_note(dawn: float | None, rise: float, down: float, dusk: float | None) -> str:
    return (
        f"UTC: first light {_clock(dawn)}, sunrise {_clock(rise)}, sunset {_clock(down)}, last light {_clock(dusk)}; "
        "first and last light are civil twilight, the sun 6 degrees down."
    )


def sun_position(utc: datetime, latitude: float, longitude: float) -> Answer:
    """Altitude of the sun's centre in degrees without refraction, and its true azimuth, at an instant of UTC.

    Degrees, north and east above 0; good to about 0.02 degree for 1900 to 2099. Source: the NOAA method.
    """
    minutes = utc.hour * 60 + utc.minute + (utc.second + utc.microsecond / 1e6) / 60
    place = sun_place(centuries_since_2000(utc.date(), minutes))
    hour = math.radians((minutes + place.equation_of_time_min + 4 * longitude) / 4 - 180)
    here, sun = math.radians(latitude), math.radians(place.declination_deg)
    up = math.sin(here) * math.sin(sun) + math.cos(here) * math.cos(sun) * math.cos(hour)
    south = math.sin(here) * math.cos(sun) * math.cos(hour) - math.cos(here) * math.sin(sun)
    west = math.cos(sun) * math.sin(hour)
    altitude = math.degrees(math.asin(max(-1.0, min(1.0, up))))
    azimuth = (math.degrees(math.atan2(west, south)) + 180) % 360
    below = ("The sun is below the horizon.",) if altitude < SUNRISE_ALTITUDE_DEG else ()
    return Answer(altitude, {"altitude_deg": altitude, "azimuth_deg": azimuth}, below)


def mirror_angle(sun_altitude_deg: float, bearing_difference_deg: float) -> Answer:
    """Angle in degrees between the sun and the mirror's normal that throws the flash at a target on the horizon.

    `bearing_difference_deg` is from sun to target. Details: the whole angle from sun to target, and the share of
    the mirror's face that still works. Source: geometry after Galton (read).
    """
    altitude, across = math.radians(sun_altitude_deg), math.radians(bearing_difference_deg)
    between = math.acos(max(-1.0, min(1.0, math.cos(altitude) * math.cos(across))))
    hard = ("The sun is almost opposite the target: the flash is hard to aim and weak.",) if between > 2.6 else ()
    return Answer(
        math.degrees(between / 2),
        {"sun_to_target_deg": math.degrees(between), "face_share": math.cos(between / 2)},
        ("The mirror's face then looks half-way between the sun and the target.", *hard),
    )


def mirror_spot(distance_km: float) -> Answer:
    """Width in m of the flash at `distance_km`: a disc as wide as the sun, 0.533 degree. Source: Galton (read)."""
    return Answer(2000 * distance_km * math.tan(math.radians(SUN_WIDTH_DEG / 2)))


def moon_light(utc: datetime) -> Answer:
    """Lit fraction of the moon, 0 to 1, within about 0.01 for 1900 to 2099.

    Source: Astronomical Algorithms, chapter 48, the short series (memory).
    """
    day_part = timedelta(hours=utc.hour, minutes=utc.minute, seconds=utc.second) / timedelta(minutes=1)
    t = centuries_since_2000(utc.date(), day_part)
    apart = math.radians(297.8501921 + 445267.1114034 * t)
    sun = math.radians(357.5291092 + 35999.0502909 * t)
    moon = math.radians(134.9633964 + 477198.8675055 * t)
    phase_deg = (
        180
        - math.degrees(apart)
        - 6.289 * math.sin(moon)
        + 2.100 * math.sin(sun)
        - 1.274 * math.sin(2 * apart - moon)
        - 0.658 * math.sin(2 * apart)
        - 0.214 * math.sin(2 * moon)
        - 0.110 * math.sin(apart)
    )
    return Answer(
        (1 + math.cos(math.radians(phase_deg))) / 2,
        notes=("This does not say whether the moon is up, or whether cloud hides it.",),
    )


LATITUDE = Input("latitude", "latitude, north above 0", "deg", -90, 90)
LONGITUDE = Input("longitude", "longitude, east above 0", "deg", -180, 180)
UTC_TIME = Input("utc", "instant in UTC", kind="time", low=1900, high=2099)
NOAA = Source("NOAA method for the sun, after Meeus at low precision", "common_practice")
GALTON = Source("Galton, geometry of the signal mirror", "read")

FIGURES = (
    Figure(
        id="sun_times",
        unit="h",
        title="when it gets light and dark, and how long the day is",
        sentence="On {date} the sun is up for {value:.1f} hours.",
        inputs=(Input("date", "local date of the raft", kind="date", low=1900, high=2099), LATITUDE, LONGITUDE),
        assumption="A clear sea horizon, the eye at the water and ordinary refraction.",
        limits="Within a minute at ordinary latitudes, less sure where the sun only skims the horizon.",
        sources=(NOAA,),
        function=sun_times,
    ),
    Figure(
        id="sun_position",
        unit="deg",
        title="where the sun stands",
        sentence="The sun is {altitude_deg:.1f} degrees high, bearing {azimuth_deg:.0f} degrees true.",
        inputs=(UTC_TIME, LATITUDE, LONGITUDE),
        assumption="The centre of the sun, without refraction.",
        limits="Close to the horizon refraction lifts the sun by half a degree.",
        sources=(NOAA,),
        function=sun_position,
    ),
    Figure(
        id="mirror_angle",
        unit="deg",
        title="how to hold the signal mirror",
        sentence="Sunlight must meet the mirror {value:.0f} degrees off its face-on direction; the target is "
        "{sun_to_target_deg:.0f} degrees from the sun.",
        inputs=(
            Input("sun_altitude_deg", "height of the sun above the horizon", "deg", 0, 90),
            Input("bearing_difference_deg", "bearing of the target less that of the sun", "deg", -360, 360),
        ),
        assumption="The target is on the horizon and the sun is clear of cloud.",
        limits="Not for the moon, and not at night.",
        sources=(GALTON,),
        function=mirror_angle,
    ),
    Figure(
        id="mirror_spot",
        unit="m",
        title="how wide the mirror's flash is at the target",
        sentence="At {distance_km} km the flash is about {value:.0f} metres wide.",
        inputs=(Input("distance_km", "distance to the target", "km", 0.001, 200),),
        assumption="A flat mirror, so that the flash spreads as wide as the sun looks.",
        limits="Haze dims it but does not widen it much.",
        sources=(GALTON,),
        function=mirror_spot,
    ),
    Figure(
        id="moon_light",
        unit="fraction",
        title="how much of the moon is lit",
        sentence="The moon is lit to {value:.2f} of its face.",
        inputs=(UTC_TIME,),
        assumption="Seen from the middle of the Earth.",
        limits="The lit share only, within about 0.01.",
        sources=(Source("Astronomical Algorithms, chapter 48, short series", "memory"),),
        function=moon_light,
    ),
)
