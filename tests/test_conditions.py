"""Conditions of several atoms: `and` binds tighter than `or`."""
from __future__ import annotations

import itertools

import pytest

from guide.knowledge.conditions import Atom, Condition, parse


def read(text: str) -> Condition:
    found = parse(text)
    assert isinstance(found, Condition)
    return found


@pytest.mark.parametrize(("a", "b", "c"), list(itertools.product((None, True, False), repeat=3)))
def test_and_binds_tighter_than_or(a: object, b: object, c: object) -> None:
    known = {"a": a, "b": b, "c": c}
    assert read("a is true and b is not true or c is false").holds(known.get) is ((a is True and b is not True) or c is False)


def test_an_item_and_a_number_in_one_alternative() -> None:
    condition = read("has knife and rough is true or water <= 2 and lacks pump")
    assert condition.holds({"has:knife": True, "rough": True}.get)
    assert not condition.holds({"has:knife": True, "water": 1.0}.get)
    assert condition.holds({"water": 1.0, "has:pump": False}.get)


def test_atoms_and_what_is_met() -> None:
    condition = read("a is true and b is false or c is known")
    assert [atom.fact for atom in condition.any_of] == ["a", "b", "c"]
    assert condition.met({"a": True, "b": False, "c": 1}.get) == (Atom("a", "is", True), Atom("b", "is", False))
    assert condition.met({"a": True}.get) == ()
    assert condition.words() == "a is true and b is false or c is known"


@pytest.mark.parametrize("text", ["a is true and", "and a is true", "a is true and or b is true", "a and b is true"])
def test_what_cannot_be_read_is_said(text: str) -> None:
    assert "cannot read the condition" in str(parse(text))
