"""What people say in passing while they talk: whole crews, times, things that failed, orders by hearsay, what is done and more. Sentences of our
own; wind forces by the Beaufort scale as given in the WMO manual on codes (table 3700: force 5 is 17-21 knots, force 8 is 34-40)."""
from __future__ import annotations

from collections.abc import Mapping

import pytest

from guide.knowledge.records import Value
from guide.starting import Started, start
from tests.talking import changed, last


@pytest.fixture(scope="module")
def started() -> Started:
    return start()


@pytest.mark.parametrize(("text", "facts"), [
    ("we're inside the raft, all seven of us", {"aboard_raft": True, "all_accounted": True, "persons": 7}),
    ("everybody is in the raft now, five out of five", {"aboard_raft": True, "all_accounted": True}),
    ("ok we are in the raft. all three of us", {"aboard_raft": True, "all_accounted": True, "persons": 3}),
    ("we are all in the raft", {"aboard_raft": True}),
    ("my two cousins are missing", {"persons_missing": 2, "all_accounted": False})])
def test_who_is_here(started: Started, text: str, facts: dict[str, object]) -> None:
    assert changed(last(started, text)) == facts


@pytest.mark.parametrize(("text", "given", "facts"), [
    ("Nineteen hours adrift now", {}, {"hours_adrift": 19.0}),
    ("Twelve litres of water are left", {}, {"water": 12.0}),
    ("burned a hand flare at 22:15", {"hand_flares": 4}, {"hand_flares": 3}),
    ("one rocket was fired at nine o'clock", {"rocket_flares": 3}, {"rocket_flares": 2}),
    ("the second rocket would not fire", {"rocket_flares": 3}, {}),
    ("another hand flare failed to light", {"hand_flares": 3}, {}),
    ("found two rockets under the seat", {}, {"rocket_flares": 2}),
    ("found two rockets under the seat", {"rocket_flares": 3}, {"rocket_flares": 5}),
    ("hand flares, we have four", {}, {"hand_flares": 4}),
    ("sea is 7 degrees how long have we got", {}, {"sea_temperature": 7.0}),
    ("air is three degrees below zero", {}, {"air_temperature": -3.0}),
    ("a second raft has come alongside, do we tie up to it", {}, {}),
    ("no, not six litres, it is four", {"water": 6.0}, {"water": 4.0}),
    ("we have 3 rockits an 4 hand flares", {}, {"rocket_flares": 3, "hand_flares": 4})])
def test_counts_in_passing(started: Started, text: str, given: Mapping[str, Value], facts: dict[str, object]) -> None:
    assert changed(last(started, text, given=given)) == facts


@pytest.mark.parametrize(("said", "over", "facts"), [
    ("Priya is bleeding from the arm", "stopped now", {"someone_bleeding": False}), ("it is raining", "it has stopped", {"raining": False}),
    ("Priya is bleeding from the arm", "he has stopped", {}), ("how do we bail", "stopped now", {}), ("the boat is on fire", "it's over", {"vessel_on_fire": False}), ("she is not breathing", "stopped again", {}),
    ("she is not breathing", "it has stopped", {}), ("a man is in the water", "gone now", {})])
def test_what_is_over_is_what_was_spoken_of(started: Started, said: str, over: str, facts: dict[str, object]) -> None:
    assert changed(last(started, said, over, given={"aboard_raft": True})) == facts


@pytest.mark.parametrize(("text", "litres"), [
    ("we got 9 half litre water bags", 4.5), ("nine 500 ml water pouches", 4.5), ("12 of the half litre water sachets", 6.0), ("nine half litres of water", 4.5),
    ("three 2 litre jugs of water", 6.0), ("two and a half litre bottles of water", 2.5), ("there's 7 wee cartons of water at 250 ml a go", 1.75),
    ("water is six bottles by 0.75 litre", 4.5), ("thirty sachets of water of 50 ml", 1.5), ("one gallon jug of drinking water about half full", 1.893)])
def test_so_many_of_so_much(started: Started, text: str, litres: float) -> None:
    assert changed(last(started, text)) == {"water": pytest.approx(litres, abs=0.001)}  # a US gallon is 3.785411784 L (NIST Handbook 44, appendix C)


@pytest.mark.parametrize(("text", "kcal"), [
    ("nine blocks of 250 kilocalories", 2250.0), ("we have three tins of meat, 400 calories a tin", 1200.0), ("there's six ration packs in it, 2000 kcal in every pack", 12000.0)])
def test_so_many_of_so_much_to_eat(started: Started, text: str, kcal: float) -> None:
    assert changed(last(started, text)) == {"food": kcal}


def test_a_wind_force_is_put_right_by_its_table(started: Started) -> None:
    assert changed(last(started, "wind is force 5")) == {"wind_speed": 19.0}
    assert changed(last(started, "wind is force 5", "no, 8")) == {"wind_speed": 37.0}


