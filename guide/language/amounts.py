"""Amounts in a clause: which quantity, how much in its own unit, and whether it is set, used or found."""
from __future__ import annotations

import itertools
import re
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from guide.language.numbers import Number, numbers, split

LITRES = {"unit_L": 1.0, "unit_ml": 0.001, "unit_cl": 0.01, "unit_gallon": 3.785411784, "unit_pint": 0.473176473,
          "unit_quart": 0.946352946, "unit_floz": 0.0295735296}
HOURS = {"unit_s": 1 / 3600, "unit_min": 1 / 60, "unit_h": 1.0, "unit_day": 24.0, "unit_week": 168.0}
KNOTS = {"unit_kn": 1.0, "unit_ms": 1.943844, "unit_kmh": 0.539957, "unit_mph": 0.868976}
METRES = {"unit_m": 1.0, "unit_ft": 0.3048}
KCAL = {"unit_kcal": 1.0, "unit_kJ": 1 / 4.184}
FORCE_KN = (0.5, 2.0, 5.0, 8.5, 13.5, 19.0, 24.5, 30.5, 37.0, 44.0, 51.5, 59.5, 64.0)
"""Middle of each wind force's range in knots (WMO table of wind forces; force 12 has no upper end)."""
COUNTED = ("rocket_flares", "hand_flares", "smoke_signals", "thermal_aids")


class Amount(NamedTuple):
    """A quantity in a clause. `how` is set, used, issued (used, so much for each person) or found; value None: it was not said."""

    fact: str
    value: float | None
    how: str


class _Forms(dict[str, dict[str, list[list[str]]]]):
    """List → first word → the forms that begin with it, the longest first. A list is looked through when it is first asked for."""

    def __init__(self, lists: Mapping[str, tuple[str, ...]]) -> None:
        super().__init__()
        self._lists = lists

    def __missing__(self, name: str) -> dict[str, list[list[str]]]:
        by_word: dict[str, list[list[str]]] = {}
        for form in sorted((split(form) for form in self._lists.get(name, ())), key=len, reverse=True):
            by_word.setdefault(form[0], []).append(form)
        self[name] = by_word
        return by_word


class Units:
    """The unit and noun lists of the lexicon, looked up on lists of words."""

    def __init__(self, lists: Mapping[str, tuple[str, ...]]) -> None:
        self._forms = _Forms(lists)

    def at(self, name: str, words: list[str], at: int) -> int:
        """Where the form of list `name` that starts at `at` ends; 0 where none does."""
        if at >= len(words):
            return 0
        for form in self._forms[name].get(words[at], ()):
            if words[at:at + len(form)] == form:
                return at + len(form)
        return 0

    def find(self, name: str, words: list[str], start: int = 0, stop: int | None = None) -> int:
        """Where the first form of list `name` begins between `start` and `stop`; -1 where none does."""
        for at in range(max(start, 0), len(words) if stop is None else min(stop, len(words))):
            if self.at(name, words, at):
                return at
        return -1

    def any(self, name: str, words: list[str]) -> bool:
        """Whether list `name` occurs."""
        return self.find(name, words) >= 0

    def unit(self, table: Mapping[str, float], words: list[str], at: int) -> tuple[float, int]:
        """Factor of the unit at `at` and where it ends; (0, 0) where there is none."""
        best = (0.0, 0)
        for name, factor in table.items():
            end = self.at(name, words, at)
            if end > best[1]:
                best = (factor, end)
        return best


