"""What one quantity of a clause tells, or the clause as a whole: evidence learned from the bank's amounts, and what the words around rule out."""
from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from functools import cached_property
from typing import NamedTuple

from guide.knowledge.language import Reckoned
from guide.language.amount_labels import amount_of, done_with, label, parts
from guide.language.beside import STORED, Amount, says_who
from guide.language.clauses import only_filler
from guide.language.holders import MEASURED
from guide.language.labels import AMOUNTS, NONE
from guide.language.matching import Matcher
from guide.language.mentions import PEOPLE, Mention, of_a_sort, shown
from guide.language.numbers import split
from guide.language.reckoning import Reckoning, reckoned
from guide.language.ruling import Ruling, Spoken
from guide.language.units import Units
from guide.language.wording import regular
from guide.patterns import pattern

_CLEAR = 0.5
"""Lead over telling none with which a piece says by itself what its number is."""
_PLAIN = 0.1
"""How far having so much must lead having used or found it, or the other way round: a wrong one would be told as the stock."""
_HEARD = -0.6
"""Evidence below which nothing is told, however little speaks for telling none."""
AMONG = 0.1
"""How far a fact must lead every other that the quantity may tell."""
_SHY = {"persons_missing": 0.4}
"""The same for what would raise an alarm: `two in total` may be people, or people missing."""
FINDS = frozenset("found caught collected gathered discovered got".split())
_TO_NOUN = 4
"""Words behind a number that tell of whom it is so many: `of the young lads`."""
_ARTICLES = (["the"], ["our"], ["my"])
_IN_ALL = pattern(r"\b(?:in all|in total|all told|altogether)\b")
_FOR_ALL = pattern(r"\b(?:for|between|among|amongst) (?:everyone|everybody|all of us)\b")
"""All of them together: `we used two litres for everybody`."""


class Lead(NamedTuple):
    """How far the evidence for telling a fact must lead that for telling none: of a number, and of a clause without one (None: it tells nothing)."""

    number: float
    whole: float | None


class Read(NamedTuple):
    """A text as words with its quantities, by which number of the text each ends with, from 0."""

    words: list[str]
    found: list[Mention]
    by_number: dict[int, Mention]
    numbers: int
    weighed: dict[int, dict[str, float]]
    """Evidence by where the quantity begins, -1 for the clause as a whole, as far as it was asked for."""


class _Target(NamedTuple):
    """What of a piece may tell something, with what helps to understand it."""

    read: Read
    here: Mention | None
    """The quantity as the piece has it; None for the piece as a whole."""
    around: Read | None
    """The sentence that helps to understand the piece."""
    wide: Mention | None
    """The quantity as the sentence has it: with its holders it may be more, `half a litre in each`."""
    sentence: str
    lent: Mapping[str, float]
    """What the talk adds to the evidence."""
    spoken: Spoken

    @property
    def meant(self) -> Mention | None:
        """The quantity that is told."""
        measured = self.wide and self.here and (self.wide.sort == self.here.sort or self.here.sort not in MEASURED)
        return self.wide if measured else self.here

    @property
    def where(self) -> tuple[list[str], Mention | None]:
        """The words in which the quantity that is told stands, and it in them."""
        meant = self.meant
        in_sentence = self.around and meant and meant is self.wide and self.here and meant.number != self.here.number
        return (self.around.words, meant) if self.around and in_sentence else (self.read.words, self.here)

