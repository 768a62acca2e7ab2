"""Words to the guide itself: take that back, that is done, this one of those."""
from __future__ import annotations

import re
from collections.abc import Sequence

from guide.language.wording import regular
from guide.patterns import pattern

_TAKEN_BACK = (r"(?:undo|revert|make (?:that|it|this) undone|forget (?:that )?(?:i|we) (?:ever )?said(?: that| it| this| anything)?|take (?:that|it|this) back\b|take back(?: (?:that|it|this|what|(?:my |the )?last)\b|(?: (?:the|my)(?: \w+){1,2})?[ .!]*$)|(?:strike|rub) (?:that|it|this) out|strike (?:the whole|all|the lot|everything) (?:of )?(?:that|this|it)\b(?: line| entry| lot)?|take (?:that|this|the last|my last) (?:entry|line|one|report|note|bit|card) (?:out|off|back)(?: again)?\b|"
               r"strike (?:that|this|(?:my|the|that) (?:very )?(?:last|previous)\b.*)|(?:scrap|scra(?:t)?ch|scrub|forget|disregard|ignore|cancel|delete|annul|withdraw|retract|rescind|belay|strike out|cross out)"
               r"(?: (?:about )?(?:(?:that|this|the|my) (?:whole|entire) (?:line|entry|report|sentence|lot|thing|message)|that|it|this|what (?:i|we|he|she) (?:just |have |had )*(?:said|told|wrote|typed|reported)|(?:my|the|that) (?:very )?(?:last|previous)\b.*|(?:my|our|the) (?:report|entry|note) (?:about|of|on|for|that)\b.*)|[ .!]*$))")
_UNDONE_THINGS = ("(?:jacket|lifejacket|zip|knots?|shoes?|boots?|belt|strap|lashings?|button|buckle|laces?|coat|suit|collar|painter|rope|line|hood|trousers|shirt|bandage|"
                  "tourniquet|flap|door|bag|lid|cap|wrapping|harness)")
_OF_A_THING = pattern(rf"\bundo (?:the |his |her |my |your |our |their |a |this |that )?(?:\w+ )?{_UNDONE_THINGS}\b|\bscratch (?:that|this|it|the|my) (?:\w+ )?(?:itch|bite|spot|rash)\b")
"""Undoes a thing, and takes nothing back: `undo his jacket`."""
_UNDO = pattern(r"^(?:(?:no|nah|nope|naw|non|nee|ach|och|ugh|aw|argh|damn|haha|eh|lol|soz|nvm|na|pardon me|pardon|excuse me|i beg your pardon|beg your pardon|apologies|sorry|sory|oops|whoops|wait|ah|oh|o|ok|okay|um|er|hang on|actually|(?:just |only )?(?:kidding|joking)|please|kindly|oh dear|dear me|i would like to|i want to|i will|i|let us|can we|(?:i am|we are) (?:so |very |truly )?(?:ashamed(?: of (?:myself|ourselves))?|sorry|a fool|an idiot|embarrassed)|"
                r"(?:i|we) (?:misjudged|misread|miscounted|misheard|misspoke|mistyped|made a mistake|got it wrong|had it wrong|(?:was|were) (?:wrong|mistaken|confused))(?: (?:it|that|them|there))?|"
                rf"(?:can|could|would|will) you)[, .!]+)*{_TAKEN_BACK}\b")
