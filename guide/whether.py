"""Whether something is so, as a crew asks it: which fact that is, and what it is asked back, that `yes` or `no` then tells."""
from __future__ import annotations

import re
from collections.abc import Collection
from typing import NamedTuple

from guide.knowledge.base import Knowledge
from guide.language.clauses import asking_word, has_verb, lead_off
from guide.language.reading import Reader
from guide.language.utterances import Utterance
from guide.language.wording import regular
from guide.patterns import pattern

_ASKS = pattern(r"^(?:(?:and|but|so|ok|okay|right|then|well|hey|sir|skipper|boss|wait|are you sure|is it true(?: that)?)[, ]+)*(?:is|are|has|have|did|do we have|does) (?:not )?\w")
"""A question for yes or no about how things are."""
_ADVICE = pattern(r"\b(?:safe|ok|okay|alright|right|wise|sensible|good|bad|best|better|worth|possible|normal|allowed|necessary|needed|important|true|late|soon|time|enough|supposed|"
                  r"meant|to|if|when|while|because|before|after|unless|without|instead|or (?!not\b)|any (?:use|point|good|danger|risk)|there|else|other|another|more)\b")
"""Words of a question for advice, or about a case."""
_THERE_IS = pattern(r"^(?:is|are) there (?:a|an|any|still (?:a|any)?) ?(?=\w)")
_IN_SHORT = pattern(r"^(?:the |our |all )?(?!how\b|what\b|who\b|why\b|when\b|where\b|which\b|and\b|or\b|with\b|a\b|an\b|one\b|any\b)\w+ (?:out|on|off|up|set|streamed|closed|shut|open|pumped|sent|posted|taken|plugged|cut|dry|firm|hard|named|aboard|in)$")
"""A question for yes or no in two or three words: `drogue out?`, `the canopy closed?`"""
_ANYONE = pattern(r"^any ?(?:one|body) (?!else\b|got\b|know|seen?\b|want|need|have\b|has\b)(?:in the (?:water|sea)|\w+)$")
"""The same of people: `anyone seasick?`"""
_ANY = pattern(r"\bany(?= ?(?:one|body)\b)")
"""`is anyone bleeding` asks whether somebody is: `anyone` by itself is heard in denials."""
_SOUNDS, _LEAD = -0.15, 0.5
"""Evidence that such a question must have for telling a fact, were it a statement, and its lead over every other fact."""
_DOES = pattern(r"^did (?:you|we|i|he|she|they|someone|somebody|anyone|anybody) (?:send|take|give|post|read|make|do)\b", re.IGNORECASE)
"""Asks whether something was done: `did you send a mayday`."""
_AND_NEXT = pattern(r"^and (?:what about |how about )?(?:the |our |a |an )?|^(?:what|how) about (?:the |our )?")
"""Asks for the next thing of a roll call: `and the beacon`."""
_SAYS_SO = pattern(r"\b(?:is|are|was|were|am|has|have|had|did|does|do|will|can|we|i|he|she|they|it|too|also|not|no|another|more|one|two|three|\d+)\b")
_NAMED = 4
"""Words of the next thing of a roll call, at most."""


class Whether(NamedTuple):
    """A fact that is asked about, and the value that `yes` would give it."""

    fact: str
    value: bool


def asked_whether(utterance: Utterance, knowledge: Knowledge, reader: Reader) -> Whether | None:
    """The yes/no fact that an utterance asks after; None where it asks anything else, or says more."""
    if len(utterance.readings) != 1 or utterance.readings[0].kind != "question":
        return None
    text = lead_off(utterance.readings[0].clause).rstrip(" ?!.")
    if utterance.text.rstrip().endswith("?") and len(text.split()) <= _NAMED and not has_verb(text) and reader.naming.is_name(text):
        return next_asked(f"and the {text}", reader.naming.facts_about(text), knowledge, reader)  # `drogue?`
    if not (_ASKS.match(text) or _IN_SHORT.match(text) or _ANYONE.match(text)) or _ADVICE.search(_THERE_IS.sub("", text)) or asking_word(text):
        return None
    text = _ANY.sub("some", text)
    ranked = sorted(((value, label) for label, value in reader.matcher.evidence("facts", text).items()), reverse=True)
    fact, _, value = ranked[0][1].partition("=") if ranked else ("", "", "")
    rival = next((other for other, label in ranked if label.partition("=")[0] != fact), -1.0)
    if fact not in knowledge.facts or knowledge.facts[fact].type != "bool" or ranked[0][0] < _SOUNDS or ranked[0][0] - rival < _LEAD:
        return None
    return Whether(fact, value == "true" or _DOES.match(text) is not None)


def next_asked(text: str, facts: Collection[str], knowledge: Knowledge, reader: Reader) -> Whether | None:
    """The next fact of a roll call: `is the drogue out`, `yes`, `and the beacon`; None where a text says more. `facts`: those whose thing it names."""
    said = regular(text).rstrip(" ?!.")
    name = _AND_NEXT.sub("", said)
    if name == said and not (len(said.split()) == 1 or reader.naming.is_name(said)) or len(name.split()) > _NAMED or _SAYS_SO.search(name):
        return None
    done = {fact for step in knowledge.steps.values() for fact in step.sets}
    asked = [fact for fact in sorted(facts, key=lambda fact: (fact not in done, fact)) if knowledge.facts[fact].type == "bool" and knowledge.facts[fact].thing]  # what is done before what befalls
    likeliest = reader.likeliest(name)
    fact = likeliest if not asked and reader.sounds(name, likeliest) >= _SOUNDS else asked[0] if asked else ""
    return Whether(fact, True) if fact in knowledge.facts and knowledge.facts[fact].type == "bool" else None


def asked_back(whether: Whether, knowledge: Knowledge, value: object) -> tuple[Whether, str]:
    """What to ask back, and its words: whether what was told of the fact is still so; where nothing was told, whether it is so."""
    says = knowledge.facts[whether.fact].says
    if isinstance(value, bool):
        return whether._replace(value=value), f"As told: {says[str(value).lower()]}. Is that still so, yes or no?"
    return whether, f"Nobody has told me yet that {says[str(whether.value).lower()]}. Is it so, yes or no?"
