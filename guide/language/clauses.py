"""An utterance cut into clauses, and what each clause does: ask, report, suppose, order."""
from __future__ import annotations

import re
from typing import NamedTuple

from guide.language.numbers import NUMBER_WORDS
from guide.language.wording import regular, tokens

_SENTENCE = re.compile(r"(?<=[.!?;])\s+|\s+(?:-|\|)\s+|\n")
_JOIN = re.compile(r"\s*(?:,|;|:)\s*|\s+(?:and|an|but|then|though|although|so|&|plus|cos|because|while)\s+", re.I)
_AMOUNT_AND = re.compile(r"\b(and)(?= (?:a )?(?:half|quarter)\b)", re.I)

ASKING = frozenset("what who whom whose where when why which how is are was were do does did can could should shall "
                   "will would may might must has have had am any anyone anybody".split())
SUPPOSING = re.compile(
    r"^(?:(?:and|but|ok|okay|so|right|now|well|hey|hang on|alright) )*"
    r"(?:what if|what happens(?: to us)? if|what would \w+.*\b(?:if|should|were|had)\b|what (?:do|would|should|can) .* if\b|"
    r"suppos\w*|say (?!again)(?!so)|imagine|pretend|assum\w+|let us (?:say|assume|suppose|pretend|imagine)|lets? say|"
    r"hypothetical\w*|if\b|and if\b|had (?:we|i|the|no|there|it|all|they)\b|were (?:the|we|it|there|all|she)\b|should (?:the|a|an|one)\b.*\b(?:fail|go|be|become)|"
    r"how (?:would|do|will|does|could) .*\b(?:if|had|were|should)\b|picture this|in case|what about if|just say|given that)")
_HEARSAY = re.compile(r"\b(?:says?|said|reckons?|told|booklet|manual|book|card says|instructor|apparently|supposed to|"
                      r"meant to|wish|hope|hoping|hopefully|if only|not sure|unsure|do not know|no idea|maybe|perhaps|might|"
                      r"may be|looks like it|wonder\w*|ought|should|need(?:s)? to|must|going to|about to|ready to|standing by|"
                      r"stand by|planning|plan to|will\b|would|could do with|want(?:s)? to|trying to|tell me when|let us|"
                      r"make sure|ensure|remember to|do not forget|last (?:month|year|week|time|drill)|on the drill|in training|"
                      r"used to|pretend|until|til|before we|once (?:we|everybody|everyone|all)|when (?:we|you|it|the)\b|unless|"
                      r"in a (?:minute|moment|sec|bit)|soon|later|tomorrow|shall)\b")
_GREETING = re.compile(r"^(?:ok(?:ay)?|right|well|so|hey|oi|er|um|oh|ah|hello|hi|listen|look|please|now|yes|yeah|yep|no wait|no hang on|"
                       r"hang on|wait|sorry|correction|my mistake|bloody hell|blimey|jesus|god|skipper|skip|mate|guys|lads)\b[ ,:!.]*")


class Clause(NamedTuple):
    """One piece of an utterance as typed, regular, with its mood."""

    text: str
    regular: str
    mood: str
    """question, report, what_if or idle (an order, plan, wish, quotation or doubt: asserts nothing)."""


def mask_amounts(text: str) -> str:
    """Numbers made alike, so that the bank's figures do not matter: `nine litres` and `4 litres` meet."""
    words = [("num" if w[0].isdigit() or w in NUMBER_WORDS and w not in ("one", "a", "no") else w) for w in tokens(text)]
    return " ".join(words)


def cut(text: str) -> list[str]:
    """The pieces of an utterance between stops, commas and joining words."""
    pieces: list[str] = []
    for sentence in _SENTENCE.split(text):
        kept = _AMOUNT_AND.sub("\0", sentence)
        parts = [p.replace("\0", "and").strip(" ,.!?;:-") for p in _JOIN.split(kept)]
        pieces += [p for p in parts if tokens(p)]
    return pieces


def sentences(text: str) -> list[str]:
    """The sentences of an utterance."""
    return [s.strip() for s in _SENTENCE.split(text) if tokens(s)]


def lead_off(text: str) -> str:
    """Regular text without greeting words in front."""
    found = regular(text)
    for _ in range(4):
        shorter = _GREETING.sub("", found, count=1)
        if shorter == found or not shorter:
            break
        found = shorter
    return found


def supposes(text: str) -> bool:
    """Whether a sentence sets up a what-if."""
    return bool(SUPPOSING.match(lead_off(text)))


def asks(text: str) -> bool:
    """Whether a piece is put as a question: a mark at its end or an asking word in front."""
    words = tokens(lead_off(text))
    return text.rstrip().endswith("?") or bool(words) and words[0] in ASKING and not _stated(words)


def _stated(words: list[str]) -> bool:
    """`any` and `had`-like openings that are statements all the same: `have cut it`, `had our pills`, `is out`."""
    return words[0] in ("have", "had", "has") and len(words) > 1 and words[1] not in (
        "we", "you", "they", "he", "she", "it", "i", "the", "everyone", "everybody", "anyone", "anybody", "someone", "all", "any")


def holds_back(text: str) -> bool:
    """Whether words of order, plan, wish, hearsay or doubt keep a statement from being an assertion."""
    return bool(_HEARSAY.search(regular(text)))
