"""Which yes/no facts an utterance tells in a talk: the thresholds, and what no likelihood outweighs."""
from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping

from guide.knowledge.base import Knowledge
from guide.knowledge.language import SIGHTED
from guide.language.clauses import asks_approval, has_verb
from guide.language.facts import OF_SOMEBODY, Told
from guide.language.reading import Reader
from guide.language.utterances import Lent, Reading, Utterance
from guide.talk.before import Talk, of_another, of_one_of_several, parted, points_back, says_it, says_over
from guide.talk.hints import Hint, Hinting, fact_of, label_of, likely
from guide.talk.standing import Standing

VESSEL = "vessel_afloat"
_PLAINLY = 0.9
"""How likely a clause that names nothing must tell it by itself beside a question: `it's raining, should we catch it?`"""
_ALONE = 0.6
"""How likely a clause by itself must tell what it seems to tell, where it stands beside others."""
_NEWS = 0.6
"""How likely the opposite of what is known must be told in a talk about it, which a clause does not seem to tell by itself: `both are aboard`, of swimmers."""
KEEP, ADD, URGENT = 0.4, 0.78, 0.5
"""How likely a fact must be told that a clause seems to tell, to be kept, and one that none does, to be added; an emergency or a sighting
that begins, of which one that is missed may cost as much as one that is heard where there is none."""
_SURE = 0.02
"""The same of a few emergencies that a sure pattern tells, which talks are seldom labelled with: `the fire came back`, `he is not breathing`."""


