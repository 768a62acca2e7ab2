"""The pieces of a sentence: what each does by its form, and what stands beside it."""
from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from guide.language.clauses import asks, has_verb, joined, main_part
from guide.language.facts import OF_SOMEBODY, Told
from guide.language.positions import PLACE, position
from guide.language.utterances import Reading, told_in
from guide.language.wording import regular
from guide.patterns import pattern

_ALSO = pattern(r"^(?:and|or|but|what about|how about)\b", re.IGNORECASE)
_OF_SOME_KIND = pattern(r"^(?:(?:and|but|so) )?(?:an?|any|some)(?:one|body| \w+(?: \w+)?) (?:that|which|who)\b", re.IGNORECASE)
_OF_A_SORT = pattern(r"^(?:(?:and|but|so) )?(?:the|that|this) (?:\w+ ){1,2}(?:one|thing|thingy)s?$", re.IGNORECASE)
_SUMS_UP = pattern(r"^which (?:makes|leaves|gives|brings)\b[^?]*$", re.IGNORECASE)
_SAYS_OF = pattern(r"^which (?:makes|leaves|gives|brings|is|are|was|were|has|holds)\b[^?]*$", re.IGNORECASE)
_OR_DO = pattern(r"^or (?:just |rather |else )?(?!is\b|are\b|was\b|has\b|have\b|what\b|how\b|where\b|when\b|why\b)\w+(?: (?:it|them|him|her|on|off|out))?\W*$")
"""The other choice: `beacon off now, or leave it?`"""
_FOR = pattern(r"^(?:and )?(?:for|with)\b", re.IGNORECASE)
_PAST = pattern(r"\b(?:was|were|had been)\b")
_NOW = pattern(r"^(?:but )?now\b", re.IGNORECASE)
_IS_NOW = pattern(r"^(?:but )?(?:it|he|she|they|that) (?:is|are|has|have) now$")
"""Says of what was denied that it is so now, which needs what was denied."""
_MENDED = pattern(r"^(?:(?:and|so|then) )*(?:i|we|he|she|they|somebody|someone) (?:have |has |had )?(?:bandaged|dressed|stopped|patched|plugged|pumped|fixed|mended|sorted|put (?:it|that) out|righted|bound|stitched|closed|shut)\b")
_TURNED = pattern(r"^(?:it|they|he|she|that|those|we)\b.*\b(?:again|back|open(?:ed)?|undone|loose|adrift|gone|off|out|failed|died|stopped|burst|broke|parted|snapped|fine|alright|all right|ok)\b", re.IGNORECASE)
_POINTS = pattern(r"^(?:it|that|they|this)(?:'?s|'?re)?\b(?:\W+\w+){0,3}\W*$", re.IGNORECASE)
_SEEN = pattern(r"^(?:there (?:it|he|she|they) (?:is|are|goes|go)|(?:(?:and|but) )?(?:(?:i|we)(?: can(?:no|')?t?| have)?|can(?:no|')?t?) (?:see|c|saw|hear|heard|got|spotted) (?:it|him|her|them|that))(?: (?:now|yet|though|but))?(?: (?:but )?can (?:see|hear) (?:it|him|her|them))?\W*$",
                re.IGNORECASE)
_HAS_TOO = pattern(r"^(?:and )?(?:has|have|had|is|are|was|were) (?:an?|the|no|\d+|one|two|three|four|five|six)\b", re.IGNORECASE)
_TURNS = pattern(r"\b(?:now|then|again|no|wait|actually|but|since|just|finally|instead|another)\b", re.IGNORECASE)

_WHETHER = pattern(r"^(?:is|are|has|have) (?:the|our|my|a|an|every\w+|all)\b", re.IGNORECASE)
_FINITE = pattern(r"\b(?:is|are|was|were|has|have|had|did|do|does|will|can|we|i|he|she|they|it)\b")


