"""The one yes/no fact that a statement tells, if any: sure patterns first, then the learned evidence."""
from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from guide.knowledge.base import Knowledge
from guide.knowledge.records import Value
from guide.language import clauses
from guide.language.frames import Frames
from guide.language.labels import NONE, POLARITY
from guide.language.matching import Matcher
from guide.language.wording import tokens

SURE_KIND = 0.5
"""Evidence above which a kind (of pack) is taken that no pattern names."""
POLAR = 0.3
"""How clearly a sentence must say that the fact is so, or is not: on five voices left out this leaves one opposite in 300 told."""
OWN_EVIDENCE, OWN_DISTANCE, OWN_FIRST = 0.4, 0.3, 0.65
"""What speaks for a fact beside its lead over every other fact: its own evidence; how far the topic that it is about lies behind
the statement's best (against it); being that best one. Found by logistic regression on five voices left out."""
TURNED = 0.8
"""What a denied statement says without its denial counts this much, turned round, beside the statement itself."""
DEAF = 0.5
"""Evidence that a denied statement must lose without its denial, or the denial was not understood."""
ONE_WORD_EVIDENCE = 0.15
"""Evidence below which a single word tells nothing: `plane!` tells, `right` does not."""
NEWS = 0.25
"""How much more speaks for the end of an emergency or a sighting that is known: `she's gone` is the ship that was in sight."""
OLD_NEWS = 0.2
"""How much less for what is known already, and for the end of an emergency that nobody told of."""


class Told(NamedTuple):
    """A fact as a clause tells it. `how` is set, used, issued (so much for each person) or found; value None: the amount was not said."""

    fact: str
    value: Value | None
    how: str


class FactReader:
    """Tells facts from statements with one knowledge."""

    def __init__(self, knowledge: Knowledge, matcher: Matcher) -> None:
        self._knowledge, self._matcher = knowledge, matcher
        self._frames = Frames(knowledge.language.frames)

    def sure(self, piece: str) -> bool:
        """Whether a sure pattern tells a fact."""
        return self._frames.told(clauses.lead_off(piece)) is not None

    def told(self, piece: str, least: float, known: Mapping[str, object]) -> Told | None:
        """The yes/no fact that a statement is about, if it is clear of having none and of its opposite, and has the least support.

        What is known before helps: news is likelier than what everybody knows.
        """
        piece = clauses.lead_off(piece)
        words = tokens(piece)
        if clauses.only_filler(piece):
            return None
        sure = self._frames.told(piece)
        if sure:
            return Told(sure.partition("=")[0], sure.endswith("=true"), "set")
        evidence = self._with_known(self._evidence(piece), known)
        best = max(evidence, key=lambda label: (label != NONE, evidence[label]))
        if best == NONE or len(words) == 1 and not self._cries(best, evidence):
            return None
        fact, _, value = best.partition("=")
        if value not in ("true", "false"):
            return Told(fact, value, "set") if evidence[best] > SURE_KIND else None
        clear = evidence[best] > evidence.get(NONE, -9.0) and self._says(piece, best) >= POLAR
        return Told(fact, value == "true", "set") if clear and self._support(piece, fact, evidence) >= least else None

    def _says(self, piece: str, label: str) -> float:
        """How clearly a sentence that is about a fact says `fact=value`; below 0 it says the opposite."""
        fact, _, value = label.partition("=")
        polar = {c.label: c.evidence for c in self._matcher.rank(POLARITY, piece, most=200)}
        return polar.get(fact, 0.0) if value == "true" else -polar.get(fact, 0.0)

    def _support(self, piece: str, fact: str, evidence: Mapping[str, float]) -> float:
        """What speaks for a statement telling this fact: its lead over every other, and whether the statement is about its topic."""
        own = max(value for label, value in evidence.items() if label.startswith(fact + "="))
        rival = max((value for label, value in evidence.items() if not label.startswith(fact + "=")), default=-1.0)
        about = self._matcher.rank("reports", piece, most=200)
        topics = set(self._knowledge.facts[fact].topics.values())
        place = next((n for n, c in enumerate(about) if c.label in topics), None)
        distance = 0.0 if place is None else about[0].evidence - about[place].evidence
        return own - rival + OWN_EVIDENCE * own - OWN_DISTANCE * distance + (OWN_FIRST if place == 0 else 0.0)

    def _evidence(self, piece: str) -> dict[str, float]:
        """Evidence for each `fact=value`. Where something is denied, what it would say undenied speaks for the opposite."""
        direct = {c.label: c.evidence for c in self._matcher.rank("facts", piece, most=200)}
        affirmed = clauses.affirmed(piece)
        if affirmed is None:
            return direct
        turned = {c.label: c.evidence for c in self._matcher.rank("facts", affirmed, most=200)}
        best = max(direct, key=lambda label: direct[label])
        if best != NONE and turned.get(best, -9.0) > max(0.0, direct[best] - DEAF):
            return {NONE: 9.0}  # taking the `not` away changes nothing, so the `not` was not heard: tell nothing
        return {label: (value + TURNED * turned.get(_opposite(label), value)) / (1 + TURNED) if "=" in label else value
                for label, value in direct.items()}

    def _with_known(self, evidence: Mapping[str, float], known: Mapping[str, object]) -> dict[str, float]:
        return {label: value + self._news(label, known) for label, value in evidence.items()}

    def _news(self, label: str, known: Mapping[str, object]) -> float:
        """What is known speaks against being told again, and for the end of an emergency or a sighting."""
        fact, _, value = label.partition("=")
        was = known.get(fact)
        if value not in ("true", "false"):
            return 0.0
        if was is (value == "true"):
            return -OLD_NEWS
        if was is None:
            return -OLD_NEWS if value == "false" and self._urgent(fact) else 0.0
        return NEWS if was and self._urgent(fact) else 0.0

    def _urgent(self, fact: str) -> bool:
        """Whether it is an emergency or a sighting."""
        topic = self._knowledge.topics.get(self._knowledge.facts[fact].topics.get("true", ""))
        return topic is not None and topic.band in ("emergency", "chance")

    def _cries(self, label: str, evidence: Mapping[str, float]) -> bool:
        """Whether a single word tells: `plane!` does, `lookout` and `right` do not."""
        return self._urgent(label.partition("=")[0]) and evidence[label] >= ONE_WORD_EVIDENCE


def _opposite(label: str) -> str:
    fact, _, value = label.partition("=")
    return f"{fact}={'false' if value == 'true' else 'true'}"
