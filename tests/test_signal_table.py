"""The signals that rescuers use, and the do-nots of cold injury, against what is published.

Sources: the table of SOLAS V/29 (through a national leaflet), ICAO Annex 12 (signals appendix), COLREG 72 Annex IV;
MSC.1/Circ.1185/Rev.1, guide for cold water survival (parts from memory, so marked in the knowledge). Our own words.
"""
from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from guide.knowledge.compiling import Knowledge
from guide.knowledge.records import Caution, Step

# clause, published in, and the words that the crew's answer must hold
SIGNALS = (
    ("sig-rep-1", "SOLAS V/29 table, replies by day", "orange.*seen"),
    ("sig-rep-2", "SOLAS V/29 table, replies at night", "three white stars.*minute"),
    ("sig-land-1", "SOLAS V/29 table, landing: come on", "up and down.*land here"),
    ("sig-land-2", "SOLAS V/29 table, landing: line to come in on", "steady lights in line"),
    ("sig-land-3", "SOLAS V/29 table, landing: dangerous", "side to side.*dangerous"),
    ("sig-land-4", "SOLAS V/29 table, landing: better place near", "second flag or light.*better to land"),
    ("sig-warn", "SOLAS V/29 table, warning", "letter u.*short, short, long.*danger"),
    ("sig-air-1a", "ICAO Annex 12 appendix 1.1", "circles.*crosses ahead.*rocking.*follow"),
    ("sig-air-1b", "ICAO Annex 12 appendix 1.2", "astern.*no longer needed"),
    ("sig-air-2a", "ICAO Annex 12 appendix, note to 1: understood", r"row of t \(long\).*understood"),
    ("sig-air-2b", "ICAO Annex 12 appendix, note to 1: cannot", r"row of n \(long, short\).*cannot"),
    ("sig-ga-v", "ICAO Annex 12 appendix 2.1, V", r"\bv help wanted"),
    ("sig-ga-x", "ICAO Annex 12 appendix 2.1, X", r"\bx medical help"),
    ("sig-ga-n", "ICAO Annex 12 appendix 2.1, N", r"\bn no\b"),
    ("sig-ga-y", "ICAO Annex 12 appendix 2.1, Y", r"\by yes\b"),
    ("sig-ga-arw", "ICAO Annex 12 appendix 2.1, arrow", "arrow: going this way"),
    ("sig-ga-sz", "ICAO Annex 12 appendix 2.3, size", r"2\.5 m"),
    ("sig-air-3a", "ICAO Annex 12 appendix 3.1, understood", "rocking.*understood.*off and on twice"),
    ("sig-air-3b", "ICAO Annex 12 appendix 3.2, not understood", "no such sign"),
    ("sig-air-4", "national practice, green flares at night (from memory)", "green.*one red"),
    ("sig-col-1", "COLREG 72 Annex IV, 1", "arms"),
    ("sig-col-2", "COLREG 72 Annex IV, 2", "drill"),
    ("sig-col-3", "COLREG 72 Annex IV, 3", "dye"),
    ("sig-v-29", "SOLAS V/29", "waterproof card"),
)


def sayings(knowledge: Knowledge, clause: str) -> Iterator[Step | Caution]:
    """The steps and cautions that rest on a clause."""
    records: list[Step | Caution] = [*knowledge.steps.values(), *knowledge.cautions.values()]
    for record in records:
        if clause in record.sources:
            yield record


@pytest.mark.parametrize(("clause", "published", "words"), SIGNALS)
def test_a_signal_is_explained(knowledge: Knowledge, clause: str, published: str, words: str) -> None:
    told = [record for record in sayings(knowledge, clause) if re.search(words, record.say, re.IGNORECASE)]
    assert told, f"nothing tells the crew of {published}"
    assert (knowledge.clauses[clause].mark == "memory") == published.endswith("(from memory)")


def test_no_signal_of_the_table_is_left_out(knowledge: Knowledge) -> None:
    assert {name for name in knowledge.clauses if name.startswith("sig-") and not name.startswith("sig-use-")} \
        == {clause for clause, _, _ in SIGNALS}


# What must not be done, the clause and key words that a caution or a note must hold (all of them in one sentence).
DO_NOTS = (
    ("cws-7.7", "MSC.1/Circ.1185 s. 7, no rubbing (from memory)", ("rub",)),
    ("cws-7.7", "MSC.1/Circ.1185 s. 7, no alcohol (from memory)", ("alcohol",)),
    ("cws-7.7", "MSC.1/Circ.1185 s. 7, no smoking (from memory)", ("smoking",)),
    ("cws-7.7", "MSC.1/Circ.1185 s. 7, no walking about (from memory)", ("walk",)),
    ("cws-7.7", "MSC.1/Circ.1185 s. 7, no exercise (from memory)", ("exercise",)),
    ("cws-7.7", "MSC.1/Circ.1185 s. 7, no quick rewarming (from memory)", ("quick warming",)),
    ("cws-7.7", "MSC.1/Circ.1185 s. 7, no hot bath (from memory)", ("hot bath",)),
    ("cws-7.7", "MSC.1/Circ.1185 s. 7, no rough handling (from memory)", ("gently", "rough handling")),
    ("cws-7.6", "MSC.1/Circ.1185 s. 7, exercise is no treatment (from memory)", ("no exercise",)),
    ("cws-8.1", "MSC.1/Circ.1185 s. 8, feet are not rubbed (from memory)", ("no rubbing",)),
    ("cws-9.1", "MSC.1/Circ.1185 s. 9, not taken for dead (from memory)", ("cold", "look dead")),
    ("cws-2.5", "MSC.1/Circ.1185 s. 2, no letting up at rescue (from memory)", ("let up",)),
    ("cws-4.3", "MSC.1/Circ.1185 s. 4, not sitting in water", ("never sit in water",)),
    ("cws-5.1", "MSC.1/Circ.1185 s. 5, no swimming without need", ("swim only",)),
    ("cws-10.3", "MSC.1/Circ.1185 s. 10, no sudden plunge", ("slowly",)),
    ("med-shock-1", "first aid for ships, nothing by mouth when not awake", ("nothing by mouth", "not fully awake")),
    ("med-hypo-3", "first aid for ships, nothing by mouth when not awake", ("nothing by mouth", "not fully awake")),
)


@pytest.mark.parametrize(("clause", "published", "words"), DO_NOTS)
def test_a_do_not_is_a_caution_or_a_note(knowledge: Knowledge, clause: str, published: str,
                                         words: tuple[str, ...]) -> None:
    held = [record for record in sayings(knowledge, clause) if all(word in record.say.lower() for word in words)]
    assert held, published
    if published.startswith("MSC"):
        assert (knowledge.clauses[clause].mark == "memory") == published.endswith("(from memory)")


@pytest.mark.parametrize("caution", ["people_no_rub", "people_no_alcohol", "people_no_walk", "people_no_quick_heat"])
def test_the_cautions_stand_beside_treatment_of_cold(knowledge: Knowledge, caution: str) -> None:
    # MSC.1/Circ.1185 s. 7 (from memory)
    shown = {name for step in knowledge.topics["hypothermia"].steps for name in knowledge.steps[step].cautions}
    assert caution in shown
