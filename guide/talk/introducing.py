"""The first words of a talk, in which somebody says who writes, of what craft, or for what lesson."""
from __future__ import annotations

from guide.language import cutting
from guide.language.numbers import split
from guide.language.reading import Reader
from guide.language.units import Units
from guide.language.utterances import Utterance
from guide.language.wording import clean, regular
from guide.patterns import pattern

_OF_ONESELF = frozenset("here i we my us".split())
_A_TALE = pattern(r"\b(?:years ago|last|was|were|had|used to|once|poem|speech|joke|story|missed|failed)\b")
"""Words of a tale, or of something that is to be written."""


class Introducing:
    """Knows introductions with one lexicon. Holds no state of a talk."""

    def __init__(self, units: Units, reader: Reader) -> None:
        self._units, self._reader = units, reader

    def introduces(self, utterance: Utterance) -> bool:
        """Whether an utterance says who writes, and neither asks nor tells anything: `harbour pilot here, revising for my orals`."""
        words = split(regular(utterance.text))
        states = all(reading.kind in ("report", "command") and not reading.told for reading in utterance.readings)
        of_oneself = not _OF_ONESELF.isdisjoint(words) and not _A_TALE.search(regular(utterance.text))
        return states and bool(utterance.readings) and of_oneself and self._units.any("introduces", words)

    def without(self, text: str) -> str:
        """A text without the sentences before its last that only introduce: `I keep the records of six tugs. how often is a raft serviced`."""
        said = cutting.sentences(clean(text))
        while len(said) > 1 and self.introduces(self._reader.read(said[0])):
            said = said[1:]
        return " ".join(said)
