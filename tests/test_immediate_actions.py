"""Every action of IMO resolution A.657(16), Annex 1, is covered by at least one step.

Part A (immediate actions, five) and Part B (survival instructions, twenty) stand in our own words and from memory: the
lists were not read again, and the knowledge marks them so. Each action names the steps that carry it out.
"""
from __future__ import annotations

from dataclasses import dataclass

import pytest

from guide.knowledge.compiling import Knowledge
from guide.knowledge.records import COMMON_PRACTICE


@dataclass(frozen=True, slots=True)
class Action:
    """An action of the annex in our own words, the clause that carries it and the steps that do it."""

    clause: str
    what: str
    steps: tuple[str, ...]
    planned: bool = True
    """Whether the planner brings it up unasked, at least one of the steps being no mere note."""


# A.657(16) Annex 1, Part A, in its order (from memory).
PART_A = (
    Action("a657-a.1", "cut free and get away", ("cut_free_cut", "get_clear_paddle")),
    Action("a657-a.2", "search for others and bring them in", ("head_count_search", "recover_throw")),
    Action("a657-a.3", "put out the sea anchor", ("drogue_stream",)),
    Action("a657-a.4", "shut the entrances", ("close_canopy_shut",)),
    Action("a657-a.5", "read on in the survival instructions", ("instructions_read_card", "instructions_which_first")),
)
# A.657(16) Annex 1, Part B, in its order (from memory).
PART_B = (
    Action("a657-b.1", "settle who is in charge", ("leader_name",)),
    Action("a657-b.2", "set lookouts", ("lookout_post",)),
    Action("a657-b.3", "open the pack", ("inventory_list",)),
    Action("a657-b.4", "seasickness medicine and bags for all", ("seasick_tablets",)),
    Action("a657-b.5", "dry the floor and pump it up", ("bail_out", "bail_sponge", "inflate_floor_pump")),
    Action("a657-b.6", "first aid", ("first_aid_check_everyone",)),
    Action("a657-b.7", "join other rafts, share people and gear", ("join_look", "join_share")),
    Action("a657-b.8", "watches and duties", ("watches_set", "leader_jobs")),
    Action("a657-b.9", "go over the raft, find and mend damage", ("top_up_check", "leak_find")),
    Action("a657-b.10", "the canopy light, off by day", ("lights_day_off", "lights_night_on")),
    Action("a657-b.11", "set the openings for shelter or air", ("stale_air_open", "hot_shade", "close_canopy_open_when")),
    Action("a657-b.12", "ready what helps to be found, radio too", ("epirb_switch_on", "flare_ready")),
    Action("a657-b.13", "gather useful things afloat", ("inventory_flotsam",)),
    Action("a657-b.14", "shield all from cold, heat and wet", ("cold_huddle", "cold_order", "hot_shade")),
    Action("a657-b.15", "decide how water and food are shared", ("water_keeper", "fair_keeper")),
    Action("a657-b.16", "keep spirits up", ("spirits_jobs", "spirits_do")),
    Action("a657-b.17", "arrange for body waste", ("toilet_arrange",)),
    Action("a657-b.18", "keep tubes and arch topped up", ("top_up_pump", "top_up_check", "canopy_torn_arch")),
    Action("a657-b.19", "use the equipment the right way", ("inventory_learn",)),
    Action("a657-b.20", "ready for rescue craft, tow, helicopter, beach",
           ("rescue_prepare", "ship_ready", "ship_rescue_tow", "helo_ready", "landing_surf")),
)
ACTIONS = [pytest.param(action, id=action.clause) for action in (*PART_A, *PART_B)]


def test_the_annex_has_five_and_twenty_actions(knowledge: Knowledge) -> None:
    assert [a.clause for a in PART_A] == [f"a657-a.{n}" for n in range(1, 6)]
    assert [a.clause for a in PART_B] == [f"a657-b.{n}" for n in range(1, 21)]


@pytest.mark.parametrize("action", ACTIONS)
def test_the_clause_is_marked_as_recalled(knowledge: Knowledge, action: Action) -> None:
    assert knowledge.clauses[action.clause].mark == "memory"  # the list was not read again


@pytest.mark.parametrize("action", ACTIONS)
def test_steps_cover_the_action(knowledge: Knowledge, action: Action) -> None:
    called = {step for topic in knowledge.topics.values() for step in topic.steps}
    for name in action.steps:
        step = knowledge.steps[name]
        assert action.clause in step.sources or COMMON_PRACTICE in step.sources, name
        assert name in called, name
    assert any(action.clause in knowledge.steps[name].sources for name in action.steps)


@pytest.mark.parametrize("action", ACTIONS)
def test_the_planner_can_bring_the_action_up(knowledge: Knowledge, action: Action) -> None:
    planned = [name for name in action.steps if knowledge.steps[name].band != "note"]
    assert bool(planned) == action.planned


def test_the_card_is_told_in_its_order(knowledge: Knowledge) -> None:
    # A.657(16) Annex 1, Part A (from memory): cut, search, stream, close, read on.
    step = knowledge.steps["instructions_a_order"]
    places = [step.say.index(word) for word in ("cut free", "survivors", "sea anchor", "entrances", "read on")]
    assert places == sorted(places)
    assert {action.clause for action in PART_A} <= set(step.sources)
