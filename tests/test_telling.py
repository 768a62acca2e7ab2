"""Which facts a sentence of a talk tells, and what labelled talks teach. The sentences are our own; nothing here is a source."""
from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from guide.knowledge import compiling
from guide.knowledge.base import Knowledge
from guide.knowledge.problems import Place
from guide.knowledge.records import Value
from guide.language import weights
from guide.language.kits import kind_of_pack
from guide.language.reading import Reader
from guide.language.utterances import Lent, Utterance
from guide.language.weighing import Weighing
from guide.language.wording import regular
from guide.starting import Started, start
from guide.talk.before import Talk, says_over
from guide.talk.examples import Example, Said
from guide.talk.fitting import Asked, answering
from guide.talk.hints import Hint
from guide.talk.lessons import with_lessons
from guide.talk.telling import ADD, KEEP, URGENT, Telling, likely
from tests.talking import changed, last

PLACE = Place("talks/somebody.yaml", 1, 1)


@pytest.fixture(scope="module")
def started() -> Started:
    return start()


@pytest.fixture(scope="module")
def reader(knowledge: Knowledge) -> Reader:
    return Reader(knowledge, weights.read(compiling.default_folder() / weights.FILE))


# ---- the choice

def test_what_is_fitted_tells_what_was_told() -> None:
    """Two clues, of which one always stands with what was told."""
    asked = [Asked({"sure": 1.0, "long": float(number % 2)}, told=True) for number in range(6)]
    asked += [Asked({"sure": -1.0, "long": float(number % 2)}, told=False) for number in range(6)]
    found = answering(asked)
    assert found.alone["sure"] > 1.0 and abs(found.alone["long"]) < 0.1
    assert all((likely(each.clues, found) > 0.5) is each.told for each in asked)


def test_what_is_told_only_by_clues_together_is_fitted() -> None:
    """Told where one of two clues stands, not where both or neither do."""
    asked = [Asked({"near": a, "asks": b}, told=a != b) for a in (0.0, 1.0) for b in (0.0, 1.0)] * 200
    found = answering(asked)
    assert all(0.4 < likely(each.clues, Weighing(found.alone)) < 0.6 for each in asked)
    assert all((likely(each.clues, found) > 0.5) is each.told for each in asked)


class Hinted(Telling):
    """Hears one fact that no clause tells, with one clue."""

    def __init__(self, knowledge: Knowledge, reader: Reader, label: str) -> None:
        super().__init__(knowledge, reader)
        self._label = label

    def hints(self, talk: Talk, utterance: Utterance) -> Mapping[str, Hint]:
        return {self._label: Hint(0, kept=False, clues={f"new: {self._label}": 1.0})}


@pytest.mark.parametrize(("label", "worth", "heard"), [
    ("leak_open=true", 0.85, True), ("leak_open=true", -0.1, False), ("drogue_set=false", 0.85, False), ("drogue_set=false", 2.0, True)])
def test_what_no_clause_tells_needs_more(knowledge: Knowledge, label: str, worth: float, heard: bool) -> None:
    """A clue worth 0.85: a likelihood of 0.70 keeps what a clause tells, is enough for an emergency that begins, and adds nothing else."""
    assert KEEP < URGENT < likely({"own": 1.0}, Weighing({"own": 0.85})) < ADD
    reader = Reader(knowledge, weights.read(compiling.default_folder() / weights.FILE)._replace(tells=Weighing({f"new: {label}": worth})))
    read = reader.read("the tube has a hole and air hisses out of it")
    bare = read._replace(readings=tuple(reading._replace(told=()) for reading in read.readings))
    told = {told.fact for reading in Hinted(knowledge, reader, label).heard(Talk(knowledge), bare).readings for told in reading.told}
    assert told == ({label.partition("=")[0]} if heard else set())


def test_of_a_fact_only_the_likelier_is_told(knowledge: Knowledge) -> None:
    """Both values of one fact are likely enough to be told: so and not so would undo each other."""
    class Both(Telling):
        def hints(self, talk: Talk, utterance: Utterance) -> Mapping[str, Hint]:
            return {"raft_inverted=true": Hint(0, kept=False, clues={"own": 1.0}), "raft_inverted=false": Hint(0, kept=False, clues={"own": 2.0})}

    tells = {"own": 2.0, "new: raft_inverted=true": 0.0, "new: raft_inverted=false": 0.0}
    reader = Reader(knowledge, weights.read(compiling.default_folder() / weights.FILE)._replace(tells=Weighing(tells)))
    read = reader.read("we flipped the raft back over")
    bare = read._replace(readings=tuple(reading._replace(told=()) for reading in read.readings))
    heard = Both(knowledge, reader).heard(Talk(knowledge), bare)
    assert [(told.fact, told.value) for reading in heard.readings for told in reading.told] == [("raft_inverted", False)]


