"""What a quantity cannot be, by the words around it: degrees without a word of warmth, the stock where it is so much more of it, anything at all
where nothing says of what it is so many."""
from __future__ import annotations

from collections.abc import Callable, Collection
from typing import NamedTuple

from guide.language.beside import STORED
from guide.language.mentions import PEOPLE, TEMPERATURES, Mention
from guide.language.numbers import NUMBER_WORDS, split
from guide.language.units import Units
from guide.language.wording import regular
from guide.patterns import pattern

_NAMING_NOTHING = ("generic", "recounting", "using", "hesitating", "naming_nothing")

_THE_SEA = pattern(r"\b(?:it|that) (?:is|was) [^,]*, (?:the|our) (?:sea|water)\b\W*$")
"""Says behind what it tells of it what it is: `it's 9 degrees, the sea`."""

_BUT = frozenset("but except bar have has had still now only got is are was were".split())
"""Words between using and a quantity that may be what is left."""
_ALSO = (["also"], ["plus"])
"""Words with which more of what is stored is counted: `also four pints in bottles`."""
_SENT = frozenset("let set sent shot".split())
_TO_US = frozenset("us me given".split())
"""To whom what was found was given."""
_TO_SIGHTED = 2
"""Words behind an article within which what is sighted stands: `a big ship`."""
_MORE, _TO_MORE = ("more", "another", "extra", "further", "additional"), 1
"""Words that make a quantity more of something, and how many words behind its number they stand."""

_TO_REST = 5
"""Words before a quantity among which stands that it is the rest."""


class Spoken(NamedTuple):
    """What was spoken of before a sentence."""

    topic: str | None = None
    """The topic of the talk, of which a quantity may be that names nothing."""
    counted: str | None = None
    """The fact that counts what was counted or named last, of which it may be as well."""
    told: Collection[str] = ()
    """The facts that sentences before this one told."""


