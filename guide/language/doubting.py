"""What a clause seems to tell and does not: a part taken for the whole crew, a thing for a person, what is out of sight for gone."""
from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from typing import NamedTuple

from guide.knowledge.language import SIGHTED, Doubt
from guide.language.facts import OF_SOMEBODY, Told
from guide.language.features import NEGATIONS
from guide.language.numbers import NUMBER_WORDS, numbers, split
from guide.language.units import Units
from guide.language.wording import regular, stem, tokens
from guide.patterns import pattern

_GONE = pattern(r"\b(?:any ?more|(?:any|no) longer|gone|lost|left|away|vanished|disappeared|out of (?:sight|hearing)|passed|past|horizon|faded|steamed|sailed|flew|flown)\b")
_GOES = pattern(r"(?:^|[.,;!] |\b(?:it|he|she|that|ship|plane|aircraft|helicopter|helo|chopper|and) )(?:is |has |have |just |now |already |all )*(?:gone|passed|departed|flew|flown|left|went (?:\w+ ){0,2}(?:by|over|past|off|away)|"
                r"kept going|sailed (?:by|past|off)|dropped below|disappeared|vanished)\b|\b(?:can ?not|nothing to|not|never) (?:see or hear|hear or see|see (?:it|him|her) or hear)\b|\b(?:sky|sea|horizon) (?:is )?empty\b|"
                r"\b(?:see|hear) (?:it|him|her|them)? ?(?:now|no more|any ?more|no longer)\b|\bno longer (?:see|hear)\b|\bout of sight\b")
"""The same anywhere in a text: `it flew off, I hear no engines`."""
_NOT_YET = frozenset("still yet counting heading short only just unsure sure wrong do does".split())
_ENGINE = pattern(r"\b(?:engines?|motors?)\b")
_NOT_USED = pattern(r"\b(?:did|does|do|would|will|could|can|has|have|had|was|were|is) not (?:\w+ )?(?:go|gone|going|fire|fired|work|worked|working|light|lit|burn|burnt|burned|catch|used?|drunk?|drink|ate|eaten|eat|thrown?)\b"
                    r"|\b(?:never|failed to|fails to|refused to|refuses to|will not|would not) (?:go|fire|fired|work|worked|light|lit|burn|burned|catch|went)\b|\b(?:misfired?|a dud|duff|jammed)\b")
_TRIED = pattern(r"\b(?:tried|tryed|tryd|attempted)\b")
ANY = ""
"""Stands for every fact among those that are doubted."""
_NUMBER = rf"(?:\d[\d.,]*|(?:{'|'.join(sorted(set(NUMBER_WORDS) - {'no', 'another', 'a', 'an', 'both', 'half', 'score', 'won', 'tree'}))})(?:[ -](?:{'|'.join(sorted(set(NUMBER_WORDS) - {'no', 'another', 'a', 'an', 'both', 'half'}))}))?)"
"""What `{number}` stands for in the pattern of a doubt."""
LONGEST_NAME = 4
"""Words of an item's name with which a clause may begin."""


def _pattern(text: str) -> re.Pattern[str]:
    return pattern(text.replace("{number}", _NUMBER))


class _Seeming(NamedTuple):
    """A doubt of the knowledge, with its patterns."""

    doubt: Doubt
    clause: re.Pattern[str]
    sentence: re.Pattern[str]
    unless: re.Pattern[str] | None

    def only_seems(self, told: Told, clause: str, sentence: str, known: bool) -> bool:
        """Whether this is told only seemingly by a clause of a sentence, both regular."""
        doubt = self.doubt
        if doubt.value is not None and told.value != doubt.value or doubt.how and told.how != doubt.how or doubt.unknown and known:
            return False
        return bool(self.clause.search(clause) and self.sentence.search(sentence)) and not (self.unless and self.unless.search(clause))


