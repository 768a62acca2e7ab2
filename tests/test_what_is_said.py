"""What sentences say and what they only sound like: denials, plans, hearsay, other people's, other times; and numbers beside each other.

All sentences are our own; how each is to be read is common practice in reading English, without source.
"""
from __future__ import annotations

import pytest

from guide.knowledge.records import Value
from guide.starting import Started, start
from tests.talking import changed

GIVEN: dict[str, Value] = {"aboard_raft": True, "persons": 6, "rocket_flares": 4, "hand_flares": 5, "smoke_signals": 2, "water": 9.0, "food": 6000.0}


@pytest.fixture(scope="module")
def started() -> Started:
    return start()


def told(started: Started, text: str) -> dict[str, object]:
    """What a first sentence changes where all this is given."""
    session = started.session()
    session.given(GIVEN)
    return changed(session.answer(text))


@pytest.mark.parametrize("text", [
    "nobody has checked whether the beacon is on", "I can't swear the beacon is on", "the beacon ought to be on by now", "if only the beacon were on",
    "we'd have the beacon on if we could find it", "as soon as the beacon is on we sit tight", "once the doors are shut we pump", "don't shut the doors",
    "the lads want the doors shut", "the other raft has its doors shut", "the book says the floor is inflated first", "the floor will be hard in a minute",
    "he nearly went in the water", "there might be somebody in the water", "is that somebody in the water over there",
    "we haven't used any rockets", "we have used none of the rockets", "we still have all four rockets", "three rockets were fired by the other raft",
    "I'd fire two rockets now", "he told me to fire two rockets", "the next rocket is ready to fire", "I don't think that's a ship", "a ship would be nice",
    "there was a ship yesterday", "the plane we heard was only the wind", "it might rain", "the rain never came", "it will be dark soon",
    "the painter must be cut", "we're about to cut the painter", "I thought I had cut the painter", "the mayday may not have gone out",
    "we sent a mayday in the exercise last week", "there were six litres, or was it eight", "we have either three or four litres", "nine litres should be enough",
    "he drank a litre of beer before we left", "we need two litres more", "a man needs half a litre a day", "seven is too many for this raft",
    "I doubt it is raining", "fingers crossed the beacon is on", "with luck somebody has cut the painter", "soon a ship is here", "in a minute the floor is hard", "I dreamt somebody was in the water",
    "it looks like he is bleeding but he isn't", "on the other raft a man is bleeding", "for instance the drogue is out", "step three: the drogue is out", "the film where the boat sank",
    "word going round is we have the A pack but it's only talk", "the drogue is out - true or false?", "the skipper closed the hatch", "my pee is dark",
    "one orange can went overboard", "the stern rail has gone under", "we are two rafts from one ferry", "two more are in the water", "we were thirsty",
    "it's nine", "we've got three", "still two", "make it three", "down to two",
    "the wind was force 7 this morning", "they forecast force 9", "channel sixteen is dead", "it's six o'clock"])
def test_what_only_sounds_like_it_tells_nothing(started: Started, text: str) -> None:
    assert told(started, text) == {}


@pytest.mark.parametrize(("text", "facts"), [
    ("the drogue never went out", {"drogue_set": False}), ("the beacon won't stay on", {"epirb_on": False}), ("the doors won't shut", {"canopy_closed": False}),
    ("the floor isn't flat any more", {"floor_inflated": True}), ("nobody is seasick yet", {"someone_seasick": False}), ("we're not all here", {"all_accounted": False}),
    ("there's nobody left in the water", {"person_in_water": False}), ("no leak that I can find", {"leak_open": False}), ("the boat hasn't gone down yet", {"vessel_afloat": True}),
    ("painter's still on", {"painter_cut": False}), ("mayday was never sent", {"mayday_sent": False}), ("I stopped the bleeding", {"someone_bleeding": False}), ("he is asleep, not unconscious", {"someone_unconscious": False})])
