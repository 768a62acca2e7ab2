"""A fact's value as a person types it on the command line or in a vessel's own file."""
from __future__ import annotations

import math

from guide.knowledge.base import Knowledge
from guide.knowledge.problems import Problem
from guide.knowledge.records import Fact, Value

_YES = frozenset(("true", "yes", "y", "1"))
_NO = frozenset(("false", "no", "n", "0"))


class ValueProblem(ValueError):
    """One line: the fact and what is allowed."""


def allowed(fact: Fact) -> str:
    """What a fact can be, in words."""
    if fact.type == "bool":
        return "true or false"
    if fact.type == "enum":
        return "one of " + ", ".join(fact.values)
    noun = "a whole number" if fact.type == "int" else "a number"
    return f"{noun} of {fact.unit} from {fact.low:g} to {fact.high:g}"


def fits(fact: Fact, value: object) -> bool:
    """Whether a value is one that the fact can have; None, which is unknown, always is."""
    if value is None or fact.type in ("bool", "enum"):
        return value is None or (isinstance(value, bool) if fact.type == "bool" else value in fact.values)
    if not isinstance(value, (int, float)) or isinstance(value, bool):
        return False
    return fact.low <= value <= fact.high and (fact.type != "int" or float(value).is_integer())


def read_value(fact: Fact, text: str) -> Value:
    """The value, or ValueProblem naming the fact and what is allowed."""
    wrong = ValueProblem(f'{fact.id} is {allowed(fact)}, not "{text}"')
    if fact.type == "bool":
        if text.lower() in _YES | _NO:
            return text.lower() in _YES
        raise wrong
    if fact.type == "enum":
        if text in fact.values:
            return text
        raise wrong
    try:
        number = float(text)
    except ValueError:
        raise wrong from None
    if not math.isfinite(number) or not fact.low <= number <= fact.high or fact.type == "int" and not number.is_integer():
        raise wrong
    return int(number) if fact.type == "int" else number


def wrong_values(knowledge: Knowledge) -> list[Problem]:
    """What a vessel's overlay gives that its fact cannot have. A fact that does not exist is noted when the overlay is read."""
    given, places, problems = knowledge.overlay.given, knowledge.overlay.places, []
    for name in given.keys() & knowledge.facts.keys():
        try:
            read_value(knowledge.facts[name], given[name])
        except ValueProblem as error:
            problems.append(Problem(places[name], "error", "K062", str(error)))
    return sorted(problems)