@pytest.mark.parametrize(("text", "facts"), [
    ("the mate said throw the drogue out", {}), ("captain is shouting cut the rope", {}), ("she tells us to shut the canopy", {}),
    ("FIRE the galley is on fire help", {"vessel_on_fire": True}), ("our cuzin just fell in the sea", {"person_in_water": True}),
    ("my dads in the water", {"person_in_water": True}), ("plane!! can't see it but can hear it", {"aircraft_in_sight": True}),
    ("big waves, nine feet or so", {"wave_height": 2.7432}), ("it is freezing cold in here", {}),
    ("my little girl keeps being sick", {"someone_seasick": True}), ("is a hole in the lower tube", {"leak_open": True})])
def test_what_is_told_and_what_is_not(started: Started, text: str, facts: dict[str, object]) -> None:
    assert changed(last(started, text, given={"aboard_raft": True})) == pytest.approx(facts, abs=1e-3)


@pytest.mark.parametrize(("asked", "done", "facts"), [
    ("how do I stream the drogue", "done, and she rides much better", {"drogue_set": True}),
    ("how do we pump the floor up", "done. what next", {"floor_inflated": True}),
    ("how do we pump the floor up", "done, the canopy is shut as well", {"canopy_closed": True}),
    ("how do we pump the floor up", "done", {"floor_inflated": True})])
def test_done_and_more(started: Started, asked: str, done: str, facts: dict[str, object]) -> None:
    """What follows on `done` is what is done, where it tells something."""
    assert changed(last(started, asked, done, given={"aboard_raft": True, "painter_cut": True})) == facts


@pytest.mark.parametrize(("said", "further", "topics"), [
    ("there's a hole in the tube", "and if it's below the waterline?", {"leak", "repair_kit"}),
    ("how do I aim the mirror", "and if there's no sun?", {"signal_mirror", "improvised_signal"}),
    ("how do you do SOS with the torch", "what if the batteries die", {"torch", "beacon_life", "raft_lights", "improvised_signal"}),
    ("the raft is upside down", "which side do I heave from", {"raft_upside_down"}),
    ("nan is on watch now", "how long should she do it before she is relieved", {"watch_rota", "lookout", "leader_and_watches"}),
    ("nan is on watch now", "when is she relieved", {"watch_rota", "lookout", "leader_and_watches"}),
    ("nan is on watch now", "who relieves her", {"watch_rota", "lookout", "leader_and_watches"}),
    ("nan is on watch now", "how long before somebody relieves her", {"watch_rota", "lookout", "leader_and_watches"}),
    ("nan is on watch now", "how long till someone takes over from her", {"watch_rota", "lookout", "leader_and_watches"}),
    ("tom is our lookout", "how long before anyone relieves him", {"watch_rota", "lookout", "leader_and_watches"}),
    ("tom is our lookout", "how long before anyone finds us", {"rescue_wait"}),
    ("tom is our lookout", "what if he is bleeding", {"bleeding"})])
def test_what_cannot_be_understood_alone(started: Started, said: str, further: str, topics: set[str]) -> None:
    assert last(started, said, further, given={"aboard_raft": True}).topic in topics


@pytest.mark.parametrize(("text", "facts"), [
    ("we had six hand flares but burned two", {"hand_flares": 4}), ("started with 8 rockets, fired 3", {"rocket_flares": 5}),
    ("there are four rockets, one of us is asleep", {"rocket_flares": 4}), ("the rockets are wet, three of us are cold", {}),
    ("fired a rocket, one of the lads burned his hand", {})])
def test_what_was_counted_is_spoken_of_in_the_same_breath(started: Started, text: str, facts: dict[str, object]) -> None:
    assert changed(last(started, text)) == facts


@pytest.mark.parametrize(("text", "facts"), [
    ("eight pouches of half a litre, that is four litres of water", {"water": 4.0}), ("two litres in the jug and one in the bag, makes three in all", {"water": 3.0}),
    ("the mate has 3 litres and there's 4 in the can so 7", {"water": 7.0}), ("the mate has 3 litres and there's 4 in the can", {"water": 7.0}),
    ("two swam across to us, which makes nine of us", {"persons": 9}), ("3 litres in the can and six of us in the raft", {"water": 3.0, "persons": 6, "aboard_raft": True})])
def test_a_sum_counts_once(started: Started, text: str, facts: dict[str, object]) -> None:
    assert changed(last(started, text)) == facts


@pytest.mark.parametrize(("text", "facts"), [
    ("i'd say force 8", {"wind_speed": 37.0}), ("it's 9 degrees, the sea", {"sea_temperature": 9.0}), ("wind is up to 20 knots, sea about two", {"wind_speed": 20.0, "wave_height": 2.0}),
    ("wind 20 knots, air 4, sea 9", {"wind_speed": 20.0, "air_temperature": 4.0, "sea_temperature": 9.0})])
