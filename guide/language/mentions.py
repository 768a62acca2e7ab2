"""Numbers in a clause as quantities: each with its unit and what it would come to as any fact that it may tell.

Grammar only. Which fact a quantity tells, if any, is for the learned evidence to say, from how the clause looks with its
quantities marked.
"""
from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from guide.language.features import Lexicon, weighed
from guide.language.numbers import NUMBER_WORDS, Number, numbers
from guide.language.units import FORCE_KN, HOURS, KCAL, KNOTS, LITRES, METRES, Units
from guide.language.wording import stem
from guide.patterns import pattern

_MEASURES = {"litre": (LITRES, "water"), "kcal": (KCAL, "food"), "hour": (HOURS, "hours_adrift"), "knot": (KNOTS, "wind_speed"),
             "metre": (METRES, "wave_height")}
"""Sort of quantity → its units and the fact that it may tell."""
_LEAVES = pattern(r"(?:(?:was|has|has been|is|got|just) )*(?:lifted (?:off|up)|winched|hoisted|taken off|picked up by|rescued by|evacuated|airlifted|(?:moved|went|gone|changed|climbed|swam|crossed) (?:over |across )?(?:to|into) the (?:other|second|ship|lifeboat))\b")
_TO_LEAVING = 8
"""Words behind `one of us` within which it is said."""
_COUNTED = ("persons", "persons_missing", "raft_capacity", "rocket_flares", "hand_flares", "smoke_signals", "thermal_aids")
PEOPLE = ("persons", "persons_missing")
"""What is counted without being named: `all here`."""
TEMPERATURES = ("air_temperature", "sea_temperature")
_OR = (["or"], ["to"], ["maybe"], ["or", "maybe"], ["or", "so"])
_RATHER = (["not"], ["of"], ["than"])
_TO_COUNTED, _MORE = 4, frozenset("more left one".split())
"""Words behind `no` among which what it counts stands, and those that stand for it."""
_LEAST_KCAL, _TO_EATEN = 100, 4
"""What a number without a unit must be at least to be kilocalories, and words before it among which stands that it was eaten."""
_PARTS = (0.25, 0.5, 0.75)
_NUMBERED = (["day"], ["channel"], ["page"], ["step"], ["number"], ["chapter"], ["section"], ["phase"], ["rule"], ["ch"], ["gcs"], ["hr"], ["rr"], ["bp"], ["sats"], ["spo2"], ["pulse"], ["cas"], ["casualty"], ["patient"], ["sheet"], ["serial"], ["item"], ["card"], ["lesson"], ["inject"])
"""What a number behind it only names: `day 3`, `channel 16`."""
_LAST, _ONLY, _AMONG = (["last"], ["final"], ["each"], ["every"], ["single"]), (["only"], ["just"], ["is"], ["but"]), (["of", "us"], ["of", "you"])
_OWNED = (["of", "ours"], ["of", "yours"], ["of", "theirs"])
_THE = frozenset("the this that".split())
_PARENTS = frozenset("dad mum mom mam mammy father mother parent granny gran grandad grandma grandmother grandfather".split())
_OF_SEVERAL = frozenset("last second third next other first final only single is was makes leaves has".split())
"""Words between those and `one` that do not tell which sort it is of."""
_WINDS = frozenset("wind winds breeze blow blowing blew gusting gusts".split())
_NO_NOUN: Sequence[list[str]] = ([], [","], ["."], [";"], ["now"], ["and"], ["or"], ["here"], ["maybe"], ["again"])
_POINTS = [[point] for point in ("ne se sw nw nne ene ese sse ssw wsw wnw nnw northerly southerly easterly westerly northeast southeast southwest northwest "
                                 "northeasterly southeasterly southwesterly northwesterly").split()]
_OF_PLACE, _SHORT = (["degrees"], ["degree"], ["deg"], ["minutes"], ["miles"], ["mile"], ["of"]), 8
"""What a number behind a point of the compass is when it is no force; words of a text that need not name the wind."""
_FORCE = frozenset(("force", "gale", "bf", "bft", "beaufort"))
_OF = frozenset("of at with by x in holding containing about roughly".split())
_WHOLE = "whole"
"""The sort of a clause taken as one, for what is told without a number: `the water is all gone`."""
_NEAR, _FAR, _KIND = 12, 3, 20
"""Weight of a word beside the quantity; how far off words count as beside it; weight of the quantity's sort."""


