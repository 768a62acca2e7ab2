"""What a clause does, by its form and by the evidence: ask, state or suppose; and how clearly it states something."""
from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from guide.language import clauses, orders
from guide.language.matching import Matcher
from guide.language.numbers import split
from guide.language.units import Units
from guide.language.vocabulary import Vocabulary
from guide.language.wording import regular, tokens
from guide.patterns import pattern

_SHY = 0.3
"""How far the evidence for an unmarked question must lead that for a statement."""
VERY_SHY = 1.0
"""The same for a question without any asking word."""
CORRECTS_STATES = 2.0
"""How clearly a correction states what it corrects."""
OWN_PART = 0.65
"""How much a piece with a verb counts by itself for whether it states; the rest is the sentence around it."""
_SUPPOSING = {"supposing": 0.0, "may_suppose": 0.3}
"""How far the evidence for a what-if must lead, by the list of the lexicon that the word which sets it up stands in."""
NEVER, ORDERED, DONE = 1.0, 0.8, 0.3
"""What words of plan or hearsay, and the form of an order, take from how clearly a piece states, and what beginning with a past
form gives: found by logistic regression on four voices left out."""

_MAKE_THAT, _WAS_SO = pattern(r"\bmake (?:that|it)\b"), pattern(r"\b(?:it|that|there) (?:is|was|were)\b|\b(?:was|were)\b")
_REST_OF_ORDER = pattern(r"^(?:down|up|in|out|off|over|back|round|to)\b", re.IGNORECASE)
_HE_DID = pattern(r"^(?:(?:and|but|so|then|now) )*(?:he|she|somebody|someone|(?:the|my|our) \w+) (?:cut|shut|put|set|let|read|hit|split|burst|cast|bound)\b(?! to\b)")
_SHOULD_WE = pattern(r"^(?:and |but |so |then )*(?:should|shall) (?:we|i|he|she|they|you)\b")
_SHOULD_IT = pattern(r"[,;] (?:and |but |so )?should (?:the|a|an|our|my|his|it|this|that|some\w*|any\w*|every\w*) [^,;]*\?$")
"""Asks behind what it tells: `it's dark, should the light be on?`"""
_COUNTS_FIRST = pattern(r"^(?:and )?(?:\d+|two|three|four|five|six|seven|eight|nine|ten) (?!of\b)\w+", re.IGNORECASE)


class Moods:
    """Tells what clauses do with the evidence and the word lists of one knowledge. Holds no state of a conversation."""

    def __init__(self, matcher: Matcher, units: Units, words: Vocabulary, never_asserts: Callable[[str], bool]) -> None:
        self._matcher, self._units, self._words, self._never_asserts = matcher, units, words, never_asserts

    def kinds(self, text: str) -> Mapping[str, float]:
        """The evidence for each kind of sentence."""
        return self._matcher.evidence("kinds", clauses.lead_off(text))

    def supposes(self, sentence: str) -> bool:
        """Whether a sentence with a word that sets up a what-if, or may, is likelier one than anything else."""
        words = split(regular(sentence))
        lead = next((lead for name, lead in _SUPPOSING.items() if self._units.any(name, words)), None)
        if lead is None or _SHOULD_WE.match(clauses.lead_off(sentence)) or _SHOULD_IT.search(regular(sentence)):
            return False
        evidence = self.kinds(sentence)
        return evidence["what_if"] > lead + max(evidence[kind] for kind in evidence if kind != "what_if")

    def kind(self, piece: str, marked: bool) -> str:
        """question or report (of which some tell nothing); `marked`: a question mark ends it."""
        if marked or clauses.asks(piece):
            return "question"
        if clauses.says_what_is_left(piece) or _COUNTS_FIRST.match(piece):
            return "report"
        evidence = self.kinds(piece)
        if not evidence or orders.is_order(piece) or not clauses.has_verb(piece) and not clauses.asking_word(piece):
            return "report"
        shy = _SHY if clauses.asking_word(piece) else VERY_SHY
        return "question" if evidence["question"] - shy > max(evidence["report"], evidence["idle"]) else "report"

    def states(self, piece: str, sentence: str) -> float:
        """How clearly a piece states something rather than orders, plans, wishes or quotes it; what stands around it counts as well."""
        if self._words.corrects(sentence) and (_MAKE_THAT.search(regular(sentence)) or _WAS_SO.search(regular(piece))):
            return CORRECTS_STATES
        own, around = ((c["report"] - c["idle"] if c else 0.0) for c in map(self.kinds, (piece, sentence)))
        states = around + (OWN_PART * (own - around) if clauses.has_verb(piece) else 0.0)
        if _REST_OF_ORDER.match(piece) and orders.is_order(sentence):
            states -= ORDERED
        if self._never_asserts(sentence):
            states -= NEVER
        return states + (DONE if self._done_before(piece) else 0.0)

    def _done_before(self, piece: str) -> bool:
        """Whether a piece begins with a past form, the doer left out: `streamed the drogue`, `gave them a pill`; or says of one other what would else end in s:
        `he shut the doors`."""
        words = tokens(clauses.lead_off(piece))
        if _HE_DID.match(" ".join(words)):
            return True
        return len(words) > 1 and (self._units.at("past", words, 0) == 1 or words[0].endswith("ed") and len(words[0]) > 5)
