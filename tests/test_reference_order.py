"""The order of what comes next, held against the order of IMO resolution A.657(16), Annex 1.

Part A (five immediate actions) and its order, and Part B (twenty), stand here from memory: the annex was not read
again, and the clauses are marked so. Each step is done as soon as it is first; a minute passes with each.
"""
from __future__ import annotations

import itertools
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta

import pytest

from guide.knowledge.compiling import Knowledge
from guide.knowledge.records import Step
from guide.planning.items import View
from guide.planning.planner import plan
from guide.state.facts import Event, State

START = datetime(2026, 3, 1, 10, tzinfo=UTC)
MOST = 120
COLD: Mapping[str, object] = {
    "pack": "solas_a", "persons": 6, "raft_capacity": 6, "aboard_raft": True, "painter_cut": False, "vessel_afloat": False,
    "rough": True, "sea_temperature": 8.0, "air_temperature": 5.0, "wind_speed": 25.0}
WARM: Mapping[str, object] = {
    "pack": "solas_b", "persons": 4, "raft_capacity": 6, "aboard_raft": True, "painter_cut": False, "vessel_afloat": False,
    "rough": False, "sea_temperature": 27.0, "air_temperature": 29.0, "wind_speed": 5.0, "night": False}
FLOODING: Mapping[str, object] = {"pack": "solas_a", "persons": 5, "aboard_raft": False, "painter_cut": False, "vessel_afloat": True}
BURNING: Mapping[str, object] = {**FLOODING, "vessel_on_fire": True, "pack": "coastal"}
NO_DROGUE: Mapping[str, object] = {**COLD, "has_drogue": False, "has_spare_drogue": False, "has_knife": False, "has_action_card": False}
SETTINGS = [pytest.param(given, id=name) for name, given in
            (("cold", COLD), ("warm", WARM), ("flooding", FLOODING), ("burning", BURNING), ("no drogue", NO_DROGUE), ("nothing known", {}))]

# A.657(16) Annex 1, Part A, in its order (from memory): the steps that do it in a raft with everything aboard.
PART_A = (("cut_free_cut", "get_clear_paddle"), ("head_count_now", "head_count_search"), ("drogue_stream",), ("close_canopy_shut",),
          ("instructions_read_card",))
# Where the pack lacks the knife, both drogues and the card, the stand-ins come in the same places.
PART_A_LACKING = (("cut_free_no_knife", "get_clear_paddle"), ("head_count_now", "head_count_search"), ("drogue_lost_improvise",),
                  ("close_canopy_shut",), ("instructions_no_card",))
PART_B = tuple(f"a657-b.{number}" for number in range(1, 21))


def beginning(given: Mapping[str, object]) -> State:
    """The state in which just this is given."""
    state = State.empty()
    for fact, value in given.items():
        state = state.apply(Event("fact", 0, START.isoformat(), "given", fact, value))
    return state


def did(knowledge: Knowledge, state: State, name: str, turn: int = 1, now: str = START.isoformat()) -> State:
    """The state after the step, with what a report of it sets."""
    state = state.apply(Event("done", turn, now, "crew", name, True))
    for fact, value in knowledge.steps[name].sets.items():
        state = state.apply(Event("fact", turn, now, "crew", fact, value, state.value(fact)))
    return state


def sequence(knowledge: Knowledge, given: Mapping[str, object]) -> tuple[list[Step], State]:
    """What is first, done in turn, until nothing is left or `MOST` steps are done."""
    state, done = beginning(given), list[Step]()
    while len(done) < MOST:
        now = (START + timedelta(minutes=len(done) + 1)).isoformat()
        found = plan(View(knowledge, state), now, 1)
        if not found:
            break
        done.append(found[0].step)
        state = did(knowledge, state, found[0].step.id, len(done), now)
    return done, state


@pytest.mark.parametrize(("given", "actions"), [(COLD, PART_A), (NO_DROGUE, PART_A_LACKING)], ids=["whole pack", "lacking"])
def test_part_a_comes_first_and_in_order(knowledge: Knowledge, given: Mapping[str, object], actions: tuple[tuple[str, ...], ...]) -> None:
    names = [step.id for step in sequence(knowledge, given)[0]]
    wanted = [name for action in actions for name in action]
    assert names[:len(wanted)] == wanted


def test_all_of_part_b_follows(knowledge: Knowledge) -> None:
    steps = sequence(knowledge, COLD)[0]
    part_a = sum(len(action) for action in PART_A)
    done = {clause for step in steps[part_a:] for clause in step.sources}
    assert [clause for clause in PART_B if clause not in done] == []


def test_beacon_and_call_then_leader_lookout_and_tablets_follow_the_five(knowledge: Knowledge) -> None:
    names = [step.id for step in sequence(knowledge, COLD)[0]]
    part_a = sum(len(action) for action in PART_A)
    assert names[part_a:part_a + 7] == ["epirb_switch_on", "vhf_mayday", "rough_sit_low", "leader_name", "lookout_post", "seasick_tablets",
                                        "epirb_tether"]


@pytest.mark.parametrize("night", [True, False], ids=["night", "day"])
@pytest.mark.parametrize("pack", ["solas_a", "solas_b", "coastal"])
def test_the_beacon_is_one_of_three_jobs_from_the_first_moment(knowledge: Knowledge, pack: str, night: bool) -> None:
    """One hand switches it on while the others cut free and count: common practice, without source."""
    state = beginning({**COLD, "pack": pack, "night": night})
    for done in ("", "cut_free_cut", "get_clear_paddle"):
        state = did(knowledge, state, done) if done else state
        assert "epirb_switch_on" in [item.step.id for item in plan(View(knowledge, state), START.isoformat())]