class Mention(NamedTuple):
    """A quantity in a list of words."""

    start: int
    stop: int
    """Behind its unit."""
    sort: str
    """litre, kcal, hour, knot, metre, degree, force, bare (a number without unit)."""
    number: float
    article: bool
    """It was only `a`, `another` or `no`."""
    values: Mapping[str, float]
    """What it comes to as each fact that it may tell, in the fact's own unit."""


def mentions(words: list[str], units: Units, fahrenheit: bool = False) -> list[Mention]:
    """The quantities of a clause from left to right. Left out: ranges, numbers between which the speaker wavers, denied ones
    (`seven, not six`), the one of several (`one of us`, `the last one`), rates (`half a litre a day`) and distances (`ten metres off`). `fahrenheit`: degrees without a letter are such."""
    found = [number for number in numbers(words) if not _answers_no(words, number, units)]
    found = [one for one, two in itertools.zip_longest(found, found[1:]) if not (one.bare_article and two and two.start == one.stop)]  # `down to a five`
    wavers = {n for one, two in itertools.pairwise(found) if not one.bare_article and not two.bare_article
              and words[one.stop:two.start] in _OR for n in (one, two)}
    single = [_mention(words, n, units, fahrenheit) for n in found if n not in wavers and not _denied(words, n) and not _singles_out(words, n)]
    rates = {m.stop for m in single if units.at("rate", words, m.stop) or m.sort == "metre" and units.at("distance", words, m.stop) and not _TO_CREST.match(" ".join(words[m.stop:]))}
    whole = [m for one, m in zip([None, *single], single) if (one is None or one.stop <= m.start) and m.start not in rates]  # `half of a litre`
    return [m for m in _products(words, _sums(words, _of_all(words, whole, units), units), units) if m.stop not in rates]


_TO_CREST = pattern(r"from (?:the )?(?:troughs?|tops?|crests?|bottoms?|dips?|valleys?|peaks?|hollows?)\b")
"""`three metres from trough to crest` is a height, no distance."""


def _answers_no(words: list[str], number: Number, units: Units) -> bool:
    """`No, he is still missing` counts nobody, `no answer to them` nothing: only `no rockets`, `no more`, `no drinking water` count."""
    if words[number.start:number.stop] != ["no"]:
        return False
    behind = words[number.stop:number.stop + _TO_COUNTED]
    if behind and not behind[0][0].isalnum():
        return True
    return behind != [] and behind[0] not in _MORE and not any(units.any(name, behind) for name in (*units.lists("noun_"), *units.lists("unit_"), "holder"))


def _singles_out(words: list[str], number: Number) -> bool:
    """`one of us is ill`, `the last one is spent`, `day 3`, `two times`: it counts nothing, unless there is `only one of us`."""
    if words[max(0, number.start - 1):number.start] in _NUMBERED and not _counted_days(words, number) or words[number.stop:number.stop + 1] == ["times"] or words[number.stop:number.stop + 2] in _OWNED:
        return True  # `two of ours` are neither hours nor all of the crew
    if words[number.start - 1:number.start] == ["of"] and number.start > 1 and words[number.start - 2] in _PARENTS:
        return True  # `a dad of three`
    if words[number.stop - 1:number.stop] == ["single"]:
        return words[number.stop:number.stop + 1] == ["one"]
    if words[number.start:number.stop] != ["one"]:
        return False
    if of_a_sort(words, number.start):
        return True
    before = words[max(0, number.start - 1):number.start]
    return before in _LAST or before not in _ONLY and words[number.stop:number.stop + 2] in _AMONG and not _leaves(words, number.stop + 2)


def _leaves(words: Sequence[str], at: int) -> bool:
    """Whether it is said here that somebody leaves the raft: `one of us was lifted off`."""
    return bool(_LEAVES.match(" ".join(words[at:at + _TO_LEAVING])))


