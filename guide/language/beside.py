"""The amounts of one sentence beside each other: what is told twice, summed up, kept in several places, or done with one verb."""
from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from typing import NamedTuple

from guide.language.clauses import has_verb, joined
from guide.language.holders import SUMS
from guide.language.numbers import NUMBER_WORDS, numbers, split
from guide.language.wording import regular
from guide.patterns import pattern

STORED = ("water", "food")
"""What is kept in several places at once."""
_NOT_BESIDE = pattern(r"\b(?:now|was|were|had|not|no|sorry|wait|instead|each|per|a day|of (?:it|them|that|those|which))\b")
_WAS = pattern(r"^(?:and |but |it |they |there |we )*(?:was|were|had been)\b")
_KEPT_IN = pattern(rf", (?:(?:that is|which is|being|kept|stored) )?in (?:\d|(?:{'|'.join(sorted(NUMBER_WORDS))})\b)")
"""How the same is kept: `15 litres, in 30 half-litre sachets`."""
_SUBJECT = pattern(r"^(?:and |but |so |then )*(?:i|we|he|she|they|you|somebody|someone)\b")
_COUNTS = pattern(rf"^(?:(?:and|then|plus|the|both|another|together|altogether|in all|in total|all in all|all told) )*(?:\d|(?:{'|'.join(sorted({*NUMBER_WORDS, 'a', 'an', 'another', 'both', 'last'}))})\b)")
_SOME_MORE = pattern(r"^(?:(?:and|then|so|after that|soon|later) )*(?:another|(?:\w+ )?more)\b")
_NOW = pattern(r" (?:just )?now\W*$")
_AND_THEN = pattern(r"^(?:(?:and|then|plus|after that|also|so did|next) )+(?!then\b)")
_HIS_SHARE = pattern(rf"^(?:and |then |[Tt]hen |[Aa]nd )*(?!Water|Food|Drinking|Fresh|The (?:water|food)|We\b|They\b|It\b|Only\b|About\b|Now\b|Still\b)(?:[A-Z][a-z]+|[Tt]he \w+) (?:only |just )?(?:\d|(?:{'|'.join(sorted({*NUMBER_WORDS, 'a', 'an'}))})\b)")
"""What somebody had, in an utterance without a verb: `and Jim half a litre`."""
_AS_WELL = pattern(r"[, ]+(?:too|as well|also)\W*$")
_OTHERS = pattern(rf"^(?:and )?((?:\d+|the|our|my|{'|'.join(sorted({*NUMBER_WORDS, 'a'} - {'no', 'half', 'another'}))})) (?:\w+ )?(?:captain|skipper|mate|cook|engineer|bosun|deckhand|"
                  rf"mechanic|pilot|doctor|nurse|instructor|wife|husband|son|daughter|mother|father|brother|sister|kids?|child|children|bab(?:y|ies)|toddlers?|passengers?|guests?|others|adults?|grown-ups|boys?|girls?|lads?|m[ae]n|wom[ae]n)(?: (?:(?:are |is )?(?:all |now |sitting |sat )*(?:in|inside|here|aboard)\b.*|too|as well))?$")
_BARE = 2
"""Words that only say once more what was done: `one of the smokes is in the sea, used one`."""
_ALL_TOLD = pattern(r"\b(?:all told|in all|altogether|in total|all together|all in all|total)\b")
_LEFT = pattern(r"\b(?:left|remain\w*|still|now|to spare|(?:in|on|under) (?:the|this|our)|aboard|on board|here|too|also)\b")
class Amount(NamedTuple):
    """A quantity in a clause. `how` is set, used, issued (used, so much for each person) or found; value None: it was not said."""

    fact: str
    value: float | None
    how: str
    again: bool = False
    """No number of its own says it, and it counts nothing anew where it was told before: `lit the sky`, `both went up`."""


def settled(told: list[list[Amount]], before: Collection[str], pieces: Sequence[str], sentence: str) -> list[list[Amount]]:
    """The amounts of each piece of a sentence, each read by itself, as they stand beside each other. `before`: the facts that sentences before it told."""
    told = _without_some_of_those(_without_echo(told, pieces), pieces)
    told = _once(_without_former(_with_others(_without_more_exactly(told, pieces), pieces, sentence), pieces), before)
    return _added(_in_all(told, pieces, sentence), sentence)