def test_the_wind_and_what_stands_beside_it(started: Started, text: str, facts: dict[str, object]) -> None:
    assert changed(last(started, text)) == facts


@pytest.mark.parametrize("text", ["where will we be at dawn, the plotter said 47.5 N 6.25 W", "when's it get light, 47 30 north 6 15 west?"])
def test_a_position_is_told_beside_a_question(started: Started, text: str) -> None:
    assert changed(last(started, text)) == {"latitude": 47.5, "longitude": -6.25}


def test_what_stands_ashore_is_no_wave_and_a_wish_no_sighting(started: Started) -> None:
    assert changed(last(started, "the masts are about 20 metres tall")) == {}
    assert changed(last(started, "the seas are about three metres by my eye")) == {"wave_height": 3.0}
    assert changed(last(started, "oh for a helicopter over us now")) == {}


@pytest.mark.parametrize("text", ["on the drill Wednesday the raft came up inverted and we righted it", "during Friday's exercise the drogue was lost", "what would the daylight be at 47 N 6 W"])
def test_another_day_and_another_place_tell_nothing(started: Started, text: str) -> None:
    assert changed(last(started, text)) == {}


def test_one_was_none_so_it_is_one_less(started: Started) -> None:
    assert changed(last(started, "there are 3 thermal bags", "no wait, one of them was a bin bag, so 2")) == {"thermal_aids": 2}


@pytest.mark.parametrize(("text", "dressed"), [
    ("suits on", True), ("everyone's dressed and lifejackets are on", True), ("all the lifejackets are on", True), ("nobody is dressed yet", False), ("the suits are still in the locker", False)])
def test_who_is_dressed_to_leave(started: Started, text: str, dressed: bool) -> None:
    turn = last(started, "the boat is on fire", text)
    assert changed(turn) == {"dressed": dressed}
    assert ("dress_lifejacket" in {item.step.id for item in turn.next}) is not dressed


@pytest.mark.parametrize("text", ["put the suits on", "are the lifejackets on", "the suits are on the deck", "dressed his arm with a shirt"])
def test_who_is_not_said_to_be_dressed(started: Started, text: str) -> None:
    assert "dressed" not in changed(last(started, "the boat is on fire", text))


def test_what_was_open_for_a_while_is_shut_again(started: Started) -> None:
    given = {"aboard_raft": True, "canopy_closed": True}
    assert changed(last(started, "opened the canopy for ten minutes to air it", given=given)) == {}
    assert changed(last(started, "opened the canopy", given=given)) == {"canopy_closed": False}


def test_one_thing_called_by_name_is_asked_about(started: Started) -> None:
    assert last(started, "sea anchor is out", "where do we put the epirb").topic == "epirb"


@pytest.mark.parametrize(("text", "facts"), [
    ("fired two rockets and no answer", {"rocket_flares": 2}), ("he gives no answer when i shake him", {"someone_unconscious": True}),
    ("can hear an engine", {}), ("i hear the plane's engine", {"aircraft_in_sight": True}), ("seas are four metres I should say", {"wave_height": 4.0})])
def test_no_answer_and_an_engine(started: Started, text: str, facts: dict[str, object]) -> None:
    assert changed(last(started, text, given={"rocket_flares": 4})) == facts


@pytest.mark.parametrize(("named", "facts"), [("the rockets", {"rocket_flares": None}), ("the drogue", {"drogue_set": None}), ("the wind", {"wind_speed": None}), ("the smokes", {})])
def test_what_was_said_of_a_thing_is_taken_back(started: Started, named: str, facts: dict[str, object]) -> None:
    assert changed(last(started, "there are 3 rockets", "drogue is out", "wind is 20 knots", f"scrap what I said about {named}")) == facts


@pytest.mark.parametrize(("text", "facts"), [
    ("it's one of ours, in the water", {"person_in_water": True}), ("two of ours are in the water", {"person_in_water": True}), ("dad of three here, we're in the raft", {"aboard_raft": True}),
    ("we are from a small coastal fishing boat", {}), ("nane o us have had a tablet", {"seasick_pills": False}), ("couple of us getting thick heads", {})])
def test_what_looks_like_an_amount_and_is_none(started: Started, text: str, facts: dict[str, object]) -> None:
    assert changed(last(started, text)) == facts


def test_with_everybody_in_nobody_is_in_the_water(started: Started) -> None:
    given = {"aboard_raft": True, "all_accounted": True}
    turn = last(started, "sam fell in the sea", "everyone's in now, nobody missing", given=given)
    assert turn.state["person_in_water"] is False and not {item.step.topic for item in turn.next} & {"recover_swimmer", "in_the_water"}
    assert last(started, "sam fell in the sea", "we should count that everyone is in", given=given).state["person_in_water"] is True


def test_what_is_over_does_not_stand_before_what_has_begun(started: Started) -> None:
    assert last(started, "the raft is upside down", "flipped it right, sam fell in the sea").topic in ("recover_swimmer", "in_the_water")
