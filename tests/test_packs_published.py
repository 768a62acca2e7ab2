"""The three equipment packs against the published lists, at 6, 12, 13 and 25 persons.

Sources: LSA Code (resolution MSC.48(66)) 4.1.5.1 for the A pack, 4.1.5.3 for the B pack, 4.2.9.1 for what an inflatable
raft has besides; 46 CFR 160.151-21 for the repair outfit; 46 CFR 160.051-11 for the Coastal Service pack. The numbers
stand beside the paragraph that asks for them, in our own words; where the paragraph was not read again the row says
"from memory", and the knowledge must say the same of it.
"""
from __future__ import annotations

import math
from dataclasses import dataclass

import pytest

from guide.knowledge.compiling import Knowledge

SIZES = (6, 12, 13, 25)
Numbers = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Row:
    """What a paragraph asks for at 6, 12, 13 and 25 persons, and the clause of the knowledge that carries it."""

    item: str
    numbers: Numbers
    clause: str
    published: str
    unit: str = ""

    def __str__(self) -> str:
        return f"{self.item} ({self.published})"


def same(number: float) -> Numbers:
    return number, number, number, number


def each(number: float) -> Numbers:
    return 6 * number, 12 * number, 13 * number, 25 * number


# LSA Code 4.1.5.1, paragraph by paragraph.
SOLAS_A = (
    Row("quoit", same(1), "lsa-4.1.5.1.1", "LSA Code 4.1.5.1.1, one quoit on 30 m of floating line"),
    Row("knife", (1, 1, 2, 2), "lsa-4.1.5.1.2", "LSA Code 4.1.5.1.2, one knife, a second from 13 persons"),
    Row("bailer", (1, 1, 2, 2), "lsa-4.1.5.1.3", "LSA Code 4.1.5.1.3, one bailer up to 12 persons, two from 13"),
    Row("sponge", same(2), "lsa-4.1.5.1.4", "LSA Code 4.1.5.1.4, two sponges"),
    Row("drogue", same(1), "lsa-4.1.5.1.5a", "LSA Code 4.1.5.1.5, of two sea anchors one fixed to the raft"),
    Row("spare_drogue", same(1), "lsa-4.1.5.1.5a", "LSA Code 4.1.5.1.5, of two sea anchors one spare"),
    Row("paddles", same(2), "lsa-4.1.5.1.6", "LSA Code 4.1.5.1.6, two paddles"),
    Row("tin_openers", same(3), "lsa-4.1.5.1.7", "LSA Code 4.1.5.1.7, three tin-openers"),
    Row("scissors", same(1), "lsa-4.1.5.1.7", "LSA Code 4.1.5.1.7, a pair of scissors"),
    Row("first_aid_kit", same(1), "lsa-4.1.5.1.8", "LSA Code 4.1.5.1.8, one first-aid outfit"),
    Row("whistle", same(1), "lsa-4.1.5.1.9", "LSA Code 4.1.5.1.9, one whistle"),
    Row("rocket_flare", same(4), "lsa-4.1.5.1.10", "LSA Code 4.1.5.1.10, four parachute rockets"),
    Row("hand_flare", same(6), "lsa-4.1.5.1.11", "LSA Code 4.1.5.1.11, six hand flares"),
    Row("smoke_signal", same(2), "lsa-4.1.5.1.12", "LSA Code 4.1.5.1.12, two smoke signals"),
    Row("torch", same(1), "lsa-4.1.5.1.13", "LSA Code 4.1.5.1.13, one torch fit for Morse"),
    Row("spare_batteries", same(1), "lsa-4.1.5.1.13", "LSA Code 4.1.5.1.13, one spare set of batteries", unit="set"),
    Row("radar_reflector", same(1), "lsa-4.1.5.1.14", "LSA Code 4.1.5.1.14, one radar reflector unless a SART is in"),
    Row("signal_mirror", same(1), "lsa-4.1.5.1.15", "LSA Code 4.1.5.1.15, one mirror"),
    Row("signal_card", same(1), "lsa-4.1.5.1.16", "LSA Code 4.1.5.1.16, one card of the signals"),
    Row("fishing_tackle", same(1), "lsa-4.1.5.1.17", "LSA Code 4.1.5.1.17, one set of fishing gear", unit="set"),
    Row("food_ration", each(10_000), "lsa-4.1.5.1.18", "LSA Code 4.1.5.1.18, 10,000 kJ a place", unit="kJ"),
    Row("drinking_water", each(1.5), "lsa-4.1.5.1.19a", "LSA Code 4.1.5.1.19, 1.5 L a place", unit="L"),
    Row("drinking_vessel", same(1), "lsa-4.1.5.1.20", "LSA Code 4.1.5.1.20, one marked cup"),
    Row("seasick_tablets", each(1), "lsa-4.1.5.1.21", "LSA Code 4.1.5.1.21, medicine for 48 h a place",
        unit="two-day supplies"),
    Row("seasick_bags", each(1), "lsa-4.1.5.1.21", "LSA Code 4.1.5.1.21, one bag a place"),
    Row("survival_booklet", same(1), "lsa-4.1.5.1.22", "LSA Code 4.1.5.1.22, survival instructions"),
    Row("action_card", same(1), "lsa-4.1.5.1.23", "LSA Code 4.1.5.1.23, immediate actions (from memory)"),
    Row("thermal_aid", (2, 2, 2, 3), "lsa-4.1.5.1.24", "LSA Code 4.1.5.1.24, a tenth of the places, two at least"),
    Row("repair_kit", same(1), "lsa-4.2.9.1.1", "LSA Code 4.2.9.1.1, one repair outfit (from memory)"),
    Row("leak_clamps", same(6), "cfr-160.151-21y", "46 CFR 160.151-21(y), six clamps or plugs (from memory)"),
    Row("patches", same(5), "cfr-160.151-21y", "46 CFR 160.151-21(y), five tube patches (from memory)"),
    Row("pump", same(1), "lsa-4.2.9.1.2", "LSA Code 4.2.9.1.2, one pump or bellows"),
    Row("valve_plugs", same(1), "cfr-160.151-21aa", "46 CFR 160.151-21(aa), plugs for the valves (from memory)",
        unit="set"),
)

