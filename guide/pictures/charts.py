"""What a chart shows, as data. Every number comes from the catalogue of figures; nothing is drawn here."""
from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from guide.figures.catalogue import compute
from guide.figures.drift import LEEWAY, spread_m
from guide.figures.model import FigureError, Result
from guide.figures.reading import did_you_mean, quoted
from guide.figures.units import METRES_PER_NM, MS_PER_KN, written

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Series:
    """A line of points; `spread` is one standard deviation either way at each point, in the unit of the axes."""

    label: str
    points: tuple[Point, ...]
    spread: tuple[Point, ...] = ()


@dataclass(frozen=True, slots=True)
class Span:
    """An estimate from its short end to its long end; equal ends are a single value."""

    label: str
    low: float
    high: float
    group: str = ""


@dataclass(frozen=True, slots=True)
class Chart:
    """Lines over two axes, spans along one, or both: then the lines are the plan of what the spans tell."""

    title: str
    across: str
    """What runs across, with its unit."""
    up: str = ""
    series: tuple[Series, ...] = ()
    spans: tuple[Span, ...] = ()
    note: str = ""
    """The main assumption."""


@dataclass(frozen=True, slots=True)
class Subject:
    """A picture that can be had: what it takes, what is assumed, and how it is made."""

    about: str
    takes: tuple[str, ...]
    usual: Mapping[str, float | str]
    make: Callable[[Mapping[str, object]], Chart]


RATIONS = (1.0, 1.5, 2.0)
"""The ration lines: as issued, half as much again, twice as much."""
EYES = (("fishing boat, 4 m", 4.0), ("ship's bridge, 15 m", 15.0), ("high bridge, 30 m", 30.0))
LIGHTS = (("hand flare", 15_000.0, 2.0), ("parachute rocket", 30_000.0, 300.0), ("lamp on the canopy", 4.3, 1.5))
"""Candela and height in metres. Sources: LSA Code 3.1 and 3.2, least intensities (read); 4.1.3, raft lamp (memory)."""
CANOPY_M = 1.0
STEPS = 8
"""Times of a drift that are shown."""


def water(inputs: Mapping[str, object]) -> Chart:
    """Litres left over the days at the ration and at more. Inputs as those of `water_days`."""
    asked = compute("water_days", inputs).inputs
    _refuse_nothing(asked, "stock_l")
    results = [compute("water_days", {**asked, "ration_l": _number(asked, "ration_l") * share}) for share in RATIONS]
    series = []
    for result in results:
        stock, first = _number(result.inputs, "stock_l"), result.details.get("left_after_first_day_l")
        corner = () if first is None or not 0 < first < stock else ((1.0, first),)
        label = f"{written(_number(result.inputs, 'ration_l'))} L each a day: {result.value:.1f} days"
        series.append(Series(label, ((0.0, stock), *corner, (result.value, 0.0))))
    return Chart(f"{written(_number(asked, 'stock_l'))} L of water for {asked['persons']}", "days from leaving the ship", "litres left", tuple(series),
                 note="Nothing spilt, nothing caught or made. Rain or a desalinator lifts every line.")


def food(inputs: Mapping[str, object]) -> Chart:
    """Kilocalories left over the days. Inputs as those of `food_days`."""
    asked = compute("food_days", inputs).inputs
    _refuse_nothing(asked, "stock_kcal")
    results = [compute("food_days", {**asked, "kcal_each_per_day": _number(asked, "kcal_each_per_day") * share}) for share in RATIONS]
    series = tuple(Series(f"{written(_number(r.inputs, 'kcal_each_per_day'))} kcal each a day: {r.value:.1f} days",
                          ((0.0, _number(r.inputs, "stock_kcal")), (r.value, 0.0))) for r in results)
    return Chart(f"{written(_number(asked, 'stock_kcal'))} kcal of food for {asked['persons']}", "days", "kcal left", series,
                 note="Nothing spoilt, nothing caught. Eat only while there is water to drink.")


def seen(inputs: Mapping[str, object]) -> Chart:
    """How far off the raft and its lights are seen, by the height of who looks. Inputs: visibility and threshold of `detection_range`."""
    visibility = _number(compute("detection_range", {**inputs, "intensity_cd": 1, "light_height_m": 1, "eye_height_m": 1}).inputs, "visibility_nm")
    spans = []
    for name, candela, height in LIGHTS:
        for eye, metres in EYES:
            result = compute("detection_range", {**inputs, "intensity_cd": candela, "light_height_m": height, "eye_height_m": metres})
            dim = compute("detection_range", {**result.inputs, "threshold_lx": min(1.0, _number(result.inputs, "threshold_lx") * 10)})
            spans.append(Span(eye, dim.value, result.value, name))
    for eye, metres in EYES:
        far = compute("horizon_distance", {"eye_height_m": metres, "object_height_m": CANOPY_M}).value
        spans.append(Span(eye, min(far, visibility), min(far, visibility), "each sees the other by day, at most"))
    return Chart("How far off a lookout sees us, by height of eye", "nautical miles", spans=tuple(spans),
                 note=f"A lookout who searches, visibility {written(visibility)} nm, raft on a crest. The short end is with some light behind.")


