"""Numbers as people say them: digits, words, fractions, `a couple`, `half a dozen`."""
from __future__ import annotations

import re
from functools import lru_cache
from typing import NamedTuple

from guide.patterns import pattern

_SMALL = ("zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen "
          "eighteen nineteen").split()
_TENS = "twenty thirty forty fifty sixty seventy eighty ninety".split()
NUMBER_WORDS: dict[str, float] = {
    **{word: float(n) for n, word in enumerate(_SMALL)}, **{word: 10.0 * n for n, word in enumerate(_TENS, 2)},
    "nought": 0.0, "nil": 0.0, "zilch": 0.0, "fourty": 40.0, "dozen": 12.0, "couple": 2.0, "pair": 2.0, "brace": 2.0, "single": 1.0,
    "score": 20.0, "hundred": 100.0, "thousand": 1000.0, "half": 0.5, "both": 2.0, "a": 1.0, "an": 1.0, "another": 1.0, "no": 0.0,
    "won": 1.0, "tree": 3.0, "twa": 2.0}
ARTICLES = ("a", "an", "another")
_OWNERS = frozenset("my your his her its our their".split())
_SIGNS = ("minus", "-", "negative")
_BEGIN = frozenset((*NUMBER_WORDS, *_SIGNS, "quarter"))
LONGEST = 12
"""Characters of a number that is read; a longer one counts nothing in a raft."""
_SHARES = {("half",): 0.5, ("a", "half"): 0.5, ("one", "half"): 0.5, ("a", "quarter"): 0.25, ("one", "quarter"): 0.25, ("three", "quarters"): 0.75,
           ("three", "quarter"): 0.75}
"""What may be added to a whole number: `nine and one half`."""
_AFTER_ARTICLE = frozenset("couple pair brace dozen score hundred thousand half quarter single".split())
_MULTIPLIERS = {"hundred": 100.0, "thousand": 1000.0, "dozen": 12.0}
_CLOCK = pattern(r"\b(?:[01]?\d|2[0-3]):[0-5]\d\b|\b[a-z\d]+ o ?clock\b|\b0\d{3}\b|^(?:[01]\d|2[0-3])[0-5]\d(?=:)")
_DEGREES = "|".join((*_SMALL, *_TENS))
_BELOW_ZERO = pattern(rf"\b(\d+(?:\.\d+)?|(?:{_DEGREES})(?:[- ](?:{_DEGREES}))?) (degrees?|deg|c|celsius|centigrade) (?:below|under) (?:zero|freezing|nought|0)\b")
_HEDGES = pattern(r"\b(?:i|we) (?:would |will )?(?:guess|reckon|say|estimate|make it|make(?= the))(?: that)?(?: at| to be)?\b ?| (?:or so|or thereabouts|or thereabout|give or take|more or less)(?=\W*$|\W* (?:and|but|so|now|in|of|left|to|for|from)\b|[,.;])")
"""With which somebody says that he estimates a number; what is measured in a raft is mostly estimated."""
_NO_MORE = pattern(r"^no more (?=(?:drinking |fresh )?(?:water|food)(?: left| now| at all| aboard)?\W*$)")
_LAST_ONE = pattern(r"\b(down to|on) (?:our|the|my) last (?=(?:litre|liter|pint|gallon|bottle)\b)")
"""`down to our last litre`: there is one."""
_SOLE, _THERE_WENT = pattern(r"\b(?:sole|only|one) remaining (?=[a-z])"), pattern(r"\bthere (?:goes|went) (?=(?:our|the|my) last\b)")
_FORCE, _BLOWS = pattern(r"\bf ?(\d{1,2})\b"), pattern(r"\b(?:wind|winds|gusts?|gusting|blow|blows|blowing|breeze|wx|weather|beaufort)\b")
"""`wind F6`"""
_AT_CLOCK = pattern(r"(?<=[a-z]) ((?:[01]\d|2[0-3])[0-5]\d)(?=\s*(?:[,.;!]|$))")
"""A time of the day behind what happened then: `threw 1 smoke 1404`."""
_ANY_MORE = pattern(r"(\bnot\b[^,.;]*) no more(?=\W*$|[,.;])")
"""`can't hear it no more` counts nothing."""
_A_BIT = pattern(r"\ba (bit|lot|little|while|moment|sec|shame|pity|laugh|joke|mess|try)\b")
"""Counts nothing: `screamed a bit`."""
_WORD = pattern(r"-?\d+(?:\.\d+)?|[a-z]+(?:-[a-z]+)*|[^\sa-z\d]")


