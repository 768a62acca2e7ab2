"""What a clause says of the equipment: a thing is missing or of no use, `we have no knife`, `the torch is dead`, or there after all."""
from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping

from guide.knowledge.language import Lacked
from guide.language.facts import Told
from guide.language.naming import Naming
from guide.language.wording import regular, tokens
from guide.patterns import pattern, signed, words_in

THING = "#"
"""Stands for the name of the thing in a clause."""


class Lacking:
    """Knows the rules of one knowledge."""

    def __init__(self, rules: Iterable[Lacked], naming: Naming, sought: Collection[str]) -> None:
        """`sought`: the items that some step needs or uses; that others are missing changes nothing."""
        self._rows = [(signed(each.signs, each.where), pattern(each.unless or r"(?!)"), each) for each in rules]
        self._naming, self._sought = naming, sought

    def patterns(self) -> Iterator[object]:
        """The patterns of the rules."""
        return (found for where, unless, _ in self._rows for found in (where.words, unless))

    def told(self, clause: str, known: Mapping[str, object]) -> list[Told]:
        """Whether each thing that a clause names is there, where it says so. That it is there is told only of what was said to be missing."""
        lost = any(value is False and fact.startswith("has_") for fact, value in known.items())
        found = {f"has_{item}": rule.there for items, rule in self._said(clause, there=lost) for item in items if item in self._sought}
        return [Told(fact, there, "set") for fact, there in found.items() if not there or known.get(fact) is False]

    def because(self, clause: str) -> str:
        """Why a clause says so of a thing; nothing where it does not."""
        return next((rule.because for _, rule in self._said(clause)), "")

    def _said(self, clause: str, *, there: bool = True) -> Iterator[tuple[list[str], Lacked]]:
        """The items that a clause names with the rule by which it says so of them; without `there` only what is missing."""
        plain = regular(clause)
        has = words_in(plain)
        able = [row for row in self._rows if (there or not row[2].there) and not row[0].signs.isdisjoint(has)]
        for words, items in self._naming.put_for_names(tokens(plain), THING) if able else ():
            said = " ".join(words)
            rule = next((each for where, unless, each in able if where.words.search(said) and not unless.search(said)), None)
            if rule:
                yield items, rule