class Quantified:
    """Tells the amounts of one piece of a sentence, with one knowledge."""

    def __init__(self, matcher: Matcher, units: Units, items: Mapping[str, str], counts_about: Callable[[str], Collection[str]],
                 rules: Iterable[Reckoned] = ()) -> None:
        """As for `AmountReader`."""
        self._matcher, self._units, self._items, self._counts_about = matcher, units, items, counts_about
        self.ruling, self.reckoning = Ruling(units, items, counts_about), Reckoning(rules, units)

    @cached_property
    def counted(self) -> frozenset[str]:
        """Words without one of which a clause tells no amount but by a number."""
        return self._units.first_words("noun_", "alone")

    def in_piece(self, read: Read, around: Read | None, before: int, least: Lead, *, sentence: str, whole: bool, spoken: Spoken) -> list[Amount]:
        """What a piece tells, each fact once. `around`: the sentence that helps to understand the piece, `before` the numbers in it before the piece;
        `whole`: the piece is all of the sentence."""
        lent = self._lent(spoken, sentence)
        if around is None and _bare(read) and not (lent and whole):
            return []
        best: dict[str, tuple[float, Amount]] = {}
        for target in self._targets(read, around, before, least, sentence, spoken, lent):
            told = self._told(target, least)
            if told and (told[1].fact not in best or best[told[1].fact][0] < told[0]):
                best[told[1].fact] = told
        return [amount for _, amount in best.values()]

    def _targets(self, read: Read, around: Read | None, before: int, least: Lead, sentence: str, spoken: Spoken, lent: Mapping[str, float]) -> Iterator[_Target]:
        """The quantities of a piece that may tell something, then the piece as a whole where it may."""
        for nth, here in read.by_number.items():
            wide = around.by_number.get(before + nth) if around else None
            if around and not wide:
                continue  # in the sentence it only says how many there are of something else
            if not (here.article and says_who(" ".join(read.words[here.stop:]))):  # `a bonnier sight I've not seen`
                yield _Target(read, here, around, wide, sentence, lent, spoken)
        speaks = not self.counted.isdisjoint(read.words) or lent and self._units.any("using", read.words)
        if least.whole is not None and speaks and not self._of_a_sort(read.words):
            yield _Target(read, None, around, None, sentence, lent, spoken)

    def _told(self, target: _Target, least: Lead) -> tuple[float, Amount] | None:
        """The amount that a quantity tells, with the evidence for it."""
        words, here, meant = target.read.words, target.here, target.meant
        shy = meant is None or meant.article and meant.number == 0.0  # `no water` is as seldom told as `the water is gone`
        lead = least.whole if shy and not target.lent and least.whole is not None else least.number
        now = here is not None and words[here.stop:here.stop + 1] == ["now"]
        told = _likeliest(self._ruled(target), meant, lead, finds=not now and not FINDS.isdisjoint(words))
        if told is None:
            return None
        amount = self._alone(target, told[1]) if meant is None else told[1]
        if amount is None or here and amount.fact in self._items and self._of_people(target.read, here):
            return None  # `one of the lads` is none of the rockets that were spoken of
        among, at = target.where
        amount = amount._replace(again=True) if here and words[here.start] == "both" else amount
        return told[0], self._as_meant(amount, [*among[:at.start], *among[at.stop:]] if at else among)

    def _alone(self, target: _Target, amount: Amount) -> Amount | None:
        """What a piece tells without a number of it; None where it is not meant, or a number says it: `750 ml, that is all the water there is`."""
        numbered = any(amount.fact in each.values for each in (target.around or target.read).found if each.sort != "bare")
        if numbered or not self._is_meant(amount, target.sentence, target.lent):
            return None
        gone = amount.how == "set" and amount.value == 0 and self.ruling.is_single(amount.fact, target.read.words)
        return amount._replace(how="used", value=1.0) if gone else amount  # `hand flare burned`

    def _ruled(self, target: _Target) -> Mapping[str, float]:
        """The evidence of a quantity, without what the words around it rule out, as used or found where they say so."""
        words, here = target.read.words, target.here
        evidence = self._heard(target)
        if here is None:
            return self._of_one(evidence, words)
        out = {*self.ruling.out(here, words, target.sentence, lambda fact: _is_lent(fact, target.lent), target.spoken),
               *(("raft_capacity",) if self._of_people(target.read, here) else ())}
        evidence = {name: value for name, value in evidence.items() if parts(name)[0] not in out} if out else evidence
        if self.ruling.is_rest((target.around or target.read).words, target.wide or here):
            evidence = {name: value for name, value in evidence.items() if parts(name)[1] in ("set", "")}
        elif self.ruling.spends(words, here):
            evidence = done_with(evidence, "used", {*self._items, *STORED})
        elif here.number and self.ruling.adds(words, here):
            evidence = done_with(evidence, "found")
        elif self.ruling.gives_out(words, here):
            evidence = done_with(evidence, "used", STORED)
        among, at = target.where
        hows = self.reckoning.hows(among, at) if at else {}
        return reckoned(evidence, hows) if hows else evidence

    def _heard(self, target: _Target) -> Mapping[str, float]:
        """The evidence of a quantity, with that of the sentence around it where the piece alone is not clear, or has only what one of several holds."""
        here, wide = target.here, target.wide
        alone = _with(self.evidence(target.read, here), target.lent)
        if target.around is None or here is None or wide is None:
            return alone
        bare = _bare(target.read)
        if not bare and max(alone.values()) - alone[NONE] >= _CLEAR:
            return alone
        both = _with(self.evidence(target.around, wide), target.lent)
        return both if bare or wide.number != here.number else {name: (value + both[name]) / 2 for name, value in alone.items()}

    def evidence(self, read: Read, target: Mention | None) -> dict[str, float]:
        """Label → evidence for a quantity of a text, or for the text as a whole."""
        start = -1 if target is None else target.start
        found = read.weighed.get(start)
        if found is None:
            found = read.weighed[start] = self._matcher.weigh(AMOUNTS, shown(read.words, read.found, target, self._matcher.lexicon))
        return found

    def _lent(self, spoken: Spoken, sentence: str) -> Mapping[str, float]:
        """What the talk adds to the evidence. For people and things that are counted it speaks only where it is about them, they were counted
        last, or the sentence names them: a bare number is none of them otherwise."""
        if not spoken.topic:
            return {}
        words = split(regular(sentence))
        able = {spoken.counted, *self._counts_about(spoken.topic)}
        unspoken = {fact for fact in (*self._items, *PEOPLE) if fact not in able and fact not in STORED and not self._units.any(f"noun_{fact}", words)}
        return {name: value for name, value in self._matcher.spoken_of(spoken.topic, AMOUNTS).items() if value < 0 or parts(name)[0] not in unspoken}

    def _of_one(self, evidence: Mapping[str, float], words: list[str]) -> dict[str, float]:
        """Evidence of a clause without a number that speaks of one of what is counted: that none is left is that one was used, `smoke thrown`."""
        found: dict[str, float] = {}
        for name, value in evidence.items():
            fact, how, number = parts(name)
            name = label(fact, "used", "1") if how == "set" and number == "0" and self.ruling.is_single(fact, words) else name
            found[name] = max(value, found.get(name, value))
        return found

    def _of_a_sort(self, words: list[str]) -> bool:
        """Whether words speak of one of a sort that is none of the counted ones: `lit the red one`."""
        return any(of_a_sort(words, at) for at in range(len(words))) and not any(self._units.any(f"noun_{fact}", words) for fact in self._items)

    def _of_people(self, read: Read, target: Mention) -> bool:
        """Whether a quantity is so many of the crew: `three of us`, `one of the lads`."""
        behind = read.words[target.stop:target.stop + _TO_NOUN]
        return behind[:1] == ["of"] and self._units.at("of_people", behind, 1 + (behind[1:2] in _ARTICLES)) > 0

    def _is_meant(self, amount: Amount, sentence: str, lent: Mapping[str, float]) -> bool:
        """Whether what no number says is meant: `none left`, of what is named or spoken of; one is no measure of what is measured."""
        if amount.how != "set":
            return not (amount.fact in STORED and amount.value)
        named = amount.fact in PEOPLE or self._units.any(f"noun_{amount.fact}", split(regular(sentence)))
        return (named or _is_lent(amount.fact, lent)) and not (amount.fact in STORED and amount.value)

    def _as_meant(self, amount: Amount, words: list[str]) -> Amount:
        """What was used by each is issued; what is found and counted with the rest is the stock: `caught enough to have twenty litres in all`."""
        said = " ".join(words)
        if amount.how == "found" and _IN_ALL.search(said):
            return amount._replace(how="set")
        each = amount.how == "used" and amount.fact in STORED and not _IN_ALL.search(said) and self._units.any("each", split(_FOR_ALL.sub(" ", said)))
        return amount._replace(how="issued") if each else amount