class Doubting:
    """Looks at what clauses tell with one knowledge. Holds no state of a conversation."""

    def __init__(self, doubts: Iterable[Doubt], units: Units, items: Callable[[], Collection[str]]) -> None:
        """`items`: the names of items, as stems; asked for when first needed."""
        self._doubts, self._units, self._items = doubts, units, items

    @cached_property
    def _seeming(self) -> Mapping[str, list[_Seeming]]:
        """The doubts by the fact that they are of. A question needs none of them."""
        found: dict[str, list[_Seeming]] = {}
        for doubt in self._doubts:
            seeming = _Seeming(doubt, _pattern(doubt.clause), _pattern(doubt.sentence), _pattern(doubt.unless) if doubt.unless else None)
            for fact in doubt.facts or (ANY,):
                found.setdefault(fact, []).append(seeming)
        return found

    def patterns(self) -> Iterator[object]:
        """The patterns of all doubts."""
        yield from (each for found in self._seeming.values() for seeming in found for each in (seeming.clause, seeming.sentence, seeming.unless))

    def heard(self, told: Sequence[Told], piece: str, sentence: str, known: Mapping[str, object]) -> tuple[Told, ...]:
        """What of this is told after all; a sighting that ends without being named is the one that is known."""
        missing = any(t.fact == "persons_missing" and t.value for t in told) and not self._units.any("absence", split(regular(sentence)))
        counting = any(t.fact == "all_accounted" and t.value is False for t in told) and not self._lacks(sentence)
        found = [self._sighting(t, piece, sentence, known) for t in told if not (missing and t.fact in ("persons_missing", "all_accounted"))
                 and not (counting and t.fact == "all_accounted")]
        return tuple(t for t in found if t is not None and not self.because(t, piece, sentence, known) and not self._of_a_thing(t, piece)
                     and not _not_used(t, piece, sentence))

    def because(self, told: Told, piece: str, sentence: str, known: Mapping[str, object]) -> str:
        """Why the knowledge doubts it, `fired the other one` tells of no fire; nothing where it does not."""
        doubts = (*self._seeming.get(told.fact, ()), *self._seeming.get(ANY, ()))
        clause, whole = (regular(piece), regular(sentence)) if doubts else ("", "")
        return next((seeming.doubt.because for seeming in doubts if seeming.only_seems(told, clause, whole, known.get(told.fact) is not None)), "")

    def _lacks(self, sentence: str) -> bool:
        """Whether a sentence has a word for somebody who lacks, or for what is not done yet: `we count` has none."""
        words = split(regular(sentence))
        return self._units.any("absence", words) or not NEGATIONS.isdisjoint(words) or not _NOT_YET.isdisjoint(words)

    def _of_a_thing(self, told: Told, piece: str) -> bool:
        """Whether what befalls somebody is said of an item, `the knife went overboard`, or what is counted are items, `two sponges in here`."""
        words = [stem(word) for word in tokens(piece)]
        if told.fact == "persons" and told.how == "set":
            said = split(regular(piece))
            counted = next((said[number.stop:] for number in numbers(said) if number.value == told.value), [])
            words = [] if self._units.any("noun_persons", counted) else [stem(word) for word in counted]
        elif told.value is not True or not told.fact.startswith(OF_SOMEBODY):
            return False
        if words[:1] in (["can"], ["person"], ["peopl"]):
            return False  # `can see a woman in the water`, `person overboard`
        words = words[words[:1] in (["the"], ["our"], ["my"], ["a"], ["that"]):]
        return any(" ".join(words[:size]) in self._items() for size in range(1, LONGEST_NAME + 1))

    def _sighting(self, told: Told, piece: str, sentence: str, known: Mapping[str, object]) -> Told | None:
        """The sighting that ends; None where the clause names none and only says that it cannot be seen (`can't see it though`), or
        where none is known. Nor does an engine that is heard, and no more, begin one."""
        if told.fact not in SIGHTED or self._units.any(SIGHTED[told.fact], split(regular(piece))):
            return told
        if told.value is not False:
            named = self._units.any(SIGHTED[told.fact], split(regular(sentence)))
            return None if _ENGINE.search(regular(piece if named else sentence)) else told  # `an engine, I can hear it` may be anybody's
        seen, gone = [fact for fact in SIGHTED if known.get(fact) is True], _GONE.search(regular(piece)) or _GOES.search(regular(sentence))
        if not seen:
            return told if gone and known.get(told.fact) is not None else None
        return told._replace(fact=told.fact if told.fact in seen else seen[0]) if gone else None


def _not_used(told: Told, piece: str, sentence: str) -> bool:
    """Whether what was to be used was not: `tried a flare, it's a dud`. Beside several that were used one more may be the dud."""
    if told.value == 1 and (told.how == "used" or _TRIED.search(regular(piece))):
        return bool(_NOT_USED.search(regular(sentence)))
    return told.how == "used" and bool(_NOT_USED.search(regular(piece)))