class Piece(NamedTuple):
    """A piece of a sentence by itself."""

    text: str
    part: str
    """What it supposes, or all of it."""
    kind: str
    """question, report or what_if, by its form."""
    states: float
    """How clearly it states something."""
    counted: tuple[Told, ...]
    """The amounts and the position in it."""
    before: Sequence[str]
    behind: Sequence[str]
    """The pieces before and behind it."""
    asks_behind: bool
    """What stands right behind it asks."""
    elsewhere: bool
    """The sentence tells of another time or vessel."""

    def names_what_is_asked(self) -> bool:
        """Whether it may only name what is asked behind it: `the hand one, how do I hold it?`"""
        return self.kind == "report" and self.asks_behind and not has_verb(self.text)

    def of_what_is_asked(self) -> tuple[Told, ...]:
        """Its amounts, without those that only name what is asked behind it."""
        return tuple(each for each in self.counted if each.value not in (0, 1)) if self.names_what_is_asked() else self.counted

    def asks_rather(self) -> bool:
        """Whether it is what a what-if asks, not what it supposes."""
        return bool(self.before or self.behind) and self.part == self.text and asks(self.text)

    def goes_on_asking(self) -> bool:
        """Whether it names one more thing that is asked about: `and a coastal one, would that hold any?`"""
        return self.names_what_is_asked() and bool(_ALSO.match(self.text))

    def is_of_some_kind(self) -> bool:
        """Whether it names any thing of a kind: `a plane that circles, what does it tell us`."""
        return bool(_OF_SOME_KIND.match(self.text))

    def is_of_a_sort(self) -> bool:
        """Whether it names one of a sort and says nothing of it: `and the radar one`."""
        return bool(_OF_A_SORT.match(self.text))

    def was(self, sentence: str) -> bool:
        """Whether it tells what was so and is not any more: `it was shut but it blew open`, `he was in the water, now he's in the raft`."""
        if not self.behind:
            return False
        said, but = regular(self.text), f" but {regular(self.behind[0])}" in regular(sentence)
        if _PAST.search(said) and not _IS_NOW.match(regular(self.behind[0])):
            return " but " in sentence or bool(_NOW.match(self.behind[0])) or bool(_MENDED.match(regular(self.behind[0])))
        return but and bool(_TURNED.match(regular(self.behind[0])))

    def points_back(self) -> bool:
        """Whether it says next to nothing but `it`, `that`: `it's slowing`."""
        return bool(_POINTS.match(self.text))


def only_sees(text: str) -> bool:
    """Whether a piece says of what was just told no more than that it is seen: `there it is`."""
    return bool(_SEEN.match(text))


def says_more(text: str, sentence: str) -> bool:
    """Whether a piece says more of what was just told: `the raft, which is certified for 12`."""
    return bool((_SUMS_UP if sentence.endswith("?") else _SAYS_OF).match(text))


def goes_on_stating(text: str, before: str, sentence: str) -> bool:
    """Whether a piece says more of what the one before it tells, without naming it again: `the raft is for six and has a coastal pack`."""
    return bool(_HAS_TOO.match(text)) and not sentence.endswith("?") and joined(before, text, sentence) and has_verb(before) and not asks(before)


def asked_behind(kinds: Sequence[str], texts: Sequence[str], at: int) -> bool:
    """Whether what stands right behind a piece asks, or only names before that once more what is asked about: `the radar one, the SART, is it on?`"""
    stop = next((n for n in range(at + 1, len(texts)) if kinds[n] == "question" or has_verb(texts[n])), len(texts))
    return kinds[stop:stop + 1] == ["question"]


def places(text: str) -> bool:
    """Whether a piece does nothing but tell where they are, which what asks may well stand beside: `how dark is it, we are at 60 N 3 E`."""
    return len(position(text)) == len(PLACE) and not asks(text.rstrip(" ?"))


def continued(kinds: Sequence[str], texts: Sequence[str], sentence: str) -> list[str]:
    """`how long will the beacon and the transponder last when it is cold`: what has no verb of its own goes on asking, or begins to: `minus 5 and
    20 knots of wind would feel like what?`, `for three-metre seas, what scope?`"""
    found: list[str] = []
    for at, (kind, text) in enumerate(zip(kinds, texts)):
        asked = found[-1:] == ["question"] or kinds[at + 1:at + 2] == ["question"] and not asks(texts[at + 1]) and joined(text, texts[at + 1], sentence)
        asked = asked or kinds[at + 1:at + 2] == ["question"] and (_FOR.match(text) is not None or _OR_DO.match(regular(texts[at + 1])) is not None)
        goes_on = kind == "report" and (asked and not places(text) and not has_verb(main_part(text)) or at > 0 and found[-1] == "question" and _asks_whether_both(texts[at - 1], text, sentence))
        found.append("question" if goes_on else kind)
    return found


def _asks_whether_both(one: str, two: str, sentence: str) -> bool:
    """Whether two pieces ask whether two things are so, with one verb: `is the drogue out and the canopy closed`."""
    return bool(_WHETHER.match(one)) and joined(one, two, sentence) and not _FINITE.search(regular(two))


def not_turned(told: tuple[Told, ...], before: Sequence[Reading], text: str) -> tuple[Told, ...]:
    """Without what would take back what the sentence told before, unless a word says that it has changed."""
    if _TURNS.search(text) or _TURNS.search(before[-1].clause if before else ""):
        return told
    said = {each.fact: each.value for each in told_in(before) if isinstance(each.value, bool)}
    return tuple(each for each in told if said.get(each.fact, each.value) == each.value or each.value is True and each.fact.startswith(OF_SOMEBODY))  # it may be another
