"""The grab bag: amounts by the figures, the pack taken off, every priority covered, nothing the waters do not ask for."""
from __future__ import annotations

import json

import pytest

from guide.figures import catalogue
from guide.knowledge.compiling import Knowledge
from guide.stores import command, grab_bag
from guide.stores.grab_bag import Voyage, bag, coverage

PACKS = ("solas_a", "solas_b", "coastal")


def numbers(knowledge: Knowledge, voyage: Voyage) -> dict[str, int]:
    return {line.item.id: line.number for line in bag(knowledge, voyage)}


def voyage(knowledge: Knowledge, pack: str, persons: int = 6, miles: float = 30, water: str = "cold", days: float = 4,
           needs: tuple[str, ...] = ()) -> Voyage:
    return Voyage(knowledge.packs[pack], persons, miles, water, days, needs)


@pytest.mark.parametrize("pack", PACKS)
@pytest.mark.parametrize("water", ["cold", "warm"])
@pytest.mark.parametrize(("persons", "days"), [(1, 1), (6, 4), (25, 10), (150, 60)])
def test_water_and_food_last_as_the_figures_say(knowledge: Knowledge, pack: str, water: str, persons: int, days: float) -> None:
    trip = voyage(knowledge, pack, persons, water=water, days=days)
    found = numbers(knowledge, trip)
    for item_id in ("water_pouches", "food_ration"):
        item, pieces = knowledge.stores.bag[item_id], found.get(item_id, 0)
        enough = catalogue.compute(item.figure, grab_bag.stock_inputs(item, trip, pieces))
        assert enough.value >= days - 1e-6
        if pieces:
            fewer = catalogue.compute(item.figure, grab_bag.stock_inputs(item, trip, pieces - 1))
            assert fewer.value < days


# LSA Code 4.1.5.1.19: 1.5 L each in an A pack, which at 0.5 L from the first day lasts three days.
@pytest.mark.parametrize(("pack", "days", "pouches"), [("solas_a", 3, 0), ("solas_a", 4, 6), ("solas_b", 4, 24), ("coastal", 1, 6)])
def test_the_pack_is_taken_off(knowledge: Knowledge, pack: str, days: float, pouches: int) -> None:
    assert numbers(knowledge, voyage(knowledge, pack, days=days)).get("water_pouches", 0) == pouches


# LSA Code 4.1.5.1.10 to .12 and 4.1.5.3: signals are topped up to what an A pack holds, 20 nautical miles out or more.
@pytest.mark.parametrize(("pack", "miles", "wanted"), [
    ("solas_a", 100, (0, 0, 0)), ("solas_b", 20, (2, 3, 1)), ("solas_b", 19.9, (0, 0, 0)), ("coastal", 20, (4, 6, 2)),
    ("coastal", 5, (2, 3, 1))])
def test_signals(knowledge: Knowledge, pack: str, miles: float, wanted: tuple[int, ...]) -> None:
    found = numbers(knowledge, voyage(knowledge, pack, miles=miles))
    assert tuple(found.get(item, 0) for item in ("rocket_flare", "hand_flare", "smoke_signal")) == wanted


def test_cold_and_warm_ask_for_different_things(knowledge: Knowledge) -> None:
    cold, warm = (numbers(knowledge, voyage(knowledge, "solas_a", water=water)) for water in ("cold", "warm"))
    assert cold["thermal_aid"] == 4 and "sun_hat" not in cold  # 4.1.5.1.24: two of six are packed
    assert warm["sun_hat"] == 6 and "thermal_aid" not in warm


def test_needs_only_when_asked(knowledge: Knowledge) -> None:
    assert not {"medicine", "glasses"} & numbers(knowledge, voyage(knowledge, "solas_a")).keys()
    assert {"medicine", "glasses"} <= numbers(knowledge, voyage(knowledge, "solas_a", needs=("medicine", "glasses"))).keys()


@pytest.mark.parametrize("pack", PACKS)
@pytest.mark.parametrize("water", ["cold", "warm"])
@pytest.mark.parametrize("days", [1, 3, 30])
def test_every_priority_is_covered(knowledge: Knowledge, pack: str, water: str, days: float) -> None:
    trip = voyage(knowledge, pack, water=water, days=days)
    covers = coverage(knowledge, trip, bag(knowledge, trip))
    assert [c.priority.id for c in covers] == list(knowledge.priorities)
    assert all(c.packed or c.added for c in covers)


def test_worth_its_weight_first(knowledge: Knowledge) -> None:
    lines = bag(knowledge, voyage(knowledge, "coastal"))
    keys = [(line.item.worth, line.weight_kg) for line in lines]
    assert keys == sorted(keys)
    assert all(line.number > 0 and line.weight_kg > 0 and line.volume_l > 0 for line in lines)


@pytest.mark.parametrize("wanted", [0, 1, 2, 3, 7, 8, 9, 1000])
def test_fewest(wanted: int) -> None:
    assert grab_bag._fewest(lambda n: n >= wanted, 1000) == wanted


GOOD = ["--pack", "coastal", "--persons", "4", "--miles", "15", "--cold", "--days", "2"]


def test_the_command(capsys: pytest.CaptureFixture[str]) -> None:
    assert command.run_bag([*GOOD, "--needs", "medicine, glasses"]) == 0
    shown = " ".join(capsys.readouterr().out.split())
    assert "water pouches: 8 × pouch of 0.5 L" in shown and "unverified" in shown and "personal medicine" in shown
    assert command.run_bag([*GOOD, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["weight_kg"] == pytest.approx(sum(line["weight_kg"] for line in told["add"]), abs=0.1)


@pytest.mark.parametrize("extra", [["--needs", "glases"], ["--days", "0"], ["--days", "61"], ["--persons", "0"], ["--pack", "z"],
                                   ["--miles", "-5"], ["--warm"], ["--days", "nan"]])
def test_bad_input_is_one_line(extra: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert command.run_bag([*GOOD, *extra]) == 2
    shown = capsys.readouterr()
    assert not shown.out and shown.err.count("\n") == 1
