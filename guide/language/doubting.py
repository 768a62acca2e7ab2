"""What a clause seems to tell and does not: a part taken for the whole crew, a thing for a person, what is out of sight for gone."""
from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence

from guide.language.facts import Told
from guide.language.features import NEGATIONS
from guide.language.numbers import split
from guide.language.units import Units
from guide.language.wording import regular, stem, tokens
from guide.patterns import pattern

_A_PART = pattern(
    r"\b(?:of us|of them|persons?|people|men|women|hands|lads|passengers) (?:all |both |also |just |then |already |now |still )?"
    r"(?:(?:getting|feeling|going|throwing|yawning|shivering|shaking|vomiting|puking|retching|bleeding|burning|freezing|crying|sleeping|swimming|suffering)\b|have|has|had|drank|drink|drinks|took|take|ate|eat|need|needs|want|wants|can|cannot|keep|keeps|feel|feels|went|fell|lost|got|broke|caught|burned|"
    r"(?:are|is|were|was) (?!in\b|inside|aboard|on board|here|left|sitting|sat\b|seated|present|all\b|together|safe|now in|now here|adrift|squeezed|packed|crammed|at\b|still in|counted))\b")
_THE_OTHERS = pattern(r"\bother (?:\w+|\d+) of us\b|\b(?:second|other|another|next|neighbou?ring|their) raft\b.*\b(?:with|has|had|holds|holding|carries|carrying)\b")
_ALL_OF_THEM = pattern(
    r"\b(?:aboard|on board|boarded|(?:in|inside|into) (?:(?:the|this|our|a) )?(?:\w+ )?(?:raft|liferaft|boat|tent|dinghy)|in here|in it|all told|altogether|in total|in all|left|each|between us|survived|"
    r"(?:got|climbed|made it|come|came|crawled|scrambled|back) (?:in|inside|out|aboard|across|over|off))\b")
_GONE = pattern(r"\b(?:any ?more|(?:any|no) longer|gone|lost|left|away|vanished|disappeared|out of (?:sight|hearing)|passed|past|horizon|faded|steamed|sailed|flew|flown)\b")
_NOT_YET = frozenset("still yet counting heading short only just unsure sure wrong do does".split())
_IN_THE_WATER = pattern(r"(?<!been )(?<!was )(?<!were )\bin the (?:water|sea|drink)\b")
_FIRED, _ABLAZE = pattern(r"\bfired\b"), pattern(r"\b(?:fire|fires|burn\w*|flames?|alight|ablaze|smoke|blaz\w+)\b")
_OIL = "(?:diesel|oil|fuel|petrol|gasoline|slick|patch|water|sea)"
_OIL_BURNS = pattern(rf"\b(?:burning|flaming|blazing|lit) (?:\w+ )?{_OIL}\b|\b{_OIL}\b(?: \w+){{0,3}} (?:is |are |has )?(?:on fire|alight|ablaze|burning|in flames|caught)\b|\bflames? (?:\w+ )?on the (?:water|sea)\b")
_VESSEL_BURNS = pattern(r"\b(?:boat|ship|vessel|engine|engine room|deck|wheelhouse|cabin|galley|hull|tank|locker|store|funnel|mast|trawler|cutter|barge|ferry|tug|she)(?: is| has)?(?: \w+)? (?:on fire|alight|ablaze|burning|in flames|caught|going up)\b")
_ENGINE = pattern(r"\b(?:engines?|motors?)\b")
_NO_ANSWER = pattern(r"\bno (?:answer|reply|response|joy)\b(?! from (?:him|her)\b)")
_SIGNALLED = pattern(r"\b(?:rockets?|flares?|smokes?|radio|vhf|mayday|pan|call|called|calling|channel|sixteen|beacon|whistle|mirror|signals?|sent|fired|text|phone|dsc)\b")
_A_WHILE = pattern(r"\b(?:opened|had|was|were|let)\b.*\bfor (?:about |some |just |only )?(?:an? |the |\d+ |two |three |four |five |six |ten |fifteen |twenty |half an )?(?:few |couple of |good )?(?:minutes?|mins?|moments?|seconds?|hours?|while|bit)\b")
_LOW, _FLOATS = pattern(r"\blow in the water\b|\bdown by the (?:head|bow|stern)\b"), pattern(r"\b(?:float\w*|afloat|buoyant|up|with us|above)\b")
_SEA_WATER = pattern(r"\b(?:sea|salt|salty)[ -]?water\b")
_BIG_WAVES = pattern(r"\b(?:big|huge|large|high|tall|giant|massive|enormous) (?:\w+ )?(?:waves?|seas?|swells?)\b|\b(?:waves?|seas?|swell) (?:is|are|of|about|maybe|some|around)?\W*(?:very |really |so |pretty )?(?:big|huge|large|high|tall|massive|enormous)\b")
_ROUGH = pattern(r"\b(?:rough|ruff|breaking|breakers?|heavy|confused|stormy|choppy|gale|steep|wild|violent|pounding|tossed|tossing|thrown|throwing|battering|bashing)\b")
_COLD_PLACE = pattern(r"^(?:(?:and|but|so|well|oh|sir) )*(?:it|its|here|in here|out here|the (?:air|water|sea|wind|weather|night|raft|floor)|air|water|weather) (?:is|feels|gets|has got|was)\b(?!.*\b(?:he|she|him|her|shivering|shaking|hypothermi\w*)\b)")
_NOT_USED = pattern(r"\b(?:did|does|do|would|will|could|can|has|have|had|was|were|is) not (?:\w+ )?(?:go|gone|going|fire|fired|work|worked|working|light|lit|burn|burnt|burned|catch|used?|drunk?|drink|ate|eaten|eat|thrown?)\b"
                    r"|\b(?:never|failed to|fails to|refused to|refuses to|will not|would not) (?:go|fire|fired|work|worked|light|lit|burn|burned|catch|went)\b|\b(?:misfired?|a dud|duff|jammed)\b")