def test_without_weights_nothing_changes(knowledge: Knowledge) -> None:
    learned = weights.read(compiling.default_folder() / weights.FILE)
    reader = Reader(knowledge, learned._replace(tells=Weighing({})))
    utterance = reader.read("the tube has a hole, I can hear it hiss")
    assert Telling(knowledge, reader).heard(Talk(knowledge), utterance) == utterance


@pytest.mark.parametrize(("text", "known"), [
    ("the vessel is still afloat, low by the stern", {}), ("the drogue is out and pulls well", {"drogue_set": False}), ("nobody is missing, all are here", {})])
def test_what_a_clause_tells_is_never_turned_round(reader: Reader, knowledge: Knowledge, text: str, known: Mapping[str, Value]) -> None:
    utterance = reader.read(text, Lent(known))
    told = {(each.fact, each.value) for reading in utterance.readings for each in reading.told if isinstance(each.value, bool)}
    heard = Telling(knowledge, reader).heard(Talk(knowledge, known=known, begun=True), utterance)
    after = {(each.fact, each.value) for reading in heard.readings for each in reading.told if isinstance(each.value, bool)}
    assert told and not {(fact, not value) for fact, value in told} & after


def test_a_supposition_is_left_as_it_is(reader: Reader, knowledge: Knowledge) -> None:
    utterance = reader.read("what if the drogue tears off")
    telling = Telling(knowledge, reader)
    assert telling.hints(Talk(knowledge), utterance) == {} and telling.heard(Talk(knowledge), utterance) == utterance


@pytest.mark.parametrize(("text", "over"), [("it has stopped", True), ("all over now", True), ("it has stopped leaking", False), ("he has stopped", False)])
def test_what_is_over_without_a_name(text: str, over: bool) -> None:
    assert says_over(text) is over


# ---- what is told, and what is not

@pytest.mark.parametrize(("text", "given", "facts"), [
    ("the girl who would not wake has opened her eyes and talks to us", {"someone_unconscious": True}, {"someone_unconscious": False}),
    ("every one of us has swallowed a seasick pill", {}, {"seasick_pills": True}),
    ("the freighter has gone under. sank like a stone", {}, {"vessel_afloat": False}),
    ("the sheet for the rain is rigged", {}, {"rain_gear_rigged": True}),
    ("we pulled the tear together and sewed it, the roof is whole", {"canopy_damaged": True}, {"canopy_damaged": False}),
    ("sams in the watter he cant swim!!", {}, {"person_in_water": True}),
    ("the botes gone doun we just in the raft 6 of us", {}, {"vessel_afloat": False, "aboard_raft": True, "persons": 6}),
    ("two of our crew are in the water", {"aboard_raft": True}, {"person_in_water": True}),
    ("she came up wrong way round som of us in the watter", {}, {"person_in_water": True, "raft_inverted": True}),
    ("we flipt it bak over", {"raft_inverted": True}, {"raft_inverted": False}),
    ("flor is soggy and flat, nobodys pumpd it", {"aboard_raft": True}, {"floor_inflated": False})])
def test_it_is_told(started: Started, text: str, given: Mapping[str, Value], facts: Mapping[str, object]) -> None:
    assert changed(last(started, text, given=given)) == facts


@pytest.mark.parametrize("text", [
    "a bit more wind and the roof would have gone", "tomorrow we want to bail until she is dry", "let us make Ana the leader", "on my last boat we had a fire in the galley",
    "read us the card, will you", "the cook dreamt that a ship had stopped"])
def test_nothing_is_told(started: Started, text: str) -> None:
    assert changed(last(started, text, given={"aboard_raft": True})) == {}


@pytest.mark.parametrize(("text", "facts"), [
    ("the beacon is on. no wait sorry, it's not on", {"epirb_on": False}), ("the drogue is out, no sorry it isn't out", {"drogue_set": False}),
    ("please God the beacon is on", {}), ("Nora has it from the cook that somebody jumped overboard", {})])
