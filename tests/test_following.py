"""A turn that leans on the turn before: put right, taken back, asked further, one more of the same."""
from __future__ import annotations

from collections.abc import Mapping

import pytest

from guide.knowledge.records import Value
from guide.starting import Started, start
from guide.turn import Turn
from tests.talking import changed

AT = "2031-04-05T06:07:08+00:00"


@pytest.fixture(scope="module")
def started() -> Started:
    return start()


def last(started: Started, *lines: str, **given: Value) -> Turn:
    """The reply to the last of these lines."""
    session = started.session(clock=lambda: AT)
    session.given(given)
    return [session.answer(line) for line in lines][-1]


# ---- amounts put right

@pytest.mark.parametrize(("said", "right", "given", "now"), [
    ("we have four hand flares", "no wait, five", {}, {"hand_flares": 5}),
    ("there are three rockets in the bag", "sorry, there's two", {}, {"rocket_flares": 2}),
    ("nine litres of water", "oh, I beg your pardon, seven", {}, {"water": 7.0}),
    ("eight of us in here", "make that nine", {}, {"persons": 9}),
    ("eight of us in here", "make that nine, there's a baby as well", {}, {"persons": 9}),
    ("we burned three hand flares", "no, it was two", {"hand_flares": 6}, {"hand_flares": 4}),
    ("we drank a litre", "no wait, a litre and a half", {"water": 6.0}, {"water": 4.5}),
    ("caught two litres of rain", "correction, three", {"water": 4.0}, {"water": 7.0})])
def test_a_number_by_itself_puts_the_last_one_right(started: Started, said: str, right: str, given: Mapping[str, Value], now: dict[str, object]) -> None:
    assert changed(last(started, said, right, **given)) == now


@pytest.mark.parametrize(("text", "now"), [("we have 5 hand flares. no, 6", {"hand_flares": 6}), ("four rockets, sorry, five", {"rocket_flares": 5}),
                                           ("seven of us - no wait, eight", {"persons": 8})])
def test_a_sentence_puts_itself_right(started: Started, text: str, now: dict[str, object]) -> None:
    assert changed(last(started, text)) == now


def test_a_number_that_may_be_either_is_asked_for(started: Started) -> None:
    turn = last(started, "four rockets and six hand flares", "no wait, five")
    assert changed(turn) == {} and any("Which number" in note for note in turn.notes)


def test_a_count_put_right_can_be_taken_back(started: Started) -> None:
    assert changed(last(started, "we burned three hand flares", "no, it was two", "undo", hand_flares=6)) == {"hand_flares": 3}


# ---- taken back

@pytest.mark.parametrize("words", ["would you please undo that last one", "no, undo that", "kindly strike that last entry", "could you scratch that",
                                   "cancel the last thing I said", "I take that back", "no no, take back last one"])
def test_polite_and_plain_ways_of_taking_back(started: Started, words: str) -> None:
    assert changed(last(started, "the drogue is out", words)) == {"drogue_set": None}


@pytest.mark.parametrize("words", ["no", "no.", "yes", "ok", "forget the drogue, where is the knife", "cancel the mayday", "ignore the wind", "rub it", "how do I take something back"])
def test_what_takes_nothing_back(started: Started, words: str) -> None:
    assert "drogue_set" not in changed(last(started, "the drogue is out", "what won the cup", words))


# ---- done

@pytest.mark.parametrize("words", ["done", "k done", "that has been done", "ok I did that", "yes, that's done now", "we've done it", "job done, skipper"])
def test_done_after_asking_how(started: Started, words: str) -> None:
    assert changed(last(started, "how do I cut us loose", words, aboard_raft=True, persons=4, all_accounted=True)) == {"painter_cut": True}


# ---- asked further

@pytest.mark.parametrize(("said", "further", "topics"), [
    ("how far off can they see a rocket", "and in broad daylight?", {"signal_range", "rocket_flare", "flare_timing"}),
    ("Mia got fuel in her eyes", "how do I treat that", {"fuel_in_eyes"}),
    ("the canopy has ripped along the door", "and how do we fix that", {"canopy_torn", "repair_kit"}),
    ("the drogue tore off", "how do I make another one", {"drogue_lost", "drogue"}),
    ("everybody has had a seasickness tablet", "how often can we have another", {"seasickness"}),
    ("what do we do when the helicopter's wire comes down", "and who goes first", {"helicopter_rescue"})])
