"""Figures in a conversation: plain questions with values worked out by hand, answers to what was asked, what-ifs, refusals."""
from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import pytest

from guide.figures.catalogue import FIGURES
from guide.knowledge.base import Knowledge
from guide.knowledge.records import Value
from guide.quantities import Quantities, hours_by_clock
from guide.session import Session
from guide.spoken import spoken
from guide.starting import Started, start
from guide.turn import Turn

AT = "2025-01-15T06:00:00+00:00"
A_PACK = {"pack": "solas_a"}
ATLANTIC = {"latitude": 50.0, "longitude": -30.0}


@pytest.fixture(scope="module")
def started() -> Started:
    return start()


def talk(started: Started, *lines: str, given: Mapping[str, Value] | None = None) -> tuple[Session, list[Turn]]:
    session = started.session(clock=lambda: AT)
    session.given(given or {})
    return session, [session.answer(line) for line in lines]


def value(turn: Turn, number: int = 0) -> float:
    return float(str(turn.figures[number]["value"]))


def part(turn: Turn, name: str, number: int = 0) -> dict[str, Any]:
    """One part of a figure as JSON has it: its inputs, where they are from, its details."""
    found = turn.figures[number][name]
    assert isinstance(found, dict)
    return found


def said(turn: Turn) -> str:
    return " ".join(turn.notes)


# ---- ten plain questions and more, each value worked out beside it

@pytest.mark.parametrize(("question", "given", "figure", "expected", "off"), [
    ("nine litres, six of us, how long does the water last", {}, "water_days", 9 / (6 * 0.5), 1e-6),
    ("how long will our food last", {"food": 12000.0, "persons": 5}, "food_days", 12000 / (5 * 800), 1e-6),
    ("how much rain will we catch with 2 by 3 metres of cloth and 10 mm of rain", {}, "rain_catch", 2 * 3 * 10 / 2, 1e-6),
    # intensity 30 000 cd in 10 nm of visibility: COLREG 72, Annex I section 8, gives 16.8 nm; over the curve it is 44 nm
    ("how far off can they see a rocket at night", {}, "detection_range", 16.8, 0.1),
    # 2.08 per root metre, nautical tables
    ("how far off can a ship see us over the horizon", {}, "horizon_distance", 2.08 * (1 + math.sqrt(15)), 1e-6),
    # 2.25 per root metre, radio text, worked example of 1.5 m and 25 m
    ("how far does the handheld radio reach", {}, "radio_range", 14.0, 0.05),
    # 48 h of life for a beacon: IMO performance standard
    ("how many hours are left in the beacon's battery", {"hours_adrift": 10.0}, "beacon_life", 48 - 10, 1e-6),
    # leeway table, Allen and Plourde 1999, deep ballast with drogue: 1.91 % of the wind and 0.90 cm/s
    ("how far will we drift in 6 hours", {"wind_speed": 20.0, "drogue_set": True}, "raft_drift",
     (1.91 * 20 * 0.514444 + 0.90) / 100 * 6 * 3600 / 1852, 1e-4),
    # Hayward 1975
    ("how long does somebody last in water of 8 degrees", {}, "cold_water_time", 15 + 7.2 / (0.0785 - 0.0034 * 8), 0.01),
    # wind chill, Environment Canada, V = 30 km/h: chart cell -20 at -10 °C
    ("how cold does the wind feel", {"air_temperature": -10.0, "wind_speed": 30 / 1.852}, "wind_chill", -20, 0.5),
    # half of g T² / 2 pi
    ("how long a line for the drogue, the waves are 8 seconds apart", {}, "drogue_line", 9.80665 * 64 / (4 * math.pi), 1e-6),
    # carbon dioxide to 3 % at 0.3 L/min each: (3 - 6 x 0.07) x 1000 x 0.0296 / (6 x 0.3)
    ("how long does the air last with six of us in 3 cubic metres shut tight", {"persons": 6}, "air_time", 42.4, 0.3),
    ("how many hours of watch does each of us stand", {"persons": 6}, "watch_hours", 24 / 6, 1e-6),
    # least burning times, LSA Code 3.1 to 3.3, and the list of an A pack, LSA Code 4.1.5.1: 4 rockets, 6 hand flares, 2 smokes
    ("how many flares have we got left and how should we spread them", A_PACK, "signal_burn_time", 4 * 40 + 6 * 60 + 2 * 180, 1e-6)])