class Telling:
    """Decides by the evidence and the weights of one weights file. Holds no state of a talk."""

    def __init__(self, knowledge: Knowledge, reader: Reader) -> None:
        self._knowledge, self._reader = knowledge, reader
        self._hinting = Hinting(knowledge, reader)
        self._standing = Standing(knowledge, reader, self._hinting)

    def heard(self, talk: Talk, utterance: Utterance) -> Utterance:
        """The utterance with the yes/no facts that it tells; what it supposes stays, and so does a fact of which no talk taught anything."""
        weighing = self._reader.matcher.tells
        hints = {label: hint for label, hint in self.hints(talk, utterance).items()
                 if hint.taught(label) in weighing.alone and not _follows(utterance.readings[hint.at], label)}
        chances = {label: likely(hint.clues, weighing) for label, hint in hints.items()}
        likeliest = {label.partition("=")[0]: label for label in sorted(chances, key=lambda label: _standing(hints[label], chances[label]))}  # a fact is so or not so
        approved = asks_approval(utterance.text)  # `we laced both doors, is that ok?`
        alone = self._told_alone(talk, utterance, {label: hints[label] for label in likeliest.values() if hints[label].kept and chances[label] < KEEP})
        told = {label: hints[label] for label in likeliest.values()
                if (label in alone or chances[label] >= self._least(talk, label, hints[label], utterance.readings[hints[label].at]) or approved and hints[label].kept and has_verb(utterance.readings[hints[label].at].clause)) and self._holds(talk, utterance, hints[label], label)}
        told = _of_one_sighting(utterance, self._of_one_thing(talk, utterance, told, chances))
        return self._standing.told(talk, utterance._replace(readings=tuple(_not_all(
            _with(reading, {label for label, hint in told.items() if hint.at == at}, hints.keys() - told.keys())
            for at, reading in enumerate(utterance.readings)))))

    def _told_alone(self, talk: Talk, utterance: Utterance, doubted: Mapping[str, Hint]) -> set[str]:
        """Of what clauses seem to tell of things that they name, what each would tell by itself: what stands beside makes it no less likely."""
        found: set[str] = set()
        if len(utterance.readings) < 2 or any(reading.kind == "what_if" for reading in utterance.readings):
            return found
        for label, hint in doubted.items():
            fact, clause = label.partition("=")[0], utterance.readings[hint.at].clause
            asked = label.endswith("=true") and utterance.readings[hint.at].kind == "report" and any(reading.kind == "question" for reading in utterance.readings)
            names = self._begins(label) or fact in self._reader.naming.facts_named(clause)
            if fact in SIGHTED and (label.endswith("=false") or self._reader.words.corrects(utterance.text)) or not names and not asked:
                continue
            again = self._hinting.hints(talk, self._reader.read(clause, Lent(talk.known, talk.subject))).get(label)
            if again and again.kept and likely(again.clues, self._reader.matcher.tells) >= (_ALONE if names else _PLAINLY):
                found.add(label)
        return found

    def hints(self, talk: Talk, utterance: Utterance) -> Mapping[str, Hint]:
        """`fact=value` → what speaks for the utterance telling it."""
        return self._hinting.hints(talk, utterance)

    def _of_one_thing(self, talk: Talk, utterance: Utterance, told: Mapping[str, Hint], chances: Mapping[str, float]) -> dict[str, Hint]:
        """Without what a clause would tell of a second thing that it does not name: `switched it on` is of one, of that which is spoken of if any."""
        kept = dict(told)
        for at in {hint.at for hint in told.values()}:
            named = self._reader.naming.facts_about(utterance.readings[at].clause)
            spoken_of = self._spoken_of(talk, utterance, at)
            things = {label: fact for label, hint in told.items() for fact in (label.partition("=")[0],)
                      if hint.at == at and fact not in named and (points_back(utterance.readings[at].clause) and self._knowledge.facts[fact].thing
                                                                  or says_over(utterance.readings[at].clause))}
            best = max(things, key=lambda label: (things[label] in spoken_of, chances[label]), default="")
            kept = {label: hint for label, hint in kept.items() if label not in things or label == best}
            said = self._knowledge.facts[things[best]].said_of_thing if best else ""
            alike = next((fact for fact in spoken_of if said and self._knowledge.facts[fact].said_of_thing == said), "")
            if alike:  # `switched it on`, of the beacon or the transponder, whichever is spoken of
                kept[alike + best[len(things[best]):]] = kept.pop(best)
        return kept

    def _spoken_of(self, talk: Talk, utterance: Utterance, at: int) -> Collection[str]:
        """The facts of what `it` is in a clause: the thing named last in the clauses before it, else what the talk is about."""
        named = ([fact for fact in self._reader.naming.facts_about(reading.clause) if self._knowledge.facts[fact].thing] for reading in reversed(utterance.readings[:at]))
        return next((facts for facts in named if facts), self._knowledge.facts_about.get(talk.subject or "", ()))

    def _least(self, talk: Talk, label: str, hint: Hint, reading: Reading) -> float:
        """How likely the fact must be told."""
        told = fact_of(label)
        if not hint.kept and talk.known.get(told.fact) is (not told.value) and talk.subject in self._knowledge.facts[told.fact].topics.values():
            return URGENT if self._begins(label) else _NEWS
        if hint.kept and hint.clues.get("kept: sure") and told.value and told.fact in self._knowledge.language.words.get("told_if_sure", ()):
            return _SURE
        return KEEP if hint.kept else URGENT if self._begins(label) and reading.kind == "report" else ADD

    def _speaks_of_another_thing(self, talk: Talk) -> bool:
        """Whether the talk is about a thing that something may be said of, and not about the vessel."""
        spoken_of = self._knowledge.facts_about.get(talk.subject or "", ())
        return VESSEL not in spoken_of and any(self._knowledge.facts[fact].thing for fact in spoken_of)

    def _begins(self, label: str) -> bool:
        """Whether a fact is that an emergency or a sighting has begun."""
        fact, _, value = label.partition("=")
        return value == "true" and self._knowledge.is_alarm(fact)

    def _clause_that_told(self, fact: str, talk: Talk) -> str:
        """The part of what the crew said that tells a yes/no fact most plainly."""
        return max(parted(talk.said.get(fact, "")), key=lambda part: self._reader.sounds(part, fact), default="")

    def _holds(self, talk: Talk, utterance: Utterance, hint: Hint, label: str) -> bool:
        """Whether nothing forbids what a clause is likely to tell: that something is over which it does not name and nobody told of
        (`it has stopped`), and what a clause only seems to tell."""
        told, clause = fact_of(label), utterance.readings[hint.at].clause
        if told.value is False and talk.known.get(told.fact) is not True and says_over(clause):
            return False
        if not hint.kept and hint.clues.get("new: denied") and hint.clues.get("new: says", 0.0) < 0.0 and not (told.value and told.fact in self._knowledge.language.words.get("told_by_denial", ())):
            return False  # what is denied is never told as its opposite: `we are not seasick`
        item = self._knowledge.equipment.get(talk.subject or "")
        if item is not None and item.amount and says_it(clause) and self._knowledge.facts[told.fact].thing and not self._knowledge.is_alarm(told.fact) and told.fact not in (
                *self._knowledge.facts_about.get(talk.subject or "", ()), *self._reader.naming.facts_named(clause)):
            return False  # `lit a hand flare`, `it's out`: not the drogue
        if told.fact == VESSEL and told.value is False and says_it(clause) and VESSEL not in self._reader.naming.facts_named(utterance.text) and self._speaks_of_another_thing(talk):
            return False  # the floor `went down`, not the vessel
        if told.value is False and told.fact.startswith(OF_SOMEBODY) and of_another(clause, talk.said.get(told.fact, ""), self._reader.matcher.may_be_name):
            return False  # `Tom is bleeding`, `I am not`
        several = told.fact in self._knowledge.language.words.get("may_be_several", ()) and talk.known.get(told.fact) is (not told.value)
        if several and told.value is not (told.fact.startswith(OF_SOMEBODY) or self._knowledge.is_alarm(told.fact)) and of_one_of_several(utterance.text, self._clause_that_told(told.fact, talk)):
            return False  # `two are bleeding`, `one is bandaged`
        return hint.kept or self._reader.after_all(told, clause, utterance.text, talk.known)