def _with(evidence: Mapping[str, float], lent: Mapping[str, float]) -> Mapping[str, float]:
    """Evidence with what the talk adds to it."""
    return {name: value + lent.get(name, 0.0) for name, value in evidence.items()} if lent else evidence


def _is_lent(fact: str, lent: Mapping[str, float]) -> bool:
    """Whether what is spoken of speaks for an amount of this fact."""
    return any(value > 0 for name, value in lent.items() if parts(name)[0] == fact)


def _bare(read: Read) -> bool:
    """Whether it is a number and nothing that says of what."""
    if len(read.found) != 1 or read.found[0].sort != "bare":
        return False
    number = read.found[0]
    return only_filler(" ".join([*read.words[:number.start], *read.words[number.stop:]]))


def _likeliest(evidence: Mapping[str, float], target: Mention | None, least: float, *, finds: bool = False) -> tuple[float, Amount] | None:
    """The likeliest fact that a quantity can tell, if it leads that of telling none, and it is clear whether so much is there or gone.
    Where it `finds` something, what may be there or be found was found."""
    enough = max(evidence[NONE] + least, _HEARD)
    able = [(value, amount) for name, value in evidence.items() if value > enough and (amount := amount_of(name, target))]
    best = max(able, key=lambda pair: pair[0], default=None)
    if not best:
        return None
    others = [(value, amount) for value, amount in able if amount.fact == best[1].fact and amount.how != best[1].how]
    found = next((each for each in others if finds and best[1].how == "set" and each[1].how == "found" and best[0] - each[0] < _PLAIN), None)
    if found:
        best, others = found, []
    other = max((value for value, _ in others if not (finds and best[1].how == "found")), default=-9.0)
    rival = max((value for name, value in evidence.items() if (amount := amount_of(name, target)) and amount.fact != best[1].fact), default=-9.0)
    among = _SHY.get(best[1].fact, AMONG)
    return best if best[0] - other >= _PLAIN and best[0] - rival >= among else None
