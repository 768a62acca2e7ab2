"""What was read in an utterance, as values: its clauses, and what a talk lends to it."""
from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from types import MappingProxyType
from typing import NamedTuple

from guide.language.facts import Told
from guide.language.matching import Candidate


class Reading(NamedTuple):
    """One clause."""

    clause: str
    kind: str
    """question, report, what_if or command; a report whose `told` is empty asserted nothing we track."""
    candidates: tuple[Candidate, ...]
    told: tuple[Told, ...]
    states: float = 0.0
    """How clearly it states something rather than orders, plans or wishes it."""


class Utterance(NamedTuple):
    """All that was read in one utterance."""

    text: str
    readings: tuple[Reading, ...]
    whole: Mapping[str, float]
    """Topic → evidence of the utterance taken as one."""
    foreign: float
    """Share of longer words unknown to the subject."""
    corrects: bool
    """It takes back or corrects what was said before."""
    stated: Mapping[str, float] = MappingProxyType({})
    """Topic → evidence of the utterance taken as one statement."""
    sounding: Mapping[str, float] = MappingProxyType({})
    """`fact=value` → evidence of the same."""
    named: frozenset[str] = frozenset()
    """The items that it calls by a name."""

    def likeliest(self) -> tuple[Candidate, ...]:
        """The topic that it is likeliest about taken as one; nothing for text without words."""
        return tuple(Candidate(label, self.whole[label]) for label in (max(self.whole, key=self.whole.__getitem__),)) if self.whole else ()


class Lent(NamedTuple):
    """What a talk lends to a sentence that is read."""

    known: Mapping[str, object] = MappingProxyType({})
    """What was told, which helps to tell facts apart."""
    spoken_of: str | None = None
    """The topic that is spoken of, of which an amount may be that names nothing: `two left`."""
    counted: str | None = None
    """The fact that counts what was counted or named last, of which it may be as well."""


ALONE = Lent()
"""Nothing: the sentence is read by itself."""


def telling_nothing(utterance: Utterance) -> Utterance:
    """The utterance without what it tells or supposes."""
    return utterance._replace(readings=tuple(reading._replace(told=()) for reading in utterance.readings))


def told_in(readings: Iterable[Reading], kind: str = "") -> Iterator[Told]:
    """What clauses tell, suppose or ask after; of one kind only where it is given: `report`, `what_if`."""
    return (told for reading in readings if not kind or reading.kind == kind for told in reading.told)