def position(text: str) -> list[Amount]:
    """Latitude and longitude in an utterance: decimal degrees, or degrees and minutes."""
    found: list[Amount] = []
    if not any(sign.isdigit() for sign in text):
        return found
    pattern = (r"(\d{1,3}(?:\.\d+)?)\s*(?:(?:degrees|degree|deg|d)\b|°)?(?:\s*(?:and\s+)?(\d{1,2}(?:\.\d+)?)\s*(?:minutes?|mins?|'|′)?)?"
               r"(?:\s*(\d{1,2}(?:\.\d+)?)\s*(?:seconds?|secs?|\"|″))?\s*(?<![a-z])(north|south|east|west|n|s|e|w)\b")
    for match in re.finditer(pattern, text.lower().replace(",", " ")):
        degrees = float(match[1]) + float(match[2] or 0) / 60 + float(match[3] or 0) / 3600
        side = match[4][0]
        limit = 90 if side in "ns" else 180
        if degrees <= limit and (match[2] or "." in match[1] or re.search(r"deg|°", match[0]) or re.search(r"\b(lat|long?|pos|position|gps|fix)\b", text.lower())):
            found.append(Amount("latitude" if side in "ns" else "longitude", round(-degrees if side in "sw" else degrees, 5), "set"))
    return found


def amounts(regular: str, units: Units) -> list[Amount]:
    """The quantities of one clause, each fact once. Ranges and `or` between numbers are not taken."""
    words = split(_without_negated(regular))
    found = numbers(words)
    if _unsure(words, found):
        return []
    taken: dict[str, Amount] = {}
    for reader in (_people, _water, _food, _counts, _temperatures, _wind, _waves, _adrift):
        for amount in reader(words, found, units):
            taken.setdefault(amount.fact, amount)
    return list(taken.values())


def _without_negated(text: str) -> str:
    """`seven of us not six`, `three litres, not five`: what is denied is left out."""
    number = r"(?:\d+(?:\.\d+)?|[a-z]+)"
    return re.sub(rf"\b(?:and |,\s*)?(?:not|instead of|rather than) (?:the )?{number}$", "", text).strip(" ,")


def _unsure(words: list[str], found: list[Number]) -> bool:
    for one, two in itertools.pairwise(found):
        if one.bare_article or two.bare_article:
            continue
        if words[one.stop:two.start] in (["or"], ["to"], ["maybe"], ["or", "maybe"], ["or", "so"]):
            return True
    return False


def _how(words: list[str], units: Units) -> str:
    if units.any("left", words) or words[:1] == ["only"]:
        return "set"
    if units.any("used", words) or "took" in words[1:] and words[words.index("took") - 1] != "we":
        return "used"
    return "found" if units.any("found", words) else "set"


def _real(found: list[Number]) -> Iterator[Number]:
    return (number for number in found if not number.bare_article)


def _people(words: list[str], found: list[Number], units: Units) -> Iterator[Amount]:
    text = " ".join(words)
    missing = units.any("missing", words)
    if re.search(r"\b(?:no one|nobody|none of us|no one else|none)\b.*\b(?:missing|unaccounted)\b|\bno (?:one|body) is missing\b|\bnot (?:one|a soul|anyone|a man)(?: of us)?(?: is)? (?:missing|short)\b", text):
        yield Amount("persons_missing", 0.0, "set")
        return
    gone = units.find("missing", words)
    for number in found:
        end = units.at("noun_persons", words, number.stop)
        after = words[number.stop:number.stop + 2]
        nearer = any(number.stop <= other.start < gone for other in found)  # `five of us, one is missing`: one is
        if number.value != int(number.value) or number.value > 150:
            continue
        if units.any("capacity", words) and re.search(r"\b(?:rated|approved|built|certified|capacity|made|designed|holds|man|person)\b", text) \
                and (end or after[:1] in (["man"], ["person"], ["men"]) or number.stop == len(words) or after[:1] == ["of"]):
            yield Amount("raft_capacity", number.value, "set")
            continue
        if missing and not nearer and (end or after[:1] and after[0] in ("missing", "unaccounted", "lad", "man", "lost", "absent", "still", "not", "gone") or after[:1] == ["short"] and len(words) <= number.stop + 2 or number.value and number.stop == len(words)):
            if not number.bare_article or end or after[:1] in (["lad"], ["man"]):
                yield Amount("persons_missing", number.value, "set")
            continue
        if number.bare_article or words[number.start] in ("no", "single", "one") and words[number.stop:number.stop + 2] != ["of", "us"] and len(found) == 1 and "just" not in words and "only" not in words:
            continue
        if _counts_people(words, number, end, after):
            yield Amount("persons", number.value, "set")


