"""Grammar of amounts and clauses: what numbers come to, where an utterance is cut, what sets up a what-if. The cases are our own;
factors are those of the SI brochure (appendix 4 of NIST SP 811 for US units), wind forces the WMO table of wind forces."""
from __future__ import annotations

import pytest

from guide.language import clauses, cutting
from guide.language.mentions import Mention, mentions
from guide.language.numbers import split
from guide.language.positions import position
from guide.language.units import Units
from guide.language.wording import regular
from guide.starting import Started, start


@pytest.fixture(scope="module")
def started() -> Started:
    return start()


def found(started: Started, text: str, fahrenheit: bool = False) -> list[Mention]:
    return mentions(split(regular(text)), Units(started.knowledge.language.words), fahrenheit)


@pytest.mark.parametrize(("text", "fact", "value"), [
    ("a day and a half", "hours_adrift", 36), ("hour and a half", "hours_adrift", 1.5), ("two days and six hours", "hours_adrift", 54),
    ("a couple of hours", "hours_adrift", 2), ("three quarters of a litre", "water", 0.75), ("another quart", "water", 0.946352946),
    ("a gallon and a half", "water", 1.5 * 3.785411784), ("12 pouches of half a litre", "water", 6), ("a dozen half-litre bags", "water", 6),
    ("six tins, 2500 kcal each", "food", 15000), ("8368 kilojoules", "food", 2000), ("thirty centimetres", "wave_height", 0.3),
    ("ten metres a second", "wind_speed", 19.43844), ("force six", "wind_speed", 24.5), ("5 beaufort", "wind_speed", 19),
    ("minus four", "air_temperature", -4), ("41 degrees fahrenheit", "sea_temperature", 5), ("two and a half thousand kcal", "food", 2500),
    ("a score", "persons", 20), ("1,5 litres", "water", 1.5), ("5k kcal", "food", 5000)])
def test_what_a_number_comes_to(started: Started, text: str, fact: str, value: float) -> None:
    (mention,) = found(started, text)
    assert mention.values[fact] == pytest.approx(value, rel=1e-4)


@pytest.mark.parametrize("text", ["five or six of us", "two to three litres", "half a litre a day", "seven of us, not six litres", "six hundred ml per day"])
def test_what_wavers_is_denied_or_is_a_rate_is_no_amount(started: Started, text: str) -> None:
    """Of a range neither end, of a denial what is denied, of a rate nothing."""
    assert {mention.number for mention in found(started, text)} <= {7.0}


def test_degrees_without_a_letter_are_those_of_the_rest(started: Started) -> None:
    (mention,) = found(started, "air is at 41 degrees", fahrenheit=True)
    assert mention.values["air_temperature"] == pytest.approx(5, abs=0.01)
    (mention,) = found(started, "air is at 5 degrees celsius", fahrenheit=True)
    assert mention.values["air_temperature"] == 5


@pytest.mark.parametrize(("text", "angles"), [
    ("fifty degrees thirty minutes north, five degrees fifteen minutes west", {"latitude": 50.5, "longitude": -5.25}),
    ("58 and a half north, 3 east", {"latitude": 58.5, "longitude": 3}), ("lat 50.5 long -5.25", {"latitude": 50.5, "longitude": -5.25}),
    ("50°30'N 005°15'W", {"latitude": 50.5, "longitude": -5.25}), ("12°30'36\"S 45°E", {"latitude": -12.51, "longitude": 45}),
    ("a ship 2 miles south", {}), ("wind is 20 north", {}), ("latitude ninety-one north", {})])
def test_where_one_is(text: str, angles: dict[str, float]) -> None:
    assert {angle.fact: angle.value for angle in position(text)} == pytest.approx(angles)


@pytest.mark.parametrize(("text", "pieces"), [
    ("beacon's packed up it's not flashing", ["beacon's packed up", "it's not flashing"]),
    ("its dark an its rainin an i want me mam", ["its dark", "its rainin", "i want me mam"]),
    ("i think he's in the water", ["i think he's in the water"]), ("tell me it's out", ["tell me it's out"]),
    ("beacon and transponder are both on", ["beacon are both on", "transponder are both on"]),
    ("neither the beacon nor the sart is on", ["beacon is not on", "sart is not on"]),
    ("some of us are sick can we drink the sea", ["some of us are sick", "can we drink the sea"]), ("tell me what do i do", ["tell me what do i do"]),
    ("six of us and two are missing", ["six of us", "two are missing"]), ("a litre and a half", ["a litre and a half"]),
    ("an A pack, for ten", ["an A pack", "for ten"])])
def test_where_an_utterance_is_cut(text: str, pieces: list[str]) -> None:
    assert cutting.cut(text) == pieces


@pytest.mark.parametrize(("text", "part"), [
    ("if the canopy tore what would we do", "the canopy tore"), ("In the event of a leak, which task comes first?", "a leak"),
    ("how would we go on supposing there was no drogue", "there was no drogue"), ("imagine there was ten of us", "there was ten of us"),
    ("should a leak develop, what then", "a leak develop"), ("what if we can not find the pump", "we can not find the pump")])
def test_what_is_supposed(text: str, part: str) -> None:
    assert clauses.supposed_part(text) == part


@pytest.mark.parametrize(("text", "so"), [
    ("Were the line to part, what then?", True), ("worst case: no rockets", True), ("how about if it gets rough", True),
    ("should we cut the rope, or wait?", False), ("were you told to wait?", False), ("were sat in the raft now, soaked", False),
    ("say again", False)])
def test_what_sets_up_a_what_if(text: str, so: bool) -> None:
    assert clauses.supposes(text) is so


def test_letters_that_were_swallowed() -> None:
    assert regular("leakin an its rainin, four an a half") == "leaking and it is raining, four and a half"
    assert regular("were in the raft") == "we are in the raft" and regular("were you told") == "were you told"
    assert regular("an SOS, an hour, within the cabin") == "an sos, an hour, within the cabin"


@pytest.mark.parametrize("text", ["it is raining in dublin", "from berlin to dunedin", "benjamin and justin lay", "admin", "the bodies had lain", "a chaplain in a cabin", "protein again"])
def test_what_ends_in_in_by_itself_keeps_it(text: str) -> None:
    assert regular(text) == text


@pytest.mark.parametrize("word", ["bleedin", "sinkin", "leakin'", "goin", "seein", "arguin", "bubblin", "hurlin", "bobbin", "wigglin", "haudin"])
def test_a_deed_gets_its_last_letter(word: str) -> None:
    assert regular(word) == word.rstrip("'") + "g"
