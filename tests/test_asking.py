"""What is answered where a line tells one thing and asks another, and what a question in a talk leans on. Common practice in reading English, without source."""
from __future__ import annotations

import pytest

from guide.knowledge.records import Value
from guide.starting import Started, start
from tests.talking import changed, last


@pytest.fixture(scope="module")
def started() -> Started:
    return start()


@pytest.mark.parametrize(("line", "topic", "told"), [
    ("the drogue is out, how do I treat a burn", "burns", {"drogue_set": True}), ("the beacon is on so can we drink sea water", "drinking_seawater", {"epirb_on": True}),
    ("the floor is pumped up and how do we share the water", "water_sharing", {"floor_inflated": True}), ("we are six so how do we keep warm", "cold_weather", {"persons": 6}),
    ("a seam has started to weep air, what first", "leak", {"leak_open": True}), ("there's a ship, how far is it?", "ship_sighted", {"ship_in_sight": True}),
    ("the canopy is closed, is the air ok?", "air_time", {"canopy_closed": True}), ("it's raining, should we catch it?", "collect_rain", {"raining": True})])
def test_what_is_asked_goes_before_what_is_told_unless_it_is_about_that(started: Started, line: str, topic: str, told: dict[str, Value]) -> None:
    turn = last(started, line)
    assert (turn.outcome, turn.topic, changed(turn)) == ("answered", topic, told)


@pytest.mark.parametrize(("lines", "topic"), [
    (("Tom is bleeding", "how do I do CPR"), "not_breathing"), (("how do we catch rain", "how do I start CPR"), "not_breathing"), (("she is crying", "how do I right the raft"), "raft_upside_down"),
    (("Tom is bleeding from the leg", "what if it doesn't work"), "bleeding"), (("his leg is broken", "what if it gets worse"), "broken_bone"), (("we are all seasick", "is it normal"), "seasickness"),
    (("his leg is broken", "when do we stop"), "broken_bone"), (("he hit his head", "he threw up"), "head_or_spine"), (("he is unconscious", "what if he vomits"), "unconscious"),
    (("Tom is bleeding", "should he lie down"), "bleeding"), (("a ship is in sight", "how do we fish", "should I fire"), "flare_timing"),
    (("he is not breathing", "which channel do we use", "how many times do I press"), "not_breathing"), (("a ship is in sight", "how do we fish", "what bait"), "fishing"),
    (("Tom is bleeding", "the drogue is out, how do I treat a burn"), "burns"), (("he hit his head", "who keeps watch", "he is dizzy"), "head_or_spine"),
    (("he hit his head", "Jim is seasick", "he vomits"), "seasickness"), (("a man is overboard", "how do we fish", "he went under"), "recover_swimmer"),
    (("a ship is in sight", "how do we share the water", "it is coming closer"), "ship_sighted"), (("there is a leak", "how do we fish", "where is it"), "leak"),
    (("the beacon is off, correct practice?",), "epirb"), (("Tom is bleeding", "ok"), "what_now"), (("fine",), "what_now")])
def test_what_a_question_in_a_talk_is_about(started: Started, lines: tuple[str, ...], topic: str) -> None:
    turn = last(started, *lines)
    assert (turn.outcome, turn.topic) == ("answered", topic)


@pytest.mark.parametrize(("lines", "told"), [
    (("my wife is at home", "he fell overboard"), {"person_in_water": True}), (("my cousin Tom is hurt", "he is bleeding"), {"someone_bleeding": True}),
    (("he is not breathing", "hang on"), {}), (("there is a leak", "not now"), {}), (("we have 12 litres", "wait a minute"), {}), (("what's in a coastal pack", "how many rockets", "and solas a"), {}),
    (("Tom is bleeding, what if he faints",), {"someone_bleeding": True}), (("the drogue is out, what if it parts",), {}),
    (("is the drogue out", "yes", "and the beacon"), {}), (("is the drogue out", "yes", "and the beacon", "yes"), {"epirb_on": True}),
    (("is the drogue out and the canopy closed",), {})])
def test_what_is_told_or_only_asked(started: Started, lines: tuple[str, ...], told: dict[str, Value]) -> None:
    assert changed(last(started, *lines)) == told


@pytest.mark.parametrize("line", ["is anyone hurt?", "ok, is everyone all right?"])
def test_who_is_hurt_is_never_refused(started: Started, line: str) -> None:
    turn = last(started, "we are in the raft", line)
    assert turn.outcome != "outside" and turn.topic
