"""Who is here and who is missing, as sentences say it of the whole crew: `all six of us`, `nine out of nine`, `Rosa is missing`."""
from __future__ import annotations

from collections.abc import Collection

from guide.language.numbers import NUMBER_WORDS, numbers
from guide.language.wording import regular
from guide.patterns import pattern

MISSING, IN_WATER = "persons_missing", "person_in_water"
OF_ALL = ("all_accounted", "seasick_pills")
"""Facts that are so of everybody or not at all."""
_N = rf"(?:\d+|{'|'.join(word for word in NUMBER_WORDS if word not in ('a', 'an', 'no', 'half', 'another', 'won', 'tree', 'zero', 'nil'))})"
_IN = r"in(?! the (?:water|sea|drink)\b)|inside|aboard|on board"
_ALL_HERE = pattern(rf"\ball (?:\w+ )?(?:\w+ )?of us\b.*\b(?:here|counted|present|accounted|{_IN})\b|\b(?:{_IN})\b.*\ball (?:\w+ )?(?:\w+ )?of us\b"
                    rf"|\ball (?:\w+ ){{1,4}}(?:in|inside|aboard) (?:the )?(?:life)?raft\b|\ball \w+ (?:are |is )?(?:here|aboard|counted|present|accounted)\b|\b({_N}) (?:out )?of \1 (?:here|counted|present|accounted)\b")
_FULL_COUNT = pattern(rf"\b(?:all?|aw|the (?:full|whole)|every one of|each of)(?: of)?(?: the)? {_N}\b(?!-)|\b({_N}) (?:out )?of \1\b|\b({_N}) and \2\b"
                      r"|\b(?:that is|thats|and that is) (?:everyone|everybody|all of us|the lot|the whole crew)\b|\b(?:nobody|no one|none) (?:is )?missing\b"
                      rf"|\bwe are all (?:\w+ )?(?:in|inside|aboard)\b.*\b{_N} of us\b|\b{_N} of us\b\W+(?:everyone|everybody)\b|\b(?:everyone|everybody)\b.*\b{_N} of us\b")
"""The whole crew by its number, said beside being in the raft."""
_IN_RAFT = pattern(r"\b(?:in|inside|aboard) (?:(?:the|this|our|a) )?(?:\w+ )?(?:raft|liferaft)\b|\bof us (?:is |are |all |now |here |safe |back )*(?:in|inside|aboard) (?:it|her)\b")
_KIN = "grandson|granddaughter|grandad|grandfather|grandmother|granny|nephew|niece|father|mother|dad|mum|mom|brother|sister|son|daughter|cousin|uncle|aunt|husband|wife|friend|mate|skipper|captain|cook|engineer|deckhand|bosun|boy|girl|lad|kid"
_NAMED_MISSING = pattern(rf"^(?:[Aa]nd |[Bb]ut )?(?:[A-Z][a-z]+|(?:[Mm]y|[Oo]ur|[Tt]he) (?:{_KIN})(?: [A-Z][a-z]+)?)(?:'s| is| has gone)(?: still| gone)? (?:missin[g']?|unaccounted for|not here)(?!\w)")
_WITH_MISSING = pattern(rf"\b(?:with|but|and) (?:[A-Z][a-z]+|(?:[Mm]y|[Oo]ur|[Tt]he) (?:{_KIN})) (?:still )?(?:missing|unaccounted for)\W*$")
_TWO_MISSING = pattern(r"(?:^|[.!;:] +)(?:[Aa]nd |[Bb]ut )?(?:(?:[A-Z][a-z]+|[Tt]he \w+|[Mm]y \w+) (?:and|n|&) (?:[A-Z][a-z]+|(?:the|my|our) (?:\w+ )?\w+)|\w+ (?:and|n|&) (?:old |young |little |big )?[A-Z][a-z]+|(?:[Bb]ig |[Oo]ld |[Ll]ittle |[Yy]oung )?[A-Z][a-z]+ (?:and|n|&) (?:the|my|our) \w+|\w+ (?:and|n|&) (?:the|my|our) (?:" + _KIN + r")) are(?: still| both)? (?:missin[g']?|unaccounted for|not here)(?!\w)")
_SOME_MISSING = pattern(rf"^(?:and |but |also )*(?:the |my |our |his |her )?({_N}) (?!(?:flare|rocket|smoke|bag|item|litre|liter|bottle|paddle|page|hour|minute|day|plug|knife|cup)s?\b)(?:[a-z]+ ){{0,2}}(?:is|are|still)(?: still)? (?:missing|unaccounted for)\b")
_NOT_FOUND = pattern(rf"^(?:and |but |also )*({_N}) (?:of (?:us|ours|the (?:crew|men|lads|passengers|trainees))|men|people|persons|crew|hands|lads|passengers|trainees) (?:still )?"
                     r"(?:can ?not be found|could not be found|(?:have|has) not been (?:seen|found)|(?:is|are) nowhere(?: to be (?:seen|found))?)\b")
