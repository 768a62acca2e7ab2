"""The packs at every threshold of persons, beside the paragraphs that ask for it."""
from __future__ import annotations

import json
import math

import pytest

from guide.cli import main
from guide.knowledge.compiling import Knowledge
from guide.stores import command, packs
from guide.stores.packs import StoresError, find_pack

ALL = ("solas_a", "solas_b", "coastal")
SOLAS = ("solas_a", "solas_b")


def number(knowledge: Knowledge, pack: str, item: str, persons: int) -> float:
    """What `guide pack` shows of an item; 0 where it shows none."""
    chosen = [knowledge.packs[pack]]
    held = {h.item.id: h.numbers[0] for group in packs.groups(knowledge, chosen, persons) for h in group.held}
    return held.get(item, 0)


# LSA Code 4.1.5.1.2 and .3 (read in a summary): a second knife and bailer from 13. 46 CFR 160.051-11(b) (read): a second
# knife from 13, and one bailer at any size.
@pytest.mark.parametrize(("persons", "knives"), [(4, 1), (6, 1), (12, 1), (13, 2), (25, 2), (150, 2)])
@pytest.mark.parametrize("pack", ALL)
def test_second_knife_from_13(knowledge: Knowledge, pack: str, persons: int, knives: int) -> None:
    assert number(knowledge, pack, "knife", persons) == knives
    assert number(knowledge, pack, "bailer", persons) == (1 if pack == "coastal" else knives)


# LSA Code 4.1.5.1.24: thermal aids for a tenth of the places, two at the least; the number steps up past each ten from 20.
@pytest.mark.parametrize("persons", [4, 6, 10, 19, 20, 21, 30, 31, 40, 41, 99, 100, 101, 150])
def test_thermal_aids_step_up(knowledge: Knowledge, persons: int) -> None:
    for pack in SOLAS:
        assert number(knowledge, pack, "thermal_aid", persons) == max(2, math.ceil(persons / 10))
    assert number(knowledge, "coastal", "thermal_aid", persons) == 0  # 46 CFR 160.051-11 by what it leaves out


# LSA Code 4.1.5.1.18, .19, .21: 10,000 kJ, 1.5 L, medicine for 48 h and a bag for each place; 4.1.5.3 (from memory): the B
# pack has neither food nor water.
@pytest.mark.parametrize("persons", [4, 6, 12, 13, 25])
def test_what_each_place_has(knowledge: Knowledge, persons: int) -> None:
    assert number(knowledge, "solas_a", "food_ration", persons) == 10_000 * persons
    assert number(knowledge, "solas_a", "drinking_water", persons) == 1.5 * persons
    for pack in SOLAS:
        assert number(knowledge, pack, "seasick_tablets", persons) == persons
        assert number(knowledge, pack, "seasick_bags", persons) == persons
    for item in ("food_ration", "drinking_water"):
        assert number(knowledge, "solas_b", item, persons) == number(knowledge, "coastal", item, persons) == 0


# LSA Code 4.1.5.1.10 to .12 and 4.1.5.3 (from memory): the B pack has half; 46 CFR 160.051-11: coastal none.
# 46 CFR 160.151-21(y) (from memory): six clamps or plugs and five patches.
@pytest.mark.parametrize("persons", [4, 6, 12, 13, 25, 150])
@pytest.mark.parametrize(("item", "numbers"), [
    ("rocket_flare", (4, 2, 0)), ("hand_flare", (6, 3, 0)), ("smoke_signal", (2, 1, 0)),
    ("leak_clamps", (6, 6, 1)), ("patches", (5, 5, 0)), ("paddles", (2, 2, 2)), ("sponge", (2, 2, 1)),
    ("signal_mirror", (1, 1, 1)), ("whistle", (1, 1, 1)), ("torch", (1, 1, 1)), ("first_aid_kit", (1, 1, 0))])
def test_the_same_at_any_size(knowledge: Knowledge, item: str, numbers: tuple[int, ...], persons: int) -> None:
    assert tuple(number(knowledge, pack, item, persons) for pack in ALL) == numbers


