"""Checks of what users read: how long and hard a sentence is, whether a number has its unit, whether a danger is named."""
from __future__ import annotations

import re
from collections.abc import Iterator

from guide.audit.case import Case
from guide.audit.findings import Found
from guide.audit.profile import Hazard
from guide.knowledge.problems import Place
from guide.knowledge.records import Step

_SENTENCE = re.compile(r"(?<=[.!?])\s+(?=[A-Z0-9\"'])")
_WORD = re.compile(r"[A-Za-z][A-Za-z'-]*")
_VOWELS = re.compile(r"[aeiouy]+")
_BARE = re.compile(r"(?<![\w.,/-])(\d+(?:[.,]\d+)*)(?: or (?:more|less|fewer))?"
                   r"(?=\s*(?:[.;:!?](?:\s|$)|$)|\s+(?:then|but|if|when|while|before|after|until|so|and(?! \d))\b)")
"""A number at the end of a sentence or before a joining word: nothing after it says of what."""
_CALLED = re.compile(r"\b(?:channel|regulation|cfr|number|step|day|part|chapter|class|pack|mode|code|grade|force|page)\s*$", re.IGNORECASE)
"""Words before a number that say what it is."""
_FIELD = {"step": "say:", "caution": "say:", "item": "use:"}
"""The field of a record that its users read."""
_FEWEST = 10
"""Words below which a measure of reading ease tells nothing."""


def _said(case: Case) -> Iterator[tuple[str, Place, str]]:
    """Every sentence to be acted on, with its node and place."""
    k = case.knowledge
    yield from ((f"step:{s.id}", s.place, s.say) for s in k.steps.values())
    yield from ((f"caution:{c.id}", c.place, c.say) for c in k.cautions.values())
    yield from ((f"item:{i.id}", i.place, i.use) for i in k.equipment.values())


def too_long(case: Case) -> Iterator[Found]:
    """A text, or one sentence of it, that is longer than the profile allows."""
    characters, words = case.profile.limits["say_characters"], case.profile.limits["sentence_words_long"]
    for node, place, text in _said(case):
        longest = max((len(_WORD.findall(sentence)) for sentence in _SENTENCE.split(text)), default=0)
        if len(text) > characters:
            yield Found(node, place, f"{node} is {len(text)} characters long, over {characters:g}", _FIELD[node.partition(":")[0]])
        elif longest > words:
            yield Found(node, place, f"a sentence of {node} has {longest} words, over {words:g}", _FIELD[node.partition(":")[0]])


def hard_to_read(case: Case) -> Iterator[Found]:
    """A text below the profile's reading ease (Flesch, 1948: 100 very easy, 60 plain, 30 hard)."""
    least = case.profile.limits["reading_ease"]
    for node, place, text in _said(case):
        ease = reading_ease(text)
        if ease < least:
            yield Found(node, place, f"{node} reads hard: {ease:.0f}, below {least:g}", _FIELD[node.partition(":")[0]])


def reading_ease(text: str) -> float:
    """206.835 - 1.015 words a sentence - 84.6 syllables a word (Flesch 1948). Clauses between semicolons or colons count
    as sentences; amounts in brackets and figures are left out. Syllables are counted by their vowels."""
    plain = re.sub(r"\([^)]*\)", " ", text)
    parts = [words for part in re.split(r"[.!?;:]", plain) if (words := _WORD.findall(part))]
    words = [word for part in parts for word in part]
    if len(words) < _FEWEST:
        return 100.0
    return 206.835 - 1.015 * len(words) / len(parts) - 84.6 * sum(map(_syllables, words)) / len(words)


def _syllables(word: str) -> int:
    low = word.lower().rstrip("'s") if word.lower().endswith("'s") else word.lower()
    count = len(_VOWELS.findall(low))
    if low.endswith("e") and not low.endswith(("le", "ee", "ye")) and count > 1:
        count -= 1
    if low.endswith("ed") and not low.endswith(("ted", "ded")) and count > 1:
        count -= 1
    return max(1, count)


def unit_missing(case: Case) -> Iterator[Found]:
    """A number of which nothing says what it counts; an amount without a unit."""
    for node, place, text in _said(case):
        for match in _BARE.finditer(text):
            if not _CALLED.search(text[:match.start()]):
                yield Found(node, place, f'"{match[1]}" in {node} has no unit', _FIELD[node.partition(":")[0]])
                break
    for fact in case.knowledge.facts.values():
        if fact.type in ("int", "float") and not fact.unit:
            yield Found(f"fact:{fact.id}", fact.place, f"fact {fact.id} is an amount without a unit")
    for pack in case.knowledge.packs.values():
        for line in pack.items.values():
            if line.each and not line.unit and line.each != int(line.each):
                yield Found(f"pack:{pack.id}", pack.place, f"{line.item} of {pack.id} has {line.each:g} for each place and no unit")


def caution_missing(case: Case) -> Iterator[Found]:
    """A planned step of a class of hazards that shows none of that class's cautions."""
    k = case.knowledge
    for hazard in case.profile.hazards:
        for step in k.steps.values():
            if step.band != "note" and _in_class(step, hazard) and not set(step.cautions) & set(hazard.cautions):
                yield Found(f"step:{step.id}", step.place, f"step {step.id} is of the hazard class {hazard.id} and shows none of its cautions",
                            "cautions:" if step.cautions else "say:")


def _in_class(step: Step, hazard: Hazard) -> bool:
    words = any(re.search(rf"\b{word}\b", step.say, re.IGNORECASE) for word in hazard.words)
    if hazard.words and hazard.items:
        return words and bool({*step.needs, *step.uses} & set(hazard.items))
    return words or bool({*step.needs, *step.uses} & set(hazard.items))


def said_twice(case: Case) -> Iterator[Found]:
    """Two steps, or two cautions, that say the same in the same words."""
    seen: dict[tuple[str, str], str] = {}
    for node, place, text in _said(case):
        kind = node.partition(":")[0]
        first = seen.setdefault((kind, text), node)
        if first != node:
            yield Found(node, place, f"{node} says the same as {first}", _FIELD[node.partition(":")[0]])