_EXCEPT = pattern(r"\b(?:except|apart from|but for|bar|minus|all but)\b|\b(?:all|everybody|everyone|nobody|no one|none)\b.* but (?!we\b|i\b|he\b|she\b|it\b|they\b|that\b|the raft\b|not\b|still\b|now\b)\w+(?: \w+){0,2}$|^(?:nobody|no one|none) but\b")
_MISSING = pattern(r"\b(?:missing|unaccounted|not here|absent|lacking)\b")
_UNSURE = pattern(r"\b(?:not sure|do not know|maybe|perhaps|should be|is missing(?<!nobody is missing)(?<!no one is missing)(?<!none is missing)|still out)\b")


def all_here(text: str) -> bool:
    """Whether a clause that counts people says that they are all here."""
    return bool(_ALL_HERE.search(regular(text)))


_ALL_SO_MANY = pattern(rf"\b(?:all|aw) ({_N})(?= (?:of us|(?:are |is |have |has )?(?:\w+ )?(?:{_IN}|here|counted|present|accounted|safe|back|there))\b|\W*$)")


def so_many(text: str) -> int:
    """How many a clause says that all of them are, who are all here: `all five counted`; 0 where it does not say."""
    found = _ALL_SO_MANY.search(regular(text))
    counted = numbers([found[1]]) if found else []
    return int(counted[0].value) if counted else 0


_AND_OTHERS = pattern(rf"^(?:(?:there is|there are|it is|just|only|so|ok|yes|we are)[, ]+)*(?:me|myself|i|the \w+|my \w+) (?:and|plus) ({_N}) (?:others?|more|other (?:people|men|lads|women|crew))(?: (?:in|aboard|inside|on board|here|with me|with us)(?: the (?:raft|liferaft)| here)?)*$"
                      rf"|^({_N}) others? (?:and|with|plus) me(?: (?:in|aboard|inside|on board|here)(?: the (?:raft|liferaft))?)*$")


def and_others(text: str) -> int:
    """How many a clause counts together that counts others beside one: `me and five others`; 0 where it does not."""
    found = _AND_OTHERS.match(regular(text).strip(" .!"))
    counted = numbers([found[1] or found[2]]) if found else []
    return int(counted[0].value) + 1 if counted else 0


_LEFT_OUT = pattern(r"^(?:(?:yes|all|everyone|everybody|no)[, ]+)*(?:except|but|apart from|all but|bar|not|but not)(?: for)? (?:the |my |our )?\w+(?: of us| \w+)?$|^(?:but |and )?(?:the |my |our )?(?!it\b|that\b|there\b|this\b)\w+ (?:is not|has not|did not|are not|have not)$|^not (?:all|everyone|everybody)$")


def leaves_out(text: str) -> bool:
    """Whether a few words leave somebody out of what was said of all: `except Tom`, `all but one`, `the cook isn't`."""
    return bool(_LEFT_OUT.match(regular(text).strip(" .!")))


def full_count(text: str) -> bool:
    """Whether an utterance that tells that the crew is in the raft gives their number as that of everybody: `in the raft, all four`."""
    said = regular(text)
    return bool(_FULL_COUNT.search(said)) and not _EXCEPT.search(said) and not _UNSURE.search(said)


def in_raft(text: str) -> bool:
    """Whether a clause says that somebody is in the raft."""
    return bool(_IN_RAFT.search(regular(text)))


def named_missing(text: str) -> int:
    """How many people, called by name, a clause says are missing; 0 where it does not."""
    if not _may_miss(text):
        return 0
    return 2 if _TWO_MISSING.search(text) else int(bool(_NAMED_MISSING.search(text) or _WITH_MISSING.search(text)))


def _may_miss(text: str) -> bool:
    """Whether a text has a word without which nobody is said to be missing, so that no pattern need be compiled for it."""
    return any(word in text.lower() for word in ("missin", "unaccounted", "not here", "found", "seen", "nowhere"))


def names_missing(text: str) -> bool:
    """Whether a text speaks of people who are missing."""
    return bool(_MISSING.search(regular(text)))


