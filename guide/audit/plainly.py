"""Conditions and values in plain words, as the audit shows them."""
from __future__ import annotations

import re
from collections.abc import Iterable

from guide.knowledge.base import Knowledge
from guide.knowledge.conditions import Atom, Condition
from guide.knowledge.records import Fact
from guide.terminal.rendering import quantity

_COMPARED = {"<": "below", "<=": "at most", ">": "above", ">=": "at least", "=": "exactly"}


def condition_words(k: Knowledge, condition: Condition) -> str:
    """One condition: `the drogue is out, or the wind speed is at least 20 kn`."""
    return ", or ".join(" and ".join(_atom(k, atom) for atom in atoms) for atoms in condition.alternatives)


def conditions_words(k: Knowledge, conditions: Iterable[Condition], joined: str) -> str:
    """Several conditions, joined by `and` or `or`."""
    return f"; {joined} ".join(condition_words(k, condition) for condition in conditions)


def value_words(k: Knowledge, fact: str, value: object) -> str:
    """A fact with a value: `the drogue is out`, `the wind speed: 20 kn`."""
    record = k.facts.get(fact)
    word = str(value).lower() if isinstance(value, bool) else str(value)
    if record is None:
        return f"{fact} = {word}"
    if word in record.says:
        return record.says[word]
    return f"{_about(record)}: {quantity(_number(value), record.unit)}"


def _number(value: object) -> object:
    """The number that a text holds, else the value as it is."""
    return float(str(value)) if re.fullmatch(r"-?\d+(?:\.\d+)?", str(value)) else value


def _about(record: Fact) -> str:
    return record.about or record.id.replace("_", " ")


def _atom(k: Knowledge, atom: Atom) -> str:
    if atom.op in ("has", "lacks"):
        name = k.equipment[atom.fact].name if atom.fact in k.equipment else atom.fact
        return f"the {name} is to hand" if atom.op == "has" else f"there is no {name}"
    record = k.facts.get(atom.fact)
    if record is None:
        return atom.words()
    if atom.value in ("known", "unknown") and atom.op in ("is", "not"):
        told = (atom.value == "known") is (atom.op == "is")
        whether = "whether " if record.type == "bool" else ""
        return f"{'somebody has said' if told else 'nobody has said'}: {whether}{_about(record)}"
    if atom.op in _COMPARED:
        return f"{_about(record)} is {_COMPARED[atom.op]} {quantity(atom.value, record.unit)}"
    if record.type in ("int", "float"):
        return f"{_about(record)} {'is' if atom.op == 'is' else 'is not'} {quantity(_number(atom.value), record.unit)}"
    words = value_words(k, atom.fact, atom.value)
    return words if atom.op == "is" else f"it is not known that {words}"
