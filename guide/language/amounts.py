"""Amounts in a clause: which quantity, how much in its own unit, and whether it is set, used or found.

The grammar (`mentions`) finds the quantities and what each would come to; evidence learned from the bank's amounts says which
fact each tells, if any.
"""
from __future__ import annotations

import bisect
import itertools
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from functools import cached_property, lru_cache, partial
from typing import NamedTuple

from guide.knowledge.language import Reckoned
from guide.language import beside
from guide.language.amount_labels import amount_of, done_with, label, parts
from guide.language.beside import STORED, Amount
from guide.language.clauses import has_verb, only_filler
from guide.language.features import NEGATIONS
from guide.language.holders import MEASURED, Holders
from guide.language.labels import AMOUNTS, NONE
from guide.language.matching import Matcher
from guide.language.mentions import PEOPLE, Mention, mentions, of_a_sort, shown
from guide.language.numbers import NUMBER_WORDS, countable, numbers, split
from guide.language.reckoning import Reckoning, reckoned
from guide.language.ruling import Ruling, Spoken
from guide.language.units import FORCE_KN, Units
from guide.language.wording import regular
from guide.patterns import pattern

CLEAR = 0.5
"""Lead over telling none with which a piece says by itself what its number is."""
PLAIN = 0.1
"""How far having so much must lead having used or found it, or the other way round: a wrong one would be told as the stock."""
HEARD = -0.6
"""Evidence below which nothing is told, however little speaks for telling none."""
AMONG = 0.1
"""How far a fact must lead every other that the quantity may tell."""
SHY = {"persons_missing": 0.4}
"""The same for what would raise an alarm: `two in total` may be people, or people missing."""


class Lead(NamedTuple):
    """How far the evidence for telling a fact must lead that for telling none: of a number, and of a clause without one (None: it tells nothing)."""

    number: float
    whole: float | None


LISTED = Lead(-0.7, 0.0)
"""The same of what is counted in one list with what is told."""


class _Read(NamedTuple):
    """A text as words with its quantities, by which number of the text each ends with, from 0."""

    words: list[str]
    found: list[Mention]
    by_number: dict[int, Mention]
    numbers: int
    weighed: dict[int, dict[str, float]]
    """Evidence by where the quantity begins, -1 for the clause as a whole, as far as it was asked for."""


