"""What is counted without being named: `we burned two of them`, after the flares were counted."""
from __future__ import annotations

import re
from collections.abc import Sequence

from guide.knowledge.base import Knowledge
from guide.language.facts import Told
from guide.language.reading import Reader
from guide.language.utterances import Utterance, told_in
from guide.language.wording import LONGEST, regular
from guide.patterns import pattern
from guide.state.facts import Event, State
from guide.turn import Turn

_ONE = pattern(r"\b(another|one more|(?:a|the) (?:second|third|next|last|other)) one\b|\b(one|another)(?=\s*(?:$|[.,;!]| (?:already|now|so far|off|up|at|on|left)\b))", re.IGNORECASE)
_SORT = pattern(r"\b(?:an?|the|this|that|each|every|some|my|our|his) (?!last|second|third|next|other|first|final|only|single)\w+ $", re.IGNORECASE)
"""Before `one`: it is one of a sort, `a hand one`, not one of what was counted last."""
_SOME = pattern(r"\b(two|three|four|five|six|both|[2-9])(?=\s*(?:$|[.,;!]| (?:already|now|so far|more|left)\b))", re.IGNORECASE)
_THEM = pattern(r"\bof (?:them|those|these|'?em)\b", re.IGNORECASE)
_OF_IT = pattern(r"\bof (?:it|that|this)\b", re.IGNORECASE)
_RUNS_OUT = pattern(r"\bit(?= (?:all )?(?:(?:runs?|ran|were to|is to|gets|goes) )?(?:all |clean |completely |altogether )*(?:out|gone|be all spilt|be spilt|all spilt|spilt|finished|used up|empty)\b)", re.IGNORECASE)
_IT = pattern(r"\bit\b")
_LEFT = pattern(r"(?:^|(?<=[.;,!] ))((?:(?:so|now|that leaves|that makes|which leaves|leaving|leaves|only|just|and|about|down to) )*(?:\d+(?:\.\d+)?|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve)(?: and a half)?)"
                r"(?= (?:left|to go|remaining|remain)\b(?! (?:in|aboard|of|here|on|with|inside|behind)\b))", re.IGNORECASE)
"""So many are left, and not of what."""
_SHARES = {"half": 0.5, "third": 1 / 3, "quarter": 0.25}
_PART = pattern(r"\b((?:one |a )?(?:half|third|quarter)) (?:of )?(?:the |our |my |this |that )((?:drinking |fresh )?[a-z]+(?: flares?| rockets?| smokes?| bags?)?)\b", re.IGNORECASE)
_OF_PEOPLE = ("someone_", "person_in_water")
_BOTH_DO = pattern(r"^(?:(?:and|now|ok|yes) )*(?:(?:both|all two|all three|all four)(?: of them)?(?! of us)(?: men| people| lads)?|they both|they are both(?= \w)|the two|the (?:two|three) men) ?(are|were|have|got|climbed|swam|came|)(?= )")
_OF_ONE = {"are": "is", "were": "is", "have": "has", "got": "got", "climbed": "climbed", "swam": "swam", "came": "came", "": "is"}
_GOT_BOTH = pattern(r"^((?:(?:and|now|ok|yes|we|i) )*(?:have |have got )?(?:got|pulled|hauled|dragged|lifted|bandaged|dressed|warmed)) (?:them both|both of them|both|all of them|all three)\b")
_PORTION = "portion_"
_SHORT = 10
"""Words of a sentence that may leave out what it counts."""
RECENT = 4
"""Turns after which nobody says `them` of a thing any more."""


