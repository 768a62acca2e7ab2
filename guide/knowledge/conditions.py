"""Conditions on the state, as the knowledge writes them: `drogue_set is not true or has spare_drogue`.

`and` binds tighter than `or`: `rough is true and night is true or has torch` is one condition of two alternatives.

Three-valued facts, two-valued answers: an unknown fact is neither true nor false, so `is true` and
`is false` both fail on it while `is not true` and `is unknown` hold. A comparison with an unknown
amount fails.
"""
import operator
from collections.abc import Callable, Mapping
from functools import lru_cache
from types import MappingProxyType
from typing import NamedTuple

from guide.patterns import pattern

_ATOM = pattern(
    r"(?:(?P<possess>has|lacks) (?P<item>\w+)|(?P<fact>\w+) "
    r"(?:is (?P<no>not )?(?P<value>[\w.+-]+)|(?P<op><=|>=|<|>|=) (?P<number>-?\d+(?:\.\d+)?)))")
_COMPARE: Mapping[str, Callable[[float, float], bool]] = MappingProxyType({
    "<": operator.lt, "<=": operator.le, ">": operator.gt, ">=": operator.ge, "=": operator.eq})

Lookup = Callable[[str], object]
"""A fact's value, None where unknown; `has:ITEM` gives True, False or None."""


class Atom(NamedTuple):
    """One test of one fact or item."""

    fact: str
    op: str
    """is, not, has, lacks, or a comparison sign."""
    value: object

    def holds(self, lookup: Lookup) -> bool:
        """Whether the test succeeds on what is known."""
        op = self.op
        if op in ("has", "lacks"):
            return lookup("has:" + self.fact) is (op == "has")
        found = lookup(self.fact)
        if op in ("is", "not"):
            return _same(found, self.value) is (op == "is")
        if not isinstance(found, (int, float)) or isinstance(found, bool):
            return False
        return _COMPARE[op](found, float(str(self.value)))

    def words(self) -> str:
        """The test as plain words."""
        if self.op in ("has", "lacks"):
            return f"{self.op} {self.fact.replace('_', ' ')}"
        value = f"{self.value:g}" if isinstance(self.value, float) else str(self.value).lower()
        sign = {"is": "is", "not": "is not"}.get(self.op, self.op)
        return f"{self.fact.replace('_', ' ')} {sign} {value}"


class Condition(NamedTuple):
    """Alternatives of which at least one must hold; an alternative holds when every atom of it does."""

    alternatives: tuple[tuple[Atom, ...], ...]

    @property
    def any_of(self) -> tuple[Atom, ...]:
        """Every atom of every alternative, in the order written."""
        return tuple(atom for atoms in self.alternatives for atom in atoms)

    def met(self, lookup: Lookup) -> tuple[Atom, ...]:
        """The atoms of the first alternative that holds; none where none does."""
        for atoms in self.alternatives:
            for atom in atoms:
                if not atom.holds(lookup):
                    break
            else:
                return atoms
        return ()

    def holds(self, lookup: Lookup) -> bool:
        """Whether any alternative holds."""
        return bool(self.met(lookup))

    def words(self) -> str:
        """The condition as plain words."""
        return " or ".join(" and ".join(atom.words() for atom in atoms) for atoms in self.alternatives)


@lru_cache(maxsize=4096)
def looked_up(condition: Condition) -> frozenset[str]:
    """All that may be asked for to tell whether it holds: facts, and `has:ITEM`."""
    return frozenset(f"has:{atom.fact}" if atom.op in ("has", "lacks") else atom.fact for atom in condition.any_of)


def _same(found: object, wanted: object) -> bool:
    if wanted == "unknown":
        return found is None
    if wanted == "known":
        return found is not None
    if isinstance(wanted, bool) or isinstance(found, bool):
        return found is wanted
    if isinstance(found, (int, float)):
        return str(wanted).replace(".", "", 1).lstrip("-").isdigit() and float(str(wanted)) == found
    return found == wanted


@lru_cache(maxsize=4096)
def parse(text: str) -> Condition | str:
    """The condition, or one line saying what cannot be read."""
    alternatives = []
    for alternative in text.split(" or "):
        atoms = []
        for part in alternative.split(" and "):
            atom = _atom(part.strip())
            if atom is None:
                return (f'cannot read the condition "{part.strip()}"; '
                        "write FACT is [not] VALUE, FACT < NUMBER, has ITEM or lacks ITEM")
            atoms.append(atom)
        alternatives.append(tuple(atoms))
    return Condition(tuple(alternatives))


def _atom(text: str) -> Atom | None:
    match = _ATOM.fullmatch(text)
    if not match:
        return None
    if match["possess"]:
        return Atom(match["item"], match["possess"], None)
    if match["op"]:
        return Atom(match["fact"], match["op"], float(match["number"]))
    value: object = {"true": True, "false": False}.get(match["value"], match["value"])
    return Atom(match["fact"], "not" if match["no"] else "is", value)