def countable(text: str) -> str:
    """Regular text as its numbers count: without times of the day, `one rocket at 21:10`; `three degrees below zero` with its sign."""
    text = _HEDGES.sub("", text) if "i " in text or "we " in text or " or " in text or " more " in text else text
    if " no more" in text:
        text = _ANY_MORE.sub(r"\1 any more", text)
    if text.startswith("no more "):
        text = _NO_MORE.sub("no ", text)
    if " remaining " in text:
        text = _SOLE.sub("last ", text)
    if " last " in text:
        text = _THERE_WENT.sub("used ", text)
        text = _LAST_ONE.sub(r"\1 one ", text)
    text = _FORCE.sub(r"force \1", text) if " f" in text and any(map(str.isdigit, text)) and _BLOWS.search(text) else text
    text = _A_BIT.sub(r"some \1", text) if " a " in f" {text}" else text
    if "below" in text or "under" in text:
        text = _BELOW_ZERO.sub(r"minus \1 \2", text)
    clock = _AT_CLOCK.search(text) if any(map(str.isdigit, text)) else None
    if clock and any(map(str.isdigit, text[:clock.start()])):
        text = _AT_CLOCK.sub(" at clock", text)
    return _CLOCK.sub("clock", text) if ":" in text or "clock" in text or "0" in text else text


class Number(NamedTuple):
    """A number in a list of words: its value and where it stands, `start` to `stop` (not included)."""

    value: float
    start: int
    stop: int
    bare_article: bool
    """It was only `a`, `an` or `another`: one of something, if a unit follows."""


def split(text: str) -> list[str]:
    """Words, numbers and signs of regular text; hyphens of number words opened, thousands joined, `10m` cut in two."""
    return list(_split(text))


@lru_cache(maxsize=1024)
def _split(text: str) -> list[str]:
    """Kept, as each clause is asked for again and again."""
    if text.isascii() and text.islower() and text.replace(" ", "").isalpha():
        return text.split()
    text = re.sub(r"(?<=\d),(?=\d{3}\b)|(?<=\d) (?=000\b)", "", text)
    text = re.sub(r"(?<=\d),(?=\d{1,2}\b)", ".", text)
    text = re.sub(r"\b([1-9]\d{0,2})\.(\d{3})(?= ?(?:ml|kcal|cal)\b)", r"\1\2", text)  # `1.500 ml` as most of Europe writes it
    text = re.sub(r"\b(\d+(?:\.\d+)?)k\b", lambda m: f"{1000 * float(m[1]):g}", text)
    text = re.sub(r"(\d)\s*(?:1/2|½)", r"\1.5", text).replace("½", "0.5")
    text = re.sub(r"\b(\d+)/(\d+)\b", lambda m: str(round(int(m[1]) / int(m[2]), 4)) if int(m[2]) else m[0], text)
    text = re.sub(r"(\d)([a-z°%])", r"\1 \2", text)
    text = re.sub(r"\b([a-z]+)-([a-z]+)\b", lambda m: f"{m[1]} {m[2]}" if m[1] in NUMBER_WORDS or m[2] in NUMBER_WORDS else m[0], text)
    return _WORD.findall(text)