def _once(told: list[list[Amount]], before: Collection[str]) -> list[list[Amount]]:
    """Without what is only told again: `one fired, lit the whole sky`. That there is one or none left is never that."""
    counted = {*before, *(amount.fact for piece in told for amount in piece if not amount.again)}
    left: list[list[Amount]] = []
    for piece in told:
        left.append([amount for amount in piece if not amount.again or amount.fact not in counted or amount.how == "set" and amount.value in (0, 1)])
        counted.update(amount.fact for amount in piece)
    return left


def _without_echo(told: list[list[Amount]], pieces: Sequence[str]) -> list[list[Amount]]:
    """Without a number that only says again what was told before it: `nine hours we've been in this raft, nine`."""
    said = [{amount.value for piece in told[:at] for amount in piece} for at in range(len(told))]
    return [[amount for amount in amounts if not (amount.value in said[at] and len(split(regular(pieces[at]))) == 1)] for at, amounts in enumerate(told)]


_OF_THOSE = pattern(r"^(?:and |but )?(?:one|two|three|both|the (?:other|first|second|last)(?: one)?)(?: of (?:them|those|these))? (?:just |only )?(?:went|was|were|flew|failed|fizzled|landed|hit|did|never|burned|burnt|worked|shot|came|fell|dropped|got|looked|hung|drifted|blew|bounced|died)\b")
"""Says what became of some of those that were used: `fired two rockets, one went sideways`."""


def _without_some_of_those(told: list[list[Amount]], pieces: Sequence[str]) -> list[list[Amount]]:
    """Without what is only said of some that a piece before it tells to be used."""
    def is_of_those(at: int, amount: Amount) -> bool:
        used = max((other.value or 0.0 for piece in told[:at] for other in piece if other.fact == amount.fact and other.how == "used"), default=0.0)
        return used > 1 and (amount.value or 0.0) <= used and bool(_OF_THOSE.match(regular(pieces[at])))

    return [[amount for amount in amounts if not is_of_those(at, amount)] for at, amounts in enumerate(told)]


def _without_more_exactly(told: list[list[Amount]], pieces: Sequence[str]) -> list[list[Amount]]:
    """Without what a piece that has no verb only says once more of what was used or found right before it: `he drank one tin, half a litre`."""
    return [[amount for amount in amounts if not (at and (amount.how == "set" and not has_verb(pieces[at]) or amount.how == "used" and len(split(regular(pieces[at]))) == _BARE)
                                                  and any(other.fact == amount.fact and other.value == amount.value and other.how != "set" for other in told[at - 1]))]
            for at, amounts in enumerate(told)]


def _without_former(told: list[list[Amount]], pieces: Sequence[str]) -> list[list[Amount]]:
    """Without what a piece says was there before what is told first: `seven litres, it was nine`."""
    former = [at > 0 and bool(_WAS.match(regular(piece))) for at, piece in enumerate(pieces)]
    return [[amount for amount in amounts if not (former[at] and any(amount.fact == other.fact for piece in told[:at] for other in piece))]
            for at, amounts in enumerate(told)] if any(former) else told


def _in_all(told: list[list[Amount]], pieces: Sequence[str], sentence: str) -> list[list[Amount]]:
    """Without what a later piece gives the sum of: `a couple came across, which makes eight of us`, `ten pouches of half a litre, that is five litres`."""
    said = regular(sentence)
    for at, piece in enumerate(pieces):
        sums = {amount.fact for amount in told[at] if amount.how == "set"} if at and (SUMS.match(regular(piece)) or _ALL_TOLD.search(regular(piece)) or f" so {regular(piece).removeprefix('so ')}" in said) else set()
        told = [[amount for amount in amounts if n >= at or amount.fact not in sums] for n, amounts in enumerate(told)] if sums else told
    return told


