"""Amounts in a clause: which quantity, how much in its own unit, and whether it is set, used or found.

The grammar (`mentions`) finds the quantities and what each would come to; evidence learned from the bank's amounts says which
fact each tells, if any.
"""
from __future__ import annotations

import bisect
import itertools
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from functools import cached_property, lru_cache, partial

from guide.knowledge.language import Reckoned
from guide.language import beside
from guide.language.amount_labels import amount_of, label
from guide.language.beside import STORED, Amount
from guide.language.clauses import has_verb
from guide.language.features import NEGATIONS
from guide.language.holders import MEASURED, Holders
from guide.language.labels import AMOUNTS
from guide.language.matching import Matcher
from guide.language.mentions import Mention, mentions, shown
from guide.language.numbers import NUMBER_WORDS, countable, numbers, split
from guide.language.quantified import FINDS, Lead, Quantified, Read
from guide.language.ruling import Spoken
from guide.language.units import FORCE_KN, Units
from guide.language.wording import regular

LISTED = Lead(-0.7, 0.0)
"""For what is counted in one list with what is told."""


class AmountReader:
    """Tells amounts from clauses with one knowledge."""

    def __init__(self, matcher: Matcher, units: Units, items: Mapping[str, str], counts_about: Callable[[str], Collection[str]],
                 rules: Iterable[Reckoned] = ()) -> None:
        """`items`: fact that counts an item → the topic of that item; `counts_about`: topic → the quantities that it is about;
        `rules`: how quantities are reckoned by the words around them."""
        self._matcher, self._units, self._items = matcher, units, items
        self._quantified = Quantified(matcher, units, items, counts_about, rules)
        self.patterns = self._quantified.reckoning.patterns
        self._mended = lru_cache(maxsize=4096)(lambda word: word if units.at("spelt_right", [word], 0) else matcher.mended(word, self._spelt))
        self._read = lru_cache(maxsize=64)(self._reading)
        self.holders = Holders(units, lambda text: self._read(text, False)[:2])

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
        wording = self._read(sentence, fahrenheit)
        if not self._may_tell(wording, spoken.topic):
            return [[] for _ in pieces]
        whole = map(beside.measured_there, ("", *pieces), map(self._named_before, ("", *pieces), self._with_their_verb(pieces, sentence)))
        reads = [self._read(self.holders.measured_before(pieces[:at], piece), fahrenheit) for at, piece in enumerate(whole)]
        around = wording if len(pieces) > 1 and any(read.found for read in reads) else None
        if around and around.numbers != sum(read.numbers for read in reads):
            around = None  # the pieces are not cut as it is written: `neither rockets nor smokes`
        told: list[list[Amount]] = []
        hear: list[Callable[[Lead], list[Amount]]] = []
        before, last = 0, spoken
        for at, (read, lead) in enumerate(zip(reads, least)):
            named = next((topic for fact, topic in self._items.items() if self._units.any(f"noun_{fact}", read.words)), None)
            hear.append(partial(self._quantified.in_piece, read, around, before, sentence=sentence, whole=read.words == wording.words, spoken=spoken if named else last))
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
        if not FINDS.difference(("got",)).isdisjoint(words):
            return "found"
        if self._quantified.ruling.is_given(words):
            return "found"  # `they handed us a pack of water, eight bottles`
        return "used" if any(self._units.any(name, words) for name in ("spending", "losing", "giving_out")) else ""

    def _may_tell(self, read: Read, spoken_of: str | None) -> bool:
        """Whether a text has a quantity, a counted thing, or a word of using what is spoken of; most have none."""
        return bool(read.found) or not self._quantified.counted.isdisjoint(read.words) or spoken_of is not None and self._units.any("using", read.words)

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
        told = [(evidence[name], name, target) for target in (*read.found, None) for evidence in (self._quantified.evidence(read, target),)
                for name in evidence if name.startswith(label(fact, how)) and amount_of(name, target)]
        best = max(told, key=lambda each: each[0], default=None)
        return self._matcher.weighs(AMOUNTS, shown(read.words, read.found, best[2], self._matcher.lexicon), best[1], most) if best else []

    def _reading(self, text: str, fahrenheit: bool) -> Read:
        words = [self._mended(word) for word in split(countable(regular(text)))]
        found = mentions(words, self._units, fahrenheit)
        starts = [number.start for number in numbers(words)]
        return Read(words, found, {bisect.bisect_left(starts, each.stop) - 1: each for each in found}, len(starts), {})


_COUNTED = 4
"""Words within which the sign stands behind a denied number."""


def _undenied(words: list[str]) -> list[str]:
    """Without a number that is denied, `not 3000`, what it counts and the sign behind it: `not four litres, three`."""
    denied = next((number for number in numbers(words) if words[number.start - 1:number.start] == ["not"]), None)
    if denied is None:
        return words
    stop = next((at + 1 for at in range(denied.stop, min(denied.stop + _COUNTED, len(words))) if words[at] in (",", "but")), denied.stop)
    return [*words[:denied.start - 1], *words[stop:]]