def _counts_people(words: list[str], number: Number, end: int, after: list[str]) -> bool:
    """`six of us`, `ten persons aboard`, `we are six`, `seven aboard`; but not `two of us are sick` or `two lads bleeding`."""
    before = words[max(0, number.start - 3):number.start]
    rest = words[end or number.stop:]
    here = {"aboard", "here", "in", "inside", "on", "onboard", "total", "altogether", "now", "counted", "present", "all", "pob", "of", "and", "safe", "left", "not"}
    if rest[:2] in (["are", "in"], ["are", "aboard"], ["in", "the"], ["in", "here"], ["are", "here"], ["are", "inside"]) and end:
        return rest[2:4] not in (["water"], ["the", "water"], ["the", "sea"], ["sea"], ["the", "drink"], ["the", "oggin"])
    if end:
        return not rest or rest[0] in here or before[-1:] in (["are"], ["is"], ["all"], ["got"], ["have"], ["were"], ["just"], ["only"], ["between"]) and (rest[0] in here)
    if after[:1] and after[0] in ("aboard", "pob", "onboard"):
        return True
    if after[:2] == ["in", "the"] and words[number.stop + 2:number.stop + 3] in (["water"], ["sea"], ["drink"], ["oggin"]):
        return False
    if after[:2] == ["in", "here"] or after[:2] == ["in", "the"] or after[:2] == ["on", "board"]:
        return before[-1:] in (["are"], ["is"], ["were"], ["just"], ["only"], ["all"], ["have"], ["got"]) or not before
    if before[-2:] in (["we", "are"], ["we", "were"], ["were", "just"], ["are", "now"]) or before[-1:] in (["between"],):
        return not after
    return before[-1:] == ["pob"] or before[-2:] == ["number", "of"] and not after


def _water(words: list[str], found: list[Number], units: Units) -> Iterator[Amount]:
    text = " ".join(words)
    about = units.any("noun_water", words)
    how = _how(words, units)
    for number in found:
        factor, end = units.unit(LITRES, words, number.stop)
        if not factor and words[number.stop:number.stop + 2] in (["of", "a"], ["of", "an"]) and number.value < 1:
            factor, end = units.unit(LITRES, words, number.stop + 2)
        if not factor and words[number.stop:number.stop + 1] in (["us"], ["imperial"], ["full"], ["more"], ["more", "full"], ["another"]):
            factor, end = units.unit(LITRES, words, number.stop + 1)
        if not factor or number.stop < len(words) and words[number.stop] == "l" and not about and number.bare_article:
            continue
        if words[end:end + 1] in (["day"], ["daily"]) or words[end:end + 2] in (["a", "day"], ["per", "day"], ["each", "day"]):
            continue
        value = number.value * factor
        if words[end:end + 3] == ["and", "a", "half"]:
            value += 0.5 * factor
        times = _holders(words, found, number, units)
        if units.any("noun_food", words) and not about:
            continue
        yield Amount("water", round(value * times, 4), "issued" if how == "used" and times == 1 and units.any("each", words) else how)
        return
    if about and _none_left(words, units, "noun_water") and not units.any("for_a_time", words) and not re.search(r"\b(?:floor|raft|inside|sea|bottom|dry|bailed|coming)\b", text):
        yield Amount("water", 0.0, "set")


def _holders(words: list[str], found: list[Number], size: Number, units: Units) -> float:
    """`12 pouches of water, half a litre each`: how many holders of that size."""
    _, end = units.unit(LITRES, words, size.stop)
    for number in _real(found):
        if number is not size and (units.at("holder_water", words, number.stop)
                                   or number.stop == size.start and units.at("holder_water", words, end)):
            return number.value
    return 1.0


def _food(words: list[str], found: list[Number], units: Units) -> Iterator[Amount]:
    for number in found:
        factor, _end = units.unit(KCAL, words, number.stop)
        if factor and not number.bare_article:
            times = next((n.value for n in _real(found) if n is not number and n.stop <= number.start and n.value != 1
                          and words[n.stop:n.stop + 1] not in (["of"],)), 1.0)
            yield Amount("food", round(number.value * factor * times, 2), _how(words, units))
            return
    if _none_left(words, units, "noun_food"):
        yield Amount("food", 0.0, "set")