def test_what_is_put_right_in_one_breath_and_what_is_only_prayed_for(started: Started, text: str, facts: Mapping[str, object]) -> None:
    assert changed(last(started, text)) == facts


# ---- amounts

@pytest.mark.parametrize(("lines", "given", "now"), [
    (("nine pouches of water, half a litre in each", "she drank one whole pouch"), {}, {"water": 4.0}),
    (("6 bottles of water, one litre each", "we've drunk 2 of the bottles"), {}, {"water": 4.0}),
    (("nine pouches of water, half a litre in each", "we've drunk 2 pouches", "no wait, 3"), {}, {"water": 3.0}),
    (("nine pouches of water, half a litre in each", "no wait, 8"), {}, {"water": 4.0}),
    (("we have six litres of water", "we drank two of the bottles"), {}, {}),  # nobody said what a bottle holds
    (("we fired two rockets",), {"rocket_flares": 4}, {"rocket_flares": 2}),
    (("fired two rockets", "I beg your pardon, we fired only one."), {"rocket_flares": 4}, {"rocket_flares": 3}),
    (("he used two hand flares", "no, sorry, he only used the one"), {"hand_flares": 5}, {"hand_flares": 4}),
    (("Dave drank one litre", "haha no, it was half a litre"), {"water": 6.0}, {"water": 5.5}),
    (("drinking water on hand: nine and one half litres",), {}, {"water": 9.5}), (("six and three-quarter litres of water",), {}, {"water": 6.75}),
    (("caught two litres of rain", "I must correct myself: it was three litres that we collected, not two."), {"water": 6.0}, {"water": 9.0}),
    (("she's awake and talking 2 us",), {"someone_unconscious": True}, {"someone_unconscious": False}),
    (("and the other two of us, do we need it?",), {}, {}),
    (("there are six hand flares", "burned a couple at that ship, so four left"), {}, {"hand_flares": 4}),
    (("we've four rockets", "one went up, made a lovely light"), {}, {"rocket_flares": 3}), (("we've three orange smokes", "tossed one over just now"), {}, {"smoke_signals": 2}),
    (("five litres of water in all", "sorry, misread the can, 6"), {}, {"water": 6.0}), (("ten of us in here", "miscount, 11"), {}, {"persons": 11}),
    (("two in the water over there",), {}, {"person_in_water": True}), (("we have to be off her in two minutes",), {}, {}), (("14:30 and all quiet",), {}, {}),
    (("one left the raft",), {"persons": 5}, {"persons": 4}), (("two orange smokes in the bag", "the plane is back, lit a hand one"), {"hand_flares": 3}, {"hand_flares": 2, "aircraft_in_sight": True}),
    (("four rockets in here", "lit the red one"), {}, {}), (("four rockets in here", "fired one"), {}, {"rocket_flares": 3}),
    (("the hand one, how do I hold it?",), {}, {})])
def test_how_many(started: Started, lines: tuple[str, ...], given: Mapping[str, Value], now: Mapping[str, object]) -> None:
    assert changed(last(started, *lines, given=given)) == now


# ---- what talks teach