@pytest.mark.parametrize("pack", ALL)
def test_grouped_by_priority_without_loss(knowledge: Knowledge, pack: str) -> None:
    found = packs.groups(knowledge, [knowledge.packs[pack]], 6)
    order = [list(knowledge.priorities).index(group.priority.id) for group in found]
    assert order == sorted(order)
    assert {h.item.id for group in found for h in group.held} == set(knowledge.packs[pack].items)


def test_every_item_serves_a_priority(knowledge: Knowledge) -> None:
    wanted = {item for pack in knowledge.packs.values() for item in pack.items} | set(knowledge.stores.bag)
    assert wanted <= set(knowledge.stores.serves)


@pytest.mark.parametrize(("typed", "pack"), [
    ("a", "solas_a"), ("SOLAS B", "solas_b"), ("solas-b pack", "solas_b"), ("Coastal Service", "coastal"), ("COASTAL", "coastal")])
def test_a_kind_by_any_of_its_names(knowledge: Knowledge, typed: str, pack: str) -> None:
    assert find_pack(knowledge, typed).id == pack


@pytest.mark.parametrize("typed", ["", "c", "costal", "x" * 500, "a\x1b[31m\nb", "סולאס"])
def test_a_wrong_kind_is_one_line(knowledge: Knowledge, typed: str) -> None:
    with pytest.raises(StoresError) as caught:
        find_pack(knowledge, typed)
    assert "solas_a" in str(caught.value) and str(caught.value).isprintable()


def test_did_you_mean(capsys: pytest.CaptureFixture[str]) -> None:
    assert command.run_pack(["costal", "--persons", "6"]) == 2
    assert 'did you mean "coastal"?' in capsys.readouterr().err


@pytest.mark.parametrize("persons", ["0", "151", "-1", "6.5", "six", "", "9" * 400, "٦"])
def test_a_wrong_number_is_one_line(persons: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert command.run_pack(["a", f"--persons={persons}"]) == 2
    shown = capsys.readouterr()
    assert not shown.out and shown.err.count("\n") == 1 and "1 to 150" in shown.err


@pytest.mark.parametrize("persons", [4, 6, 12, 13, 25])
def test_three_side_by_side(persons: int, capsys: pytest.CaptureFixture[str]) -> None:
    assert command.run_pack([*ALL, "--persons", str(persons)]) == 0
    shown = capsys.readouterr().out
    rows = {line.split("  ")[1].strip(): line.split()[-3:] for line in shown.splitlines() if line.startswith("  ")}
    knives = "2" if persons >= 13 else "1"
    assert rows["safety knife"] == [knives] * 3
    assert rows["parachute rocket"] == ["4", "2", "none"]
    assert "no flares, rockets or smoke" in shown and "flag's rules come first" in shown
    assert max(map(len, shown.splitlines())) <= 80


def test_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert command.run_pack(["b", "--persons", "13", "--json"]) == 0
    (pack,) = json.loads(capsys.readouterr().out)["packs"]
    knife = next(item for item in pack["items"] if item["item"] == "knife")
    assert knife["number"] == 2 and knife["for"] and knife["sources"]
    assert {"drinking_water", "food_ration"} <= set(pack["not_held"])


@pytest.mark.parametrize("width", [40, 80, 100])
@pytest.mark.parametrize("words", [
    ["pack", *ALL, "--persons", "25"], ["pack", "b", "--persons", "6"], ["waters", "--miles", "30", "--cold"],
    ["inventory", "transcripts_demo/inventory.yaml", "--date", "2026-11-25"],
    ["bag", "--pack", "coastal", "--persons", "4", "--miles", "25", "--cold", "--days", "5"]], ids=lambda words: "-".join(words[:2]))
def test_no_line_is_wider_than_the_terminal(words: list[str], width: int, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    main(words)
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) > 10 and [line for line in lines if len(line) > width and " " in line.strip()] == []
