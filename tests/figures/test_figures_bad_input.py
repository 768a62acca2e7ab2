"""Bad input for each figure: one line that names the input and what is allowed, and never another exception."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from guide.figures.catalogue import FIGURES, compute, missing
from guide.figures.model import Figure, FigureError, Input, Result

PLAIN = {"number": "1.5", "whole": 3, "date": "2025-06-21", "time": "2025-06-21T12:00"}
RUBBISH: list[object] = [
    True,
    False,
    None,
    "",
    "  ",
    "nan",
    "inf",
    "-inf",
    float("nan"),
    float("inf"),
    "1e999",
    10**400,
    "4 m",
    "1_0",
    "four",
    "٣",
    "0x10",
    [],
    [1],
    {},
    {"a": 1},
    "a\nb",
    "\u2028",
    "\ud800",
    "x" * 5000,
]
BELOW_AND_ABOVE: list[object] = [-1e12, 1e12, "-1e12", "1e12"]

PLAIN_START, PLAIN_END = datetime(1900, 1, 1), datetime(2099, 12, 31)
CASES = [(figure, wanted) for figure in FIGURES.values() for wanted in figure.inputs]


def within(wanted: Input) -> object:
    """A plain value that the input takes."""
    if wanted.kind == "choice":
        return wanted.choices[0]
    if wanted.kind in ("date", "time"):
        return PLAIN[wanted.kind]
    if wanted.default is not None:
        return wanted.default
    if wanted.kind == "whole":
        return int(min(wanted.high, wanted.low + 3))
    return min(wanted.high, max(wanted.low, 0) + 1.5)


def usual(figure: Figure) -> dict[str, object]:
    return {wanted.name: within(wanted) for wanted in figure.inputs}


def refusal(figure: Figure, inputs: Mapping[str, object]) -> FigureError:
    with pytest.raises(FigureError) as caught:
        compute(figure.id, inputs)
    assert len(str(caught.value).splitlines()) == 1, "one line"
    assert len(str(caught.value)) < 700
    str(caught.value).encode("utf-8")
    return caught.value


@pytest.mark.parametrize(("figure", "wanted"), CASES, ids=lambda part: getattr(part, "id", None) or part.name)
def test_rubbish_is_refused_by_name(figure: Figure, wanted: Input) -> None:
    for raw in [*RUBBISH, *BELOW_AND_ABOVE]:
        error = refusal(figure, {**usual(figure), wanted.name: raw})
        assert error.input_name == wanted.name and wanted.name in str(error), raw
        assert wanted.allowed in str(error), raw


@pytest.mark.parametrize(("figure", "wanted"), CASES, ids=lambda part: getattr(part, "id", None) or part.name)
def test_just_outside_the_range_is_refused(figure: Figure, wanted: Input) -> None:
    if wanted.kind not in ("number", "whole"):
        return
    step = 1 if wanted.kind == "whole" else 1e-6 * max(1.0, abs(wanted.high))
    outside = [wanted.high + step, wanted.low - step]
    for raw in outside:
        assert refusal(figure, {**usual(figure), wanted.name: raw}).input_name == wanted.name


@pytest.mark.parametrize(
    ("figure", "wanted"),
    [case for case in CASES if case[1].kind == "whole"],
    ids=lambda part: getattr(part, "id", None) or part.name,
)
def test_a_part_of_a_person_is_refused(figure: Figure, wanted: Input) -> None:
    assert "a whole number" in str(refusal(figure, {**usual(figure), wanted.name: 2.5}))


@pytest.mark.parametrize(
    ("figure", "wanted"),
    [case for case in CASES if case[1].required],
    ids=lambda part: getattr(part, "id", None) or part.name,
)
def test_a_missing_input_is_named(figure: Figure, wanted: Input) -> None:
    inputs = {name: value for name, value in usual(figure).items() if name != wanted.name}
    error = refusal(figure, inputs)
    assert error.missing and error.input_name == wanted.name and wanted.allowed in str(error)
    assert [each.name for each in missing(figure.id, inputs)] == [wanted.name]


@pytest.mark.parametrize("figure", FIGURES.values(), ids=lambda figure: figure.id)
def test_an_unknown_input_is_named_with_the_nearest(figure: Figure) -> None:
    name = figure.inputs[0].name
    error = refusal(figure, {**usual(figure), name + "x": 1})
    assert f'did you mean "{name}"?' in str(error)
    assert "it takes " in str(refusal(figure, {**usual(figure), "zzzzzz": 1}))


@pytest.mark.parametrize("figure", FIGURES.values(), ids=lambda figure: figure.id)
def test_text_and_numbers_read_alike(figure: Figure) -> None:
    plain = usual(figure)
    try:
        expected = compute(figure.id, plain)
    except FigureError as error:
        assert error.input_name in plain
        return
    assert compute(figure.id, {name: f" {value} " for name, value in plain.items()}) == expected
    assert set(expected.inputs) == set(plain)


def test_unknown_figures_get_the_nearest_name() -> None:
    with pytest.raises(FigureError, match='did you mean "horizon_distance"'):
        compute("horizon_distanse", {})
    with pytest.raises(FigureError, match="--list names them all"):
        compute("zzz", {})


@pytest.mark.parametrize(
    ("raw", "good"),
    [
        ("2024-02-29", True),
        ("2025-02-29", False),
        ("2025-6-1", False),
        ("20250601", False),
        ("2025-06-01T00:00", False),
        ("1700-01-01", False),
    ],
)
def test_dates(raw: str, good: bool) -> None:
    inputs = {"date": raw, "latitude": 10, "longitude": 10}
    if good:
        assert compute("sun_times", inputs).inputs["date"] == raw
    else:
        assert "YYYY-MM-DD" in str(refusal(FIGURES["sun_times"], inputs))


@pytest.mark.parametrize(
    "raw",
    [
        "2025-06-01",
        "2025-06-01T25:00",
        "12:00",
        "2025-06-01T12:00+99:99",
        "0001-01-01T00:00+05:00",
        "9999-12-31T23:59-05:00",
    ],
)
def test_times(raw: str) -> None:
    assert "UTC time" in str(refusal(FIGURES["moon_light"], {"utc": raw}))


SCALARS = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(max_size=30),
    st.floats(-100, 1000),
    st.integers(0, 100).map(str),
    st.dates().map(str),
    st.datetimes().map(str),
)
JSON = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=5,
)


@settings(max_examples=1500, deadline=None)
@given(st.data())
def test_any_json_gives_a_result_or_a_figure_error(data: st.DataObject) -> None:
    figure = data.draw(st.sampled_from(list(FIGURES.values())))
    names = st.sampled_from([wanted.name for wanted in figure.inputs]) | st.text(max_size=8)
    _never_another(figure.id, data.draw(st.dictionaries(names, JSON, max_size=7)))


@settings(max_examples=3000, deadline=None)
@given(st.data())
def test_any_values_in_range_give_a_finite_result_or_a_figure_error(data: st.DataObject) -> None:
    figure = data.draw(st.sampled_from(list(FIGURES.values())))
    inputs = {wanted.name: data.draw(_values_of(wanted)) for wanted in figure.inputs}
    _never_another(figure.id, inputs)


def _values_of(wanted: Input) -> st.SearchStrategy[object]:
    if wanted.kind == "choice":
        return st.sampled_from(wanted.choices)
    if wanted.kind in ("date", "time"):
        days = st.datetimes(min_value=PLAIN_START, max_value=PLAIN_END)
        return days.map(lambda day: day.date().isoformat() if wanted.kind == "date" else day.isoformat())
    if wanted.kind == "whole":
        return st.integers(int(wanted.low), int(wanted.high))
    return st.floats(wanted.low, wanted.high)


def _never_another(figure_id: str, inputs: Mapping[str, object]) -> None:
    try:
        result = compute(figure_id, inputs)
    except FigureError as error:
        assert len(str(error).splitlines()) == 1
        return
    assert isinstance(result, Result)
    json.dumps(result.as_json(), allow_nan=False)