_AFTER_WATER = frozenset("is are was has have had s all gone left run ran finished used now out empty none".split())
_AFTER_GONE = frozenset("now already completely too and then since".split())


def _none_left(words: list[str], units: Units, noun: str) -> bool:
    """`no X`, `X is all gone`, `last of the X gone`, `out of X`."""
    at = units.find(noun, words)
    if at < 0:
        return False
    before = words[max(0, at - 4):at]
    rest = words[units.at(noun, words, at):]
    if _right_before(words, at, units) and not {"worried", "enough", "more", "idea", "wasting", "need", "sign", "harm"} & {*before, *rest[:1]}:
        return True
    if noun == "noun_water" and rest[:1] and rest[0] not in _AFTER_WATER or rest[1:2] == ["gone"] and rest[2:] and rest[2] not in _AFTER_GONE:
        return False  # `the water parachute has gone`, `the water has gone smooth`
    if not units.any("gone", rest) and not (units.any("gone", words) and at > 0 and "last" in before):
        return False
    return "not" not in words and not numbers(words[:at]) or "last" in before


def _right_before(words: list[str], at: int, units: Units) -> bool:
    """Whether a `no`, `out of` or the like stands right before the noun, with nothing but `drinking`, `any` or so between."""
    while at and words[at - 1] in ("drinking", "fresh", "any", "more", "single", "one", "bloody", "actual", "proper", "emergency"):
        at -= 1
    return any(units.at("none_of", words, start) == at for start in range(max(0, at - 3), at))


def _counts(words: list[str], found: list[Number], units: Units) -> Iterator[Amount]:
    how = _how(words, units)
    for fact in COUNTED:
        noun = f"noun_{fact}"
        at = units.find(noun, words)
        if at < 0:
            continue
        end = units.at(noun, words, at)
        if _right_before(words, at, units) and not ("more" in words[max(0, at - 2):at] and how == "set"):
            yield Amount(fact, 0.0, "set")
            continue
        number = next((n for n in reversed(found) if n.stop <= at and at - n.stop <= 4 and not _other_noun(words, n.stop, at, units, fact)), None)
        before = words[max(0, at - 4):at]
        last = units.any("last", before[-1:])
        if last and (how == "used" or units.any("gone", words[end:])):
            yield Amount(fact, 0.0, "set")
        elif "other" in before and how == "used":
            yield Amount(fact, 1.0, "used")
        elif number and number.value == int(number.value) and not (number.bare_article and how == "set"):
            none = number.value == 0 or words[number.start - 1:number.start] == ["not"]
            yield Amount(fact, 0.0, "set") if none else Amount(fact, number.value, how)
        elif _none_left(words, units, noun):
            yield Amount(fact, 0.0, "set")
        elif how == "used" and not number and before[-1:] not in (["the"], ["our"], ["some"], ["those"]) and "not" not in words:
            yield Amount(fact, 1.0 if before[-1:] in (["a"], ["one"], ["another"]) else None, "used")
        elif "neither" in words or "nor" in words:
            yield Amount(fact, 0.0, "set")


def _other_noun(words: list[str], start: int, stop: int, units: Units, fact: str) -> bool:
    """Whether another counted thing stands between the number and this noun."""
    return any(units.find(f"noun_{other}", words, start, stop) >= 0 and units.at(f"noun_{other}", words, units.find(f"noun_{other}", words, start, stop)) <= stop
               for other in COUNTED if other != fact)