def test_turns_become_sentences_of_the_bank(knowledge: Knowledge) -> None:
    def said(topic: str, told: Mapping[str, Value | None] | None, text: str, *, supposes: bool = False) -> Said:
        return Said((topic,), told, supposes, text, PLACE)

    talk = Example("somebody", {"rocket_flares": 4}, (
        said("leak", {"leak_open": True}, "there is a hole"), said("leak", {}, "how do I find it"), said("flare_count", {"rocket_flares": 3}, "one rocket is fired"),
        said("flare_count", {"rocket_flares": 2, "hand_flares": 3}, "two rockets left, and three hand flares"), said("hand_flare", {"hand_flares": 2}, "lit it. when do I throw it away"),
        said("take_back", {"hand_flares": 3}, "scratch that"), said("leak", {"leak_open": True}, "what if it opens again", supposes=True),
        said("outside", {}, "who won the cup"), said("cut_free", {"painter_cut": True}, "done")))
    alone = [Example("somebody", {}, (each,)) for each in (said("torch", None, "how do I do SOS"), said("drogue", {}, "get the drogue out"), said("leak", {"leak_open": True}, "a tube has a hole"))]
    before, after = knowledge.language, with_lessons(knowledge, [talk, *alone]).language

    def more(section: str) -> list[tuple[str, str]]:
        return [(phrase.means, phrase.text) for phrase in getattr(after, section)[len(getattr(before, section)):]]

    assert more("questions") == [("torch", "how do I do SOS")] and more("orders") == [("drogue", "get the drogue out")]
    assert more("reports") == [("leak", "there is a hole"), ("leak", "a tube has a hole")]
    assert more("facts") == [("leak_open=true", "there is a hole"), ("leak_open=true", "a tube has a hole")]
    assert more("follow_ups") == [
        ("leak>leak", "how do I find it"), ("leak>flare_count", "one rocket is fired"), ("rocket_flare>flare_count", "two rockets left, and three hand flares"),
        ("flare_count>hand_flare", "lit it. when do I throw it away"), ("hand_flare>take_back", "scratch that"), ("hand_flare>leak", "what if it opens again"), ("leak>cut_free", "done")]
    assert more("tellings") == [  # what is asked beside is not told; what is undone tells nothing; a bare `done` is not learned
        ("leak>rocket_flares-1", "one rocket is fired"), ("rocket_flare>rocket_flares=2, hand_flares=3", "two rockets left, and three hand flares"),
        ("flare_count>hand_flares-1", "lit it."), ("hand_flare>nothing", "scratch that")]
    assert more("suppose") == [("leak_open=true", "what if it opens again")] and more("outside") == [("", "who won the cup")]


def test_the_shipped_folder_has_what_is_told_in_talks(knowledge: Knowledge) -> None:
    bank, problems = compiling.load(Path(knowledge.folder))
    assert problems == [] and len(bank.language.tellings) > 9000
    assert {phrase.means.partition(">")[0] for phrase in bank.language.tellings} <= bank.topics.keys()


# ---- words by another spelling, and packs that are denied

@pytest.mark.parametrize(("text", "said"), [
    ("it dosn't light", "it does not light"), ("he dusnt wake", "he does not wake"), ("we havn't got one", "we have not got one"), ("a safe haven", "a safe haven"),
    ("how 2 get in", "how to get in"), ("looking 4 him", "looking for him"), ("there are 2 of us", "there are 2 of us"), ("we have 4 hand flares", "we have 4 hand flares")])
def test_a_denial_or_a_short_word_misspelt(text: str, said: str) -> None:
    assert regular(text) == said


@pytest.mark.parametrize(("text", "kind"), [
    ("what if it were a solas a pack instead of this coastal one", "solas_a"), ("ours is a coastal pack and not the solas a", "coastal"), ("it is not a solas a pack", None),
    ("there is not a pack in here", None), ("we have the b pack", "solas_b")])
def test_a_pack_that_is_denied_is_not_named(text: str, kind: str | None) -> None:
    assert kind_of_pack(text) == kind


@pytest.mark.parametrize("text", ["supose it goes dark on us", "imagin the canopy tears"])
def test_a_supposition_misspelt_changes_nothing(started: Started, text: str) -> None:
    turn = last(started, text)
    assert changed(turn) == {} and turn.supposed


def test_no_rocket_where_an_aircraft_is_about(started: Started) -> None:
    first = {given: last(started, "how do I fire the rocket", given={"aircraft_in_sight": given}).advice[0].step.id for given in (True, False)}
    assert first == {True: "rocket_aircraft_seen", False: "rocket_how"}


@pytest.mark.parametrize(("text", "first"), [
    ("should we fire the rocket at the helicopter", "rocket_aircraft_seen"), ("do I point the rocket at the plane", "rocket_aircraft_seen"),
    ("is it ok to fire a hand flare at the helicopter", "hand_flare_aircraft_seen")])
def test_never_comes_first_where_it_is_asked_about_an_aircraft_nobody_told_of(started: Started, text: str, first: str) -> None:
    turn = last(started, text, given={"aboard_raft": True})
    assert turn.advice[0].step.id == first and changed(turn) == {}