class Ruling:
    """Rules out facts with the lists of one lexicon."""

    def __init__(self, units: Units, items: Collection[str], counts_about: Callable[[str], Collection[str]]) -> None:
        """`items`: the facts that count items; `counts_about`: topic → the quantities that it is about."""
        self._units, self._items, self._counts_about = units, items, counts_about

    def out(self, target: Mention, piece: list[str], sentence: str, lends: Callable[[str], bool], spoken: Spoken) -> set[str]:
        """The facts of which a quantity tells nothing as the sentence has no word that goes with them: `two in the water` are no degrees, `nine man`
        no size of a raft, `two minutes` not how long they are adrift."""
        words = split(regular(sentence))
        found = {fact for fact in TEMPERATURES if not lends(fact)} if target.sort == "bare" and not self._of_warmth(words) else set()
        if _THE_SEA.search(regular(sentence)):
            found.add("air_temperature")
        if self._units.any("of_the_sun", words) and not self._units.any("of_the_sea", piece):
            found.add("sea_temperature")  # `the sun is burning us, 38 degrees`, whatever was spoken of
        of_raft = self._units.any("capacity", words) and (self._units.any("rates", words) or not self._units.any("presence", words))
        if "raft_capacity" in target.values and not of_raft:  # `we are inside the raft, 22 persons`
            found.add("raft_capacity")
        if "raft_capacity" not in found and self._units.any("of_the_label", words) and not self._units.any("presence", words):
            found.add("persons")  # `the stencil says 12 persons`
        if "sea_temperature" in target.values and not self._units.any("of_the_sea", words) and "sea_temperature" not in self._counts_about(spoken.topic or ""):
            found.add("sea_temperature")  # `it's hot, 34 degrees`
        behind = piece[target.stop:target.stop + _TO_SIGHTED]
        if target.article and any(self._units.any(name, behind) for name in ("ship", "aircraft")):
            found.update(self._items)  # `a ship` is none of the flares that were spoken of
        found |= self._unnamed(target, piece, words, spoken)
        if target.values.get("hours_adrift", 1.0) < 1 and not self._units.any("adrift", words):
            found.add("hours_adrift")
        return found

    def _unnamed(self, target: Mention, piece: list[str], words: list[str], spoken: Spoken) -> set[str]:
        """What a number in a piece that does not say of what is not: anything but what is spoken of, `it is nine now`; where the rest of the
        sentence says more, any item that it does not name. `words`: of the sentence."""
        if target.sort != "bare" or not self._names_nothing(piece):
            return set()
        spoken_of = {spoken.counted, *self._counts_about(spoken.topic or "")}
        if self._names_nothing(words):
            return set(target.values).difference(spoken_of, PEOPLE if self._units.any("presence", words) else ())
        people = () if self._units.any("presence", words) or self._units.any("absence", words) or self._units.any("of_people", words) else PEOPLE
        return {fact for fact in (*self._items, *people) if fact not in spoken_of and not self._units.any(f"noun_{fact}", words)}

    def _names_nothing(self, words: list[str]) -> bool:
        """Whether no word says what is counted: `it is nine now`."""
        return not self._units.any("noun_persons", words) and all(  # `of us`
            not word[0].isalpha() or word in NUMBER_WORDS or self._units.among(word, _NAMING_NOTHING) for word in words)

    def _of_warmth(self, words: list[str]) -> bool:
        """Whether a number may be degrees: beside the wind the sea has waves, `wind is up to 20, sea about two`."""
        return self._units.any("warmth", words) and (self._units.any("surely_warmth", words) or not self._units.any("blows", words))

    def adds(self, words: list[str], target: Mention) -> bool:
        """Whether a quantity is so much more of something, and not what is left: `two more gallons turned up`."""
        beside = [*words[target.start:target.stop], *words[target.stop:target.stop + _TO_MORE]]
        first = words[:1] in _ALSO and not set(STORED).isdisjoint(target.values)
        return (first or any(word in beside for word in _MORE)) and not self._units.any("is_left", words)

    def gives_out(self, words: list[str], target: Mention) -> bool:
        """Whether a quantity of what is stored was given out or used on somebody: `washed his eyes with half a litre`."""
        before = words[:target.start]
        return self._units.any("giving_out", before) and _TO_US.isdisjoint(before) and not self._units.any("is_left", words)

    def is_given(self, words: list[str]) -> bool:
        """Whether something was given to the crew: `they handed us water`."""
        return self._units.any("giving_out", words) and not _TO_US.isdisjoint(words)

    def is_rest(self, words: list[str], target: Mention) -> bool:
        """Whether a quantity is what there is after the rest is gone: `down to one slab, 800 kcal`."""
        return self._units.any("down_to", words[max(0, target.start - _TO_REST):target.start])

    def spends(self, words: list[str], target: Mention) -> bool:
        """Whether somebody used or lost a quantity, so that it is not what there is: `drank two bottles of 1 litre`, `water: two litres used`."""
        before, behind = words[:target.start], self._behind_noun(words, target)
        if self._units.at("spent_behind", words, behind) or words[behind:behind + 1] == ["off"] and not _SENT.isdisjoint(before):
            return True  # `let one rocket off`
        if before[-1:] == ["by"] and self._units.any("going_down", before):
            return True  # `water went down by two litres`
        verb = max(self._units.find(name, before) for name in ("spending", "losing"))
        if verb < 0 or any(self._units.any(name, before) for name in ("gathering", "is_left")):
            return False
        return not self._units.any("is_left", words) and _BUT.isdisjoint(before[verb:])

    def _behind_noun(self, words: list[str], target: Mention) -> int:
        """Where what is said of a quantity begins: behind what it counts, `two litres of water`, `two rockets`."""
        start = target.stop + (words[target.stop:target.stop + 1] == ["of"])
        return max((self._units.at(noun, words, start) for noun in self._units.lists("noun_")), default=0) or target.stop

    def is_single(self, fact: str, words: list[str]) -> bool:
        """Whether one of what is counted is spoken of, `lit the hand flare`, rather than that none is left; smoke may be that of several."""
        noun = f"noun_{fact}"
        if fact not in self._items or fact in STORED or not self._units.any(noun, words) or self._units.any("none_left", words):
            return False
        ends = (self._units.at(noun, words, at) for at in range(len(words)))
        spent = fact != "smoke_signals" or self._units.any("spending", words) or self._units.any("losing", words)
        return spent and any(end and not words[end - 1].endswith("s") for end in ends)