class AmountReader:
    """Tells amounts from clauses with one knowledge."""

    def __init__(self, matcher: Matcher, units: Units, items: Mapping[str, str], counts_about: Callable[[str], Collection[str]],
                 rules: Iterable[Reckoned] = ()) -> None:
        """`items`: fact that counts an item → the topic of that item; `counts_about`: topic → the quantities that it is about;
        `rules`: how quantities are reckoned by the words around them."""
        self._matcher, self._units, self._items, self._counts_about = matcher, units, items, counts_about
        self._ruling = Ruling(units, items, counts_about)
        self.reckoning = Reckoning(rules, units)
        self._mended = lru_cache(maxsize=4096)(lambda word: word if units.at("spelt_right", [word], 0) else matcher.mended(word, self._spelt))
        self._read = lru_cache(maxsize=64)(self._reading)
        self.holders = Holders(units, lambda text: self._read(text, False)[:2])

    @cached_property
    def _counted(self) -> frozenset[str]:
        """Words without one of which a clause tells no amount but by a number."""
        return self._units.first_words("noun_", "alone")

    @cached_property
    def _spelt(self) -> Mapping[str, list[str]]:
        """What a misspelt word of an amount may be, by its first letter, in order: `sevn`, `litters`."""
        words = sorted({*NUMBER_WORDS, *self._units.first_words("unit_", "noun_", "holder")})
        return {letter: list(found) for letter, found in itertools.groupby(words, key=lambda word: word[0])}

    def fahrenheit(self, text: str) -> bool:
        """Whether an utterance speaks of degrees Fahrenheit anywhere: `sea's 59 Fahrenheit, air's 41`."""
        return self._units.any("unit_fahrenheit", split(countable(regular(text))))

    def told(self, pieces: Sequence[str], sentence: str, least: Sequence[Lead], spoken: Spoken, *,
             fahrenheit: bool = False) -> list[list[Amount]]:
        """The quantities of each piece of a sentence, each fact once in a piece. `least`: how far, in each piece, the evidence for
        telling a fact must lead that for telling none; `fahrenheit`: degrees without a letter are such.

        Where a piece alone is not clear about its number, the rest of the sentence helps: `rockets on board, four`; what a piece counts
        is spoken of in those behind it: `we had six rockets but burned two`.
        """
        if not self._may_tell(self._read(sentence, fahrenheit), spoken.topic):
            return [[] for _ in pieces]
        whole = map(beside.measured_there, ("", *pieces), map(self._named_before, ("", *pieces), self._with_their_verb(pieces, sentence)))
        reads = [self._read(self.holders.measured_before(pieces[:at], piece), fahrenheit) for at, piece in enumerate(whole)]
        around = self._read(sentence, fahrenheit) if len(pieces) > 1 and any(read.found for read in reads) else None
        if around and around.numbers != sum(read.numbers for read in reads):
            around = None  # the pieces are not cut as it is written: `neither rockets nor smokes`
        told: list[list[Amount]] = []
        hear: list[Callable[[Lead], list[Amount]]] = []
        before, last = 0, spoken
        for at, (read, lead) in enumerate(zip(reads, least)):
            named = next((topic for fact, topic in self._items.items() if self._units.any(f"noun_{fact}", read.words)), None)
            hear.append(partial(self._in_piece, read, around, before, sentence=sentence, spoken=spoken if named else last))
            told.append(hear[at](lead))
            if at and told[at] and not told[at - 1] and beside.shares_the_verb(pieces[at], pieces[at - 1], pieces[at], sentence):
                told[at - 1] = hear[at - 1](LISTED)  # `the pack contains four rockets, six hand flares`: one of a list as the other
            before, last = before + read.numbers, spoken._replace(topic=named) if named and read.numbers else last
        return beside.settled(self._carried(told, pieces, sentence), spoken.told, pieces, sentence)

    def _with_their_verb(self, pieces: Sequence[str], sentence: str) -> list[str]:
        """The pieces, with the words up to its number of one of using or finding before those that go on with it: `fired a rocket and a hand flare`."""
        found, verb = list(pieces[:1]), ""
        for before, piece in itertools.pairwise(pieces):
            read = self._read(found[-1], False)
            start = read.found[0].start if read.found else 0
            verb = " ".join(read.words[:start]) if self._done(found[-1], ()) else ""
            found.append(f"{verb} {piece}".replace("another one", "another") if verb and beside.shares_the_verb(piece, before, piece, sentence) else piece)
        return found

    def _carried(self, told: list[list[Amount]], pieces: Sequence[str], sentence: str) -> list[list[Amount]]:
        """What stands without a verb beside one of using or finding is used or found as well: `fired two rockets and a hand flare`,
        `one rocket and two hand flares went up`."""
        done = [self._done(piece, amounts) for piece, amounts in zip(pieces, told)]
        ahead = [(at, at - 1) for at in range(1, len(pieces))]
        behind = [(at - 1, at) for at in range(len(pieces) - 1, 0, -1) if not beside.has_subject(pieces[at])]
        for at, other in (*ahead, *behind):
            same = {amount.fact for amount in told[at]}.intersection(amount.fact for amount in told[other])  # `four rockets, two fired`
            if not done[at] and not same and beside.shares_the_verb(pieces[at], pieces[min(at, other)], pieces[max(at, other)], sentence):
                done[at] = done[other]
        return [[amount._replace(how=how) if how and amount.how == "set" and amount.fact in (*self._items, *STORED) and not has_verb(piece) else amount
                 for amount in amounts] for how, piece, amounts in zip(done, pieces, told)]

    def _done(self, piece: str, amounts: Sequence[Amount]) -> str:
        """used or found, as a piece says with its verb; nothing where it says neither."""
        if amounts:
            return next((amount.how for amount in amounts if amount.how in ("used", "found")), "")
        words = split(regular(piece))
        if not NEGATIONS.isdisjoint(words):
            return ""
        if not _FINDS.difference(("got",)).isdisjoint(words):
            return "found"
        if self._ruling.is_given(words):
            return "found"  # `they handed us a pack of water, eight bottles`
        return "used" if any(self._units.any(name, words) for name in ("spending", "losing", "giving_out")) else ""

    def _may_tell(self, read: _Read, spoken_of: str | None) -> bool:
        """Whether a text has a quantity, a counted thing, or a word of using what is spoken of; most have none."""
        return bool(read.found) or not self._counted.isdisjoint(read.words) or spoken_of is not None and self._units.any("using", read.words)

    def _named_before(self, before: str, piece: str) -> str:
        """A piece with the name of a counted thing that is all of the piece before it: `hand flares, we got three`."""
        words = split(regular(before))
        named = bool(words) and any(self._units.at(noun, words, 0) == len(words) for noun in self._nouns)
        return f"{before} {piece}" if named and not any(self._units.any(noun, split(regular(piece))) for noun in self._nouns) else piece

    def about(self, text: str) -> str | None:
        """The topic of the counted thing that a text names last: `we checked the rockets`."""
        words = split(regular(text))
        last = {fact: self._units.last(f"noun_{fact}", words) for fact in self._items}
        fact = max(last, key=last.__getitem__, default="")
        return self._items[fact] if fact and last[fact] >= 0 else None

    def counts(self, text: str) -> bool:
        """Whether a text has a quantity that may be an amount."""
        return any(not mention.article for mention in self._read(text, False).found)

    def is_item(self, fact: str) -> bool:
        """Whether a fact counts pieces of an item, as rockets."""
        return fact in self._items and fact not in STORED

    def measures(self, text: str) -> bool:
        """Whether a text has a quantity of what is measured: `drank a litre`."""
        return any(mention.sort in MEASURED for mention in self._read(text, False).found)

    @cached_property
    def _nouns(self) -> tuple[str, ...]:
        return self._units.lists("noun_")

    def alone(self, text: str, more: Sequence[str] = (), again: Collection[str] = ()) -> Mention | None:
        """The one quantity of a text that says nothing else but words of correcting, of these further lists, and these `again`: `no wait, it was two`."""
        words = [self._mended(word) for word in split(countable(regular(text)))]
        words = self._units.without("corrects", _undenied(words[self._units.behind(words, "correcting", "hesitating"):]))
        found = mentions(words, self._units)
        if len(found) == 2 and found[0].values == found[1].values:
            words, found = words[:found[1].start], found[:1]  # `nine sir, nine!`
        if len(found) != 1:
            return None
        rest = [*words[:found[0].start], *words[found[0].stop:]]
        return found[0] if all(word in ",.;:-!" or word in again or self._units.among(word, ("recounting", *more)) for word in rest) else None

    def instead(self, texts: Sequence[str], fact: str, value: float, number: float) -> float:
        """What this number comes to instead of the one that the first of these texts counts for a fact, which came to so much: 300 after
        `200 ml of water` is 0.3, 5 after `six pouches, each half a litre` 2.5, 6 after `force 7` the middle of force 6. In the last text, which is
        as it was typed, holders may stand for what is in them: `drank two pouches`."""
        def counting(text: str) -> list[Mention]:
            return [each for each in self._read(text, False).found if each.number and round(each.values.get(fact, -1.0), 4) == round(value, 4)]

        holders = 0.0 if counting(texts[-1]) else self.holders.count(texts[-1])
        if holders:
            return number * value / holders
        said = next((each for text in texts for each in counting(text)), None)
        if said is None:
            return number
        if said.sort == "force":
            return FORCE_KN[int(number)] if number in range(len(FORCE_KN)) else number
        return number * value / said.number

    def rests_on(self, text: str, fact: str, how: str, most: int = 6) -> list[tuple[float, str]]:
        """What of a clause speaks most for an amount of a fact being set, used or found; nothing where only what stands around tells it."""
        read = self._read(text, self.fahrenheit(text))
        told = [(evidence[name], name, target) for target in (*read.found, None) for evidence in (self._evidence(read, target),)
                for name in evidence if name.startswith(label(fact, how)) and amount_of(name, target)]
        best = max(told, key=lambda each: each[0], default=None)
        return self._matcher.weighs(AMOUNTS, shown(read.words, read.found, best[2], self._matcher.lexicon), best[1], most) if best else []

    def _reading(self, text: str, fahrenheit: bool) -> _Read:
        words = [self._mended(word) for word in split(countable(regular(text)))]
        found = mentions(words, self._units, fahrenheit)
        starts = [number.start for number in numbers(words)]
        return _Read(words, found, {bisect.bisect_left(starts, each.stop) - 1: each for each in found}, len(starts), {})

    def _in_piece(self, read: _Read, around: _Read | None, before: int, least: Lead, *, sentence: str, spoken: Spoken) -> list[Amount]:
        """`around`: the sentence that helps to understand the piece, `before` the numbers in it before the piece."""
        lent = self._lent(spoken, sentence)
        if around is None and _bare(read) and not (lent and read.words == self._read(sentence, False).words):
            return []
        best: dict[str, tuple[float, Amount]] = {}
        wordless = least.whole is not None and (not self._counted.isdisjoint(read.words) or lent and self._units.any("using", read.words))
        whole: list[tuple[int, Mention | None]] = [(-1, None)] if wordless and not self._of_a_sort(read.words) else []
        for nth, target in (*read.by_number.items(), *whole):
            if target and target.article and beside.says_who(" ".join(read.words[target.stop:])):
                continue  # `a bonnier sight I've not seen`
            if around and target and before + nth not in around.by_number:
                continue  # in the sentence it only says how many there are of something else
            both, of_people = (read.words[target.start] == "both", self._of_people(read, target)) if target else (False, False)
            evidence = _with(self._evidence(read, target), lent)
            evidence = self._around(evidence, around, before + nth, _bare(read), target.number, lent) if around and target else evidence
            ruled_out = {*(self._ruling.out(target, read.words, sentence, lambda fact: _is_lent(fact, lent), spoken) if target else ()), *(("raft_capacity",) if of_people else ())}
            wide, here = around.by_number[before + nth] if around and target else None, target
            words, at = read.words, here
            if around and wide and target and (wide.sort == target.sort or target.sort not in MEASURED):
                words, at = (around.words, wide) if wide.number != target.number else (words, at)
                target = wide  # with its holders it may be more: `half a litre in each`
            evidence = {name: value for name, value in evidence.items() if parts(name)[0] not in ruled_out} if ruled_out else evidence
            if here and self._ruling.is_rest((around or read).words, wide or here):
                evidence = {name: value for name, value in evidence.items() if parts(name)[1] in ("set", "")}
            elif here and self._ruling.spends(read.words, here):
                evidence = done_with(evidence, "used", {*self._items, *STORED})
            elif here and here.number and self._ruling.adds(read.words, here):
                evidence = done_with(evidence, "found")
            elif here and self._ruling.gives_out(read.words, here):
                evidence = done_with(evidence, "used", STORED)
            if target is None:
                evidence = self._of_one(evidence, read.words)
            hows = self.reckoning.hows(words, at) if at else {}
            evidence = reckoned(evidence, hows) if hows else evidence
            shy = target is None or target.article and target.number == 0.0  # `no water` is as seldom told as `the water is gone`
            told = _likeliest(evidence, target, least.whole if shy and not lent and least.whole is not None else least.number, finds=not _FINDS.isdisjoint(read.words) and not (here and read.words[here.stop:here.stop + 1] == ["now"]))
            if told and target is None and (not self._is_meant(told[1], sentence, lent)
                                            or any(told[1].fact in each.values for each in (around or read).found if each.sort != "bare")):
                continue  # `750 ml, that is all the water there is`
            if told and target is None and told[1].how == "set" and told[1].value == 0 and self._ruling.is_single(told[1].fact, read.words):
                told = told[0], told[1]._replace(how="used", value=1.0)  # `hand flare burned`
            if told and of_people and told[1].fact in self._items:
                continue  # `one of the lads` is none of the rockets that were spoken of
            if told and both:
                told = told[0], told[1]._replace(again=True)
            if told and (told[1].fact not in best or best[told[1].fact][0] < told[0]):
                best[told[1].fact] = told[0], self._as_meant(told[1], [*words[:at.start], *words[at.stop:]] if at else words)
        return [amount for _, amount in best.values()]

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
            name = label(fact, "used", "1") if how == "set" and number == "0" and self._ruling.is_single(fact, words) else name
            found[name] = max(value, found.get(name, value))
        return found

    def _of_a_sort(self, words: list[str]) -> bool:
        """Whether words speak of one of a sort that is none of the counted ones: `lit the red one`."""
        return any(of_a_sort(words, at) for at in range(len(words))) and not any(self._units.any(f"noun_{fact}", words) for fact in self._items)

    def _of_people(self, read: _Read, target: Mention) -> bool:
        """Whether a quantity is so many of the crew: `three of us`, `one of the lads`."""
        behind = read.words[target.stop:target.stop + _TO_NOUN]
        return behind[:1] == ["of"] and self._units.at("of_people", behind, 1 + (behind[1:2] in _ARTICLES)) > 0

    def _is_meant(self, amount: Amount, sentence: str, lent: Mapping[str, float]) -> bool:
        """Whether what no number says is meant: `none left`, of what is named or spoken of; one is no measure of what is measured."""
        if amount.how != "set":
            return not (amount.fact in STORED and amount.value)
        named = amount.fact in PEOPLE or self._units.any(f"noun_{amount.fact}", split(regular(sentence)))
        return (named or _is_lent(amount.fact, lent)) and not (amount.fact in STORED and amount.value)

    def _around(self, alone: Mapping[str, float], around: _Read, nth: int, bare: bool, number: float, lent: Mapping[str, float]) -> Mapping[str, float]:
        """Evidence for a number of a piece, with that of the sentence around it where the piece alone is not clear, or has only what one of several holds."""
        if not bare and max(alone.values()) - alone[NONE] >= CLEAR:
            return alone
        wide = _with(self._evidence(around, around.by_number[nth]), lent)
        product = around.by_number[nth].number != number
        return wide if bare or product else {name: (value + wide[name]) / 2 for name, value in alone.items()}

    def _evidence(self, read: _Read, target: Mention | None) -> dict[str, float]:
        start = -1 if target is None else target.start
        found = read.weighed.get(start)
        if found is None:
            found = read.weighed[start] = self._matcher.weigh(AMOUNTS, shown(read.words, read.found, target, self._matcher.lexicon))
        return found

    def _as_meant(self, amount: Amount, words: list[str]) -> Amount:
        """What was used by each is issued; what is found and counted with the rest is the stock: `caught enough to have twenty litres in all`."""
        said = " ".join(words)
        if amount.how == "found" and _IN_ALL.search(said):
            return amount._replace(how="set")
        each = amount.how == "used" and amount.fact in STORED and not _IN_ALL.search(said) and self._units.any("each", split(_FOR_ALL.sub(" ", said)))
        return amount._replace(how="issued") if each else amount