def test_a_denial_is_not_taken_for_its_opposite(started: Started, text: str, facts: dict[str, Value]) -> None:
    assert told(started, text) == facts


@pytest.mark.parametrize(("text", "facts"), [
    ("fired a rocket and a hand flare", {"rocket_flares": 3, "hand_flares": 4}), ("fired two rockets, a smoke and a hand flare", {"rocket_flares": 2, "smoke_signals": 1, "hand_flares": 4}),
    ("one rocket and two hand flares went up", {"rocket_flares": 3, "hand_flares": 3}), ("lost a paddle and two hand flares", {"hand_flares": 3}),
    ("used one smoke, three hand flares left", {"smoke_signals": 1, "hand_flares": 3}), ("four rockets, two fired", {"rocket_flares": 2}),
    ("burned two of the hand flares just now, no answer to them", {"hand_flares": 3}), ("eight of us and two kids", {"persons": 10}), ("hes not breething rite", {"someone_not_breathing": True}), ("six of us and a baby in here", {"persons": 7}),
    ("we caught rain, so we have twelve litres in all", {"water": 12.0}), ("6 x 500 ml pouches", {"water": 3.0}), (".5 litres of water left", {"water": 0.5}), ("we have 1.500 ml of water", {"water": 1.5}),
    ("our place is N56 30 W003 15", {"latitude": 56.5, "longitude": -3.25}), ("we lost two litres over the side", {"water": 7.0}),
    ("we're at 50 north, 5 west", {"latitude": 50.0, "longitude": -5.0}), ("we are in 12 degrees south, 45 east", {"latitude": -12.0, "longitude": 45.0}),
    ("right, pretend. The drogue line has parted", {"drogue_set": False}), ("counted everyone twice and were 9 but there were 11 on board so 2 missing", {"persons": 9, "persons_missing": 2, "all_accounted": False}),
    ("two of ours cannot be found", {"persons_missing": 2, "all_accounted": False}),
    ("I'm afraid we've no water left, we finished it", {"water": 0.0}),
    ("the pack here contains three rockets, six hand flares and one smoke; log them", {"rocket_flares": 3, "hand_flares": 6, "smoke_signals": 1}),
    ("fired a rocket. then another one", {"rocket_flares": 2}), ("fired one rocket then two more", {"rocket_flares": 1}), ("used two rockets. another in the bag", {"rocket_flares": 3}),
    ("drank a litre. then another", {"water": 7.0}), ("drank half a litre, 7 left", {"water": 7.0}), ("hand flare burned, she kept going", {"hand_flares": 4}), ("smoke thrown", {"smoke_signals": 1}),
    ("two more litres of water turned up in a jug", {"water": 11.0}), ("fresh water: 15 litres, in 30 half-litre sachets", {"water": 15.0}), ("five bottles of water, 1.5 litre ones", {"water": 7.5}),
    ("We checked the rockets. Got three.", {"rocket_flares": 3}), ("twelv pouchs of watter haf a litre in each", {"water": 6.0}), ("raft is up side down, how we turn", {"raft_inverted": True}),
    ("sorry, that's wrong, make it seven people", {"persons": 7}), ("the tablets have gone down, all four", {"seasick_pills": True})])
def test_numbers_beside_each_other(started: Started, text: str, facts: dict[str, Value]) -> None:
    assert told(started, text) == facts


@pytest.mark.parametrize(("text", "facts"), [
    ("how would it feel at minus ten celsius and twenty-five knots of wind", {"air_temperature": -10.0, "wind_speed": 25.0}),
    ("if it came on to blow force 8 would we still leave a door open", {"wind_speed": 37.0}), ("how would it be with 9 persons and 18 litres", {"persons": 9, "water": 18.0}),
    ("if there was a ship in view would you burn a hand flare", {"ship_in_sight": True}), ("just for the exercise, say the beacon is off", {"epirb_on": False}),
    ("what do I do in the case that somebody goes unconscious", {"someone_unconscious": True}), ("say somebody falls into the sea", {"person_in_water": True}),
    ("work it out again as though we were three persons, had 10 litres and the air was at 30 degrees", {"persons": 3, "water": 10.0, "air_temperature": 30.0}),
    ("would we get more daylight if we were at sixty north?", {"latitude": 60.0}), ("let us assume that one smoke and one rocket are left. Which do we use?", {"smoke_signals": 1, "rocket_flares": 1})])
