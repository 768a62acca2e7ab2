"""Clues to which yes/no facts an utterance tells, in the light of the talk: what its clauses seem to tell, and what else they may.

Each fact that it may tell has clues by name with a strength. What a clue weighs is learned from labelled talks (`guide.learning`), apart for
what a clause seems to tell (whether to keep it) and for what none does (whether to add it); nothing here decides.
"""
from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import NamedTuple

from guide.knowledge.base import Knowledge
from guide.language.clauses import elsewhere, only_filler, only_greets
from guide.language.facts import Signs, Told
from guide.language.labels import NONE
from guide.language.reading import Reader
from guide.language.utterances import Reading, Utterance
from guide.language.weighing import Weighing, is_open, share
from guide.language.wording import tokens
from guide.talk.before import Talk
from guide.talk.clues import Clues

LOW, HIGH = -2.0, 3.0
"""Evidence is cut off here: what lies beyond is as clear as can be."""
FAINT = -0.8
"""Evidence, with what the talk adds, below which what no clause seems to tell is not looked at: of 118 facts that were told and missed, a bar of
-0.4 kept 51 from being looked at, this one 20."""
WORDLESS = -0.7
"""Evidence below which no word speaks for a fact, so that the talk alone would: of 75 that were rightly added to what clauses tell one had less, of 37
that were wrongly added six."""
_LIKELY = 2
"""Facts of a clause, and of the utterance as one, that are looked at, the likeliest first."""
BENDS: Mapping[str, tuple[float, ...]] = {
    "own": (-0.3, 0.0, 0.5, 1.0), "whole": (-0.5, 0.0, 0.5, 1.0), "topic": (-0.5, 0.0, 0.5), "opposite": (-0.5, 0.0), "lead": (0.3, 0.8),
    "says": (0.0, 0.3, 0.8), "distance": (0.2, 0.6), "states": (-1.0, -0.5, 0.0, 0.5)}
"""Where what a clue weighs may change: the first bit of evidence does not count as the last."""
WHERE = ("asks as well", "few words", "not so", "several clauses", "in a talk", "beside what is told", "news")
WHAT = ("own", "whole", "states", "topic", "says", "lead")
"""What evidence weighs depends on where it stands: each of these clues counts beside each of those."""
_FEW_WORDS, _LONG_TEXT = 4, 10
VAGUE = -1.0
"""How clearly a clause must state something to be looked at, although it sounds more like an order or a plan."""


class Hint(NamedTuple):
    """A fact that an utterance may tell."""

    at: int
    """The number of the reading that it stands in."""
    kept: bool
    """A clause seems to tell it."""
    clues: Clues

    def taught(self, label: str) -> str:
        """The clue by which weights know the fact."""
        return f"{'kept' if self.kept else 'new'}: {label}"


