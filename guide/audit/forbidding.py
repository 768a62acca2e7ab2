"""Advice that nothing may give: the deeds of the profile, looked for in every text that a crew can be shown."""
from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from guide.audit.case import Case
from guide.audit.findings import Found
from guide.audit.profile import Forbidden
from guide.knowledge.base import Knowledge
from guide.knowledge.problems import Place

_SENTENCE = re.compile(r"(?<=[.!;])\s+")
"""A question stays with what follows it: "No water left? Eat the ration" is one piece of advice."""
_REFUSED = re.compile(r"\b(?:no|not|never|nobody|nothing|none|neither|nor|cannot|don't|without|instead of|rather than|stop|stops|"
                      r"refuse|forbid|forbids|forbidden|tales|too little to|before you)\b", re.IGNORECASE)
_REFUSED_AFTER = re.compile(r"^ (?:nothing|no|neither)\b|^[^.;:?]*(?:\?\s*(?:no|never|not|do not|don't)\b|\b(?:is|are) (?:never|not|forbidden)\b)",
                            re.IGNORECASE)
"""`Eat nothing.` `Drink the sea? Never.`"""
_HEADED = re.compile(r"\b(never|no|do not):", re.IGNORECASE)
"""`Never: alcohol, smoking` denies all that follows."""
_CIRCUMSTANCE = re.compile(r"\b(?:if|when|once|while|where|after|as|since|though|with|without|should|unless)\b[^,:;?]*,", re.IGNORECASE)
"""What a comma cuts off at the front of an order: a "not" in there denies the circumstance and not the deed."""
_TURN = re.compile(r"[:?]|\b(?:but|then|so|instead|anyway|all the same)\b|, and\b", re.IGNORECASE)
"""Where a denial ends."""
_GAP = 8
"""Words that may stand between a deed and its object."""
_APART = re.compile(r"[:;?]")


class Text(NamedTuple):
    """A text that users see, with the node that it belongs to."""

    node: str
    place: Place
    words: str


def forbidden_advice(case: Case) -> Iterator[Found]:
    """A text that advises what the profile forbids."""
    for text in texts(case.knowledge):
        for rule in case.profile.forbidden:
            advised = advice(rule, text.words)
            if advised:
                yield Found(text.node, text.place, f'{text.node} advises {rule.deed}: "{advised}"', text.words.replace('"', r'\"'))
                break


def texts(k: Knowledge) -> Iterator[Text]:
    """All that is told: steps with their reasons, cautions, items, packs, disputes, grab bags, substitutes, figures."""
    for step in k.steps.values():
        yield from (Text(f"step:{step.id}", step.place, words) for words in (step.say, step.why))
    for caution in k.cautions.values():
        yield Text(f"caution:{caution.id}", caution.place, caution.say)
    for item in k.equipment.values():
        yield from (Text(f"item:{item.id}", item.place, words)
                    for words in (item.what, item.where, item.use, *(other.how for other in item.stands_in)))
    for pack in k.packs.values():
        yield from (Text(f"pack:{pack.id}", pack.place, words) for words in (pack.lacks, *(line.note for line in pack.items.values())))
    for dispute in k.disputes.values():
        yield from (Text(f"dispute:{dispute.id}", dispute.place, words)
                    for words in (*(side.says for side in dispute.positions), dispute.because, dispute.care))
    for substitute in k.stores.substitutes.values():
        yield Text(f"item:{substitute.id}", substitute.place, substitute.says)
    for bagged in k.stores.bag.values():
        yield Text(f"item:{bagged.id}", bagged.place, bagged.why)
    for figure in k.computed:
        yield from (Text(f"figure:{figure.id}", figure.place, words) for words in (figure.says, figure.follows))


def advice(rule: Forbidden, text: str) -> str:
    """The words of a text in which it advises what the rule forbids; nothing where it does not."""
    for sentence in _SENTENCE.split(text):
        given = _any(rule.given).search(sentence) if rule.given else True
        if given and not (rule.spares and _any(rule.spares).search(sentence)):
            advised = _deed(rule, sentence)
            if advised:
                return advised
    return ""


def _deed(rule: Forbidden, sentence: str) -> str:
    """The first deed of the rule in a sentence that nothing in the sentence denies."""
    hidden = _any(rule.given).sub(lambda match: "_" * len(match[0]), sentence) if rule.given else sentence
    hidden = _HEADED.sub(r"\1 ", hidden)
    for start, end, inner in _meetings(rule, sentence):
        before = _TURN.split(_CIRCUMSTANCE.sub(" ", hidden[:start]))[-1]
        if not any((_REFUSED.search(before), _REFUSED.search(hidden[inner]), _REFUSED_AFTER.match(hidden[end:]))):
            return sentence[start:end]
    return ""


def _meetings(rule: Forbidden, sentence: str) -> Iterator[tuple[int, int, slice]]:
    """Where a deed and its object stand close to each other, in either order: start, end, and what is between them."""
    objects = [match.span() for match in _any(rule.of).finditer(sentence)] if rule.of else []
    for deed in (match.span() for match in _any(rule.do).finditer(sentence)):
        if not rule.of:
            yield *deed, slice(deed[1], deed[1])
        for first, second in (sorted((deed, thing)) for thing in objects):
            between = sentence[first[1]:second[0]]
            if first[1] <= second[0] and len(between.split()) <= _GAP and not _APART.search(between):
                yield first[0], second[1], slice(first[1], second[0])


def _any(phrases: Sequence[str]) -> re.Pattern[str]:
    return re.compile(rf"\b(?:{_alternatives(phrases)})\b", re.IGNORECASE)


def _alternatives(phrases: Sequence[str]) -> str:
    return "|".join(phrases)
