"""How a quantity is reckoned where the words around it say so (`reckoned.yaml`): `two of us were lifted off` are two fewer, `we hid two litres` no stock."""
from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property

from guide.knowledge.language import RECKONED, Reckoned
from guide.language.amount_labels import label
from guide.language.labels import NONE
from guide.language.mentions import PEOPLE, Mention
from guide.language.units import Units
from guide.patterns import pattern

STANDS_FOR = "#"
"""What stands in a pattern for the quantity."""
_TO_NOUN = 4
"""Words behind a number among which stands what it counts."""
_SURE = 1.0
"""How far what is reckoned so leads telling none: a plan or an order still tells nothing."""


class Reckoning:
    """Reckons quantities with one knowledge."""

    def __init__(self, reckoned: Iterable[Reckoned], units: Units) -> None:
        self._reckoned, self._units = reckoned, units

    @cached_property
    def _rules(self) -> Sequence[tuple[Reckoned, re.Pattern[str], re.Pattern[str] | None]]:
        """The rules with their patterns. A clause without a quantity needs none of them."""
        return [(each, pattern(each.where), pattern(each.unless) if each.unless else None) for each in self._reckoned]

    def patterns(self) -> Iterator[object]:
        """The patterns of all rules."""
        yield from (found for _, where, unless in self._rules for found in (where, unless))

    def hows(self, words: Sequence[str], target: Mention) -> Mapping[str, str]:
        """Fact → how a quantity in these words is reckoned, of the facts of which they say it; the first rule that fits counts."""
        said = " ".join([*words[:target.start], STANDS_FOR, *words[target.stop:]])
        named = {fact for fact in target.values if self._may_be(fact, words, target)}
        found: dict[str, str] = {}
        for rule, where, unless in self._rules:
            able = target.values if rule.how == RECKONED[0] else named
            facts = [fact for fact in rule.facts if fact in able and fact not in found]
            if facts and where.search(said) and not (unless and unless.search(said)):
                found |= dict.fromkeys(facts, rule.how)
        return found

    def _may_be(self, fact: str, words: Sequence[str], target: Mention) -> bool:
        """Whether a quantity may be of a fact by what stands behind it: so many rockets only where it names them (`lost a paddle and two rockets`)."""
        return target.sort != "bare" or fact in PEOPLE or self._units.any(f"noun_{fact}", [*words[target.stop:target.stop + _TO_NOUN]])


def reckoned(evidence: Mapping[str, float], hows: Mapping[str, str]) -> dict[str, float]:
    """Evidence where what is reckoned somehow is told so or, as nothing, not at all; which fact it is of stays as likely as it was."""
    own: dict[str, float] = {}
    for name, value in evidence.items():
        fact, _, rest = name.partition("|")
        if fact in hows and "|" not in rest:
            own[fact] = max(value, own.get(fact, value))
    sure = max(evidence[NONE], 0.0) + _SURE - max(own.values(), default=0.0)
    left = {name: value for name, value in evidence.items() if name.partition("|")[0] not in hows}
    return left | {label(fact, hows[fact]): value + sure for fact, value in own.items() if hows[fact] != "nothing"}
