"""An utterance → readings: clause by clause the kind, the topic, and the facts asserted or supposed."""
from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

from guide.knowledge.base import Knowledge
from guide.knowledge.records import Value
from guide.language import amounts as amounts_of
from guide.language import clauses
from guide.language.amounts import Amount, Units
from guide.language.facts import FactReader, Told
from guide.language.labels import OUTSIDE
from guide.language.matching import Candidate, Matcher
from guide.language.weights import Learned
from guide.language.wording import clean, regular, tokens
from guide.patterns import pattern

FACT_SUPPORT = 1.0
"""Support below which a statement tells nothing: the left-out voices put the wrong facts there."""


class Reading(NamedTuple):
    """One clause."""

    clause: str
    kind: str
    """question, report, what_if or command; a report whose `told` is empty asserted nothing we track."""
    candidates: tuple[Candidate, ...]
    told: tuple[Told, ...]


class Utterance(NamedTuple):
    """All that was read in one utterance."""

    text: str
    readings: tuple[Reading, ...]
    whole: tuple[Candidate, ...]
    """The topics of the utterance taken as one."""
    outside: float
    """Evidence that it is not this guide's business; above 0 speaks for that."""
    foreign: float
    """Share of longer words unknown to the subject."""
    corrects: bool
    """It takes back or corrects what was said before."""


OVERRULES = 0.3
"""Evidence at which the subject of the whole utterance may overrule what one clause seems to tell."""
UNHEARD = -0.6
"""Evidence in the whole utterance below which nothing is heard of a fact's topic."""
OWN_SUBJECT = 0.0
"""Evidence at which a clause is about a fact's topic by itself, whatever the rest of the utterance is about."""
SHY = 0.3
"""How far the evidence for an order or an unmarked question must lead that for a statement."""
VERY_SHY = 1.0
"""The same for a question without any asking word."""
SUPPOSED_SUPPORT = 0.2
"""As FACT_SUPPORT for what-ifs, where a wrong reading changes nothing and is echoed."""


_ALL_HERE = pattern(r"\ball (?:\w+ )?(?:\w+ )?of us\b.*\b(?:here|aboard|counted|present|accounted|in)\b|\ball \w+ (?:are |is )?(?:here|aboard|counted|present|accounted)\b")
_NAMED_MISSING = pattern(r"^(?:[Aa]nd |[Bb]ut )?[A-Z][a-z]+(?:'s| is| has gone)(?: still| gone)? (?:missing|unaccounted for|not here)\b")
_AFTER_DARK = pattern(r"\b(?:after dark|at night|in the dark|middle of the night)\b")
_PACK = pattern(r"\b(?:solas|an|the|this|our|type|class|full) (a)[ -](?:pack|kit|version)\b|\b(?:solas )?(b)[ -](?:pack|kit|version)\b"
                   r"|\bsolas ([ab])\b|\bpack ([ab])\b|\b(?:pack|kit) is (?:an? |the )?([ab])\b|^(a)[ -]pack\b")
_NOT_PACK = pattern(r"\bnot (?:an? |the )?(?:solas )?[ab]\b")
_MAKE_THAT = pattern(r"^(?:sorry|no|wait|oops|correction)\b.*\bmake (?:that|it)\b")
_REST_OF_ORDER = pattern(r"^(?:down|up|in|out|off|over|back|round|to)\b", re.IGNORECASE)
_EXCEPT = pattern(r"\b(?:except|apart from|but for|bar|minus|all but)\b")
_PAST = pattern(r"\b(?:was|were|had been)\b")
_CORRECTS = pattern(r"^(?:no|sorry|wait|oops|correction|scrap|scratch|my mistake|actually|miscounted|hang on|hold on)\b"
                       r"|\b(?:take (?:that|it) back|my mistake|i meant|miscounted|correction)\b")