def _counted_days(words: list[str], number: Number) -> bool:
    """Whether the day before a number is counted itself: `1 day 6 hours`."""
    return words[number.start - 1] == "day" and number.start > 1 and (words[number.start - 2] in NUMBER_WORDS or words[number.start - 2].isdigit())


def of_a_sort(words: Sequence[str], at: int) -> bool:
    """Whether the `one` at this place is one of a sort: `the hand one`, `lit the red one`."""
    return at > 1 and words[at] == "one" and words[at - 2] in _THE and words[at - 1] not in _OF_SEVERAL


def _denied(words: list[str], number: Number) -> bool:
    before = words[max(0, number.start - 1):number.start]
    if before not in _RATHER or number.value <= 1:
        return False
    return before == ["not"] or words[number.start - 2:number.start] in (["instead", "of"], ["rather", "than"])


_HOTTEST = 48
"""The warmest that air or sea is, in degrees Celsius: from memory."""


def _mention(words: list[str], number: Number, units: Units, fahrenheit: bool) -> Mention:
    article = number.bare_article or words[number.start:number.stop] == ["no"]
    for sort, (table, fact) in _MEASURES.items():
        factor, end = _unit_behind(words, number.stop, units, table)
        if factor and not (article and words[number.stop] == "second"):  # `a second raft` is one more
            return Mention(number.start, end, sort, number.value, article, {fact: number.value * factor})
    if _is_force(words, number):
        return Mention(number.start, number.stop, "force", number.value, False, {"wind_speed": FORCE_KN[int(number.value)]})
    degrees = max(units.at("degrees", words, number.stop), number.stop)
    warm = max((units.at(name, words, degrees) for name in ("unit_celsius", "unit_fahrenheit")), default=0)
    marked = warm or degrees > number.stop or words[number.start] in ("minus", "negative", "-") or number.value < 0
    is_fahrenheit = units.at("unit_fahrenheit", words, degrees) or fahrenheit and not units.at("unit_celsius", words, degrees)
    is_fahrenheit = is_fahrenheit or number.value > _HOTTEST and not units.at("unit_celsius", words, degrees)  # no sea or air is so warm in Celsius
    warmth = round((number.value - 32) / 1.8 if is_fahrenheit else number.value, 4)
    values = {} if article or words[number.start:number.stop] == ["nil"] else dict.fromkeys(TEMPERATURES, warmth)
    if marked:
        return Mention(number.start, max(degrees, warm), "degree", number.value, False, values)
    if number.value >= _LEAST_KCAL and words[max(0, number.start - 1):number.start] != ["at"] and units.any("eaten", words[max(0, number.start - _TO_EATEN):number.start]):
        return Mention(number.start, number.stop, "kcal", number.value, False, {"food": number.value})  # `we ate 1800 of it`
    return Mention(number.start, number.stop, "bare", number.value, article, values | _counts(number, article))


def _counts(number: Number, article: bool) -> dict[str, float]:
    """What a number without unit may come to beside a temperature."""
    values = dict.fromkeys(_COUNTED, number.value) if number.value == int(number.value) else {}
    if not article:
        values |= {"wind_speed": number.value, "wave_height": number.value}
    return values | ({"water": 0.0, "food": 0.0} if number.value == 0 else {})


def _unit_behind(words: list[str], at: int, units: Units, table: Mapping[str, float]) -> tuple[float, int]:
    """Factor and end of a unit right behind a number, or with `more`, `of a` or the like between."""
    factor, end = units.unit(table, words, at)
    between = units.at("before_unit", words, at)
    return (factor, end) if factor or not between else units.unit(table, words, between)


def _is_force(words: list[str], number: Number) -> bool:
    """`force 6`; of the wind also `down to a five`."""
    if words[max(0, number.start - 1):number.start] == ["a"] and not _WINDS.isdisjoint(words[:number.start]) and words[number.stop:number.stop + 1] in _NO_NOUN:
        return number.value in range(len(FORCE_KN))
    if words[max(0, number.start - 1):number.start] in _POINTS and not words[number.stop:number.stop + 1] in _OF_PLACE and (len(words) < _SHORT or not _WINDS.isdisjoint(words)):
        return number.value in range(1, len(FORCE_KN))  # `wind SW 5`, as forecasts have it
    beside = words[max(0, number.start - 1):number.start] + words[number.stop:number.stop + 1]
    return not _FORCE.isdisjoint(beside) and number.value in range(len(FORCE_KN))