_COUNTED = 4
"""Words within which the sign stands behind a denied number."""
_TO_NOUN = 4
"""Words behind a number that tell of whom it is so many: `of the young lads`."""
_ARTICLES = (["the"], ["our"], ["my"])
_FINDS = frozenset("found caught collected gathered discovered got".split())
_IN_ALL = pattern(r"\b(?:in all|in total|all told|altogether)\b")
_FOR_ALL = pattern(r"\b(?:for|between|among|amongst) (?:everyone|everybody|all of us)\b")
"""All of them together: `we used two litres for everybody`."""


def _with(evidence: Mapping[str, float], lent: Mapping[str, float]) -> Mapping[str, float]:
    """Evidence with what the talk adds to it."""
    return {name: value + lent.get(name, 0.0) for name, value in evidence.items()} if lent else evidence


def _is_lent(fact: str, lent: Mapping[str, float]) -> bool:
    """Whether what is spoken of speaks for an amount of this fact."""
    return any(value > 0 for name, value in lent.items() if parts(name)[0] == fact)


def _undenied(words: list[str]) -> list[str]:
    """Without a number that is denied, `not 3000`, what it counts and the sign behind it: `not four litres, three`."""
    denied = next((number for number in numbers(words) if words[number.start - 1:number.start] == ["not"]), None)
    if denied is None:
        return words
    stop = next((at + 1 for at in range(denied.stop, min(denied.stop + _COUNTED, len(words))) if words[at] in (",", "but")), denied.stop)
    return [*words[:denied.start - 1], *words[stop:]]