def test_what_is_supposed(started: Started, text: str, facts: dict[str, Value]) -> None:
    session = started.session()
    session.given(GIVEN)
    turn = session.answer(text)
    assert {change.fact: change.now for change in turn.supposed or ()} == facts and changed(turn) == {}


@pytest.mark.parametrize("text", [
    "a dog is in the water", "the oar is in the water", "that's not blood, it's paint", "there's blood on my hands from the fish", "my boot has a hole", "there's a hole in the bucket",
    "read me the card", "the card is wet", "it was dark when we left", "nobody watched last night", "keep a good watch", "tie everything down", "boat's going", "the line chafed but holds",
    "two sponges in here", "the beacon's battery has run 14 hours so far", "we are climbing in", "the dog's been sick", "trainee off a cargo boat here",
    "pills are for later", "he was in the water, now he's in the raft", "he stopped breathing for a second but he's back", "the skipper was in charge but he's dead", "Ana should take charge", "he's dead", "the drogue is heavier than I thought"])
def test_what_is_said_of_something_else_tells_nothing(started: Started, text: str) -> None:
    assert told(started, text) == {}


def test_them_are_what_was_named_last_not_what_was_counted_last(started: Started) -> None:
    session = started.session()
    session.given(GIVEN)
    for line in ("fired one rocket, went up beautifully", "tried a hand flare next and it won't light"):
        session.answer(line)
    assert changed(session.answer("threw the dud over the side, that leaves four of them")) == {"hand_flares": 4}


@pytest.mark.parametrize(("lines", "facts"), [
    (("where is the beacon", "found it, switched it on"), {"epirb_on": True}), (("have all taken the pills", "all but one"), {"seasick_pills": False}),
    (("he is bleeding badly", "it's nine"), {}), (("how do I use the drogue", "three left"), {}), (("how many rockets do we have left", "we've got three"), {"rocket_flares": 3}),
    (("lit a hand flare", "fired one"), {"rocket_flares": 3}), (("fired one, then another", "a ship!! no its a wave"), {"ship_in_sight": False}),
    (("is anyone bleeding", "no"), {"someone_bleeding": False}), (("fired a rocket", "and another"), {"rocket_flares": 2})])
def test_an_answer_is_of_what_was_asked(started: Started, lines: tuple[str, str], facts: dict[str, Value]) -> None:
    session = started.session()
    session.given(GIVEN)
    session.answer(lines[0])
    assert changed(session.answer(lines[1])) == facts


@pytest.mark.parametrize("text", [
    "our tug got rammed by a barge bow is stove in wat do we do", "trawl snagged, stern going under", "deck cargo shifted and we are over on our side",
    "FIRE IN ENGINE ROOM TUG ALONE NO TOW", "tug going down fast", "barge has capsized", "the boat has rolled right over", "winchman went over the side", "rope snapped and the raft is drifting off"])
def test_an_alarm_in_words_of_work_is_not_turned_away(started: Started, text: str) -> None:
    assert started.session().answer(text).outcome != "outside"


@pytest.mark.parametrize("lines", [("who won the cup", "why"), ("tell me a joke", "why not"), ("how do I bake bread", "how long does it take")])
def test_what_only_asks_on_about_something_refused_is_refused(started: Started, lines: tuple[str, str]) -> None:
    session = started.session()
    assert [session.answer(line).outcome for line in lines] == ["outside", "outside"]


def test_why_behind_advice_is_answered(started: Started) -> None:
    session = started.session()
    session.answer("he is bleeding badly")
    assert session.answer("why").outcome == "answered"