def _temperatures(words: list[str], found: list[Number], units: Units) -> Iterator[Amount]:
    if not found:
        return
    text = " ".join(words)
    if re.search(r"\b(?:north|south|east|west|position)\b|\d+ ' ", text) and not re.search(r"\b(?:air|sea|water|temp\w*|wind)\b", text):
        return
    for number in _real(found):
        tail = words[number.stop:number.stop + 3]
        degrees = tail[:1] in (["degrees"], ["degree"], ["deg"], ["degs"], ["°"], ["below"])
        letter = tail[1] if degrees and len(tail) > 1 else (tail[0] if tail and not degrees else "")
        fahrenheit, celsius = letter in ("f", "fahrenheit"), letter in ("c", "celsius", "centigrade", "above", "below")
        said = degrees or fahrenheit or celsius or words[number.start] in ("minus", "-")
        sea = units.find("sea", words) >= 0 and not re.search(r"\bair\b", text)
        bare = bool(re.search(r"\b(?:sea|water|air|outside|surface)(?: temp\w*)?(?: is| was| at| of| here| out here| out there| about| around| now)*$",
                              " ".join(words[:number.start])))
        at_end = not tail or tail[0] in ("out", "outside", "now", "and", "today", "tonight", "going", "in", "by")
        if not said and not (bare and at_end and not re.search(r"\b(?:litres?|left)\b", text)):
            continue
        if units.unit({**LITRES, **METRES, **KNOTS}, words, number.stop)[0] and not said:
            continue
        if tail[1:2] and tail[1] in ("north", "south", "east", "west", "n", "s", "e", "w"):
            continue
        value = (number.value - 32) / 1.8 if fahrenheit else number.value
        yield Amount("sea_temperature" if sea else "air_temperature", round(value, 2), "set")
        return


def _wind(words: list[str], found: list[Number], units: Units) -> Iterator[Amount]:
    for number in _real(found):
        before = words[max(0, number.start - 2):number.start]
        named = "force" in before or before[-1:] in (["gale"], ["f"], ["bf"], ["beaufort"])
        if named and 0 <= number.value <= 12 and number.value == int(number.value):
            yield Amount("wind_speed", FORCE_KN[int(number.value)], "set")
            return
        factor, _ = units.unit(KNOTS, words, number.stop)
        moving = re.search(r"\b(?:drift\w*|ship|making|current|tide|towed?|speed of the|paddl\w+)\b", " ".join(words))
        if factor and (not moving or units.any("wind", words[max(0, number.start - 3):number.stop + 4])):
            yield Amount("wind_speed", round(number.value * factor, 3), "set")
            return
        tail = words[number.stop:]
        if units.any("wind", words[:number.start]) and (not tail or tail[0] in ("now", "from", "odd", "or", "gusting")) and number.value > 3:
            yield Amount("wind_speed", number.value, "set")
            return


def _waves(words: list[str], found: list[Number], units: Units) -> Iterator[Amount]:
    if not units.any("waves", words):
        return
    for number in _real(found):
        factor, end = units.unit(METRES, words, number.stop)
        if factor and not re.search(r"\b(?:line|rope|deep|depth|wide|long|painter|away|off)\b", " ".join(words[end:end + 2])):
            value = number.value * factor
            if words[end:end + 3] == ["and", "a", "half"]:
                value += 0.5 * factor
            yield Amount("wave_height", round(value, 3), "set")
            return


def _adrift(words: list[str], found: list[Number], units: Units) -> Iterator[Amount]:
    if not units.any("adrift", words) or re.search(r"\b(?:every|each|per|expire\w*|until|till|watch\w*|rescue|for the next|ago)\b", " ".join(words)) \
            and not re.search(r"\bago\b.*\b(?:left|abandon)|\b(?:left|abandon\w*|boarded|got in|climbed in)\b.*\bago\b", " ".join(words)):
        return
    total, seen = 0.0, False
    for number in found:
        factor, end = units.unit(HOURS, words, number.stop)
        if not factor and words[number.stop:number.stop + 1] in (["full"], ["whole"], ["solid"], ["more"], ["long"], ["straight"]):
            factor, end = units.unit(HOURS, words, number.stop + 1)
        if factor:
            half = words[end:end + 3] == ["and", "a", "half"]
            total, seen = total + number.value * factor + (0.5 * factor if half else 0.0), True
    if seen:
        yield Amount("hours_adrift", round(total, 4), "set")