def numbers(words: list[str]) -> list[Number]:
    """Every number, longest reading first, left to right."""
    found: list[Number] = []
    at = 0
    while at < len(words):
        word = words[at]
        number = _at(words, at) if word in _BEGIN or word[-1].isdecimal() else None
        if number:
            found.append(number)
            at = number.stop
        else:
            at += 1
    return found


def _at(words: list[str], at: int) -> Number | None:
    """The number that begins at a word with which one may; None where none does."""
    minus = words[at] in _SIGNS and at + 1 < len(words) and words[at + 1] not in ARTICLES  # `minus a boot`
    start, at = at, at + minus
    value, stop = _plain(words, at)
    if stop == at:
        return None
    if words[stop:stop + 1] == ["and"]:
        size = next((size for size in (2, 1) if tuple(words[stop + 1:stop + 1 + size]) in _SHARES), 0)
        value, stop = (value + _SHARES[tuple(words[stop + 1:stop + 1 + size])], stop + 1 + size) if size else (value, stop)
    elif words[stop:stop + 1] == ["point"] and words[stop + 1:stop + 2]:
        decimal, end = _plain(words, stop + 1)
        if end > stop + 1 and decimal < 10:
            value, stop = value + decimal / 10, end
    if value % 1 == 0.5 and words[stop:stop + 1] == ["thousand"]:
        value, stop = 1000 * value, stop + 1
    if words[stop:stop + 1] == ["below"]:
        value, stop = -value, stop + 1
    return Number(-value if minus else value, start, stop, stop == start + 1 and words[start] in ARTICLES)


def _plain(words: list[str], at: int) -> tuple[float, int]:
    """A cardinal from `at`, and where it ends (`at` itself when there is none)."""
    word = words[at] if at < len(words) else ""
    if re.fullmatch(r"-?\d+(?:\.\d+)?", word):
        if len(word) > LONGEST:
            return 0.0, at
        value, stop = float(word), at + 1
    elif word in ("three", "one") and words[at + 1:at + 2] in (["quarters"], ["quarter"]):
        value, stop = (0.75 if word == "three" else 0.25), at + 2
    elif word == "half" and words[at + 1:at + 2] == ["dozen"]:
        return 6.0, at + 2
    elif word in ("half", "quarter") and words[at + 1:at + 2] in (["a"], ["an"]):
        share = 0.5 if word == "half" else 0.25
        if words[at + 2:at + 3] == ["dozen"]:
            return 12 * share, at + 3
        return share, at + 2
    elif word == "another" and _plain(words, at + 1)[1] > at + 1:
        return 0.0, at  # the number behind it counts
    elif word in ARTICLES and words[at + 1:at + 2] and words[at + 1] in _AFTER_ARTICLE:
        return _plain(words, at + 1)
    elif word == "quarter":
        value, stop = 0.25, at + 1
    elif word == "both" and words[at + 1:at + 2] and words[at + 1] in _OWNERS:
        return 0.0, at  # `burnt both her hands` counts nobody
    elif word in NUMBER_WORDS:
        value, stop = NUMBER_WORDS[word], at + 1
        if value >= 20 and value % 10 == 0 and value < 100 and stop < len(words) and 0 < NUMBER_WORDS.get(words[stop], 0) < 10 \
                and words[stop] not in ("a", "an", "half", "couple", "pair", "brace", "both", "single"):
            value, stop = value + NUMBER_WORDS[words[stop]], stop + 1
    else:
        return 0.0, at
    while stop < len(words) and words[stop] in _MULTIPLIERS and word not in ("half", "dozen", "hundred", "thousand"):
        value, stop = value * _MULTIPLIERS[words[stop]], stop + 1
    if words[stop - 1] in ("hundred", "thousand"):
        begins = stop + (words[stop:stop + 1] == ["and"])
        rest, end = _plain(words, begins)
        if end > begins and 0 < rest < (100 if words[stop - 1] == "hundred" else 1000) and words[begins] not in (*ARTICLES, "half"):
            value, stop = value + rest, end
    return value, stop
