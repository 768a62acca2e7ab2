"""What clauses only seem to tell: every doubt of the knowledge, by its own example."""
from __future__ import annotations

import pytest

from guide.knowledge.base import Knowledge
from guide.knowledge.language import Doubt
from guide.language.cutting import cut
from guide.language.doubting import Doubting
from guide.language.facts import Told
from guide.language.reading import Reader
from guide.language.units import Units
from guide.starting import start

DOUBTS = start().knowledge.language.doubts


def _named(doubt: Doubt) -> str:
    return doubt.because


def _supposed(doubt: Doubt) -> list[Told]:
    """What the doubt is about, as a clause would tell it."""
    values = [doubt.value] if doubt.value is not None else [True, 3]
    return [Told(fact, value, doubt.how or "set") for fact in doubt.facts or ("drogue_set", "water") for value in values]


@pytest.fixture(scope="module")
def reader() -> Reader:
    return start().reader


@pytest.mark.parametrize("doubt", DOUBTS, ids=_named)
def test_its_example_tells_nothing_of_it(doubt: Doubt, reader: Reader) -> None:
    told = [each for reading in reader.read(doubt.such_as).readings if reading.kind == "report" for each in reading.told]
    assert not [each for each in told if not doubt.facts or each.fact in doubt.facts]


@pytest.mark.parametrize("doubt", DOUBTS, ids=_named)
def test_its_patterns_find_its_example_and_no_other_doubt_is_needed(doubt: Doubt, knowledge: Knowledge) -> None:
    doubting = Doubting([doubt], Units(knowledge.language.words), frozenset)
    for told in _supposed(doubt):
        assert any(not doubting.heard([told], piece, doubt.such_as, {}) for piece in cut(doubt.such_as)), told


@pytest.mark.parametrize(("sentence", "fact", "value"), [
    ("the boat's on fire and there's burning oil round her", "vessel_on_fire", True),
    ("we are not in the raft", "aboard_raft", False),
    ("it's very rough, breaking seas all round", "rough", True),
    ("four of us in the raft", "persons", 4),
    ("he is not in the water any more", "person_in_water", False)])
def test_what_is_plainly_told_is_not_doubted(sentence: str, fact: str, value: object, knowledge: Knowledge) -> None:
    doubting = Doubting(knowledge.language.doubts, Units(knowledge.language.words), frozenset)
    assert any(doubting.heard([Told(fact, value, "set")], piece, sentence, {}) for piece in cut(sentence))



def test_a_doubt_says_why(knowledge: Knowledge) -> None:
    doubting = Doubting(knowledge.language.doubts, Units(knowledge.language.words), frozenset)
    open_for_good, closed = Told("canopy_closed", False, "set"), "opened it for five minutes"
    assert doubting.because(open_for_good, closed, closed, {}) == "the entrances were open for a while, which is over"
    assert doubting.because(open_for_good, "the canopy is open", "the canopy is open", {}) == ""