@pytest.mark.parametrize(("given", "text", "now"), [
    ({}, "Naebody's keepin the lookoot", {"lookout_posted": False}),
    ({}, "naebodys in the watter", {"person_in_water": False}),
    ({"aboard_raft": True}, "jons not in the raft hes in the watter we can see him", {"person_in_water": True}),
    ({"aboard_raft": True}, "one of us is not in the raft", {}),
    ({"aboard_raft": True}, "he's not in the raft", {}),
    ({"aboard_raft": True}, "we are not in the raft any more", {"aboard_raft": False}),
    ({}, "nobudys in the water", {"person_in_water": False}),
    ({}, "there's an engine about, I can hear it", {}),
    ({}, "I can hear it, a plane, engine and all", {"aircraft_in_sight": True}),
    ({"aircraft_in_sight": True}, "the plane's gone, and instead there's a helicopter over us", {"helicopter_near": True}),
    ({"aboard_raft": True}, "helicopter!! what do I do with the wire", {"aircraft_in_sight": True, "helicopter_near": True}),
    ({"aboard_raft": True}, "I hear a helicopter, what do we do", {"aircraft_in_sight": True}),
    ({"water": 12.0, "persons": 6}, "we used three litres for everybody today", {"water": 9.0}),
    ({}, "12 packets of 2,000 kcal, so 24,000 kcal in all", {"food": 24000.0}),
    ({"rocket_flares": 3}, "got a torch 2", {}),
    ({}, "minus 3 and 20 knots of wind would feel like what?", {}),
    ({}, "The other beacon, must it float on its line?", {}),
    ({}, "a ship that turns towards us, what does it mean", {}),
    ({}, "once we're in the raft, do we stay tied on?", {}),
    ({}, "wance we're in the raft, dae we stay tied on?", {}),
    ({}, "Good heavens, a whale", {}),
    ({}, "the trawler astern of us is on fire, poor devils", {}),
    ({}, "the boat is on fire", {"vessel_on_fire": True}),
    ({"night": False}, "Sun's come out and the rubber's gone tight as a drum", {}),
    ({"hand_flares": 3}, "tried one of the hand flares and it's a dud", {}),
    ({"rocket_flares": 4}, "fired two rockets, the third was a dud", {"rocket_flares": 2}),
    ({}, "we laced both doors, is that ok?", {"canopy_closed": True}),
    ({}, "both doors are laced, aren't they?", {}),
    ({}, "All four of us in it.", {"persons": 4, "all_accounted": True, "aboard_raft": True}),
    ({}, "now Marta keeps the lookout", {"lookout_posted": True}),
    ({}, "How many hours of light are there in January? We are on 70 north", {"latitude": 70.0}),
    ({}, "There are 10 persons in the raft, which is certified for 12.", {"persons": 10, "aboard_raft": True, "raft_capacity": 12}),
    ({}, "we have collected another four litres", {}),
    ({}, "we have taken two people from the other raft", {}),
    ({"persons": 4}, "we have taken two people from the other raft", {"persons": 6}),
    ({}, "we caught four litres of rain", {"water": 4.0}),
    ({"water": 2.0}, "we have collected another four litres", {"water": 6.0}),
    ({}, "rockets are for when we see a ship, right", {}),
    ({}, "nine were missing when that ferry sank in my father's day", {})])
def test_what_a_turn_tells(started: Started, given: Mapping[str, Value], text: str, now: Mapping[str, Value]) -> None:
    assert changed(last(started, text, given=given)) == now


@pytest.mark.parametrize(("given", "text", "now", "supposed"), [
    ({}, "The sea is 14 degrees. If somebody falls in, how long have they got?", {"sea_temperature": 14.0}, {"person_in_water": True}),
    ({"rocket_flares": 2}, "Both rockets fired. What if a ship comes?", {"rocket_flares": 0}, {"ship_in_sight": True}),
    ({"rocket_flares": 2}, "what if both rockets were fired. and a ship came", {}, {"rocket_flares": 0}),
    ({}, "we have lost the drogue, what if it gets rough", {}, {"rough": True, "drogue_set": False, "has_drogue": False})])
def test_what_is_told_before_a_what_if_is_told(started: Started, given: Mapping[str, Value], text: str, now: Mapping[str, Value], supposed: Mapping[str, Value]) -> None:
    """A sentence of its own before it; within the sentence and behind it all is supposed, or nothing."""
    turn = last(started, text, given=given)
    assert changed(turn) == now
    assert {change.fact: change.now for change in turn.supposed or ()} == supposed