class Hinting:
    """Finds what utterances may tell with one knowledge. Holds no state of a talk."""

    def __init__(self, knowledge: Knowledge, reader: Reader) -> None:
        self._knowledge, self._reader = knowledge, reader

    def hints(self, talk: Talk, utterance: Utterance) -> dict[str, Hint]:
        """`fact=value` → what speaks for the utterance telling it. Nothing where it supposes; what a clause tells is never turned round."""
        readings = utterance.readings
        if any(reading.kind == "what_if" for reading in readings):
            return {}
        states = [at for at, reading in enumerate(readings) if _may_state(reading)]
        told = {label_of(each): at for at in states for each in readings[at].told if label_of(each)}
        facts = {label.partition("=")[0] for label in told}
        stands, context = dict(told), self._context(talk)
        for label in dict.fromkeys(self._labels(utterance, talk)) if states else ():
            own, at = max((self._reader.facts.own(readings[at].clause, label, talk.known), at) for at in states)
            said = max(own, utterance.sounding.get(label, LOW))
            if label.partition("=")[0] not in facts and said >= max(WORDLESS, FAINT - context.get(label, 0.0)):
                stands[label] = at
        shared = {**self._of_whole(utterance), **self._of_talk(talk)} if stands else {}
        clauses = {at: {**shared, **self._of_clause(readings[at])} for at in set(stands.values())}
        return {label: Hint(at, label in told, self._clues(talk, utterance, at, label, clauses[at])) for label, at in stands.items()}

    def _labels(self, utterance: Utterance, talk: Talk) -> Iterator[str]:
        """What the utterance is likeliest to tell, clause by clause and as a whole, and what is spoken of."""
        context = self._context(talk)
        for reading in utterance.readings:
            yield from self._reader.facts.likely(reading.clause, talk.known, context, _LIKELY)
        if len(utterance.readings) > 1:
            yield from self._reader.facts.likeliest(utterance.sounding, context, _LIKELY)
        if not only_filler(utterance.text):
            for fact in dict.fromkeys((*self._knowledge.facts_about.get(talk.subject or "", ()), *self._knowledge.facts_about.get(talk.last or "", ()))):
                yield from (label for label, value in ((f"{fact}=true", True), (f"{fact}=false", False)) if talk.known.get(fact) is not value)

    def _clues(self, talk: Talk, utterance: Utterance, at: int, label: str, shared: Clues) -> Clues:
        """What speaks for the reading telling this. `shared`: the clues that are the same whatever it tells."""
        reading, fact = utterance.readings[at], label.partition("=")[0]
        others = [told for each in utterance.readings for told in each.told if each.kind == "report" and told.fact != fact]
        topics = self._knowledge.facts[fact].topics.values()
        clues = {**shared, **_of_signs(self._reader.facts.signs(reading.clause, label, talk.known)), **self._of_fact(talk, label, shared["few words"]),
                 "whole": _cut(utterance.sounding.get(label, LOW)), "whole topic": _cut(max((utterance.whole[name] for name in topics if name in utterance.whole), default=LOW)),
                 "the clause tells another": float(any(told.fact != fact and label_of(told) for told in reading.told)),
                 "beside what is told": float(any(map(label_of, others))), "beside numbers told": float(not all(map(label_of, others)))}
        clues.update({f"{name} over {bend}": max(0.0, clues[name] - bend) for name, bends in BENDS.items() for bend in bends})
        both = {f"{where}, {what}": clues[where] * clues[what] for where in WHERE if clues[where] for what in WHAT}
        kind = "kept" if _tells(reading, label) else "new"
        return {**{f"{kind}: {name}": value for name, value in clues.items()}, **both}

    def _of_clause(self, reading: Reading) -> Clues:
        kinds, length = self._reader.kinds(reading.clause), len(tokens(reading.clause))
        return {"states": _cut(reading.states), f"read as {reading.kind}": 1.0, **{f"sounds like {kind}": _cut(value) for kind, value in kinds.items()},
                "one word": float(length == 1), "few words": float(length <= _FEW_WORDS), "long": length / _LONG_TEXT}

    def _of_whole(self, utterance: Utterance) -> Clues:
        return {"whole none": _cut(utterance.sounding.get(NONE, LOW)),
                **{f"whole sounds like {kind}": _cut(value) for kind, value in self._reader.kinds(self._reader.matcher.without_names(utterance.text)).items()},
                "never asserts": float(self._reader.never_asserts(utterance.text)), "tells of elsewhere": float(elsewhere(utterance.text)),
                "beside an order": float(any(reading.kind == "command" and reading.states < VAGUE for reading in utterance.readings)), "asks as well": float(any(reading.kind == "question" for reading in utterance.readings)),
                "several clauses": float(len(utterance.readings) > 1), "words unknown": utterance.foreign, "always": 1.0}

    def _of_talk(self, talk: Talk) -> Clues:
        return {"in a talk": float(talk.begun), "context none": _cut(self._context(talk).get(NONE, 0.0))}

    def _of_fact(self, talk: Talk, label: str, few: float) -> Clues:
        """What was said before says for a fact being told now. `few`: 1 where the clause has few words."""
        fact, _, value = label.partition("=")
        known, topics = talk.known.get(fact), self._knowledge.facts[fact].topics
        about = self._knowledge.topics.get(topics.get(value, ""))
        so = value == "true"
        clues = {label: 1.0, "news": float(known is (not so)), "unknown before": float(known is None), "not so": float(not so),
                 "not so, unknown before": float(not so and known is None), "comes next": float(not talk.coming.isdisjoint(topics.values())),
                 f"about: {about.band if about else NONE}": 1.0, "context": _cut(self._context(talk).get(label, 0.0))}
        for name, what in ((talk.last, "last"), (talk.subject, "subject")):
            near = self._near(name or "", topics.values())
            if near:
                clues.update({f"{what} {near}": 1.0, f"{what} {near}, few words": few})
            if fact in self._knowledge.facts_about.get(name or "", ()):
                clues[f"{what} brings it about"] = 1.0
        return clues

    def _context(self, talk: Talk) -> Mapping[str, float]:
        """`fact=value` → what it adds to its evidence that the talk is of its subject."""
        return self._reader.matcher.spoken_of(talk.subject, "facts") if talk.begun and talk.subject else {}

    def _near(self, name: str, topics: Collection[str]) -> str:
        """`same` where a topic is one of these, `near` where it looks to one, else nothing."""
        if name in topics:
            return "same"
        about = self._knowledge.topics.get(name)
        return "near" if about and not set(about.see).isdisjoint(topics) else ""


def _may_state(reading: Reading) -> bool:
    """Whether a clause states something, or may: what has not the form of an order or a plan but sounds like one, `Mary keeps the lookout now`."""
    return not only_greets(reading.clause) and (reading.kind == "report" or reading.kind == "command" and reading.states >= VAGUE)


def label_of(told: Told) -> str:
    """`fact=value` of a yes/no fact, else nothing."""
    return f"{told.fact}={'true' if told.value else 'false'}" if isinstance(told.value, bool) else ""


def fact_of(label: str) -> Told:
    """What `fact=value` tells."""
    fact, _, value = label.partition("=")
    return Told(fact, value == "true", "set")


def likely(clues: Clues, weighing: Weighing) -> float:
    """How likely a fact with these clues is told, 0 to 1. The clues are taken together where each by itself leaves a doubt."""
    points = weighing.points(clues)
    return share(points + weighing.together(clues) if is_open(points) else points)


def _of_signs(signs: Signs) -> Clues:
    return {"own": _cut(signs.own), "none": _cut(signs.none), "lead over none": _cut(signs.own - signs.none), "opposite": _cut(signs.opposite),
            "lead": _cut(signs.own - signs.rival), "says": _cut(signs.says), "distance": _cut(signs.distance), "its topic first": float(signs.distance == 0.0),
            "topic": _cut(signs.topic), "sure": float(signs.sure > 0), "sure of another": float(signs.sure < 0), "denied": float(signs.denied)}


def _tells(reading: Reading, label: str) -> bool:
    return reading.kind == "report" and label in map(label_of, reading.told)


def _cut(value: float) -> float:
    return LOW if value < LOW else min(value, HIGH)