def test_a_plain_question(started: Started, question: str, given: Mapping[str, Value], figure: str, expected: float, off: float) -> None:
    _, (turn,) = talk(started, question, given=given)
    assert [f["id"] for f in turn.figures][:1] == [figure], turn.notes
    assert value(turn) == pytest.approx(expected, abs=off)


def test_sunrise_in_words_and_from_now(started: Started) -> None:
    """Sunrise at 592.4 min, 09:52 UTC, on that day and place: the NOAA method, two solar libraries and an ephemeris agree."""
    _, (turn,) = talk(started, "when does the sun come up", given=ATLANTIC)
    assert "sunrise 09:52 UTC (in 3 h 52 min)" in said(turn)


def test_after_last_light_the_next_day_is_told(started: Started) -> None:
    session = started.session(clock=lambda: "2025-01-15T20:00:00+00:00")
    session.given(ATLANTIC)
    assert part(session.answer("when does the sun come up"), "inputs")["date"] == "2025-01-16"


def test_where_we_are_by_dawn(started: Started) -> None:
    """A westerly wind carries the raft east along its latitude, to first light at 09:18 UTC."""
    _, (turn,) = talk(started, "where will we be by dawn with a westerly wind of 20 knots", given={**ATLANTIC, "drogue_set": True})
    assert len(turn.figures) == 2
    assert part(turn, "inputs")["hours"] == pytest.approx(3.3, abs=0.1)
    place = part(turn, "details", 1)
    assert place["longitude"] > -30 and place["latitude"] == pytest.approx(50, abs=0.001)


def test_shared_out_over_a_time(started: Started) -> None:
    """9 L for six over 5 days, today included: 9 / (6 x 5) = 0.3 L each a day, which is less than clears the body's waste."""
    _, (turn,) = talk(started, "nine litres, six of us, it has to last 5 days, how much water each")
    assert [f["id"] for f in turn.figures] == ["water_days", "water_ration"]
    assert value(turn, 1) == pytest.approx(0.3) and "each of 6 can have 0.30 litres a day" in said(turn)
    assert "how many days it must last 5 (as you say)" in said(turn) and "Warning: less than 0.5 L" in said(turn)


# ---- where inputs come from

def test_what_was_used_and_from_where(started: Started) -> None:
    _, (turn,) = talk(started, "there are nine litres, how long will the water last", given={"persons": 6})
    assert "people aboard 6 (as reported)" in said(turn) and "fresh water aboard 9 L (as you say)" in said(turn)
    assert part(turn, "from")["ration_l"] == "assumed"


def test_the_packs_list_stands_in_for_a_count(started: Started) -> None:
    """1.5 L for each place of an A pack, LSA Code 4.1.5.1.19."""
    _, (turn,) = talk(started, "how long will the water last", given={**A_PACK, "persons": 6})
    assert part(turn, "inputs")["stock_l"] == 9
    assert "by the SOLAS A pack's list for 6, a full pack with nothing used" in said(turn)


def test_a_pack_without_water_is_said_and_water_asked_for(started: Started) -> None:
    """A B pack holds no water, LSA Code 4.1.5.3."""
    _, (turn,) = talk(started, "how long will the water last", given={"pack": "solas_b", "persons": 6})
    assert turn.figures == () and "list has no drinking water" in said(turn) and "I need: drinking water aboard" in said(turn)


def test_a_range_says_its_short_end_first(started: Started) -> None:
    _, (turn,) = talk(started, "how far off can they see a hand flare at night")
    assert turn.notes[0].startswith("Hand flare: 10.2 to 11.0 nm.")


# ---- the answer in the next turn

@pytest.mark.parametrize(("given", "question", "answer", "facts"), [
    ({"persons": 6}, "how long will the water last", "9", {"water": 9.0}),
    ({"persons": 6}, "how long will the water last", "nine litres", {"water": 9.0}),
    ({"persons": 6}, "how long will the water last", "we have about 2 gallons left", {"water": 7.5708}),
    ({"water": 9.0}, "how long will the water last", "about six of us", {"persons": 6}),
    ({}, "how long will the water last", "six and nine litres", {"persons": 6, "water": 9.0}),
    ({}, "how long will the water last", "6", {"persons": 6}),
    ({"air_temperature": -5.0}, "how cold does the wind feel", "12 knots", {"wind_speed": 12.0}),
    ({"air_temperature": -5.0}, "how cold does the wind feel", "force six", {"wind_speed": 24.5}),
    ({"wind_speed": 20.0}, "how cold does the wind feel", "minus five", {"air_temperature": -5.0}),
    ({}, "how long does someone last in the water", "8 degrees", {"sea_temperature": 8.0}),
    ({}, "when does the sun come up", "50 30 north, 20 west", {"latitude": 50.5, "longitude": -20.0})])