class Referring:
    """Finds what is counted without being named. Holds no state of a conversation."""

    def __init__(self, knowledge: Knowledge, reader: Reader) -> None:
        self._knowledge, self._reader = knowledge, reader
        amounts = {item.amount for item in knowledge.equipment.values()}
        self._counted = frozenset(fact.id for fact in knowledge.facts.values() if fact.type == "int" and fact.id in amounts)
        """Facts that count items, of which a sentence that does not name the thing may be about one as well as another."""
        self._portions = {name.removeprefix(_PORTION): words[0] for name, words in knowledge.language.words.items() if name.startswith(_PORTION)}
        """Facts that are measured, and what `them` is of them: the containers that were counted."""
        self._amounts = self._counted.union(self._portions)

    def recent(self, events: Sequence[Event], state: State, last: Turn | None, topic: str | None) -> str | None:
        """The fact that counts the thing spoken of last: what the turn before counted or named, the item that the talk is about, what was
        counted lately, or the only one known."""
        said = [told.fact for told in told_in(last.readings) if told.fact in self._amounts] if last else []
        named = [fact for fact in self._counted if last and self._reader.words.names(fact, last.text)]
        if said or len(named) == 1:
            return said[-1] if said else named[0]  # `tried a hand flare and it won't light`
        item = self._knowledge.equipment.get(topic or "")
        if item is not None and item.amount in self._counted:
            return item.amount
        now = events[-1].turn if events else 0
        for event in reversed(events):
            if event.turn < now - RECENT:
                break
            if event.kind == "fact" and event.by == "crew" and event.name in self._amounts:
                return event.name
        known = [fact for fact in self._counted if state.value(fact) is not None]
        return known[0] if len(known) == 1 else None

    def done_with(self, text: str, state: State) -> str | None:
        """Of the things whose number is known, the one that is treated as a text says: `fired one`, of rockets and hand flares."""
        fitting = [fact for fact in sorted(self._counted) if state.value(fact) and self._reader.words.does(fact, text)]
        return fitting[0] if len(fitting) == 1 else None

    def counted_item(self, turn: Turn) -> str | None:
        """The item that a turn counted, where that is a topic and the turn was about no more than its count."""
        facts = {told.fact for told in told_in(turn.readings) if told.fact in self._counted}
        items = [item.id for item in self._knowledge.equipment.values() if item.amount in facts and item.id in self._knowledge.topics]
        about = {self._knowledge.facts[fact].topic(turn.state.get(fact)) for fact in facts}
        return items[0] if len(items) == 1 and turn.topic in about else None

    def named(self, text: str, fact: str | None) -> str:
        """A short text about using or having some, with the thing counted last in the place of `one`, `them` and `of it`, where it
        names no other: `fired another one`."""
        if fact is None or not self._reader.uses(text, _SHORT) or any(self._reader.words.names(other, text) for other in self._amounts):
            return text
        if fact not in self._portions and self._reader.amounts.measures(text):
            return text  # `drank a litre, then another`
        nouns = self._knowledge.language.words[f"noun_{fact}"]
        if fact in self._portions:
            return _THEM.sub(f"of the {self._portions[fact]}", _RUNS_OUT.sub(f"the {nouns[0]}", _OF_IT.sub(f"of {nouns[0]}", text)))
        one, several = (next(noun for noun in nouns if noun.endswith("s") == many) for many in (False, True))
        said = _THEM.sub(f"of the {several}", text)
        said = _ONE.sub(lambda m: m[0] if _SORT.search(said, 0, m.start()) else f"{m[1] or m[2]} {one}", said)
        return said if regular(said).endswith(" too") else _SOME.sub(rf"\1 {several}", said)  # `got a torch 2`

    def measured(self, text: str, events: Sequence[Event]) -> str:
        """A short text about using or having some, with the holders that were counted before as what is in them: `two of the bottles`."""
        if not self._reader.uses(text, _SHORT):
            return text
        for event in reversed(events):
            held = self._reader.amounts.holders.held(event.text, event.name) if event.kind == "fact" and event.name in self._portions else None
            if held:
                unit = self._knowledge.facts[event.name].unit
                return self._reader.amounts.holders.measured(text, *held, f"{unit} {self._knowledge.language.words[f'noun_{event.name}'][0]}")
        return text

    def left_of_water(self, text: str, last: Turn | None) -> str:
        """A text that says how many are left, behind one, or words of its own, in which water was counted in litres: `drank a litre`, `seven left`."""
        found = _LEFT.search(text)
        before = (text[:found.start()].strip() or (last.text if last else "")) if found else ""
        if found is None or not self._reader.words.in_litres(before) or any(self._reader.words.names(fact, before) for fact in self._counted):
            return text
        return f"{text[:found.end()]} litres of water{text[found.end():]}"

    def as_one(self, text: str, state: State) -> str:
        """A text that tells of both, or all, of those of whom something goes on, as one tells it of one: `both are bandaged` as `he is bandaged`."""
        several = self._knowledge.language.words.get("may_be_several", ())
        if not any(fact.startswith(_OF_PEOPLE) and state.value(fact) is True for fact in several):
            return text
        said = regular(text)
        return _BOTH_DO.sub(lambda found: f"he {_OF_ONE[found[1]]}", said) if _BOTH_DO.match(said) else _GOT_BOTH.sub(r"\1 him", said) if _GOT_BOTH.match(said) else text

    def in_parts(self, text: str, state: State) -> str:
        """A text with a part of what is known as an amount: `half the water is gone` as `4.5 litres of water is gone`."""
        found = _PART.search(text) if any(share in text.lower() for share in _SHARES) else None
        fact = next((fact for fact in sorted(self._amounts) if found and self._reader.words.names(fact, found[2])), "")
        known = state.value(fact) if fact else None
        if not found or not isinstance(known, (int, float)) or isinstance(known, bool):
            return text
        amount, unit = known * _SHARES[found[1].lower().split()[-1]], self._knowledge.facts[fact].unit if fact in self._portions else ""
        if fact in self._counted and not float(amount).is_integer():
            return text
        return f"{text[:found.start()]}{amount:g} {f'{unit} of ' if unit else ''}{found[2]}{text[found.end():]}"

    def of_the_thing_counted_last(self, utterance: Utterance, recent: str | None) -> Utterance:
        """The utterance with what it counts without naming it as the thing counted last; where it tells of no use, nothing is counted:
        `another plane`."""
        if self._reader.words.corrects(utterance.text):
            return utterance

        named = [fact for fact in self._counted if self._reader.words.names(fact, utterance.text)]
        stored = any(self._reader.words.names(fact, utterance.text) for fact in self._portions)
        thing = named[0] if len(named) == 1 else recent  # `both smokes are gone, none left`

        def meant(told: Told, clause: str) -> Told | None:
            if told.fact not in self._counted or named and told.fact == thing or self._reader.words.names(told.fact, utterance.text):
                return told
            if stored and not named:
                return None  # `knocked over a litre of water, that leaves nine` are no rockets
            if told.fact == thing:
                return told
            if thing in self._counted and self._reader.uses(clause, LONGEST):
                return told._replace(fact=thing)
            return None if told.value == 0 or told.value == 1 and told.how != "set" else told  # `none left behind`, `another plane`

        readings = (reading._replace(told=tuple(filter(None, (meant(told, reading.clause) for told in reading.told)))) for reading in utterance.readings)
        return utterance._replace(readings=tuple(readings))


def supposes_of_it(utterance: Utterance) -> bool:
    """Whether an utterance only supposes something, of `it`: `what if it tears off`."""
    return bool(utterance.readings) and all(reading.kind == "what_if" for reading in utterance.readings) and bool(_IT.search(regular(utterance.text)))
