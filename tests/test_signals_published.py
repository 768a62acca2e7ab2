"""Rockets, hand flares and smoke against LSA Code 3.1 to 3.3: the clauses, the notes and the figures agree.

Sources: LSA Code (resolution MSC.48(66)) 3.1 parachute rockets, 3.2 hand flares, 3.3 floating smoke. The burning under
water of a hand flare (3.2) is from memory; the others were read, 3.2 in a summary.
"""
from __future__ import annotations

import pytest

from guide.figures import signals
from guide.figures.catalogue import compute
from guide.knowledge.compiling import Knowledge

# clause, its mark, and the numbers that the paragraph gives
CLAUSES = (
    ("lsa-3.1", "read", ("300 m", "30,000 cd", "40 s", "5 m/s")),
    ("lsa-3.2a", "secondary", ("15,000 cd", "one minute")),
    ("lsa-3.2b", "memory", ("10 s", "100 mm")),
    ("lsa-3.3a", "read", ("3 minutes", "10 s", "100 mm")),
)


@pytest.mark.parametrize(("clause", "mark", "numbers"), CLAUSES)
def test_a_clause_carries_the_published_numbers(knowledge: Knowledge, clause: str, mark: str,
                                                numbers: tuple[str, ...]) -> None:
    record = knowledge.clauses[clause]
    assert record.mark == mark
    for number in numbers:
        assert number in record.says


@pytest.mark.parametrize(("step", "numbers", "clause"), [
    # LSA Code 3.1: 300 m or more, 40 s or more.
    ("rocket_height", ("300 m", "40 seconds"), "lsa-3.1"),
    # LSA Code 3.2: one minute or more.
    ("hand_flare_burn_time", ("minute",), "lsa-3.2a"),
    # LSA Code 3.3.2: 3 minutes or more.
    ("smoke_burn_time", ("3 minutes",), "lsa-3.3a"),
])
def test_a_note_tells_the_crew_the_same(knowledge: Knowledge, step: str, numbers: tuple[str, ...], clause: str) -> None:
    record = knowledge.steps[step]
    assert clause in record.sources
    for number in numbers:
        assert number in record.say


def test_a_rocket_is_still_up_when_it_burns_out() -> None:
    # LSA Code 3.1: from 300 m, sinking at 5 m/s for 40 s, leaves 300 - 5 * 40 = 100 m.
    result = compute("rocket_height", {})
    assert (result.inputs["burst_m"], result.inputs["sink_ms"], result.inputs["burn_s"]) == (300, 5, 40)
    assert result.value == pytest.approx(100)


@pytest.mark.parametrize(("held", "seconds"), [
    ({"rockets": 1}, 40),  # LSA Code 3.1
    ({"hand_flares": 1}, 60),  # LSA Code 3.2
    ({"smokes": 1}, 180),  # LSA Code 3.3.2
    # The A pack, LSA Code 4.1.5.1.10 to .12: 4 * 40 + 6 * 60 + 2 * 180.
    ({"rockets": 4, "hand_flares": 6, "smokes": 2}, 880),
    # The B pack, half of it, LSA Code 4.1.5.3 (from memory).
    ({"rockets": 2, "hand_flares": 3, "smokes": 1}, 440),
])
def test_signals_burn_their_least_time(held: dict[str, int], seconds: float) -> None:
    assert compute("signal_burn_time", held).value == seconds


def test_the_figures_and_the_clauses_agree(knowledge: Knowledge) -> None:
    assert f"{signals.ROCKET_S} s" in knowledge.clauses["lsa-3.1"].says  # LSA Code 3.1
    assert signals.HAND_FLARE_S == 60 and "one minute" in knowledge.clauses["lsa-3.2a"].says  # LSA Code 3.2
    assert f"{signals.SMOKE_S // 60} minutes" in knowledge.clauses["lsa-3.3a"].says  # LSA Code 3.3.2