# LSA Code 4.1.5.3 (from memory): .1 to .6, .8, .9, .13 to .16, .21 to .24 whole, .10 to .12 halved, the rest left out.
B_LEAVES_OUT = ("tin_openers", "scissors", "fishing_tackle", "food_ration", "drinking_water", "drinking_vessel")
B_HALVES = {"rocket_flare": 2, "hand_flare": 3, "smoke_signal": 1}
_B = "lsa-4.1.5.3b"
SOLAS_B = tuple(
    Row(row.item, same(B_HALVES[row.item]), _B, "LSA Code 4.1.5.3, half of the A pack's (from memory)")
    if row.item in B_HALVES else
    Row(row.item, row.numbers, _B, "LSA Code 4.1.5.3, as in the A pack (from memory)", row.unit)
    if row.clause.startswith("lsa-4.1.5.1.") else row
    for row in SOLAS_A if row.item not in B_LEAVES_OUT)

# 46 CFR 160.051-11.
_C = "cfr-160.051-11a"
COASTAL = (
    Row("quoit", same(1), _C, "46 CFR 160.051-11, a quoit and line"),
    Row("knife", (1, 1, 2, 2), "cfr-160.051-11c", "46 CFR 160.051-11(b), one knife, a second from 13 persons"),
    Row("bailer", same(1), _C, "46 CFR 160.051-11, one bailer at any size"),
    Row("sponge", same(1), _C, "46 CFR 160.051-11, one sponge"),
    Row("drogue", same(1), _C, "46 CFR 160.051-11, one sea anchor"),
    Row("paddles", same(2), _C, "46 CFR 160.051-11, two paddles"),
    Row("whistle", same(1), _C, "46 CFR 160.051-11, a whistle"),
    Row("torch", same(1), _C, "46 CFR 160.051-11, a flashlight"),
    Row("spare_batteries", same(1), _C, "46 CFR 160.051-11, spare batteries for it", unit="set"),
    Row("signal_mirror", same(1), _C, "46 CFR 160.051-11, a mirror"),
    Row("survival_booklet", same(1), _C, "46 CFR 160.051-11, survival instructions"),
    Row("action_card", same(1), _C, "46 CFR 160.051-11, immediate actions"),
    Row("leak_clamps", same(1), _C, "46 CFR 160.051-11, one set of clamps or plugs", unit="set"),
    Row("pump", same(1), _C, "46 CFR 160.051-11, a pump or bellows"),
    Row("valve_plugs", same(1), _C, "46 CFR 160.051-11, plugs for the relief valves", unit="set"),
)
# 46 CFR 160.051-11, by what it leaves out.
COASTAL_LEAVES_OUT = (
    "rocket_flare", "hand_flare", "smoke_signal", "drinking_water", "food_ration", "first_aid_kit", "seasick_tablets",
    "seasick_bags", "thermal_aid", "radar_reflector", "spare_drogue", "signal_card", "drinking_vessel",
    "fishing_tackle", "patches", "tin_openers", "scissors")

