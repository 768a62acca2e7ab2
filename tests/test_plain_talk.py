"""Turns of speech that carry a fact, a supposition or nothing: joins, openers, quotes, orders by name, containers put right.

All sentences are our own; how each is to be read is common practice in reading English, without source.
"""
from __future__ import annotations

from collections.abc import Mapping

import pytest

from guide.knowledge.records import Value
from guide.language.clauses import lead_off, supposed_part, unquoted
from guide.language.cutting import cut
from guide.language.mentions import mentions
from guide.language.numbers import split
from guide.language.units import Units
from guide.language.wording import regular
from guide.starting import Started, start
from guide.turn import Turn
from tests.talking import changed

AT = "2031-04-05T06:07:08+00:00"


@pytest.fixture(scope="module")
def started() -> Started:
    return start()


def turns(started: Started, *lines: str, **given: Value) -> list[Turn]:
    session = started.session(clock=lambda: AT)
    session.given(given)
    return [session.answer(line) for line in lines]


def supposed(turn: Turn) -> dict[str, object]:
    return {change.fact: change.now for change in turn.supposed or ()}


# ---- joins

@pytest.mark.parametrize(("text", "pieces"), [
    ("floor's pumped n the drogue is out", ["floor's pumped", "the drogue is out"]),
    ("she's cold an' he is sick again", ["she's cold", "he is sick again"]),
    ("it's just me and my brother here", ["it's just me and my brother here"]),
    ("my brother is in the sea wat do i do", ["my brother is in the sea", "wat do i do"]),
    ("the light out there is far away", ["the light out there is far away"]),
    ("I have not, as yet, sent a call", ["I have not sent a call"]), ("he's not here, he's below", ["he's not here", "he's below"]),
    ("drogue's out and pulling, both doors are shut", ["drogue's out", "pulling", "both doors are shut"]),
    ("the beacon is not lit and neither is the torch", ["the beacon is not lit", "the torch is not lit"])])
def test_pieces(text: str, pieces: list[str]) -> None:
    assert cut(text) == pieces


@pytest.mark.parametrize("text", ["36 12 n 5 20 w", "the wind is from n and rising", "we steer due n by the stars"])
def test_north_is_not_and(text: str) -> None:
    assert " and " not in regular(text.replace(" and ", " "))


@pytest.mark.parametrize(("text", "said"), [
    ("I regret to inform you that the mast is down", "the mast is down"), ("Kindly note, one man is hurt", "one man is hurt"),
    ("Sir, the floor is wet", "the floor is wet"), ("the captain is hurt", "the captain is hurt")])
def test_openers_say_nothing(text: str, said: str) -> None:
    assert lead_off(text) == said


# ---- what is somebody else's word, or an order

@pytest.mark.parametrize(("text", "left"), [
    ('chapter two is called "Drogue is out", dull stuff', "chapter two is called  , dull stuff"), ('they call it the "drogue" here', 'they call it the "drogue" here'),
    ('"the drogue is out"', '"the drogue is out"'), ("it's the crew's water", "it's the crew's water")])
def test_what_is_quoted_is_not_said(text: str, left: str) -> None:
    assert unquoted(text).strip() == left.strip()


@pytest.mark.parametrize("text", [
    'the sample page of the log says "Painter cut, drogue streamed"', "BORIS GET IN THE RAFT NOW", "Zeb quit moaning and read the instruction card",
    "on my old ship, in 1994, two men were missing", "the seas forecast was for rain by dusk and four-metre seas",
    "in the pool class last autumn half of us were being sick", "somebody, somewhere, may have sent a mayday", "none left behind", "the chief and the cook",
    "she's low in the water but holding", "chuck the sea anchor out, now!", "there is a yellow box that says EPIRB on it", "no idea how many rockets are left",
    "we counted again", "all four of us were in the pool", "Otto, you must read the instruction card at once", "he left his glove in the water"])
def test_nothing_is_told(started: Started, text: str) -> None:
    assert changed(turns(started, text)[0]) == {}


@pytest.mark.parametrize(("text", "facts"), [
    ("According to the plate the raft is for a dozen persons", {"raft_capacity": 12}),
    ("After a short talk it was settled that Bram is in charge", {"leader_named": True}),
    ("The last one of our smokes has been used", {"smoke_signals": 0}), ("Hand flares: four pieces", {"hand_flares": 4}),
    ("8 pouches of water and each one is half a litre", {"water": 4.0}), ("Food in the bag: 5 000 kcal", {"food": 5000.0}),
    ("two of my crew are in the water", {"person_in_water": True}), ("did it, she is the right way up again", {"raft_inverted": False}),
    ("the boat never sank", {"vessel_afloat": True}), ("he isn't breathing", {"someone_not_breathing": True}),
    ("he's breathing again but he will not wake up", {"someone_not_breathing": False, "someone_unconscious": True}),
    ("we've been adrift 9 ours", {"hours_adrift": 9.0}), ("please help my uncle is out cold", {"someone_unconscious": True}),
    ("all five of us are inside the raft now", {"persons": 5, "all_accounted": True, "aboard_raft": True}), ("the patch is holding, no more bubbles", {"leak_open": False})])
