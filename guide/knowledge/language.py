"""What the language stage reads of the knowledge: phrases, the lexicon, what clauses only seem to tell, do not assert, or undo, and how quantities are reckoned."""
# Annotations are no strings here: the compiled form makes records by them.

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

from guide.knowledge.problems import Place
from guide.knowledge.records import Value

SIGHTED: Mapping[str, str] = MappingProxyType({"ship_in_sight": "ship", "aircraft_in_sight": "aircraft"})
"""Sighting → the list of the lexicon with what may be sighted."""


class Phrase(NamedTuple):
    """A line of the phrase bank."""

    text: str
    means: str
    voice: str
    place: Place


class Doubt(NamedTuple):
    """What a clause seems to tell and does not. Patterns are regular expressions over regular text."""

    facts: tuple[str, ...]
    """Of which it is not told; none: of any fact."""
    place: Place
    because: str
    such_as: str
    """A sentence that tells nothing of that."""
    value: Value | None = None
    """Only of this value; None: of any."""
    how: str = ""
    """Only where an amount is set, used or found so; empty: however."""
    unknown: bool = False
    """Only while nothing is known of the fact."""
    clause: str = ""
    sentence: str = ""
    """What the clause, and the sentence that it stands in, must have; empty: anything."""
    unless: str = ""
    """What the clause must not have."""


class Unasserted(NamedTuple):
    """Words of plan, wish, hearsay or doubt, which keep a statement from being an assertion whatever else it says."""

    place: Place
    because: str
    such_as: str
    """A sentence that asserts nothing."""
    words: str
    """Alternatives of a regular expression over regular text, whole words at both ends."""


class Addressed(NamedTuple):
    """Words said to the guide as to a program, of its own orders, insides or manner of speech."""

    place: Place
    because: str
    such_as: str
    """A text that is refused."""
    signs: tuple[str, ...]
    """The signs of the words, as found in them."""
    words: str
    """Alternatives of a regular expression over regular text, whole words at both ends."""


class Reworded(NamedTuple):
    """Words that say nothing of their own, or say it in the form of notes, and how a text is read that has them."""

    place: Place
    because: str
    such_as: str
    reads: str
    """What is read of that."""
    signs: tuple[str, ...]
    """The signs of the words, as found in them."""
    words: str
    """Alternatives of a regular expression over the text as it was typed."""
    instead: str
    """What is read in their place, with what its groups found; nothing where they are left out."""


class Lacked(NamedTuple):
    """How a clause says that a thing of the equipment is missing, or there after all."""

    place: Place
    because: str
    such_as: str
    there: bool
    signs: tuple[str, ...]
    """One of these words stands in whatever says so."""
    where: str
    """Alternatives of a regular expression over regular text in which # is the name of the thing."""
    unless: str = ""


class Opening(NamedTuple):
    """Words with which a what-if is set up."""

    place: Place
    because: str
    such_as: str
    """A text that only supposes."""
    signs: tuple[str, ...]
    """The signs of the words, as found in them."""
    words: str
    """Alternatives of a regular expression over the text as it was typed, at the beginning of a sentence."""
    instead: str
    """What is read in their place."""
    anywhere: bool = False
    """They may stand anywhere in the sentence, which then only supposes; what leads up to a colon is left out."""


class Turned(NamedTuple):
    """How what a clause tells of a yes/no fact is undone in the same breath, so that it has the other value in the end."""

    fact: str
    value: bool
    place: Place
    then: str
    """Alternatives of a regular expression with which the undoing clause begins, behind words such as `but it has`."""
    such_as: str
    """A sentence in which it is undone."""


RECKONED = ("nothing", "set", "used", "issued", "found")
"""How a quantity may be reckoned: as no amount at all, as what there is, as so much less, so much less for each person, or so much more."""


class Reckoned(NamedTuple):
    """How a quantity is reckoned where the words around it say so, whatever else speaks for."""

    facts: tuple[str, ...]
    how: str
    place: Place
    where: str
    """A regular expression over the regular text of a clause in which `#` stands for the quantity with its unit."""
    such_as: str
    """A sentence with such a quantity of the first of the facts."""
    unless: str = ""
    """What the clause must not have."""


class Language(NamedTuple):
    """What the language stage reads: the lexicon, the doubts, the words that assert nothing or undo what was told, the patterns of reports, the phrases of every voice."""

    concepts: Mapping[str, tuple[str, ...]] = MappingProxyType({})
    """Concept → the words and short phrases it goes by."""
    words: Mapping[str, tuple[str, ...]] = MappingProxyType({})
    """Named word lists: negations, question words, number words, filler."""
    reworded: tuple[Reworded, ...] = ()
    doubts: tuple[Doubt, ...] = ()
    unasserted: tuple[Unasserted, ...] = ()
    addressed: tuple[Addressed, ...] = ()
    supposing: tuple[Opening, ...] = ()
    turned: tuple[Turned, ...] = ()
    lacking: tuple[Lacked, ...] = ()
    reckoned: tuple[Reckoned, ...] = ()
    frames: tuple[Phrase, ...] = ()
    """Patterns of reports: the text is a pattern of words, the meaning `fact=value`."""
    questions: tuple[Phrase, ...] = ()
    reports: tuple[Phrase, ...] = ()
    orders: tuple[Phrase, ...] = ()
    """Orders, plans, wishes and hearsay by the topic they are about; as `nothing`, they tell no fact."""
    facts: tuple[Phrase, ...] = ()
    amounts: tuple[Phrase, ...] = ()
    nothing: tuple[Phrase, ...] = ()
    suppose: tuple[Phrase, ...] = ()
    outside: tuple[Phrase, ...] = ()
    follow_ups: tuple[Phrase, ...] = ()
    """Sentences that go on with a talk: what each means is `the topic spoken of>the topic it is about`."""
    tellings: tuple[Phrase, ...] = ()
    """Statements in a talk: what each means is `the topic spoken of>what it tells`, a fact, an amount or nothing."""