def _sums(words: list[str], found: Sequence[Mention], units: Units) -> list[Mention]:
    """`a day and a half`, `hour and a half`, `two days and six hours` as one quantity."""
    taken: list[Mention] = []
    for mention in found:
        last = taken[-1] if taken else None
        joined = last is not None and words[last.stop:mention.start] in ([], ["and"])
        if mention.sort == "bare" and mention.number in _PARTS and words[mention.start - 1:mention.start] == ["and"]:
            if joined and last is not None and last.sort in _MEASURES:
                taken[-1] = _grown(last, mention.stop, 1 + mention.number / last.number if last.number else 1.0)
                continue
            mention = mention.number == 0.5 and _unnumbered(words, mention, units) or mention
        elif joined and last is not None and last.sort == mention.sort == "hour":
            taken[-1] = last._replace(stop=mention.stop, values={"hours_adrift": last.values["hours_adrift"] + mention.values["hours_adrift"]})
            continue
        taken.append(mention)
    return taken


def _grown(mention: Mention, stop: int, times: float) -> Mention:
    return mention._replace(stop=stop, number=mention.number * times, values={fact: value * times for fact, value in mention.values.items()})


def _unnumbered(words: list[str], half: Mention, units: Units) -> Mention | None:
    """`day and a half`: the unit without number in front of the half."""
    for sort, (table, fact) in _MEASURES.items():
        factor, end = units.unit(table, words, half.start - 2) if half.start > 1 else (0.0, 0)
        if factor and end == half.start - 1:
            return Mention(half.start - 2, half.stop, sort, 1.5, False, {fact: 1.5 * factor})
    return None


def _products(words: list[str], found: list[Mention], units: Units) -> list[Mention]:
    """`12 pouches of half a litre`, `six tins, 2500 kcal each`: a number of holders times what one holds."""
    taken: list[Mention] = []
    found = _half_full(words, found, units)
    for at, mention in enumerate(found):
        size = found[at + 1] if at + 1 < len(found) else None
        times = found[at - 1] if at else None
        if size and mention.sort == "bare" and _holds(words, mention, size, units) or taken and mention.start < taken[-1].stop:
            continue
        if times and times.sort == "bare" and _holds(words, times, mention, units):
            stop = units.at("per_holder", words, mention.stop) or units.at("each", words, mention.stop) or mention.stop
            mention = _grown(mention, stop, times.number)._replace(number=times.number)  # so many holders, each of so much
        taken.append(mention)
    return taken


def _of_all(words: list[str], found: list[Mention], units: Units) -> list[Mention]:
    """`two of the nine litres`, `3 of our 6 hand flares`: so many, in the unit of all of them; `two of the 500 kcal bars`: so many times what one has."""
    taken: list[Mention] = []
    for mention in found:
        last = taken[-1] if taken else None
        if last and last.sort == "bare" and not last.article and words[last.stop:mention.start] in _OF_ALL and 0 < last.number <= mention.number:
            held = units.at("holder", words, mention.stop)
            share = last.number if held or last.number < 1 else last.number / mention.number  # `half of the nine litres`
            taken[-1] = _grown(mention._replace(start=last.start), held or mention.stop, share)
        else:
            taken.append(mention)
    return taken


def _half_full(words: list[str], found: list[Mention], units: Units) -> list[Mention]:
    """`a half full 2 litre jug`, `a 5 litre can half full`: half of what it holds."""
    taken: list[Mention] = []
    for mention in found:
        last = taken[-1] if taken else None
        if last is not None and last.number == 0.5 and last.sort == "bare" and mention.sort == "litre" and words[last.stop:mention.start] == ["full"]:
            taken[-1] = _grown(mention._replace(start=last.start), mention.stop, 0.5)
        elif last is not None and last.sort == "litre" and mention.number == 0.5 and words[mention.stop:mention.stop + 1] in (["full"], ["empty"]) \
                and _HALF_OF.issuperset(words[units.at("holder", words, last.stop) or last.stop:mention.start]):
            taken[-1] = _grown(last, mention.stop + 1, 0.5)
        else:
            taken.append(mention)
    return taken