_TRIED = pattern(r"\b(?:tried|tryed|tryd|attempted)\b")
_ANOTHER_VESSEL = pattern(r"(?<!\bour )(?<!\bmy )\b(?:ship|boat|vessel|ferry|tanker|coaster|trawler|yacht|tug|barge|dredger|freighter) (?:astern|ahead|abeam|abreast|behind|beside|alongside|next|near|close|off|over there)\b(?: (?:of|to))? ?(?:us|ours|our)?\b")
_NOT_IN = pattern(r"\bnot (?:\w+ ){0,2}(?:in|inside|aboard|on board)\b")
_THE_CREW = pattern(r"^(?:(?:and|but|so|no|now|ok|right|well|sorry|correction) )*(?:we|i|us|none of us|nobody|no one|everybody|everyone|all of us|still|not)\b")
_SETTLED = pattern(r"^(?:(?:and|but|so|yes|no|ok|well|oh) )*(?:it|that|this) (?:is|has|was) (?:all |now |been )*settled\b(?!.*\b(?:sea|seas|water|waves|swell|wind|weather|down)\b)")
"""What is agreed on, unless the sea is spoken of."""
SIGHTED = {"ship_in_sight": "ship", "aircraft_in_sight": "aircraft"}
"""Sighting → the list of the lexicon with what may be sighted."""
LONGEST_NAME = 4
"""Words of an item's name with which a clause may begin."""


class Doubting:
    """Looks at what clauses tell with one knowledge. Holds no state of a conversation."""

    def __init__(self, units: Units, items: Callable[[], Collection[str]]) -> None:
        self._units, self._items = units, items
        """`items`: the names of items, as stems; asked for when first needed."""

    def heard(self, told: Sequence[Told], piece: str, sentence: str, known: Mapping[str, object]) -> tuple[Told, ...]:
        """What of this is told after all; a sighting that ends without being named is the one that is known."""
        missing = any(t.fact == "persons_missing" and t.value for t in told) and not self._units.any("absence", split(regular(sentence)))
        counting = any(t.fact == "all_accounted" and t.value is False for t in told) and not self._lacks(sentence)
        found = [self._sighting(t, piece, sentence, known) for t in told if not (missing and t.fact in ("persons_missing", "all_accounted"))
                 and not (counting and t.fact == "all_accounted")]
        return tuple(t for t in found if t is not None and not _of_a_part(t, piece, sentence) and not _of_the_sea(t, piece) and not self._of_a_thing(t, piece)
                     and not _of_weather(t, piece, known) and not _still_in(t, piece) and not _lies_low(t, piece) and not _one_is_out(t, piece) and not _of_another_vessel(t, piece) and not _of_a_signal(t, piece) and not _of_oil(t, sentence) and not _for_a_while(t, piece) and not _unanswered(t, piece, sentence) and not _not_used(t, piece, sentence))

    def _lacks(self, sentence: str) -> bool:
        """Whether a sentence has a word for somebody who lacks, or for what is not done yet: `we count` has none."""
        words = split(regular(sentence))
        return self._units.any("absence", words) or not NEGATIONS.isdisjoint(words) or not _NOT_YET.isdisjoint(words)

    def _of_a_thing(self, told: Told, piece: str) -> bool:
        """Whether what befalls somebody is said of an item: `the knife went overboard`."""
        if told.value is not True or not told.fact.startswith(("person_", "someone_")):
            return False
        words = [stem(word) for word in tokens(piece)]
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
        seen = [fact for fact in SIGHTED if known.get(fact) is True]
        if not seen:
            return told if _GONE.search(regular(piece)) and known.get(told.fact) is not None else None
        return told._replace(fact=told.fact if told.fact in seen else seen[0]) if _GONE.search(regular(piece)) else None