_UNDO_WORDS = frozenset("undo undone revert take strike rub scrap scratch scrach scrub forget disregard ignore cancel delete annul withdraw retract rescind belay cross".split())
"""One of these stands in whatever takes something back; for other sentences no pattern need be compiled."""
_GIVES_BACK = _UNDO_WORDS - {"take", "rub"} | frozenset("reverse erase remove restatement back mistake mistaken".split())
_STOPS = frozenset(",.;!-")
_UNDO_BEHIND = pattern(rf"^([^?]{{2,80}}?)[,.;!-]+ *(?:(?:no|nah|sorry|wait|actually)[, .!]+)*{_TAKEN_BACK}(?: now| please| then)?[ .!]*$")
"""`I was only joking, scratch that`"""
_SAYS_DONE = (r"^(?:(?:k|kk|ok|okay|right|yes|yep|yeah|aye|all|so|there|well|and|sir|yes sir)[, .!]+)*"
                r"(?:(?:(?:i|we|he|she|they)(?: have| has| just)* )?(?:done|did|finished|completed|managed|sorted)(?: it| that| this| them| so)?"
                r"|(?:that|it|this|that one|this one)(?: is| has been| was)(?: all)? (?:done|finished|completed|complete|sorted|seen to|dealt with|taken care of)"
                r"|next one done|job done|task complete|consider it done)"
                r"(?:,? (?:now|already|sir|skipper|skip|boss|mate|too|all right|thanks|thank you))*")
_DONE, _DONE_AND = pattern(rf"{_SAYS_DONE}[ .!]*$"), pattern(rf"{_SAYS_DONE} *[,.!;-]+ *(\S.*)$")
_DONE_WORDS = frozenset("done did finished completed complete managed sorted seen dealt taken".split())
"""One of these stands in whatever says `done`; for other sentences no pattern need be compiled."""
_ALSO = pattern(r"(?:and|but|also|plus)\b")
_SAID_OF = pattern(r"\b(?:said|told(?: you)?|typed|wrote|reported|put down|gave you)(?: \w+){0,2} (?:about|of|on|for)\b|\b(?:report|entry|note) (?:about|of|on|for|that)\b|\b(?:wrong|mistaken) about\b|\babout (?:the|that|my|our) (?:\w+ ){1,3}i (?:was|am) (?:wrong|mistaken)\b")
_THAT = pattern(r"\b(?:that|this|it|last)\b")
_RECOUNTS = pattern(r"\b(?:was|were)(?: only| just)?\b")
_COUNTS_IT = pattern(r"^(?:(?:but|and|so|well|really|in fact|actually|rather)[, ]+)*(?:it|that|there) (?:was|were)\b")
_AFTER_ALL = pattern(r"\b(?:only|just|in fact|really|actually)\b")
_THAT_ALONE = pattern(r"^(?:(?:no|oh|sorry|wait|ok|please|oops)[, .!]+)*(?:undo|scrap|scratch|scrub|forget|cancel|delete|take back|strike) (?:the|my|that) (?:very )?last(?: one| thing| bit| entry| line)?[ .!]*$")
_NAMES_IT = pattern(r"^(?:\w+[, ]+){0,2}(?:undo|scrap|scratch|scrub|cancel|delete|strike|erase|remove|withdraw|retract|rescind|take back|forget)(?: that| what \w+ \w+| it)?(?: about| of)?(?: only| just)?(?: (?:the|my|our|that|those))?(?: (?!that\b|it\b|this\b|last\b|whole\b|entire\b|entry\b|line\b|statement\b|remark\b|message\b|sentence\b)\w+){1,2}(?: (?:bit|part|thing|entry|one))?(?: (?:please|pls|thanks|ta))?(?:[,;.!-]+ *(?:(?:i|we) (?:was|were|had|have|am|are|read|can|got|looked|took|mis\w+)\b[^,;]*|(?:it|that|they) (?:is|was|are|were)\b.*))?(?:[.;!] .*|[ .!]*)$")
_CHOOSING = frozenset("1 2 3 one two three first second third the number option that please a i mean".split())
_NUMBER_CHOICE = {"1": 0, "one": 0, "first": 0, "2": 1, "two": 1, "second": 1, "3": 2, "three": 2, "third": 2}


def takes_back(text: str) -> bool:
    """Whether somebody takes back what was said before."""
    said = regular(text)
    return not _UNDO_WORDS.isdisjoint(_words(said)) and bool(_UNDO.match(said)) and not is_of_a_thing(said)


