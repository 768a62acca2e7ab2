"""What a text has words for, by the lists of one lexicon: naming a counted thing, using some of it, asking after it, correcting."""
from __future__ import annotations

from functools import cached_property

from guide.language.numbers import split
from guide.language.units import Units
from guide.language.wording import regular

NOUN, MEASURE = "noun_", "measure_"
"""With a fact, the list of the lexicon with the names of what it counts, or of what it measures."""


class Vocabulary:
    """Looks texts up in the lists."""

    def __init__(self, units: Units) -> None:
        self._units = units

    def names(self, fact: str, text: str) -> bool:
        """Whether a text names the thing that a fact counts."""
        return self._units.any(f"{NOUN}{fact}", split(regular(text)))

    def named_in(self, text: str) -> frozenset[str]:
        """The facts that count a thing which a text names."""
        words = split(regular(text))
        return frozenset(name.removeprefix(NOUN) for name in self._units.lists(NOUN) if self._units.any(name, words))

    def measured_in(self, text: str) -> frozenset[str]:
        """The measured facts that a text calls by name: `the sea temperature`, `the wind`."""
        words = split(regular(text))
        return frozenset(name.removeprefix(MEASURE) for name in self._units.lists(MEASURE) if self._units.any(name, words))

    def in_litres(self, text: str) -> bool:
        """Whether a text has the word for a litre."""
        return self._units.any("unit_L", split(regular(text)))

    def does(self, fact: str, text: str) -> bool:
        """Whether a text says what is done with the thing that a fact counts: rockets are fired, hand flares burn."""
        return self._units.any(f"done_{fact}", split(regular(text)))

    def does_some(self, text: str) -> bool:
        """Whether a text has a word for using some of what is counted or measured."""
        return self._units.any("spending", split(regular(text)))

    def asks_of_others(self, text: str) -> bool:
        """Whether a text asks how many or how much of something else than what there is of it: of what was used, of what others have."""
        words = split(regular(text))
        return words[:1] in (["how"], ["count"]) and self._units.any("asks_of_others", words)

    def tells_of_the_one(self, fact: str, text: str) -> bool:
        """Whether a text tells of the one thing of a fact that was spoken of: `threw the flare overboard`, `rocket's up`."""
        words = split(regular(text))
        begins = [0, *(at + 1 for at, word in enumerate(words) if word in ("the", "that", "this", "our"))]
        ends = [end for end in (self._units.at(f"{NOUN}{fact}", words, at) for at in begins) if end]
        return bool(ends) and not words[ends[0] - 1].endswith("s")

    def tells_again(self, text: str) -> bool:
        """Whether a text sums up what was used or says more of it, and nothing of what is left: `that's two fired`, `one of them failed`."""
        words = split(regular(text))
        return self._units.any("told_again", words) and not self._units.any("is_left", words)

    @cached_property
    def _correcting(self) -> frozenset[str]:
        return self._units.first_words("correcting", "corrects")

    def may_correct(self, text: str) -> bool:
        """Whether a text has words with which a correction begins; without them it is none."""
        words = split(regular(text))
        return not self._correcting.isdisjoint(words) and (self._units.any("correcting", words) or self._units.any("corrects", words))

    def corrects(self, text: str) -> bool:
        """Whether a text takes back or corrects what was said before it."""
        words = split(regular(text))
        begins = self._units.behind(words, "hesitating")
        denied = words[begins:begins + 2] == ["no", "one"]  # `no one is missing`
        return not denied and bool(self._units.at("correcting", words, begins)) or self._units.any("corrects", words)

    def speaks_of_dates(self, text: str) -> bool:
        """Whether a text says of something that it is in date or out of date."""
        words = split(regular(text))
        return self._units.any("out_of_date", words) or self._units.any("in_date", words)

    def says_nothing(self, text: str) -> bool:
        """Whether a text does no more than nod or put off: `ok thanks`, `hang on`."""
        words = split(regular(text))
        return any(word[0].isalnum() for word in words) and self._units.behind(words, "says_nothing") == len(words)

    def asks_which_pack(self, text: str) -> bool:
        """Whether a text asks which pack one's own is."""
        return self._units.any("which_pack", split(regular(text)))

    def is_no_answer(self, text: str) -> bool:
        """Whether a text counts what is left of what was spoken of, and answers nothing that the guide asked: `eight left`, `now three`."""
        words = split(regular(text))
        return words[:1] == ["now"] or words[-1:] == ["now"] or self._units.any("is_left", words)