def _bare(read: _Read) -> bool:
    """Whether it is a number and nothing that says of what."""
    if len(read.found) != 1 or read.found[0].sort != "bare":
        return False
    number = read.found[0]
    return only_filler(" ".join([*read.words[:number.start], *read.words[number.stop:]]))


def _likeliest(evidence: Mapping[str, float], target: Mention | None, least: float, *, finds: bool = False) -> tuple[float, Amount] | None:
    """The likeliest fact that a quantity can tell, if it leads that of telling none, and it is clear whether so much is there or gone.
    Where it `finds` something, what may be there or be found was found."""
    enough = max(evidence[NONE] + least, HEARD)
    able = [(value, amount) for name, value in evidence.items() if value > enough and (amount := amount_of(name, target))]
    best = max(able, key=lambda pair: pair[0], default=None)
    if not best:
        return None
    others = [(value, amount) for value, amount in able if amount.fact == best[1].fact and amount.how != best[1].how]
    found = next((each for each in others if finds and best[1].how == "set" and each[1].how == "found" and best[0] - each[0] < PLAIN), None)
    if found:
        best, others = found, []
    other = max((value for value, _ in others if not (finds and best[1].how == "found")), default=-9.0)
    rival = max((value for name, value in evidence.items() if (amount := amount_of(name, target)) and amount.fact != best[1].fact), default=-9.0)
    among = SHY.get(best[1].fact, AMONG)
    return best if best[0] - other >= PLAIN and best[0] - rival >= among else None
