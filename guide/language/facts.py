"""The one yes/no fact that a statement tells, if any: sure patterns first, then the learned evidence."""
from __future__ import annotations

from collections.abc import Mapping
from functools import cache, cached_property
from typing import NamedTuple

from guide.knowledge.base import Knowledge
from guide.knowledge.records import Value
from guide.language import clauses
from guide.language.frames import Frames
from guide.language.labels import NONE, POLARITY
from guide.language.matching import Matcher
from guide.language.wording import tokens

SURE_ASSERTS, SURE_EMERGENCY = -0.6, -0.9
"""How clearly a piece must state for a sure pattern to be taken as told, and where that tells an emergency, a sighting or somebody sick."""
SURE_KIND = 0.5
"""Evidence above which a kind (of pack) is taken that no pattern names."""
POLAR = 0.25
"""How clearly a sentence must say that the fact is so, or is not: on four voices left out this leaves one opposite in 150 told."""
HEARD = -0.3
"""Evidence below which a fact was not heard at all, however little speaks for telling none."""
OWN, OVER_NONE, _DISTANCE, _FIRST, SAYS, ASSERTS = 1.65, 1.23, 1.0, 1.3, 0.94, 1.46
"""What speaks for a statement telling a fact: the fact's own evidence; its lead over telling none; how far the topic that it is
about lies behind the statement's best (against it), or being that best one; how clearly it says so or not; how clearly it asserts
at all. Found by logistic regression on four voices left out."""
TURNED = 0.8
"""What a denied statement says without its denial counts this much, turned round, beside the statement itself."""
DEAF = 0.5
"""Evidence that a denied statement must lose without its denial, or the denial was not understood."""
ONE_WORD_EVIDENCE = 0.15
"""Evidence below which a single word tells nothing: `plane!` tells, `right` does not."""
NEWS = 0.45
"""How much more speaks for the end of an emergency or a sighting that is known: `she's gone` is the ship that was in sight."""
OLD_NEWS = 0.2
"""How much less for what is known already, and for the end of an emergency that nobody told of."""


KEPT = 64
"""Pieces whose evidence is kept."""
_VALUES = ("false", "true")
UNSEEN = -2.0
"""Evidence for what nothing was learned of."""


OF_SOMEBODY = ("person_", "someone_")
"""With which the names of facts begin that are so of at least one person."""


class Told(NamedTuple):
    """A fact as a clause tells it. `how` is set, used, issued (so much for each person) or found; value None: the amount was not said."""

    fact: str
    value: Value | None
    how: str


class Signs(NamedTuple):
    """What a piece shows of `fact=value`, all in nepers of evidence."""

    own: float
    none: float
    """For telling nothing."""
    opposite: float
    rival: float
    """For the likeliest other fact."""
    says: float
    """How clearly it says that the fact has this value; below 0 it says the opposite."""
    distance: float
    """How far the fact's topic lies behind the piece's best."""
    topic: float
    sure: float
    """1 where a sure pattern tells this, -1 where one tells something else."""
    denied: bool


class Least(NamedTuple):
    """What must speak for a fact before it is told."""

    support: float
    lead: float
    """Over every other fact: `plugged it` may be a leak or a valve."""


