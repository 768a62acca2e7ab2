"""What a clause orders, and what only looks like an order."""
from __future__ import annotations

import re

from guide.language.clauses import has_verb, joined, lead_off
from guide.language.numbers import NUMBER_WORDS
from guide.language.wording import tokens
from guide.patterns import pattern

_ORDERS = frozenset("close open fire pump bail stream throw switch turn tie inflate check count find look keep give take make hold stay light use "
                    "mop dry secure post plug fit grab bring pass tell ask let start stop try wait watch listen stand sit huddle launch pull "
                    "call send press activate ensure draw plan work calculate compute explain describe list show name "
                    "chuck sling heave lob bung shove stick pop whip bring drag dump hoist rig clip lash tape patch squeeze empty scoop wring share signal "
                    "walk rub feed warm lift haul roll cover wrap lay strip move shift drag swap splint bandage bind soak wash rinse "
                    "lace unlace zip unzip fasten unfasten unplug unscrew unroll swallow transmit broadcast deploy muster appoint assign retrieve rescue stow untie unclip extinguish douse smother quench".split())
"""Verbs in the form of an order, which no report in this form begins with."""
_TOLD_OFF = frozenset("everyone everybody somebody someone all you".split())
"""Who is ordered: `everyone take a tablet`."""
_STATES_BE = pattern(r"\b(?:is|are|am|was|has|have|got|gone|will not|can not|keeps|sank|sunk|went|fell|hit|broke|burst|lost|flipped|rolled|capsized|stopped|came)\b")
_ORDERS_TO_SOMEBODY = _ORDERS | frozenset("quit come leave mind hurry go run".split())
_CALLED_TO = frozenset("get come quit leave mind hurry go run stop hold grab take give keep sit move".split())
_PREDICATES = frozenset("is are has have had was were came went fell broke burst holds held keeps kept does do did can cannot will got gone snapped tore parted works stopped alight afloat says agrees sank sunk reads shows".split())
"""Behind a word that may be an order these make it a thing: `patch is holding`."""
_THINGS = frozenset("the that this those these your my our his her him them it everyone everybody".split())
"""Behind `get` these make an order."""
_ORDERS_IF_URGED = frozenset("cut shut put read set get count".split())
_URGED = frozenset("now please immediately quickly somebody someone".split())
_BURNS = pattern(r"\b(?:on fire|burning|alight|ablaze|flames|going up)\b")
_WHAT_IS_FIRED = frozenset(("a", "an", "another", "the", "that", "this", "your", "our", "off", "it", "one", "two", "three", "now", "at", "rocket", "rockets", "flares"))
_NOT_YET = pattern(r"^(?:(?:until|till|til|before|unless)\b|(?:after(?! that\b)(?!(?: \w+){0,3} \w+ing,? (?:we|i|they|he|she|it) (?:have|has|are|is|got)\b)|once|when|whenever|as soon as|by the time)\b(?!.*\b(?:was|were|had|got|went|came|made|took|drank|lost|found|fell|blew|broke|sank|hit|gave|saw|ate|caught|held|\w\w+ed)\b)(?!(?: (?:about|some|only))?"
                   r" (?:\d+|one|two|three|four|five|six|ten|twenty|thirty|forty|fifty|a few|an|half an) \w+ .*\b(?:is|are|has|have)\b))")
_ADJECTIVE = pattern(r"^(?:all )?(?:dry|warm|empty)(?: (?:as|inside|now|in here|again|at last|enough|from|by)\b.*)?[!. ]*$|^close(?: to us)?[!. ]*$|^lights? (?:from|of|off|astern|ahead|over there|in the distance)\b")
"""What is not said as an order, though its first word may be one: `dry as a bone`, `light from a ship`."""
_MAKES_THAT = pattern(rf"^make (?:that|it) (?:{'|'.join(sorted(NUMBER_WORDS))}|\d+)\b")


def is_order(text: str) -> bool:
    """Whether a piece is an order, or is put off to a time that has not come."""
    said = lead_off(text)
    words = tokens(said)
    first = next((w for w in words if w not in ("please", "kindly", "just", "now", "then")), "")
    if first == "make" and _MAKES_THAT.match(said):
        return False  # `make that seven` tells
    if words[:1] == ["fire"] and (words[1:2] and words[1] not in _WHAT_IS_FIRED or _BURNS.search(said)) or words == ["fire"]:
        return False  # a cry, or a fire that is told of
    if first == "get" and _THINGS.intersection(words[words.index(first) + 1:][:1]):
        return True
    if first == "read" and words[words.index(first) + 1:][:1] in (["me"], ["us"]):
        return True  # `read me the card`
    if first in ("cut", "shut") and words[words.index(first) + 1:][:1] in (["the"], ["it"], ["that"], ["this"]):
        return True  # the same form tells and orders: nothing is taken as told
    if words[1:2] and words[1] in _PREDICATES and first == words[0]:
        return False  # `patch is holding`, `pump broke`
    if _ADJECTIVE.match(said):
        return False
    told_off = words[:1] != [] and words[0] in _TOLD_OFF and words[1:2] != [] and (
        words[1] in _ORDERS_TO_SOMEBODY or words[1] in _ORDERS_IF_URGED and not _URGED.isdisjoint(words[2:]))
    return (first in _ORDERS or told_off or "please" in tokens(text) and not _STATES_BE.search(said) or bool(_NOT_YET.match(said))
            or first in _ORDERS_IF_URGED and bool(_URGED.intersection(words)))


def made_behind_a_name(verb: str | None) -> bool:
    """Whether a verb behind a name makes an order."""
    return verb is not None and verb.lower() in _CALLED_TO
_DONE_FIRST = pattern(r"^(?:done|did it|finished|all done|that is done|sorted)\b")
_SAME_FORM = frozenset("cut shut put set read let hit shed split quit".split())
_SUBJECT = frozenset("we i they".split())


def tells_as_done(text: str, before: str, sentence: str) -> bool:
    """Whether what may be an order is a report by what stands before it: `done, cut it`; `we are four and sit in the raft` has one subject for both."""
    words, ahead = tokens(lead_off(text)), tokens(lead_off(before))
    if ahead and ahead[0] in _SUBJECT and has_verb(before) and joined(before, text, sentence):
        return True
    return bool(words) and words[0] in _SAME_FORM and bool(_DONE_FIRST.match(lead_off(before)))


def goes_on(text: str, before: str) -> bool:
    """Whether what may tell goes on with the order before it: `Tom, quit moaning and read the card`."""
    return tokens(lead_off(text))[:1] != [] and tokens(lead_off(text))[0] in _SAME_FORM and (is_order(before) or bool(_CALLS.match(before.strip())))
_CALLS = pattern(r"^(?:[A-Z][a-z]+|[Ll]ads|[Mm]ate|[Gg]uys|[Ss]kipper|[Yy]ou(?: lot| two)?|[Ss]omebody|[Ss]omeone|[Ee]veryone|[Ee]verybody)$")
"""Calls to somebody: `Jim, put out the fire` is an order."""
_PLEASE_DO = pattern(r"^(?:will|would|could|can|won't) (?:you|ya|yous)(?: please)?\W*$", re.IGNORECASE)


def asks_to_do(text: str) -> bool:
    """Whether a piece makes an order of what stands before it: `read us the card, will you`."""
    return bool(_PLEASE_DO.match(text))
