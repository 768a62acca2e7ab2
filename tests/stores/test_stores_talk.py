"""Packs and dates in a talk: by list or by report, asked for where not known, in-date signals counted."""
from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

import pytest

from guide.knowledge.records import Value
from guide.session import Session
from guide.starting import Started, start
from guide.turn import Turn


@pytest.fixture(scope="module")
def started() -> Started:
    return start()


def talk(started: Started, *lines: str, **given: Value) -> tuple[Session, Turn]:
    session = started.session(clock=lambda: "2026-11-25T10:00:00+00:00")
    session.given(given)
    turns = [session.answer(line) for line in lines]
    return session, turns[-1]


def said(started: Started, *lines: str, **given: Value) -> str:
    return " ".join(talk(started, *lines, **given)[1].notes)


# LSA Code 4.1.5.3: half the signals, no water, no food; 4.1.5.1.21 and .24: a bag for each, thermal aids for a tenth, two at least.
# 46 CFR 160.051-11(b): a second knife from 13.
@pytest.mark.parametrize(("line", "holds", "lacks"), [
    ("what's in a B pack for ten", ("parachute rocket 2;", "seasickness bags 10;", "thermal protective aid 2;"), ("drinking water 1", "food rations")),
    ("what is in a coastal pack for 13", ("safety knife 2;", "no flares, rockets or smoke"), ("parachute rocket 1", "first-aid kit 1")),
    ("what does an A pack hold for 25 people", ("drinking water 37.5 L;", "food rations 250,000 kJ", "thermal protective aid 3;"), ()),
    ("what's the difference between A and B for 12", ("parachute rocket 4 / 2;", "drinking water 18 L / none;"), ("whistle 1",))])
def test_the_list_of_a_pack(started: Started, line: str, holds: tuple[str, ...], lacks: tuple[str, ...]) -> None:
    session, turn = talk(started, line)
    told = " ".join(turn.notes)
    assert all(text in told for text in holds) and not any(text in told for text in lacks)
    assert not session.state.known()  # a question about a pack is no report of one


@pytest.mark.parametrize(("lines", "ends", "knows"), [
    (("how many rockets should we have", "B"), "Parachute rocket: 2 by the SOLAS B pack's list.", {"pack": "solas_b"}),
    (("how many rockets should we have", "it's a coastal pack"), "Parachute rocket: none by the Coastal Service pack's list.", {"pack": "coastal"}),
    (("how much water should there be", "an A pack, for ten"), "Drinking water: 15 L by the SOLAS A pack's list for 10 persons.",
     {"pack": "solas_a", "raft_capacity": 10}),
    (("how much water should there be", "A", "six people"), "Drinking water: 9 L by the SOLAS A pack's list for 6 persons.",
     {"pack": "solas_a", "persons": 6})])
def test_what_is_not_known_is_asked_for_and_taken_next(started: Started, lines: tuple[str, ...], ends: str, knows: Mapping[str, Value]) -> None:
    session, turn = talk(started, *lines)
    assert turn.notes == (ends,) and session.state.known() == knows


@pytest.mark.parametrize(("lines", "holds"), [
    (("what is in a coastal pack for 4", "and for 25 people?"), "Coastal Service pack for 25 persons, by its published list."),
    (("what's in an A pack for 4", "and a B pack?"), "SOLAS B pack for 4 persons, by its published list."),
    (("what's in an A pack", "what about a coastal one for 13"), "Coastal Service pack for 13 persons, by its published list."),
    (("how much water is in an A pack for 6", "and for twelve?", "and a coastal pack?"), "Drinking water: none by the Coastal Service pack's list.")])
def test_the_same_is_asked_of_another_pack_or_number(started: Started, lines: tuple[str, ...], holds: str) -> None:
    session, turn = talk(started, *lines)
    assert turn.notes[0].startswith(holds) and not session.state.known()


def test_the_pack_is_asked_for_by_name(started: Started) -> None:
    _, turn = talk(started, "how many rockets should we have")
    assert "SOLAS A pack 4; SOLAS B pack 2; Coastal Service pack none" in turn.notes[0]
    assert turn.question and turn.question.wants == ("pack",) and turn.question.listed and "Which pack does the raft carry" in turn.notes[1]