class FactReader:
    """Tells facts from statements with one knowledge."""

    def __init__(self, knowledge: Knowledge, matcher: Matcher) -> None:
        self._knowledge, self._matcher = knowledge, matcher
        self.frames = Frames(knowledge.language.frames)
        self._known: Mapping[str, object] = {}
        self._heard: dict[str, dict[str, float]] = {}
        """Piece → its evidence with what is known; kept for one turn, which asks for it again and again."""

    def told(self, piece: str, asserts: float, least: Least, known: Mapping[str, object]) -> Told | None:
        """The yes/no fact that a statement is about, if it is clear of having none and of its opposite, and has the least support.

        `asserts`: how clearly the piece states something rather than orders, plans or wishes it. What is known before helps: news
        is likelier than what everybody knows.
        """
        piece = clauses.lead_off(piece)
        words = tokens(piece)
        if clauses.only_filler(piece) or clauses.only_greets(piece):
            return None
        sure = self.frames.told(piece)
        if sure:
            fact, _, value = sure.partition("=")
            enough = SURE_EMERGENCY if value == "true" and (fact in self._urgent_facts or fact.startswith("someone_")) else SURE_ASSERTS
            return Told(fact, value == "true", "set") if asserts >= enough else None
        affirmed = clauses.affirmed(piece)
        denied = self.frames.told(affirmed) if affirmed else None
        evidence = dict(self._weighed(piece, known))
        none = evidence.pop(NONE, -9.0)
        best = max(evidence, key=evidence.__getitem__, default=NONE)
        if best in (NONE, denied) or len(words) == 1 and not self._cries(words[0], evidence[best]):
            return None
        fact, _, value = best.partition("=")
        if value not in ("true", "false"):
            return Told(fact, value, "set") if evidence[best] > SURE_KIND else None
        says = self._says(piece, best)
        own = evidence.pop(best)
        support = self._support(piece, fact, max(own, evidence.pop(_opposite(best), own)), none) + SAYS * says + ASSERTS * asserts
        clear = own > max(none, HEARD, max(evidence.values(), default=-9.0) + least.lead) and says >= (POLAR if len(words) > 1 else 0.0)
        return Told(fact, value == "true", "set") if clear and support >= least.support else None

    def likely(self, piece: str, known: Mapping[str, object], context: Mapping[str, float], most: int) -> list[str]:
        """The `fact=value` that a piece is likeliest to tell, true or false, at most so many, the likeliest first. `context`: label → what the
        talk adds to its evidence, without which a single word tells nothing but as a cry."""
        piece = clauses.lead_off(piece)
        if len(tokens(piece)) < 2 and not context or clauses.only_filler(piece) or clauses.only_greets(piece):
            return []
        return self.likeliest(self._weighed(piece, known), context, most)

    def likeliest(self, evidence: Mapping[str, float], context: Mapping[str, float], most: int) -> list[str]:
        """The `fact=value`, true or false, with the most evidence, at most so many, the likeliest first."""
        found = {label: evidence[label] + context.get(label, 0.0) if context else evidence[label] for label in self._labels if label in evidence}
        return sorted(found, key=found.__getitem__, reverse=True)[:most]

    def own(self, piece: str, label: str, known: Mapping[str, object]) -> float:
        """The evidence of a piece for `fact=value`."""
        return self._weighed(clauses.lead_off(piece), known).get(label, UNSEEN)

    def signs(self, piece: str, label: str, known: Mapping[str, object]) -> Signs:
        """What a piece shows of `fact=value`."""
        piece = clauses.lead_off(piece)
        fact, sure = label.partition("=")[0], self.frames.told(piece)
        evidence, own = self._weighed(piece, known), (label, _opposite(label), NONE)
        rival = max((value for other, value in evidence.items() if other not in own), default=UNSEEN)
        about = self._matcher.evidence("reports", piece)
        topic = max((about[name] for name in self._knowledge.facts[fact].topics.values() if name in about), default=UNSEEN)
        return Signs(evidence.get(label, UNSEEN), evidence.get(NONE, UNSEEN), evidence.get(_opposite(label), UNSEEN), rival, self._says(piece, label),
                     max(about.values(), default=UNSEEN) - topic, topic, (1.0 if sure == label else -1.0) if sure else 0.0, clauses.affirmed(piece) is not None)

    def contradicts(self, piece: str, label: str) -> bool:
        """Whether a piece rather says the opposite of `fact=value`, by a sure pattern or by its evidence."""
        piece, opposite = clauses.lead_off(piece), _opposite(label)
        sure = self.frames.told(piece)
        if sure and sure.partition("=")[0] == label.partition("=")[0]:
            return sure == opposite
        evidence = self._evidence(piece)
        return evidence.get(opposite, -9.0) > max(0.0, evidence.get(label, -9.0)) and self._says(piece, label) < 0.0

    def _says(self, piece: str, label: str) -> float:
        """How clearly a sentence that is about a fact says `fact=value`; below 0 it says the opposite."""
        fact, _, value = label.partition("=")
        polar = self._matcher.evidence(POLARITY, piece)
        return polar.get(fact, 0.0) if value == "true" else -polar.get(fact, 0.0)

    def _support(self, piece: str, fact: str, own: float, none: float) -> float:
        """What speaks for a statement telling this fact rather than none, and for being about its topic. `own`: the evidence for the
        fact, so or not so."""
        about = self._matcher.evidence("reports", piece)
        topics = [about[topic] for topic in self._knowledge.facts[fact].topics.values() if topic in about]
        distance = max(about.values()) - max(topics) if topics else 0.0
        first = _FIRST if topics and distance == 0.0 else 0.0
        return OWN * own + OVER_NONE * (own - none) - _DISTANCE * distance + first

    def _evidence(self, piece: str) -> Mapping[str, float]:
        """Evidence for each `fact=value`. Where something is denied, what it would say undenied speaks for the opposite."""
        direct = self._matcher.evidence("facts", piece)
        affirmed = clauses.affirmed(piece)
        if affirmed is None:
            return direct
        turned = self._matcher.alone("facts", affirmed)
        best = max(direct, key=lambda label: direct[label])
        if best != NONE and turned.get(best, -9.0) > max(0.0, direct[best] - DEAF):
            return {NONE: 9.0}  # taking the `not` away changes nothing, so the `not` was not heard: tell nothing
        return {label: (value + TURNED * turned.get(_opposite(label), value)) / (1 + TURNED) if "=" in label else value
                for label, value in direct.items()}

    def _weighed(self, piece: str, known: Mapping[str, object]) -> Mapping[str, float]:
        """Evidence for each `fact=value`, what is known counted in."""
        if known != self._known or len(self._heard) > KEPT:
            self._known = dict(known)
            self._heard.clear()
        found = self._heard.get(piece)
        if found is None:
            found = self._heard[piece] = self._with_known(self._evidence(piece), known)
        return found

    def _with_known(self, evidence: Mapping[str, float], known: Mapping[str, object]) -> dict[str, float]:
        """What is known speaks against being told again, and for the end of an emergency or a sighting."""
        found = dict(evidence)
        for fact, was in known.items():
            if isinstance(was, bool) and (label := f"{fact}={_VALUES[was]}") in found:
                found[label] -= OLD_NEWS
        for fact in self._urgent_facts:
            was, ended = known.get(fact), f"{fact}=false"
            if was is not False and ended in found:
                found[ended] += NEWS if was else -OLD_NEWS
        return found

    @cached_property
    def _labels(self) -> list[str]:
        """`fact=value` of each yes/no fact."""
        return [f"{fact.id}={value}" for fact in self._knowledge.facts.values() if fact.type == "bool" for value in _VALUES]

    @cached_property
    def _urgent_facts(self) -> frozenset[str]:
        """The emergencies and sightings."""
        return frozenset(fact for fact in self._knowledge.facts if self._knowledge.is_alarm(fact))

    def _cries(self, word: str, evidence: float) -> bool:
        """Whether a single word tells: `plane!` does; `lookout`, `right` and `hypothermia` do not."""
        return word in self._knowledge.language.words.get("cries", ()) and evidence >= ONE_WORD_EVIDENCE


@cache
def _opposite(label: str) -> str:
    fact, _, value = label.partition("=")
    return f"{fact}={'false' if value == 'true' else 'true'}"