def test_an_answer_sets_the_fact(started: Started, given: Mapping[str, Value], question: str, answer: str, facts: Mapping[str, Value]) -> None:
    session, turns = talk(started, question, answer, given=given)
    assert turns[0].figures == () and "To work it out I need: " in said(turns[0])
    assert {change.fact: change.now for change in turns[1].changes} == pytest.approx(facts)
    assert turns[1].topic == turns[0].topic
    assert turns[1].figures or turns[1].question and turns[1].question.wants
    assert session.state.known().keys() == {*given, *facts}


@pytest.mark.parametrize(("question", "answers", "expected"), [
    ("how much rain will we catch", ("2 by 3", "10 mm"), 30),
    ("how much rain will we catch", ("six square metres", "an inch of rain"), 6 * 25.4 / 2),
    ("how long should the drogue line be", ("eight",), 9.80665 * 64 / (4 * math.pi)),
    ("how long before the air in here goes bad", ("3 cubic metres", "6 people"), 42.4)])
def test_what_is_no_fact_is_answered_too(started: Started, question: str, answers: tuple[str, ...], expected: float) -> None:
    session, turns = talk(started, question, *answers)
    assert value(turns[-1]) == pytest.approx(expected, abs=0.3)
    assert set(session.state.known()) <= {"persons"}


def test_until_half_past_five(started: Started) -> None:
    """From 06:00 the next half past five is 17:30."""
    _, turns = talk(started, "how far will we drift", "half past five", given={"wind_speed": 20.0})
    assert part(turns[1], "inputs")["hours"] == 11.5


def test_dawn_is_answered_by_the_position(started: Started) -> None:
    _, turns = talk(started, "where will we be by dawn", "50 30 north, 30 west", given={"wind_speed": 20.0})
    assert "Or your latitude and longitude" in said(turns[0])
    assert part(turns[1], "inputs")["hours"] == pytest.approx(3.3, abs=0.1)


def test_none_left_is_about_that(started: Started) -> None:
    session, turns = talk(started, "how long will the water last", "none", given={"persons": 6})
    assert turns[1].topic == "no_water_left" and session.state.value("water") == 0 and turns[1].figures == ()


def test_a_sun_that_does_not_rise_is_said(started: Started) -> None:
    _, (turn,) = talk(started, "when does the sun come up", given={"latitude": 78.0, "longitude": 15.0})
    assert value(turn) == 0 and "The sun stays down all that day." in turn.notes


def test_what_is_left_is_answered(started: Started) -> None:
    _, turns = talk(started, "fired a rocket", "three")
    assert turns[1].changes[0].fact == "rocket_flares" and turns[1].changes[0].now == 3


def test_two_numbers_for_one_thing_are_asked_back(started: Started) -> None:
    session, turns = talk(started, "how long will the water last", "8 or 9", "9", given={"persons": 6})
    assert turns[1].figures == () and "Which number is which?" in said(turns[1])
    assert session.state.value("water") == 9


def test_an_impossible_answer_is_refused_and_asked_again(started: Started) -> None:
    session, turns = talk(started, "how long will the water last", "6.5 people", "six", given={"water": 9.0})
    assert "6.5 is not possible" in said(turns[1]) and turns[1].changes == ()
    assert value(turns[2]) == 3 and session.state.value("persons") == 6


def test_not_knowing_is_an_answer(started: Started) -> None:
    _, turns = talk(started, "how long will the water last", "no idea", "9", given={"persons": 6})
    assert turns[1].outcome == "answered" and turns[1].advice and not turns[1].figures
    assert turns[2].changes == ()


@pytest.mark.parametrize("text", ["9", "nine", "six", "12 knots of what", "half past five"])
def test_a_bare_answer_means_nothing_where_nothing_was_asked(started: Started, text: str) -> None:
    session, (turn,) = talk(started, text)
    assert turn.changes == () and turn.figures == ()
    assert session.state.known() == {}