def test_whether_there_is_one_and_how_that_is_known(started: Started) -> None:
    assert "depends on the pack" in said(started, "is there a pump")
    assert said(started, "is there a pump", pack="coastal").startswith("Topping-up pump: 1 by the Coastal Service pack's list. That is the list.")
    assert said(started, "is there a pump", has_pump=False, pack="coastal") == "Topping-up pump: no, as was reported."
    assert said(started, "have we got any flares", pack="solas_b", rocket_flares=1).startswith(
        "Parachute rocket: 1, as was counted. Hand flare: 3 by the SOLAS B pack's list.")
    # LSA Code 4.1.5.1.5: two sea anchors, one of them spare.
    assert said(started, "how many sea anchors should the raft have", pack="solas_a") == (
        "Drogue: 1 by the SOLAS A pack's list. Spare drogue: 1 by the SOLAS A pack's list.")
    assert said(started, "what does a B pack not have").startswith("SOLAS B pack: It holds no drinking water and no food at all")
    assert "no pack's list has one" in said(started, "is there an EPIRB", pack="solas_a")


@pytest.mark.parametrize("line", [
    "is there water in the raft", "do we have enough water", "do we have water for ten days", "how many rockets should we fire", "how much water should we drink",
    "what does SOLAS B PACK mean on the container", "who carries a B pack", "is the pump broken", "there is a knife in the bag",
    "is there smoke", "is there any smoke aboard", "is there a knife in the water", "is there a rocket up there", "do we have to pump"])
def test_other_questions_are_not_taken_for_one_about_the_list(started: Started, line: str) -> None:
    assert not re.search(r": (?:\S+ )*by the SOLAS|, by its published list", said(started, line, pack="solas_a", persons=6))


# By common practice, without a source: what is in date counts, what is not is a reserve.
@pytest.mark.parametrize(("line", "counts"), [
    ("we found 4 rockets, 2 out of date", {"rocket_flares": 2}), ("we have 4 rockets but 2 are expired", {"rocket_flares": 2}),
    ("four rockets, two of them past their date", {"rocket_flares": 2}), ("we have 4 rockets, 3 in date", {"rocket_flares": 3}),
    ("we have 4 rockets and 6 hand flares, 2 of the hand flares are out of date", {"rocket_flares": 4, "hand_flares": 4}),
    ("we have 4 rockets, none of them out of date", {"rocket_flares": 4}), ("we found 4 rockets, all out of date", {"rocket_flares": 4}),
    # Whether two more or two of these, of how many, which ones: asked, not guessed.
    ("4 rockets and 2 expired ones", {}), ("two of the rockets are out of date", {}), ("4 rockets, 5 out of date", {}),
    ("found 6 hand flares, both out of date", {}), ("we found 2 expired rockets", {})])
def test_what_is_in_date_counts(started: Started, line: str, counts: Mapping[str, Value]) -> None:
    session, turn = talk(started, line)
    assert session.state.known() == counts
    assert bool(counts) or "how many are in date?" in turn.notes[0] and turn.question and turn.question.wants[:1]


def test_old_ones_found_beside_good_ones_add_nothing(started: Started) -> None:
    session, turn = talk(started, "we found 4 rockets, 2 out of date", "we found 2 more rockets, both out of date")
    assert session.state.known() == {"rocket_flares": 2} and "The 0 in date count" in turn.notes[0]


def test_how_it_was_counted_is_said(started: Started) -> None:
    assert "4 told of, 2 out of date. The 2 in date count; the others are a reserve" in said(started, "we found 4 rockets, 2 out of date")
    assert "none in date" in said(started, "we found 4 rockets, all out of date")
    session, _ = talk(started, "two of the rockets are out of date", "3")
    assert session.state.known() == {"rocket_flares": 3}


def test_a_vessels_own_pack_in_a_talk() -> None:
    own = start(overlay=Path(__file__).parent.parent.parent / "transcripts_demo" / "own_pack.yaml")
    assert "heat pads 8." in said(own, "what's in our pack") and "Launch pack for 4 persons" in said(own, "what's in our pack")
    assert said(own, "have we got hand warmers").startswith("Heat pads: 8 by the Launch pack's list for 4 persons.")