def test_cold_brings_warmth_forward_and_rain_the_catcher(knowledge: Knowledge) -> None:
    """Work that a condition presses goes before work that can wait; without it the priorities stand. Common practice, without source."""
    cold = [step.id for step in sequence(knowledge, COLD)[0]]
    assert max(map(cold.index, ("cold_huddle", "inflate_floor_pump", "bail_out", "thermal_aid_give"))) < cold.index("inventory_list")
    warm = [step.id for step in sequence(knowledge, WARM)[0]]
    assert warm.index("inventory_list") < warm.index("inflate_floor_pump") < warm.index("rain_rig")
    wet = [step.id for step in sequence(knowledge, {**WARM, "raining": True, "water": 1.0})[0]]
    assert wet.index("rain_rig") < wet.index("inventory_list")


def test_what_is_due_again_goes_before_what_never_presses_and_after_an_emergency(knowledge: Knowledge) -> None:
    adrift = {**WARM, "painter_cut": True, "drogue_set": True, "all_accounted": True, "instructions_read": True, "leader_named": True,
              "lookout_posted": True, "seasick_pills": True, "epirb_on": True, "mayday_sent": True}
    state = did(knowledge, did(knowledge, beginning(adrift), "epirb_tether"), "drogue_chafe_check")

    def first(minutes: int, **more: object) -> list[str]:
        now = (START + timedelta(minutes=minutes)).isoformat()
        after = state
        for fact, value in more.items():
            after = after.apply(Event("fact", 9, now, "crew", fact, value))
        return [item.step.id for item in plan(View(knowledge, after), now)]

    assert not {"watch_change", "drogue_chafe_check"} & set(first(59))
    assert first(61)[:2] == ["watch_change", "drogue_chafe_check"]
    hurt = first(61, someone_bleeding=True)
    assert hurt[:2] == ["bleeding_press", "bleeding_bandage"] and "drogue_chafe_check" not in hurt


@pytest.mark.parametrize("given", SETTINGS)
def test_a_sequence_ends_or_settles_into_returning_steps(knowledge: Knowledge, given: Mapping[str, object]) -> None:
    steps, _ = sequence(knowledge, given)
    first = [step.id for step in steps]
    assert all(one != other for one, other in itertools.pairwise(first))
    again = [step for number, step in enumerate(steps) if step.id in first[:number]]
    assert all(step.again_s for step in again), [step.id for step in again]
    assert len(steps) < MOST


@pytest.mark.parametrize("given", [FLOODING, BURNING], ids=["flooding", "burning"])
def test_before_leaving_nothing_of_the_raft_comes_before_boarding(knowledge: Knowledge, given: Mapping[str, object]) -> None:
    steps, _ = sequence(knowledge, given)
    names = [step.id for step in steps]
    board = names.index("board_dry")
    assert names[:board] == ["leave_decide", "distress_send", "dress_lifejacket", "head_count_muster", "take_grab", "launch_over_side"]


def test_tied_to_a_vessel_afloat_nobody_cuts_or_streams(knowledge: Knowledge) -> None:
    names = {step.id for step in sequence(knowledge, FLOODING)[0]}
    assert "stay_tied_hold" in names
    assert not names & {"cut_free_cut", "cut_free_no_knife", "drogue_stream", "get_clear_paddle", "join_look"}


def test_beside_a_fire_people_come_off_before_the_painter_is_cut(knowledge: Knowledge) -> None:
    steps, state = sequence(knowledge, BURNING)
    names = [step.id for step in steps]
    assert "cut_free_cut" not in names  # nobody has said that all are off her
    now = (START + timedelta(minutes=5)).isoformat()
    state = state.apply(Event("fact", 200, now, "crew", "all_accounted", True))
    assert plan(View(knowledge, state), now, 1)[0].step.id == "cut_free_cut"


def test_in_warm_calm_weather_nobody_is_wrapped_or_shut_in(knowledge: Knowledge) -> None:
    names = {step.id for step in sequence(knowledge, WARM)[0]}
    assert not names & {"close_canopy_shut", "cold_huddle", "thermal_aid_give", "rough_sit_low", "water_keeper"}
    assert {"hot_shade", "drogue_stream", "rain_rig"} <= names


def test_the_card_comes_early_only_where_the_five_are_done(knowledge: Knowledge) -> None:
    first = [item.step.id for item in plan(View(knowledge, beginning(COLD)), START.isoformat(), None)]
    assert first.index("head_count_now") < first.index("instructions_read_card") < first.index("leader_name")


@pytest.mark.parametrize(("told", "job"), [({"canopy_damaged": True}, "canopy_torn_shelter"), ({"raft_dry": False}, "bail_out"),
                                           ({"water": 0.0}, "no_water_no_eat")])
def test_what_is_told_to_be_amiss_presses(knowledge: Knowledge, told: Mapping[str, object], job: str) -> None:
    """Among work that can wait, damage and want that were reported come first: common practice, without source."""
    settled = {"pack": "solas_a", "aboard_raft": True, "painter_cut": True, "drogue_set": True, "all_accounted": True, "canopy_closed": True,
               "instructions_read": True, "leader_named": True, "lookout_posted": True, "seasick_pills": True, "epirb_on": True, "mayday_sent": True}
    first = [item.step.id for item in plan(View(knowledge, beginning({**settled, **told})), START.isoformat())]
    assert job in first and job not in [item.step.id for item in plan(View(knowledge, beginning(settled)), START.isoformat())]