def test_a_question_without_a_subject_is_about_the_turn_before(started: Started, said: str, further: str, topics: set[str]) -> None:
    turn = last(started, said, further, aboard_raft=True)
    assert turn.outcome == "answered" and turn.topic in topics


@pytest.mark.parametrize("text", ["will the exam board move my deadline for this", "what is the price of diesel this week", "who won the match on Saturday",
                                  "can you help me with my maths homework"])
def test_small_talk_is_not_about_the_turn_before(started: Started, text: str) -> None:
    assert last(started, "how do I light a hand flare", text).outcome == "outside"


# ---- one more of the same

@pytest.mark.parametrize(("said", "more", "given", "now"), [
    ("we have six hand flares", "burned two of them", {}, {"hand_flares": 4}),
    ("fired a rocket", "and fired another one", {"rocket_flares": 4, "hand_flares": 6}, {"rocket_flares": 2}),
    ("three smokes in the locker", "used one", {}, {"smoke_signals": 2})])
def test_what_is_counted_without_being_named_was_named_before(started: Started, said: str, more: str, given: Mapping[str, Value], now: dict[str, object]) -> None:
    assert changed(last(started, said, more, **given)) == now


# ---- what belongs to the words

@pytest.mark.parametrize(("text", "now"), [
    ("Edvin's in the water, twenty metres off", {"person_in_water": True}),
    ("the waves are ten feet high", {"wave_height": 3.048}),
    ("the beacon's on and so is the transponder", {"epirb_on": True, "sart_on": True}),
    ("we have neither rockets nor smokes left", {"rocket_flares": 0, "smoke_signals": 0}),
    ("all four aboard the raft", {"persons": 4, "aboard_raft": True, "all_accounted": True}),
    ("plane! there it is, I can see it", {"aircraft_in_sight": True}),
    ("the boat's on fire and I don't know what comes first", {"vessel_on_fire": True}),
    ("the pack is a SOLAS B", {"pack": "solas_b"}),
    ("bosun, get the drogue out", {}),
    ("cold", {}), ("hypothermia", {}), ("unconscious", {}), ("dark", {"night": True}), ("plane!", {"aircraft_in_sight": True}),
    ("the mate has burnt both her hands", {})])
def test_a_sentence_tells_what_it_says_and_no_more(started: Started, text: str, now: dict[str, object]) -> None:
    assert changed(last(started, text)) == now


@pytest.mark.parametrize(("text", "now"), [("got him in hes freezin and not makin sence", False), ("we pulled her aboard", False), ("hauled them in", False),
                                           ("we got him in the water", None)])
def test_somebody_got_in_is_in_the_water_no_more(started: Started, text: str, now: bool | None) -> None:
    """Or the plan would go on throwing the ring."""
    turn = last(started, "one of us is in the water", text, aboard_raft=True)
    assert changed(turn).get("person_in_water") is now
    assert ("recover_throw" in [item.step.id for item in turn.next]) is (now is None)


# ---- what it is

@pytest.mark.parametrize(("said", "further", "now"), [
    ("shall we cut the rope?", "I've cut it", {"painter_cut": True}),
    ("where's the knife for the painter", "done, cut it", {"painter_cut": True}),
    ("how do I switch the transponder on", "it's on now", {"sart_on": True}),
    ("how much line for the sea anchor", "done, it's out", {"drogue_set": True})])
def test_it_is_what_is_spoken_of(started: Started, said: str, further: str, now: dict[str, object]) -> None:
    turn = last(started, said, further, aboard_raft=True)
    assert changed(turn) == now


@pytest.mark.parametrize("text", ["they say somebody called but not one of them saw it", "one of them is bleeding"])
def test_them_are_not_the_flares_where_nothing_is_used(started: Started, text: str) -> None:
    assert "hand_flares" not in changed(last(started, "we have six hand flares", text))


def test_a_circumstance_asked_of_what_is_spoken_of_is_about_that(started: Started) -> None:
    assert last(started, "there is a plane overhead", "and if it's dark?", aboard_raft=True).topic in {"aircraft_sighted", "signal_mirror"}