def test_it_is_told(started: Started, text: str, facts: Mapping[str, object]) -> None:
    assert changed(turns(started, text)[0]) == facts


# ---- suppositions

@pytest.mark.parametrize(("text", "part"), [
    ("in the case of a hole in the tube, what first?", "a hole in the tube"), ("granted that it is raining", "it is raining"),
    ("admitting that nobody had taken a tablet", "nobody had taken a tablet"), ("put the case that the floor is wet", "the floor is wet"),
    ("had we lost the drogue", "we lost the drogue"), ("suppose we counted and three of us were missing", "we counted and three of us were missing"), ("let us take it as done that all are aboard", "all are aboard")])
def test_the_part_that_is_supposed(text: str, part: str) -> None:
    assert supposed_part(text) == part


def test_say_for_example_supposes_nothing(started: Started) -> None:
    turn = turns(started, "how would you share the biscuits over, say, three days")[0]
    assert turn.topic in ("food_ration", "food_budget", "fair_shares") and turn.supposed is None


@pytest.mark.parametrize(("text", "facts"), [
    ("the canopy rips, say. what then", {"canopy_damaged": True}), ("In the case of a puncture in the lower tube, what is the first step?", {"leak_open": True}),
    ("in a wind of thirty knots, how far would we drift in a day?", {"wind_speed": 30.0}), ("how would we manage with fourteen people in here", {"persons": 14}),
    ("what would you do if one of us were bleeding?", {"someone_bleeding": True}), ("call it three litres of water, what then", {"water": 3.0})])
def test_a_supposition_changes_nothing(started: Started, text: str, facts: Mapping[str, object]) -> None:
    turn = turns(started, text)[0]
    assert supposed(turn) == facts and changed(turn) == {}


# ---- counts

@pytest.mark.parametrize(("text", "numbers"), [("one of us is ill", []), ("only one of us", [1.0]), ("not a single one", []), ("the last one is spent", []),
                                               ("each one is half a litre", [0.5]), ("three of us", [3.0])])
def test_the_one_of_several_counts_nothing(started: Started, text: str, numbers: list[float]) -> None:
    units = Units(started.knowledge.language.words)
    assert [mention.number for mention in mentions(split(text), units)] == numbers


@pytest.mark.parametrize(("said", "right", "given", "now"), [
    ("8 packets of water, each one half a litre", "oh no wait its 9 packets", {}, {"water": 4.5}),
    ("four of us here", "no sorry 5 i forgot my sister", {}, {"persons": 5}),
    ("we burned one hand flare", "no no, two we burned", {"hand_flares": 6}, {"hand_flares": 4}),
    ("we have three rockets", "non, attends, only two", {}, {"rocket_flares": 2}),
    ("we collected two litres of rain", "I tell a lie, it was three we collected", {"water": 4.0}, {"water": 7.0}),
    ("caught two litres of rain", "no wait, 3 more", {"water": 5.0}, {"water": 8.0}),
    ("we have eight litres of water", "I beg your pardon: the figure is nine litres, not eight", {}, {"water": 9.0}),
    ("we have eight thermal bags", "ay sorry I count wrong, only two", {}, {"thermal_aids": 2}), ("three rockets", "no boss, four", {}, {"rocket_flares": 4}), ("eight of us in the raft", "nine sir, nine! i forgot myself", {}, {"persons": 9}),
    ("three hand flares", "oops scratch what i said, theres only 2 hand flares not 3", {}, {"hand_flares": 2})])
def test_a_count_is_put_right(started: Started, said: str, right: str, given: Mapping[str, Value], now: dict[str, object]) -> None:
    assert {fact: value for fact, value in changed(turns(started, said, right, **given)[1]).items() if fact in now} == now


# ---- taken back

@pytest.mark.parametrize("words", ["eh, scratch that", "no scrach that", "o nee take that back", "i was only joking, scratch that", "nah scratch that"])
def test_more_ways_of_taking_back(started: Started, words: str) -> None:
    assert changed(turns(started, "the drogue is out", words)[1]) == {"drogue_set": None}


def test_what_is_taken_back_in_its_own_breath_was_never_told(started: Started) -> None:
    assert changed(turns(started, "the beacon is on", "the drogue is out - no, scratch that")[1]) == {}


def test_what_is_told_anew_is_told_after_the_other_was_taken_back(started: Started) -> None:
    assert changed(turns(started, "the beacon is on", "scratch that, the drogue is out")[1]) == {"epirb_on": None, "drogue_set": True}


def test_what_is_over_stands_behind_what_began(started: Started) -> None:
    turn = turns(started, "he is not breathing", "he is breathing again but he is unconscious", aboard_raft=True)[1]
    assert turn.topic == "unconscious" and turn.next[0].step.topic == "unconscious"