def _added(told: list[list[Amount]], sentence: str) -> list[list[Amount]]:
    """`two litres in the can and three in bottles` are five: what is measured and told of several stores in one breath is all of it."""
    for fact in STORED:
        parts = [amount.value for piece in told for amount in piece if amount.fact == fact and amount.how == "set" and amount.value]
        if len(parts) < 2 or _NOT_BESIDE.search(regular(sentence)) or len(set(parts)) == 1 and _KEPT_IN.search(regular(sentence)):
            continue
        all_of_it, last = round(sum(parts), 4), max(at for at, piece in enumerate(told) if any(a.fact == fact for a in piece))
        told = [[a._replace(value=all_of_it) if at == last and a.fact == fact else a for a in piece if at == last or a.fact != fact]
                for at, piece in enumerate(told)]
    return told


def _with_others(told: list[list[Amount]], pieces: Sequence[str], sentence: str) -> list[list[Amount]]:
    """`eight of us and two kids` are ten: people who are counted right beside the crew belong to it."""
    left = [list(amounts) for amounts in told]
    for at in range(1, len(pieces)):
        others = _OTHERS.match(regular(pieces[at]))
        crew = next((amount for amount in left[at - 1] if amount.fact == "persons" and amount.how == "set" and amount.value), None)
        if others and crew and crew.value and joined(pieces[at - 1], pieces[at], sentence):
            more = numbers(others[1].split())
            left[at - 1].remove(crew)  # where they are is said behind them all
            left[at] = [*(amount for amount in left[at] if amount.fact != "persons"), crew._replace(value=crew.value + (more[0].value if more else 1.0))]
    return left


def has_subject(text: str) -> bool:
    """Whether a piece begins with somebody who does it: `I fired one`."""
    return bool(_SUBJECT.match(regular(text)))


def goes_on(text: str) -> bool:
    """Whether a piece has no verb and only counts some more, `then another one`: what was done with those before was done with these."""
    said = _NOW.sub("", regular(text))
    return bool(_SOME_MORE.match(said)) and not _LEFT.search(said) and not has_verb(text)


def counts_beside(text: str) -> bool:
    """Whether a text has no verb and only counts something beside what was told before it: `and two hand flares`, `one smoke too`."""
    said = regular(text)
    begins, ends = _AND_THEN.sub("", said), _AS_WELL.sub("", said)
    his = bool(_HIS_SHARE.match(text))
    return (begins != said or ends != said or his) and (his or bool(_COUNTS.match(begins))) and not has_verb(text) and not _LEFT.search(_AS_WELL.sub("", begins))


def says_who(text: str) -> bool:
    """Whether regular text says what somebody does, behind what seems to be counted: `a bonnier sight I have not seen`."""
    return bool(_SAYS_WHO.search(text))


_SAYS_WHO = pattern(r"\b(?:i|we|he|she|they|you) (?:have|had|has|am|is|are|was|were|can|could|will|would)\b")
"""Somebody of his own does something: `a bonnier sight I've not seen`."""


def shares_the_verb(text: str, one: str, two: str, sentence: str) -> bool:
    """Whether a piece, which is one of two that stand right beside each other, only counts something: it has no verb of its own, and says nothing of what is left."""
    said = regular(sentence)
    beside = joined(one, two, sentence) or any(f"{regular(one)}{sign} {regular(two)}" in said for sign in (",", ":", " plus", " &", " then", ", then"))
    return beside and bool(_COUNTS.match(regular(text))) and not has_verb(text) and not _SAYS_WHO.search(regular(text)) and not _LEFT.search(regular(text))


_PUT_IN_SEA = pattern(r"\b(?:dip|dipp?ed|dangled?|lower\w*|dropp?ed|hung|put|puts|held|hold|stuck|stick|dunked|trailed|thermometer|probe)\b.*\b(?:in|into|over) (?:the |this )?(?:sea|water|side|drink)\b", re.IGNORECASE)
_IT_SHOWS = pattern(r"^((?:and |so |then |now )*)(?:it|that)(?:'?s| is| says| reads| said| shows| showed| was| comes to)\b", re.IGNORECASE)


def measured_there(before: str, piece: str) -> str:
    """A piece that says what a thing shows that was put into the sea before: `I dipped it in the sea, and it says nine degrees`."""
    return _IT_SHOWS.sub(r"\1the sea is", piece, count=1) if _PUT_IN_SEA.search(before) else piece
