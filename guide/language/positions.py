"""Latitude and longitude as people say them."""
from __future__ import annotations

import re
from typing import NamedTuple

from guide.language.numbers import Number, numbers, split
from guide.language.wording import regular, tokens
from guide.patterns import pattern

PLACE = ("latitude", "longitude")
_SIDES = {"north": 1, "south": -1, "east": 1, "west": -1, "n": 1, "s": -1, "e": 1, "w": -1}
_DEGREES = frozenset(("degrees", "degree", "deg", "degs", "d", "°"))
_MINUTES = frozenset(("minutes", "minute", "mins", "min", "′"))
_SECONDS = frozenset(("seconds", "second", "secs", "sec", "″"))
_NAMED = frozenset(("lat", "latitude", "lon", "long", "longitude", "pos", "position", "gps", "fix", "plotter"))
_SAYS_WHERE = _NAMED.union(_SIDES)
_OF_WIND = frozenset("wind winds breeze gale force knots knot kts kn blowing blows gusting gusts swell".split())
"""Words with which a number and a side are a wind, where nothing says that they are a place: `wind is 5-6 south west`."""
_LATITUDE, _LONGITUDE = frozenset(("lat", "latitude")), frozenset(("lon", "long", "longitude"))


class Angle(NamedTuple):
    """Part of a position, in decimal degrees; south and west below 0."""

    fact: str
    """latitude or longitude"""
    value: float


def position(text: str) -> list[Angle]:
    """The angles that an utterance tells: decimal degrees, or degrees with minutes and seconds, with a side or a name."""
    if not any(map(str.isdigit, text)) and _SAYS_WHERE.isdisjoint(tokens(text)):
        return []  # most texts: no pattern is needed for them
    words = [word for word in split(_signs(text)) if word not in (",", "'", '"')]
    found = numbers(words)
    sides = {word for number in found for word in words[number.stop:number.stop + 2]}
    named = not _NAMED.isdisjoint(words) or _HERE.search(" ".join(words)) is not None or not sides.isdisjoint(("north", "south", "n", "s")) and not sides.isdisjoint(("east", "west", "e", "w"))
    if not named and not _OF_WIND.isdisjoint(words):
        return []
    angles: dict[str, float] = {}
    at = 0
    while at < len(found):
        degrees, stop, used, exact = _angle(words, found, at)
        fact, sign = _side(words, found[at], stop, named or exact) if not found[at].bare_article else ("", 1)  # `how long a man can swim`
        limit = 90 if fact == "latitude" else 180
        if fact and abs(degrees) <= limit:
            angles.setdefault(fact, round(sign * degrees, 5))
            at += used
        else:
            at += 1
    return [Angle(fact, value) for fact, value in angles.items()]


_OF_A_PLACE = (["of", "the"], ["of", "us"], ["of", "our"], ["of", "here"])
_HERE = pattern(r"\b(?:we|i|you) (?:are|am|were|was|had been) (?:now |only )?(?:on|at|in) \S+(?: \S+)? (?:north|south)\b")
"""How far north or south they are, and no more: `we are on 70 north`."""
_SIDE_FIRST = pattern(r"\b(n|s|north|south) ?(\d[\d. ]*?(?: ?(?:degrees|minutes|seconds) ?[\d. ]*?)*)[, ]+(e|w|east|west) ?(\d[\d. ]*(?: ?(?:degrees|minutes|seconds)(?: ?\d[\d. ]*)?)*)(?=\s|$|[,.;!?])")
"""`N56 30 W003 15` with its sides behind, as they are read."""
_HYPHENED = pattern(r"\b(\d{1,3})-(\d{1,2}(?:\.\d+)?) ?([NSEWnsew])\b")
"""`50-30N 005-20W`."""
_BETWEEN = pattern(r"\b(north|south)[ -](east|west)(?!\w)(?! ?\d)", re.IGNORECASE)
"""A direction, no side of a place."""
_HYPHENED_WORDS = pattern(r"\b(\d{1,3})-(\d{2}(?:\.\d+)?) (north|south|east|west)\b", re.IGNORECASE)
"""`longitude 1-45 West`; where no word says that it is a place, it may be a wind: `20-25 south`."""
_RUN_ON = pattern(r"\b(\d{2})([0-5]\d(?:\.\d+)?) ?([NS])\b|\b([01]\d{2})([0-5]\d(?:\.\d+)?) ?([EW])\b", re.IGNORECASE)
"""Degrees and minutes in one: `5410N 00145W`."""
_PAIR = pattern(r"^\W*(?:position:? |we are at |at )?(-?\d{1,2}\.\d+),? +(-?\d{1,3}\.\d+)\W*$")
"""Latitude and longitude as a plotter shows them: `50.5, -5.3`."""
_MINUTE_SIGN = pattern(r"(?<=\d)(?:′|')(?=[\sNSEWnsew\d]|$)")


def _signs(text: str) -> str:
    """Regular text in which signs for degrees, minutes and seconds are words."""
    for sign, word in (("″", "seconds"), ('"', "seconds"), ("°", "degrees")):
        text = text.replace(sign, f" {word} ")
    text = _BETWEEN.sub(r"\1\2", text)
    if not _NAMED.isdisjoint(tokens(text)) or len(_HYPHENED_WORDS.findall(text)) > 1:
        text = _HYPHENED_WORDS.sub(r"\1 degrees \2 minutes \3", text)
    text = _RUN_ON.sub(lambda found: " ".join([found[1] or found[4], "degrees", found[2] or found[5], "minutes", found[3] or found[6]]), text)
    text = _PAIR.sub(r"latitude \1 longitude \2", _HYPHENED.sub(r"\1 degrees \2 minutes \3", text))
    return _SIDE_FIRST.sub(r"\2 \1 \4 \3", regular(_MINUTE_SIGN.sub(" minutes ", text)))


def _angle(words: list[str], found: list[Number], at: int) -> tuple[float, int, int, bool]:
    """Degrees from a number on, where their words end, how many numbers they take, and whether it is clear that they are degrees."""
    number = found[at]
    stop = number.stop + (words[number.stop:number.stop + 1] != [] and words[number.stop] in _DEGREES)
    exact, used, degrees = stop > number.stop or number.value != int(number.value), 1, number.value
    sign = -1 if degrees < 0 else 1
    for part, names in ((60, _MINUTES), (3600, _SECONDS)):
        more = found[at + used] if at + used < len(found) and words[stop:found[at + used].start] in ([], ["and"]) else None
        if more is None or more.bare_article or more.value >= 60 or more.value < 0:
            break
        degrees, used, exact = degrees + sign * more.value / part, used + 1, True
        stop = more.stop + (words[more.stop:more.stop + 1] != [] and words[more.stop] in names)
    return degrees, stop, used, exact


def _side(words: list[str], number: Number, stop: int, clear: bool) -> tuple[str, int]:
    """Which angle it is, and its sign; nothing where neither a side nor a name tells."""
    side = words[stop] if stop < len(words) else ""
    if side in _SIDES and clear and words[stop + 1:stop + 3] not in _OF_A_PLACE:  # `2 north of the island`
        return ("latitude" if side[0] in "ns" else "longitude"), _SIDES[side]
    before = words[max(0, number.start - 2):number.start]
    if _LATITUDE.intersection(before):
        return "latitude", 1
    named = _LONGITUDE.intersection(before)
    return ("longitude", 1) if named and (named != {"long"} or not _LATITUDE.isdisjoint(words)) else ("", 1)  # `the long one`