@pytest.mark.parametrize("text", ["jo is bleeding", "the drogue has parted", "there's a plane!", "what now", "how do i pump the floor", "one in the water", "two missing", "one fell out of the raft",
                                  "six aboard and one in the water", "two overboard", "one is dead"])
def test_something_else_is_not_taken_for_an_answer(started: Started, text: str) -> None:
    _, (fresh,) = talk(started, text, given={"persons": 6})
    _, (_, turn) = talk(started, "how long will the water last", text, given={"persons": 6})
    assert turn.topic == fresh.topic
    assert turn.figures == () and [(c.fact, c.now) for c in turn.changes] == [(c.fact, c.now) for c in fresh.changes]


# ---- what-ifs

@pytest.mark.parametrize(("supposed", "now", "then", "words"), [
    ("and if we were eight?", 3, 9 / 4, "2 days 6 h instead of 3 days"),
    ("what if we only had five litres", 3, 5 / 3, "1 day 16 h instead of 3 days"),
    ("and for ten people?", 3, 9 / 5, "1 day 19 h instead of 3 days")])
def test_a_what_if_compares(started: Started, supposed: str, now: float, then: float, words: str) -> None:
    session, turns = talk(started, "nine litres, six of us, how long does the water last", supposed)
    assert value(turns[0]) == now and value(turns[1]) == pytest.approx(then)
    assert part(turns[1], "instead_of")["value"] == now
    assert words in turns[1].notes[0]
    assert session.state.known() == {"water": 9.0, "persons": 6} and turns[1].supposed is not None


def test_a_what_if_on_what_is_no_fact(started: Started) -> None:
    _, turns = talk(started, "how much rain will we catch", "6 square metres", "10 mm", "and if it was 20 mm?")
    assert "60 L instead of 30 L" in turns[-1].notes[0]


def test_a_what_if_names_its_own_figure(started: Started) -> None:
    _, turns = talk(started, "nine litres, six of us", "if we were eight, how long would the water last")
    assert turns[1].topic == "water_budget" and value(turns[1]) == pytest.approx(9 / 4)


def test_by_day_a_flare_is_seen_less_far(started: Started) -> None:
    """1e-3 lx against a day sky: buoyage guidance, from memory; the formula then gives 2.14 nm for 30 000 cd."""
    _, turns = talk(started, "how far off can they see a rocket", "and by day?")
    assert value(turns[1]) == pytest.approx(2.14, abs=0.02) and "instead of 16.8 nm" in said(turns[1])


def test_a_ration_is_no_stock(started: Started) -> None:
    """9 L at 1 L each for six, the first day included: 1.5 days; at 0.3 L it is 5 days, with a warning."""
    session, turns = talk(started, "9 litres, six of us, how long does the water last", "what if we drank a litre each", "and at 300 ml each?")
    assert [value(turn) for turn in turns] == [3, 1.5, pytest.approx(5)]
    assert "Warning: less than 0.5 L each a day" in said(turns[2]) and "Warning" not in said(turns[1])
    assert session.state.value("water") == 9


def test_a_state_that_an_input_hangs_on_is_varied(started: Started) -> None:
    """Leeway table: 3.75 % of the wind and -2.30 cm/s without a drogue. Asked by itself the lost drogue is what matters."""
    _, turns = talk(started, "how far will we drift in 12 hours", "and if the drogue parted", "what if the drogue parted",
                    given={"wind_speed": 20.0, "drogue_set": True})
    assert value(turns[1]) == pytest.approx((3.75 * 20 * 0.514444 - 2.30) / 100 * 12 * 3600 / 1852, abs=0.01)
    assert turns[2].topic == "drogue_lost" and turns[2].figures == ()


@pytest.mark.parametrize("text", ["and how do i fire a rocket?", "and is a hand flare safe in here", "what if a rocket misfires", "and where do i hold the hand flare?"])
def test_a_question_of_its_own_is_no_other_figure(started: Started, text: str) -> None:
    _, (_, turn) = talk(started, "how far off can they see a rocket", text)
    assert turn.topic != "signal_range" and turn.figures == ()


def test_another_signal_by_its_name(started: Started) -> None:
    _, turns = talk(started, "how far off can they see a rocket", "and a hand flare?")
    assert "Hand flare" in [figure["name"] for figure in turns[1].figures]


# ---- refusals

def test_outside_a_figures_limits_it_is_refused_in_one_line(started: Started) -> None:
    _, (turn,) = talk(started, "how long does somebody last in water of 30 degrees")
    assert turn.figures == () and "water_c" in said(turn)