@pytest.mark.parametrize("text", ["hes barely brething just gasping", "he only gasps now and then", "she is barely breathing"])
def test_gasping_is_not_breathing_whatever_was_spoken_of_before(started: Started, text: str) -> None:
    turn = turns(started, "how do we float in the water", "I am in the raft now", text)[-1]
    assert turn.topic == "not_breathing" and turn.next[0].step.id == "not_breathing_check" and "Gasping" in turn.next[0].step.say


@pytest.mark.parametrize("text", ["hes barely brething just gasping", "he only gasps now and then", "she is barely breathing"])
def test_gasping_is_heard_while_others_are_in_the_water(started: Started, text: str) -> None:
    """Those who were told to be in the water are still to be got out, so that the check need not be the first job; it is shown."""
    turn = turns(started, "we are all in the water", "I am in the raft now", text)[-1]
    assert turn.topic == "not_breathing" and changed(turn) == {"someone_not_breathing": True}
    assert "not_breathing_check" in [step.step.id for step in turn.next]


def test_pushing_goes_on_after_a_change_over(started: Started) -> None:
    session = started.session(clock=iter([f"2031-04-05T06:{minute:02}:00+00:00" for minute in range(0, 40, 3)]).__next__)
    session.given({"aboard_raft": True, "persons": 5, "someone_not_breathing": True})
    for step in ("not_breathing_check", "not_breathing_breaths", "not_breathing_cpr"):
        session.done(step)
    assert session.answer("what now").next[0].step.id == "not_breathing_cpr"


def test_no_breath_goes_first(started: Started) -> None:
    turn = turns(started, "one of ours isn't breathing", aboard_raft=True, persons=5)[0]
    assert [item.step.id for item in turn.next][:2] == ["not_breathing_check", "not_breathing_breaths"]


# ---- what is said of a part, of a thing, of what is only out of sight

@pytest.mark.parametrize("text", ["two of us drank from the sea", "three of us have broken fingers", "four persons are under the raft and one is on top of it", "day 3 of this",
                                  "we counted it two times", "one man, he is coughing"])
def test_a_part_of_the_crew_is_not_the_crew(started: Started, text: str) -> None:
    assert not {"persons", "persons_missing"}.intersection(changed(turns(started, text)[0]))


@pytest.mark.parametrize(("text", "facts"), [
    ("five of us are in the raft", {"aboard_raft": True, "persons": 5}), ("one man is missing", {"persons_missing": 1, "all_accounted": False}),
    ("two 1.5 litre bottles of water and a half full 2 litre jug", {"water": 4.0}), ("a litre and a quarter of water left", {"water": 1.25}),
    ("we have 2,5 litres of water", {"water": 2.5}), ("epirb is off now", {"epirb_on": False}), ("he went overboard", {"person_in_water": True}),
    ("the knife went overboard", {"has_knife": False}), ("the repair kit has gone overboard", {"has_repair_kit": False}), ("my son stopped breathing again", {"someone_not_breathing": True}),
    ("I have not, as yet, made any distress call", {"mayday_sent": False}), ("my uncle is missing", {"persons_missing": 1, "all_accounted": False})])
def test_the_whole_is_told(started: Started, text: str, facts: Mapping[str, object]) -> None:
    assert changed(turns(started, text)[0]) == facts


@pytest.mark.parametrize(("first", "then", "now"), [
    ("we can hear a plane", "can't see it though", {}), ("there is a ship to the south", "we've lost sight of it", {"ship_in_sight": False}),
    ("we can hear a plane", "it's gone", {"aircraft_in_sight": False})])
def test_what_cannot_be_seen_is_not_gone(started: Started, first: str, then: str, now: dict[str, object]) -> None:
    assert changed(turns(started, first, then)[1]) == now


def test_a_rocket_at_an_aircraft_is_warned_of_wherever_it_is_asked(started: Started) -> None:
    turn = turns(started, "Helicopter overhead!", "should I fire a rocket at it")[1]
    assert any("aircraft" in caution for caution in turn.cautions)


def test_without_water_the_biscuits_wait(started: Started) -> None:
    turn = turns(started, "no water left", "should we eat the biscuits", aboard_raft=True)[1]
    assert turn.topic == "eat_without_water" and [item.step.id for item in turn.advice[:2]] == ["no_water_no_eat", "eat_dry_rule"]


@pytest.mark.parametrize("begins", ["it's on", "it is dark", "its not on", "they're in", "theyre in", "they are in", "they can't swim", "he's cold", "hes cold", "he has a cut", "she is cold", "we just in",
                                    "we all inside", "I'm cold", "I am cold", "im cold", "we're in", "we are in", "nobody's hurt", "nobody is hurt", "everyone's in", "everybody is in", "there's a ship",
                                    "theres a ship", "there is a ship", "two of us are sick", "some of us are sick", "6 of us are sick"])
def test_a_subject_with_its_verb_begins_a_piece_without_a_stop(begins: str) -> None:
    assert cut(f"the drogue came loose {begins}") == ["the drogue came loose", begins]