class Reader:
    """Reads utterances with one knowledge. Holds no state of a conversation."""

    def __init__(self, knowledge: Knowledge, learned: Learned) -> None:
        self._knowledge = knowledge
        self.matcher = Matcher(learned)
        self._facts = FactReader(knowledge, self.matcher)
        self._units = Units(knowledge.language.words)

    def read(self, text: str, known: Mapping[str, object] = MappingProxyType({})) -> Utterance:
        """The readings of an utterance, in the order typed; `known` is what the conversation knows, which helps to tell facts apart."""
        text = clean(text)
        whole = self.matcher.rank("topics", text, most=200)
        readings: list[Reading] = []
        for sentence in clauses.sentences(text):
            readings += self._sentence(sentence, known)
        stated = all(reading.kind == "report" for reading in readings)
        readings = [self._heard(reading, whole, stated) for reading in readings]
        return Utterance(text, tuple(readings), tuple(whole), self._outside(text), self.matcher.foreign(text),
                         bool(_CORRECTS.search(regular(text))))

    def _heard(self, reading: Reading, whole: list[Candidate], stated: bool) -> Reading:
        """Without a yes/no fact that the utterance as one, clear about another subject, says nothing of: `held while it burns`
        in a question about flares is no fire aboard. What a sure pattern tells stays, and among plain statements what one is itself about."""
        if reading.kind != "report" or not whole or whole[0].evidence < OVERRULES or self._facts.sure(reading.clause):
            return reading
        evidence = {c.label: c.evidence for c in whole}
        near = self._knowledge.topics[whole[0].label].see if whole[0].label in self._knowledge.topics else ()

        def unheard(told: Told) -> bool:
            topics = set(self._knowledge.facts[told.fact].topics.values())
            own = reading.candidates[:1]
            if stated and own and own[0].label in topics and own[0].evidence >= OWN_SUBJECT:
                return False
            heard = max((evidence.get(t, -1.0) for t in topics), default=0.0)
            return isinstance(told.value, bool) and topics.isdisjoint(near) and heard < UNHEARD

        return reading._replace(told=tuple(told for told in reading.told if not unheard(told)))

    def _outside(self, text: str) -> float:
        found = {c.label: c.evidence for c in self.matcher.rank("scope", text)}
        return found.get(OUTSIDE, 1.0)

    def _sentence(self, sentence: str, known: Mapping[str, object]) -> list[Reading]:
        pieces = clauses.cut(sentence)
        if clauses.supposes(sentence):
            return self._read_pieces(pieces, sentence, "what_if", known)
        if clauses.asks_by_tag(sentence):
            return self._read_pieces(pieces, sentence, "question", known)
        if sentence.endswith("?") and clauses.asks(sentence) and len(pieces) > 1 and clauses.asks(pieces[0]):
            return self._read_pieces(pieces, sentence, "question", known)
        return self._read_pieces(pieces, sentence, "", known)

    def _read_pieces(self, pieces: list[str], sentence: str, mood: str, known: Mapping[str, object]) -> list[Reading]:
        """Each piece by itself; the sentence as one where the pieces show no fact but it does."""
        readings: list[Reading] = []
        whole_water = "each" in tokens(sentence) or "apiece" in tokens(sentence)
        for number, piece in enumerate(pieces):
            last = number == len(pieces) - 1
            kind = mood or self._kind(piece + ("?" if last and sentence.endswith("?") else ""), sentence)
            if kind == "report" and readings and readings[-1].kind == "question" and not clauses.has_verb(piece):
                kind = "question"  # `how long will the beacon and the transponder last`
            over = kind == "report" and not last and " but " in sentence and bool(_PAST.search(regular(piece)))
            part = clauses.supposed_part(piece) if kind == "what_if" else piece
            over = over or kind == "what_if" and part == piece and clauses.asks(piece)  # what it asks, not what it supposes
            told = () if over else self._told(part, kind, known)
            family = "reports" if kind == "report" else "topics"
            readings.append(Reading(piece, "command" if kind == "idle" else kind, tuple(self.matcher.rank(family, piece)), told))
        if whole_water and len(pieces) > 1 and readings[-1].kind == "report":
            together = tuple(t for t in self._told(sentence, "question", known) if t.fact == "water")
            if together:
                readings = [r._replace(told=tuple(t for t in r.told if t.fact != "water")) for r in readings]
                readings[-1] = readings[-1]._replace(told=readings[-1].told + together)
        stated = [r for r in readings if r.kind in ("report", "what_if")]
        if len(pieces) > 1 and len(stated) == len(readings):
            whole = self._told(clauses.supposed_part(sentence) if stated[0].kind == "what_if" else sentence, stated[0].kind, known)
            seen = {told.fact for r in readings for told in r.told}
            extra = tuple(t for t in whole if t.fact not in seen and (not seen or isinstance(t.value, (int, float)) and not isinstance(t.value, bool)))
            if extra:
                readings[-1] = readings[-1]._replace(told=readings[-1].told + extra)
        return readings

    def _kind(self, piece: str, sentence: str) -> str:
        if clauses.asks(piece):
            return "question"
        if _MAKE_THAT.match(regular(sentence)):
            return "report"
        if clauses.orders(piece) or _REST_OF_ORDER.match(piece) and clauses.orders(sentence):
            return "idle"
        if self._done_before(piece):
            return "idle" if clauses.never_asserts(piece) else "report"
        ranked = self.matcher.rank("kinds", clauses.lead_off(piece))
        evidence = {c.label: c.evidence for c in ranked}
        report = evidence.get("report", -1.0)
        if clauses.never_asserts(piece) or clauses.never_asserts(sentence) and evidence.get("idle", -1.0) > report - 0.5:
            return "idle"
        if clauses.may_not_assert(piece) and evidence.get("idle", -1.0) > report:
            return "idle"
        shy = {"idle": SHY, "question": SHY if clauses.asking_word(piece) else VERY_SHY, "what_if": VERY_SHY}
        best = max(evidence, key=lambda kind: evidence[kind] - shy.get(kind, 0.0), default="report")
        return "report" if best == "what_if" else best

    def _done_before(self, piece: str) -> bool:
        """Whether a piece begins with a past form, the doer left out: `streamed the drogue`, `gave them a pill`."""
        words = tokens(clauses.lead_off(piece))
        return len(words) > 1 and (self._units.at("past", words, 0) == 1 or words[0].endswith("ed") and len(words[0]) > 5)

    def _told(self, piece: str, kind: str, known: Mapping[str, object]) -> tuple[Told, ...]:
        """What a piece tells: amounts in any kind (a question brings its own figures), the rest where it states or supposes."""
        words = regular(piece)
        told = [Told(a.fact, self._typed(a), a.how) for a in (*amounts_of.position(piece), *amounts_of.amounts(words, self._units))]
        if kind not in ("report", "what_if"):
            return tuple(told)
        missing = next((t.value for t in told if t.fact == "persons_missing"), 1 if _NAMED_MISSING.search(piece) else None)
        if isinstance(missing, int) and missing > 0:
            told = [t for t in told if t.fact != "persons_missing"]
            return (*told, Told("persons_missing", missing, "set"), Told("all_accounted", False, "set"))
        if any(t.fact == "persons" for t in told) and _ALL_HERE.search(words):
            told.append(Told("all_accounted", True, "set"))
        pack = self._pack(words)
        if pack:
            told.append(Told("pack", pack, "set"))
        if kind == "what_if" and _AFTER_DARK.search(words):
            told.append(Told("night", True, "set"))
        yes_no = self._facts.told(piece, FACT_SUPPORT if kind == "report" else SUPPOSED_SUPPORT, known)
        if yes_no and yes_no.fact == "all_accounted" and _EXCEPT.search(words):
            yes_no = yes_no._replace(value=False)
        return (*told, yes_no) if yes_no and yes_no.fact not in {t.fact for t in told} else tuple(told)

    def _typed(self, amount: Amount) -> Value | None:
        if amount.value is None:
            return None
        whole = self._knowledge.facts[amount.fact].type == "int"
        return int(amount.value) if whole else float(amount.value)

    def _pack(self, words: str) -> str | None:
        """The kind of pack, where one is named with the word pack or its like."""
        if re.search(r"\bcoastal\b", words) and not re.search(r"\bcoastal (?:waters|trip|afternoon|path)\b", words):
            return "coastal"
        if _NOT_PACK.search(words):
            return None
        match = _PACK.search(words)
        return "solas_" + next(group for group in match.groups() if group) if match else None