def test_bodies_that_fill_the_canopy_are_refused_and_asked_again(started: Started) -> None:
    _, turns = talk(started, "how long before the air in here goes bad", "0.4 cubic metres", "3 cubic metres", given={"persons": 6})
    assert "must be above 0.42 m3" in said(turns[1]) and turns[1].figures == ()
    assert value(turns[2]) == pytest.approx(42.4, abs=0.3)


# ---- the data

def test_every_figure_named_exists_and_has_the_inputs(knowledge: Knowledge) -> None:
    for computed in knowledge.computed:
        names = {wanted.name: wanted for wanted in FIGURES[computed.figure].inputs}
        assert computed.inputs.keys() <= names.keys()
        assert {name for name, wanted in names.items() if wanted.required} <= computed.inputs.keys()
        sources = [s.figure.name.partition(".")[0] for s in computed.inputs.values() if s.figure.name]
        assert all(FIGURES[name] for name in sources)


def test_every_quantity_topic_has_a_figure(knowledge: Knowledge) -> None:
    wanted = ("water_budget food_budget rain_catch signal_range horizon radio_range beacon_life drift cold_water_time wind_chill daylight "
              "drogue_line air_time watch_rota flare_count").split()
    assert {computed.topic for computed in knowledge.computed} >= set(wanted)


@pytest.mark.parametrize(("text", "side", "hours"), [
    ("half past five", "until", 11.5), ("quarter to six", "until", 11.8), ("17:30", "until", 11.5), ("0530", "until", 23.5), ("noon", "until", 6),
    ("five o'clock in the morning", "until", 23), ("5 pm", "until", 11), ("ten past four", "since", 1.8), ("at midnight", "since", 6), ("six of us", "until", None)])
def test_times_of_day(text: str, side: str, hours: float | None) -> None:
    from guide.language.wording import regular
    assert hours_by_clock(regular(text), side, AT) == (None if hours is None else pytest.approx(hours, abs=0.05))


@pytest.mark.parametrize(("text", "name", "expected"), [
    ("5 to 10 mm of rain", "rain_depth", None), ("between 5 and 10 mm", "rain_depth", None), ("10 mm of rain", "rain_depth", 10), ("an inch", "rain_depth", 25.4),
    ("a sheet of 4 x 2 m", "cloth_area", 8), ("40 square feet", "cloth_area", 3.716), ("30 m of line", "line_length", 30), ("the ship is 30 m off", "line_length", None),
    ("visibility 2 miles", "visibility", 2), ("in this haze", "visibility", 2), ("visibility 3 miles in the haze", "visibility", 3), ("thick fog", "visibility", 0.1), ("she is 2 miles off", "visibility", None), ("an easterly wind", "downwind", 270)])
def test_quantities_in_a_sentence(knowledge: Knowledge, text: str, name: str, expected: float | None) -> None:
    found = Quantities(knowledge).said(text, [name], AT).get(name)
    assert found == (None if expected is None else pytest.approx(expected, abs=0.01))


@pytest.mark.parametrize(("number", "unit", "words"), [
    (4.5, "days", "4 days 12 h"), (1.0, "days", "1 day"), (0.25, "days", "6 h"), (0.0, "days", "0 days"), (3.3333, "h", "3 h 20 min"),
    (42.4, "min", "42 min"), (125.0, "min", "2 h 5 min"), (1.5, "min", "1 min 30 s"), (880.0, "s", "14 min 40 s"), (100.0, "s", "100 s"),
    (12.345, "nm", "12.3 nm"), (0.555, "nm", "0.56 nm"), (1234567.0, "N", "1,234,567 N")])
def test_figures_are_said_as_people_say_them(number: float, unit: str, words: str) -> None:
    assert spoken(number, unit) == words


def test_a_sentence_that_names_what_is_not_there_is_left_out(knowledge: Knowledge, started: Started) -> None:
    """Knowledge that somebody edited: the figure's own sentence stands in, and nothing ends in a traceback."""
    spoilt = tuple(c._replace(says="{litres} for {persons:clock}", follows="{value!x}{") for c in knowledge.computed)
    session = Session(knowledge._replace(computed=spoilt), started.answering, lambda: AT)
    turn = session.answer("nine litres, six of us, how long does the water last")
    assert turn.notes[0].startswith("9 litres for 6 at 0.5 L each a day lasts 3.0 days")