PACKS = {"solas_a": SOLAS_A, "solas_b": SOLAS_B, "coastal": COASTAL}
ROWS = [pytest.param(pack, row, id=f"{pack}-{row.item}") for pack, rows in PACKS.items() for row in rows]
# No pack holds these: LSA Code 4.1.5.1 and 46 CFR 160.051-11, by what they leave out. A SART may be packed in a raft
# in place of the radar reflector (4.1.5.1.14), but it is not in the list.
IN_NO_PACK = ("epirb", "sart", "handheld_vhf", "phone", "lifejacket", "immersion_suit", "medicine", "compass")


@pytest.mark.parametrize(("pack", "row"), ROWS)
@pytest.mark.parametrize("place", range(len(SIZES)), ids=[f"{size}p" for size in SIZES])
def test_a_pack_holds_what_is_published(knowledge: Knowledge, pack: str, row: Row, place: int) -> None:
    line = knowledge.packs[pack].items[row.item]
    assert line.number(SIZES[place]) == pytest.approx(row.numbers[place]), str(row)
    assert line.unit == row.unit


@pytest.mark.parametrize(("pack", "row"), ROWS)
def test_a_line_cites_the_paragraph_and_its_mark(knowledge: Knowledge, pack: str, row: Row) -> None:
    assert row.clause in knowledge.packs[pack].items[row.item].sources
    from_memory = knowledge.clauses[row.clause].mark == "memory"
    assert from_memory == row.published.endswith("(from memory)"), row.published


@pytest.mark.parametrize("pack", PACKS)
def test_a_pack_holds_nothing_else(knowledge: Knowledge, pack: str) -> None:
    assert set(knowledge.packs[pack].items) == {row.item for row in PACKS[pack]}


@pytest.mark.parametrize(("pack", "item"), [
    *(("solas_b", item) for item in B_LEAVES_OUT), *(("coastal", item) for item in COASTAL_LEAVES_OUT),
    *((pack, item) for pack in PACKS for item in IN_NO_PACK)])
def test_what_the_list_leaves_out_is_absent(knowledge: Knowledge, pack: str, item: str) -> None:
    assert item in knowledge.equipment
    assert item not in knowledge.packs[pack].items


@pytest.mark.parametrize(("pack", "words"), [
    # LSA Code 4.1.5.3 (from memory): no water, no food.
    ("solas_b", ("no drinking water", "no food", "drinking cup", "tin-openers", "fishing")),
    # 46 CFR 160.051-11, by omission.
    ("coastal", ("no flares", "rockets", "smoke", "no water or food", "first-aid kit", "seasickness", "thermal aids",
                 "radar reflector", "spare drogue")),
    # LSA Code 4.1.5.1: no radio or beacon among its paragraphs.
    ("solas_a", ("EPIRB", "radio")),
])
def test_a_pack_says_what_it_lacks(knowledge: Knowledge, pack: str, words: tuple[str, ...]) -> None:
    for word in words:
        assert word in knowledge.packs[pack].lacks


@pytest.mark.parametrize("persons", [6, 10, 20, 21, 25, 30, 50, 70, 101, 150])
@pytest.mark.parametrize("pack", ["solas_a", "solas_b"])
def test_thermal_aids_for_a_tenth_of_any_raft(knowledge: Knowledge, pack: str, persons: int) -> None:
    # LSA Code 4.1.5.1.24: for one place in ten or two, whichever is more; a part of an aid covers nobody.
    assert knowledge.packs[pack].items["thermal_aid"].number(persons) == max(2, math.ceil(persons / 10))


@pytest.mark.parametrize(("item", "words"), [
    # LSA Code 4.1.5.1.1, .2, .4, .13, .20.
    ("quoit", ("30 m",)), ("knife", ("does not fold", "13")), ("sponge", ("drinking water",)),
    ("torch", ("Morse", "bulb")), ("drinking_vessel", ("marks", "rustproof")),
    # LSA Code 4.1.5.1.19 (from memory): what may replace water.
    ("drinking_water", ("0.5 L", "1 L")),
    # 46 CFR 160.151-21(y) (from memory).
    ("patches", ("50 mm",)),
])
def test_a_note_says_what_the_paragraph_adds(knowledge: Knowledge, item: str, words: tuple[str, ...]) -> None:
    for word in words:
        assert word in knowledge.packs["solas_a"].items[item].note


@pytest.mark.parametrize("pack", PACKS)
def test_every_item_of_a_pack_has_a_place_and_a_use(knowledge: Knowledge, pack: str) -> None:
    for item in knowledge.packs[pack].items:
        record = knowledge.equipment[item]
        assert record.what and record.where and record.use, item