def test_what_is_taken_back_is_what_was_just_said(started: Started) -> None:
    turn = last(started, "the drogue is out", "my hands are stiff and my back is sore", "scratch that")
    assert changed(turn) == {} and "nothing was noted of that" in turn.notes[0]
    assert changed(last(started, "the drogue is out", "my hands are stiff and my back is sore", "undo")) == {"drogue_set": None}


@pytest.mark.parametrize(("said", "right", "given", "now"), [
    ("we drank two litres", "no wait, three, the boy is thirsty", {"water": 9.0}, {"water": 6.0}),
    ("burned two hand flares", "negative. burned one", {"hand_flares": 3}, {"hand_flares": 2}),
    ("three thousand kcal of food", "sorry, not 3000, it's 3500", {}, {"food": 3500.0})])
def test_a_correction_may_say_more_than_its_number(started: Started, said: str, right: str, given: Mapping[str, Value], now: dict[str, object]) -> None:
    assert changed(last(started, said, right, **given)) == now


@pytest.mark.parametrize("text", ["it's ok now", "it was cold last night", "it is what it is", "it hurts"])
def test_it_is_not_the_thing_where_the_words_do_not_sound_like_it(started: Started, text: str) -> None:
    assert changed(last(started, "how do I switch the beacon on", text)) == {}


def test_no_is_not_a_number(started: Started) -> None:
    assert "persons_missing" not in changed(last(started, "what if it gets dark before we find him", "No, he is still missing", persons_missing=1))


# ---- names

def test_the_name_of_an_item_asks_about_it_and_tells_nothing(started: Started) -> None:
    """Of every item by every name: `rocket` is no rocket left, `painter line` no painter cut."""
    reader = started.reader
    names = {name for item in started.knowledge.equipment.values() for name in (item.name, *item.also)}
    telling = {name: told for name in names if (told := [t for reading in reader.read(name).readings for t in reading.told])}
    assert len(names) > 400 and telling == {}


@pytest.mark.parametrize("told, asked, topic", [
    ("shot one rocket", "how many of those do we still have", "flare_count"), ("we have fired two rockets", "how many do we have now?", "flare_count"),
    ("we all had some, that used up one litre", "how much have we got left then", "water_budget"), ("we used two litres of water today", "leaving what?", "water_budget"),
    ("fired a rocket", "what have we done", "what_done"), ("fired a rocket", "what now", "what_now")])
def test_what_is_left_is_asked_of_what_was_counted(started: Started, told: str, asked: str, topic: str) -> None:
    turn = last(started, told, asked, persons=6, rocket_flares=4, water=9.0)
    assert (turn.outcome, turn.topic, changed(turn)) == ("answered", topic, {})


@pytest.mark.parametrize(("lines", "note"), [
    (("we have 9 litres, 3 rockets and two hand flares", "fired two rockets", "how many rockets are left"), "Parachute rockets left: 1."),
    (("we have 9 litres of water", "drank half a litre", "how much water is left now"), "Drinking water aboard: 8.5 L."),
    (("we have 9 litres of water", "drank half a litre", "how many days does the rest last"), "Drinking water aboard: 8.5 L.")])
def test_how_much_of_a_stock_is_left_is_said_first(started: Started, lines: tuple[str, ...], note: str) -> None:
    assert last(started, *lines).notes[:1] == (note,)


def test_a_stock_of_which_nothing_is_known_is_asked_for(started: Started) -> None:
    turn = last(started, "we are in the raft", "how many rockets are left")
    assert turn.topic == "flare_count" and not any("rockets left: " in note for note in turn.notes)


# ---- which of two is meant

@pytest.mark.parametrize("text", ["one flare left", "two flares left", "we have 4 flares"])
def test_flares_that_may_be_of_either_kind_are_asked_for(started: Started, text: str) -> None:
    turn = last(started, text, pack="solas_b")
    assert changed(turn) == {} and not turn.figures and turn.notes[0].startswith("Which flares")


@pytest.mark.parametrize(("text", "now"), [("one hand flare left", {"hand_flares": 1}), ("two rockets left", {"rocket_flares": 2})])
def test_flares_with_a_name_are_counted(started: Started, text: str, now: dict[str, object]) -> None:
    turn = last(started, text)
    assert changed(turn) == now and not any("Which flares" in note for note in turn.notes)