def _of_one_sighting(utterance: Utterance, told: Mapping[str, Hint]) -> dict[str, Hint]:
    """Without a second sighting that is only more of the first: `a chopper! I see its lights`."""
    seen = sorted((label for fact in SIGHTED if (label := f"{fact}=true") in told), key=lambda label: told[label].at)
    more = len(seen) == 2 and told[seen[0]].at < told[seen[1]].at and points_back(utterance.readings[told[seen[1]].at].clause)
    return {label: hint for label, hint in told.items() if not (more and label == seen[1])}


def _standing(hint: Hint, chance: float) -> tuple[bool, int, float]:
    """What two values of one fact are chosen between by: of what clauses tell the later stands, `the plane's gone, but there's another`."""
    return (True, hint.at, chance) if hint.kept and chance >= KEEP else (False, 0, chance)


def _follows(reading: Reading, label: str) -> bool:
    """Whether a fact follows from a number that is told with it: with people missing not all are here."""
    return label == "all_accounted=false" and any(told.fact == "persons_missing" and told.value for told in reading.told)


def _not_all(readings: Iterable[Reading]) -> list[Reading]:
    """Where people are said to be missing not all are here, whatever else seems to be told: `counted everyone twice, two are missing`."""
    kept = list(readings)
    if not any(map(_tells_missing, kept)):
        return kept
    lacking, all_here = Told("all_accounted", False, "set"), Told("all_accounted", True, "set")
    return [reading._replace(told=(*(told for told in reading.told if told not in (all_here, lacking)), *([lacking] if _tells_missing(reading) else [])))
            if reading.kind == "report" else reading for reading in kept]


def _tells_missing(reading: Reading) -> bool:
    return reading.kind == "report" and any(told.fact == "persons_missing" and told.value for told in reading.told)


def _with(reading: Reading, told: Collection[str], untold: Collection[str]) -> Reading:
    """A reading with these facts and without those. What sounded like an order or a plan tells no more than that: its numbers are none that are there."""
    kept = reading._replace(told=tuple(each for each in reading.told if label_of(each) not in untold and not (told and reading.kind == "command")))
    more = tuple(fact_of(label) for label in sorted(told) if fact_of(label) not in kept.told)
    return kept._replace(kind="report", told=(*kept.told, *more)) if more else kept