def drift(inputs: Mapping[str, object]) -> Chart:
    """The run downwind with its spread at some times, and the two tracks as a plan. Inputs as those of `raft_drift`."""
    whole = compute("raft_drift", inputs)
    hours, wind = _number(whole.inputs, "hours"), _number(whole.inputs, "wind_ms")
    times = [hours * step / STEPS for step in range(1, STEPS + 1)]
    results = [compute("raft_drift", {**inputs, "hours": time}) for time in times]
    spans = tuple(Span(f"{written(round(time, 1))} h", max(0.0, r.value - _spread(r)), r.value + _spread(r))
                  for time, r in zip(times, results, strict=True))
    leeway = LEEWAY[str(whole.inputs["raft_class"])]
    sides = []
    for label, line in (("bearing off to the right", leeway.right), ("bearing off to the left", leeway.left)):
        across = [line.speed_ms(wind) * time * 3600 / METRES_PER_NM for time in times]
        spread = [(spread_m(line, wind, time) / METRES_PER_NM, _spread(r)) for time, r in zip(times, results, strict=True)]
        sides.append(Series(label, ((0.0, 0.0), *((x, r.value) for x, r in zip(across, results, strict=True))), ((0.0, 0.0), *spread)))
    return Chart(f"Drift in {written(round(wind / MS_PER_KN, 1))} kn of wind: {leeway.row}", "nautical miles downwind", "nautical miles to the right of straight downwind", tuple(sides), spans,
                 note="Wind alone, one standard deviation either way. A current comes on top and can be the larger part.")


def _spread(result: Result) -> float:
    return float(result.details["spread_m"] or 0.0) / METRES_PER_NM


def _number(inputs: Mapping[str, float | str], name: str) -> float:
    return float(inputs[name])


def _refuse_nothing(inputs: Mapping[str, float | str], name: str) -> None:
    if not _number(inputs, name):
        raise FigureError(f"{name} must be above 0 for a picture: there is nothing to share out", name)


SUBJECTS: Mapping[str, Subject] = MappingProxyType({
    "water": Subject("water left over the days, with ration lines", ("persons", "stock_l", "ration_l", "first_day_l"),
                     MappingProxyType({"ration_l": 0.5, "first_day_l": 0.5}), water),
    "food": Subject("food left over the days, with ration lines", ("persons", "stock_kcal", "kcal_each_per_day"),
                    MappingProxyType({"kcal_each_per_day": 800}), food),
    "seen": Subject("who sees the raft and its lights, and how far off", ("visibility_nm", "threshold_lx"),
                    MappingProxyType({"visibility_nm": 10, "threshold_lx": 2e-7}), seen),
    "drift": Subject("where the wind takes the raft, with its spread", ("raft_class", "wind_ms", "hours"),
                     MappingProxyType({"raft_class": "deep_small_drogue"}), drift)})


def chart(subject: str, inputs: Mapping[str, object]) -> Chart:
    """The chart of a subject. FigureError, one line that names the input and what is allowed, for anything that cannot be."""
    if subject not in SUBJECTS:
        raise FigureError(f"there is no picture {quoted(subject)}{did_you_mean(subject, SUBJECTS) or '; they are ' + ', '.join(SUBJECTS)}")
    about = SUBJECTS[subject]
    for name in inputs:
        if name not in about.takes:
            raise FigureError(f"{subject} has no input {quoted(name)}{did_you_mean(name, about.takes) or ';'} it takes {', '.join(about.takes)}", name)
    values = {**about.usual, **inputs}
    missing = [name for name in about.takes if name not in values]
    if missing:
        raise FigureError(f"{subject} needs {missing[0]}; it takes {', '.join(about.takes)}", missing[0], missing=True)
    return about.make(values)


def of_figures(figures: Iterable[Mapping[str, object]]) -> list[Chart]:
    """The charts of figures told in a conversation, each once: those that name a subject under `chart`."""
    found: dict[str, Chart] = {}
    for figure in figures:
        subject, inputs = str(figure.get("chart", "")), figure.get("inputs")
        if subject in SUBJECTS and subject not in found and isinstance(inputs, Mapping):
            try:
                found[subject] = chart(subject, {name: inputs[name] for name in SUBJECTS[subject].takes if name in inputs})
            except FigureError:
                continue  # there is a figure but nothing to draw: no water left, no time ahead
    return list(found.values())