def has_word_of_undoing(text: str) -> bool:
    """Whether a word of a text is one of undoing, whatever it says of it: `kindly strike that remark`."""
    return not _GIVES_BACK.isdisjoint(_words(text))


def is_of_a_thing(text: str) -> bool:
    """Whether a thing is undone or scratched, so that nothing is taken back: `undo his jacket`."""
    return bool(_OF_A_THING.search(regular(text)))


def said_before_taking_back(text: str) -> str:
    """What stands before the words that take something back at the end of a text; nothing where none do."""
    said = regular(text) if _STOPS.intersection(text[:-1]) else ""
    found = _UNDO_BEHIND.match(said) if not _UNDO_WORDS.isdisjoint(_words(said)) else None
    return found[1] if found else ""


def takes_back_that(text: str) -> bool:
    """Whether somebody takes back what was just said, rather than the last that was noted."""
    return bool(_THAT.search(regular(text)))


def takes_back_what_was_said(text: str) -> bool:
    """Whether somebody takes back what was said of a thing: `scrap what I said about the rockets`."""
    return bool(_SAID_OF.search(regular(text)))


def says_done(text: str) -> bool:
    """Whether somebody says that a step is done, without saying which."""
    return not _DONE_WORDS.isdisjoint(_words(text)) and bool(_DONE.match(regular(text)))


def said_after_done(text: str) -> tuple[str, bool]:
    """What follows on `done` in one breath, nothing where nothing does, and whether it is said to be something else: `done, and she sank`."""
    said = regular(text)
    found = None if _DONE_WORDS.isdisjoint(_words(said)) else _DONE_AND.match(said)
    return (found[1], bool(_ALSO.match(found[1]))) if found else ("", False)


def recounts(text: str) -> bool:
    """Whether an amount is put right: `it was only two`."""
    return bool(_RECOUNTS.search(regular(text)))


def counts_it(text: str) -> bool:
    """Whether a text begins with how many of what was told it was: `it was one`, `that was only two`."""
    return bool(_COUNTS_IT.match(regular(text)))


def puts_after_all(text: str) -> bool:
    """Whether a text says how it was after all: `we only fired one`, `in fact we fired three`."""
    return bool(_AFTER_ALL.search(regular(text)))


def takes_back_the_last(text: str) -> bool:
    """Whether a text takes back the last that was said, and says no more: `undo the last one`."""
    return bool(_THAT_ALONE.match(regular(text)))


def names_what_it_takes_back(text: str) -> bool:
    """Whether a text takes back one thing that it names, and says no more: `undo the rocket`, `scrap that about the drogue`."""
    said = regular(text)
    return bool(_NAMES_IT.match(said) or _NAMES_IT.match(said.rpartition(",")[2].strip()))  # `I misread it, withdraw the air temperature`


def says_neither(text: str) -> bool:
    """Whether somebody wants none of the choices."""
    words = _words(text)
    return words[:1] in (["neither"], ["none"]) and len(words) <= 4 or words in (["no"], ["nope"], ["nah"])


def says_yes(text: str) -> bool:
    """Whether somebody only agrees, which names none of several choices."""
    return _words(text) in (["yes"], ["yeah"], ["yep"], ["aye"], ["ok"], ["okay"], ["correct"])


def picked_number(text: str, choices: int) -> int | None:
    """Which of so many choices is named by its number, from 0; None where the text says anything else."""
    words = _words(text)
    number = next((_NUMBER_CHOICE[word] for word in words if word in _NUMBER_CHOICE), None)
    return number if number is not None and number < choices and _CHOOSING.issuperset(words) else None


def picked_title(text: str, titles: Sequence[str]) -> int | None:
    """The one title that holds every word that was said; None where none or several do."""
    said = set(_words(text)) - _CHOOSING
    fitting = [number for number, title in enumerate(titles) if said and said <= set(_words(title))]
    return fitting[0] if len(fitting) == 1 else None


def _words(text: str) -> list[str]:
    return re.findall(r"\w+", regular(text))