_OF_ALL = [of.split() for of in ("of the", "of our", "of my", "of those", "of these", "out of the", "out of our", "out of")]
_HALF_OF = frozenset("is about abt only of drinking fresh water".split())
_OF_THE = frozenset(("of", "the", "those", "these"))


def _holds(words: list[str], times: Mention, size: Mention, units: Units) -> bool:
    """Whether one quantity counts holders of which each has the other: `a dozen half-litre bags`, `six full tins of 2500 kcal`."""
    if size.sort not in ("litre", "kcal") or times.article or times.number <= 1:
        return False
    if words[times.stop:size.start] == ["x"]:
        return True
    end = units.at("holder", words, times.stop) or units.at("holder", words, times.stop + 1)
    people = units.at("noun_persons", words, times.stop)
    if people and any(units.find(name, words, people, size.start) >= 0 for name in ("spending", "giving_out")):
        return units.at("each", words, size.stop) > 0  # `two of us drank half a litre each`
    if not end:
        behind = max((units.at(noun, words, size.stop) for noun in ("noun_water", "noun_food")), default=0) or size.stop  # `9 half litre water bags`
        return set(words[times.stop:size.start]) <= _OF_THE and (size.number < 1 or bool(units.at("holder", words, behind)))
    between = [word for word in words[end:size.start] if not units.among(word, ("noun_water", "noun_food"))]
    return _OF.issuperset(between) or any(0 <= units.find(name, words, end) <= size.stop + 1 for name in ("each", "per_holder"))


def shown(words: Sequence[str], found: Sequence[Mention], target: Mention | None, lexicon: Lexicon) -> dict[str, int]:
    """What a clause shows of one of its quantities, or of itself as a whole: as `features.weighed`, with the quantities marked.

    Prefixes beside those of `weighed`: < and > words before and behind the quantity, q its sort, @ its place and size.
    """
    marked, place = _marked(words, found, target)
    shows = weighed(marked, lexicon)
    if target is None:
        return shows | {f"q{_WHOLE}": _KIND}
    stems = [stem(word) for word in marked]
    for name in _beside(stems, place):
        shows[name] = _NEAR
    shows[f"q{target.sort}"] = _KIND
    shows[f"@{'^' if place == 0 else ''}{'$' if place == len(marked) - 1 else ''}"] = _NEAR
    shows[f"@{_size(target.number)}"] = _NEAR
    return shows


def _beside(stems: Sequence[str], place: int) -> Iterator[str]:
    for off in range(1, _FAR + 1):
        if place >= off:
            yield from (f"<{off} {stems[place - off]}", f"< {stems[place - off]}")
        if place + off < len(stems):
            yield from (f">{off} {stems[place + off]}", f"> {stems[place + off]}")
    if place > 1:
        yield f"<< {stems[place - 2]} {stems[place - 1]}"
    if place + 2 < len(stems):
        yield f">> {stems[place + 1]} {stems[place + 2]}"


def _marked(words: Sequence[str], found: Sequence[Mention], target: Mention | None) -> tuple[list[str], int]:
    """The words with each quantity as one word for its sort, and where the target stands."""
    starts = {mention.start: mention for mention in found}
    marked: list[str] = []
    place = at = 0
    while at < len(words):
        mention = starts.get(at)
        if mention is None:
            marked += [words[at]] if words[at][0].isalnum() else []
        elif mention is target:
            place = len(marked)
            marked.append(f"q{mention.sort}{words[at] if mention.article else ''}")
        elif mention.article:
            marked.append(words[at])
        else:
            marked.append(f"o{mention.sort}")
        at = at + 1 if mention is None or mention.article and mention is not target else mention.stop
    return marked, place


def _size(number: float) -> str:
    if number < 0:
        return "minus"
    if number != int(number):
        return "part"
    return "0" if number == 0 else "1" if number == 1 else "few" if number <= 15 else "many" if number < 100 else "hundreds"
