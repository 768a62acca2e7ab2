"""Which pack the waters call for: the United States rule for fishing vessels, and common practice beside it."""
from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from guide.knowledge.base import Knowledge
from guide.knowledge.records import WatersRule

FT_PER_M = 0.3048


@dataclass(frozen=True, slots=True)
class Waters:
    """Where a vessel goes; length and persons are None where nobody said."""

    miles: float
    """Nautical miles from the coastline."""
    water: str
    """cold or warm."""
    length_ft: float | None = None
    persons: int | None = None


@dataclass(frozen=True, slots=True)
class Called:
    """A rule that fits, and the conditions that are still to be checked."""

    rule: WatersRule
    unless_known: tuple[str, ...]

    @property
    def sure(self) -> bool:
        """Whether nothing is left to check."""
        return not self.unless_known


def called_for(knowledge: Knowledge, where: Waters, basis: str) -> list[Called]:
    """The first rule of a basis that fits for sure, behind those that would come first if what is unknown were so."""
    found = []
    for rule in knowledge.stores.waters.values():
        if rule.basis != basis or not _reaches(rule, where):
            continue
        open_questions = tuple(_open(rule, where))
        found.append(Called(rule, open_questions))
        if not open_questions:
            break
    return found


def _reaches(rule: WatersRule, where: Waters) -> bool:
    """Whether nothing that is known rules it out."""
    inside = rule.at_least <= where.miles <= rule.upto and rule.beyond < where.miles < rule.inside
    length_fits = where.length_ft is None or rule.length_from_ft <= where.length_ft < rule.length_below_ft
    few_enough = where.persons is None or where.persons <= rule.persons_upto
    return inside and rule.water in ("any", where.water) and length_fits and few_enough


def _open(rule: WatersRule, where: Waters) -> Iterator[str]:
    """The conditions of the rule that need a length or a number nobody gave."""
    if where.persons is None and rule.persons_upto < float("inf"):
        yield f"{rule.persons_upto:g} people or fewer are aboard"
    if where.length_ft is None and rule.length_from_ft > 0:
        yield f"the vessel is {_length(rule.length_from_ft)} or longer"
    if where.length_ft is None and rule.length_below_ft < float("inf"):
        yield f"the vessel is shorter than {_length(rule.length_below_ft)}"


def _length(feet: float) -> str:
    return f"{feet * FT_PER_M:.2f} m ({feet:g} ft)"


def as_json(knowledge: Knowledge, where: Waters) -> dict[str, object]:
    """Rule and practice as plain data."""
    def told(basis: str) -> list[dict[str, object]]:
        return [{"calls_for": c.rule.calls_for, "pack": c.rule.pack or None, "if": list(c.unless_known),
                 "sources": [knowledge.cite(s) for s in c.rule.sources]} for c in called_for(knowledge, where, basis)]
    return {"miles": where.miles, "water": where.water, "length_ft": where.length_ft, "persons": where.persons,
            "us_rules": told("us_rule"), "practice": told("practice")}