def some_missing(text: str) -> int:
    """How many people a clause says are missing, whatever it calls them: `my two nephews are missing`; 0 where it does not say."""
    said = regular(text) if _may_miss(text) else ""
    found = _SOME_MISSING.search(said) or _NOT_FOUND.search(said)
    counted = numbers([found[1]]) if found else []
    return int(counted[0].value) if counted else 0


def spares_some(text: str) -> bool:
    """Whether a clause about all of them leaves some out."""
    return bool(_EXCEPT.search(regular(text)))


def mustered(text: str, told: Collection[tuple[str, object]]) -> bool:
    """Whether an utterance that tells these facts and values tells that everybody is accounted for beside."""
    here = ("aboard_raft", True) in told or ("persons_missing", 0) in told and any(fact == "persons" for fact, _ in told)
    return here and not any(fact == "all_accounted" for fact, _ in told) and full_count(text)


_LEADS = (r"^(?:(?:and|but|now|ok|okay|yes|yeah|no|oh|ah|sorry|hey|good|great|phew|good news|thank god|thank goodness|sir|skipper|so|well|we|i|have|has|had|just|also|finally)[, !.]+)*")
_WHO = rf"(?P<who>(?:all )?{_N}|both|them|him|her|all|they|he|she|the (?:missing|other|last) (?:man|men|woman|one|ones|two|three|person|people|boy|girl)|(?:the |my |our )?\w+)"
_REST = r"(?: (?:of them|of the two|of the missing|both|all|up|now|aboard|alive|again|safe|and well|on board|too|as well|at last|inside|in|back|here|with us|after all|all the time|already))*[ .!]*$"
_FOUND = pattern(rf"{_LEADS}(?:\w+ )?(?:found|got|located|recovered|rescued|spotted and got|picked up|picked|pulled|hauled|helped) {_WHO}{_REST}")
_BACK = pattern(rf"{_LEADS}(?:there )?{_WHO}(?: of (?:them|the missing|the two))?(?: both| all)?(?: (?:is|are|was|were|has|have|been|now|just|also|finally|both))* ?"
                rf"(?:here|back|found|located|recovered|rescued|picked up|aboard|on board|in the raft|with us|safe|safe and sound|accounted for|turned up|turns up|showed up|come back|came back|returned|climbed in|climbed aboard|got in|got aboard|swam (?:to us|back|over)|made it){_REST}")
_AT_HAND = pattern(rf"{_LEADS}(?:there (?P<he>he|she|they) (?:is|are)|(?:have|have got|got) (?P<who>him|her|them|both){_REST})[ .!]*$")
_AGAIN = pattern(rf"{_LEADS}(?:one more|another(?: one)?|the other(?: one)?|the last(?: one)?)(?: (?:too|as well|now))*[ .!]*$")
_MISCOUNTED = pattern(rf"{_LEADS}(?:(?:it was |that was )?a? ?false alarm|miscounted|we miscounted|i miscounted|(?:that is|thats) (?:everyone|everybody|all of us|the lot)|(?:nobody|no one|none) (?:is )?missing(?: after all| now| any more)?|(?:nobody|no one) after all)[ .!]*$")
_ALONE, _ALL_OF_THEM = frozenset("him her he she".split()), frozenset("them all they".split())


def found(text: str, missing: int, said: str) -> int:
    """How many of so many who are missing a text says are found or back, and were not missing after all; 0 where it does not say. `said`: the words in
    which they were told to be missing, which may name them."""
    plain = regular(text)
    if _MISCOUNTED.match(plain):
        return missing
    at_hand = _AT_HAND.match(plain)
    match = at_hand or _FOUND.match(plain) or _BACK.match(plain)
    who = (match["who"] or (at_hand["he"] if at_hand else "")) if match else ""
    if who in _ALL_OF_THEM or who in ("the missing men", "the missing people", "the missing ones"):
        return missing
    if who == "both":
        return missing if missing == 2 else 0
    if who in _ALONE:
        return 1 if missing == 1 else 0
    if who in ("the missing man", "the missing woman", "the missing one", "the missing person", "the missing boy", "the missing girl"):
        return 1
    if who.startswith("the "):
        who = who.removeprefix("the missing ").removeprefix("the other ").removeprefix("the ")
    counted = numbers(who.removeprefix("all ").split())
    number = int(counted[0].value) if counted else int(bool(who) and who.removeprefix("my ").removeprefix("our ") in regular(said).split())
    return number if number <= missing else 0


def found_again(text: str) -> bool:
    """Whether a few words count one more of those who were found: `and another`."""
    return bool(_AGAIN.match(regular(text)))
