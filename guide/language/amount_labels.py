"""The learned labels of amounts: a fact, how it is told (set, used, found), and a value where no number in the clause says it."""
from __future__ import annotations

from collections.abc import Collection, Mapping
from functools import cache

from guide.language.beside import Amount
from guide.language.mentions import Mention

NOT_SAID = "?"
"""Stands in a phrase of the bank for an amount that the sentence does not tell: `we fired some rockets`."""


def label(fact: str, how: str, value: str = "") -> str:
    """The learned label of an amount; with a value where no number in the clause says it."""
    return f"{fact}|{how}|{value}" if value else f"{fact}|{how}"


@cache
def parts(named: str) -> tuple[str, str, str]:
    """Fact, how and value of a learned label, of which there are some fifty."""
    fact, _, rest = named.partition("|")
    how, _, value = rest.partition("|")
    return fact, how, value


def amount_of(named: str, target: Mention | None) -> Amount | None:
    """What a label says of a quantity, or of the clause as a whole; None where the quantity cannot be that."""
    fact, how, value = parts(named)
    if not how or bool(value) != (target is None):
        return None
    if target is None:
        return Amount(fact, None if value == NOT_SAID else float(value), how, again=True)
    return Amount(fact, round(target.values[fact], 4), how) if fact in target.values else None


def done_with(evidence: Mapping[str, float], done: str, facts: Collection[str] | None = None) -> dict[str, float]:
    """Evidence where having so much, of these facts or any, is having found or used it: `two more gallons`, `drank two bottles of 1 litre`."""
    found: dict[str, float] = {}
    for name, value in evidence.items():
        fact, how, words = parts(name)
        if done == "used" and how == "found" and (facts is None or fact in facts):
            continue  # `fired another`
        if how != "set" or not words:
            name = label(fact, done) if how == "set" and (facts is None or fact in facts) else name
            found[name] = max(value, found.get(name, value))
    return found