def _not_used(told: Told, piece: str, sentence: str) -> bool:
    """Whether what was to be used was not: `tried a flare, it's a dud`. Beside several that were used one more may be the dud."""
    if told.value == 1 and (told.how == "used" or _TRIED.search(regular(piece))):
        return bool(_NOT_USED.search(regular(sentence)))
    return told.how == "used" and bool(_NOT_USED.search(regular(piece)))


def _of_a_part(told: Told, piece: str, sentence: str) -> bool:
    """Whether a count of people is only of some of them: `three of us have broken bones`."""
    said = regular(piece)
    return told.fact == "persons" and told.how == "set" and bool(_THE_OTHERS.search(regular(sentence)) or _A_PART.search(said) and not _ALL_OF_THEM.search(said))


def _of_a_signal(told: Told, piece: str) -> bool:
    """Whether what is fired is a signal: `fired the other one`."""
    said = regular(piece)
    return told.fact == "vessel_on_fire" and told.value is True and bool(_FIRED.search(said)) and not _ABLAZE.search(said)


def _of_oil(told: Told, sentence: str) -> bool:
    """Whether what burns is oil on the water rather than the vessel: `burning diesel is coming down on us`."""
    said = regular(sentence)
    return told.fact == "vessel_on_fire" and told.value is True and bool(_OIL_BURNS.search(said)) and not _VESSEL_BURNS.search(said)


def _unanswered(told: Told, piece: str, sentence: str) -> bool:
    """Whether nobody answers a signal rather than does not answer at all: `two rockets up and no answer`."""
    return told.fact == "someone_unconscious" and told.value is True and bool(_NO_ANSWER.search(regular(piece)) and _SIGNALLED.search(regular(sentence)))


def _for_a_while(told: Told, piece: str) -> bool:
    """Whether the entrances were open for a while, which is over: `opened it for five minutes`."""
    return told.fact == "canopy_closed" and told.value is False and bool(_A_WHILE.search(regular(piece)))


def _still_in(told: Told, piece: str) -> bool:
    """Whether somebody is said to be got into the water rather than out of it: `we got him in the water`."""
    said = regular(piece)
    return told.fact == "person_in_water" and told.value is False and bool(_IN_THE_WATER.search(said)) and NEGATIONS.isdisjoint(split(said))


def _lies_low(told: Told, piece: str) -> bool:
    """Whether the vessel is only said to lie low, which she may do on her way down: `she's low in the water`."""
    return told.fact == "vessel_afloat" and told.value is True and bool(_LOW.search(regular(piece))) and not _FLOATS.search(regular(piece))


def _one_is_out(told: Told, piece: str) -> bool:
    """Whether somebody is not in the raft rather than the crew: `Jon's not in the raft`, `two of us are not aboard`."""
    said = regular(piece)
    return told.fact == "aboard_raft" and told.value is False and bool(_NOT_IN.search(said)) and not _THE_CREW.match(said)


def _of_another_vessel(told: Told, piece: str) -> bool:
    """Whether what befalls a vessel is said of one by how she lies to ours: `the ferry astern of ours is on fire`."""
    return told.fact.startswith("vessel_") and bool(_ANOTHER_VESSEL.search(regular(piece)))


def _of_the_sea(told: Told, piece: str) -> bool:
    """Whether the water is none of what is aboard: `we drank some sea water`."""
    return told.fact == "water" and bool(_SEA_WATER.search(regular(piece)))


def _of_weather(told: Told, piece: str, known: Mapping[str, object]) -> bool:
    """Whether waves are only said to be big, a place to be cold, or `it` to be settled of which nothing was told."""
    said = regular(piece)
    if told.fact == "rough" and told.value is True:
        return bool(_BIG_WAVES.search(said)) and not _ROUGH.search(said)
    if told.fact == "someone_hypothermic" and told.value is True:
        return bool(_COLD_PLACE.match(said))
    return told.fact == "rough" and known.get(told.fact) is None and bool(_SETTLED.match(said))
