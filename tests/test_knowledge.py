"""The shipped knowledge as a whole: complete, short and sourced. `tests/audit/` holds it to what nothing may advise."""
from __future__ import annotations

import re

import pytest

from guide.knowledge import compiling, graph
from guide.knowledge.compiling import Knowledge
from guide.knowledge.records import COMMON_PRACTICE, MARKS, UNVERIFIED

# The project's own copy of the vocabulary that the interface promises: an id here never changes.
TOPICS = """
decide_to_leave distress_call take_with_you dress_to_leave launch_raft board_raft in_the_water raft_upside_down
raft_not_inflating stay_tied cut_free get_clear fire_or_oil join_rafts
head_count recover_swimmer leader_and_watches lookout take_inventory secure_gear sharp_objects read_instructions
pack_contents pack_differences keep_log weather_watch raft_servicing drill_requirements
drogue drogue_lost inflate_floor top_up_tubes pump gas_escaping valve_plugs leak repair_kit tube_burst bail_and_dry
bailer sponges close_canopy canopy_torn stale_air rough_sea cold_weather thermal_aid hot_weather sea_creatures paddles
stay_or_travel landing_ashore knife unknown_item
bleeding broken_bone head_or_spine burns not_breathing unconscious hypothermia frostbite immersion_foot heat_illness
seasickness dehydration sunburn salt_sores fuel_in_eyes shock regular_medicine first_aid_kit toilet_hygiene
death_aboard medical_advice
epirb sart radar_reflector handheld_vhf phone rocket_flare hand_flare smoke_signal flare_timing flare_misfire
signal_mirror torch whistle raft_lights improvised_signal signal_card aircraft_sighted ship_sighted
missed_by_searchers helicopter_rescue ship_rescue rescue_wait
water_ration water_sharing collect_rain condensation drinking_seawater drinking_urine desalinator water_containers
no_water_left
food_ration eat_without_water fishing unsafe_to_eat birds_and_turtles seaweed_plankton fair_shares
keep_spirits low_mood panic rest_and_sleep
water_budget food_budget rain_catch signal_range horizon radio_range beacon_life drift cold_water_time wind_chill
daylight drogue_line air_time watch_rota flare_count
what_now what_done why take_back what_can_you_do
""".split()
BOOLS = """
aboard_raft painter_cut all_accounted person_in_water raft_inverted leader_named lookout_posted instructions_read
inventory_done gear_secured drogue_set floor_inflated tubes_firm leak_open valves_plugged canopy_closed canopy_damaged
raft_dry seasick_pills someone_seasick someone_bleeding someone_hypothermic someone_unconscious mayday_sent epirb_on
sart_on aircraft_in_sight ship_in_sight rain_gear_rigged vessel_afloat vessel_on_fire night rough raining
""".split()
AMOUNTS = {
    "persons": ("int", "persons"), "persons_missing": ("int", "persons"), "raft_capacity": ("int", "persons"),
    "water": ("float", "L"), "food": ("float", "kcal"), "rocket_flares": ("int", "items"),
    "hand_flares": ("int", "items"), "smoke_signals": ("int", "items"), "thermal_aids": ("int", "items"),
    "hours_adrift": ("float", "h"), "sea_temperature": ("float", "degC"), "air_temperature": ("float", "degC"),
    "wind_speed": ("float", "kn"), "wave_height": ("float", "m"), "latitude": ("float", "deg"),
    "longitude": ("float", "deg"),
}
FACTS = {**{name: ("bool", "") for name in BOOLS}, **AMOUNTS, "pack": ("enum", "")}

FEWEST_STEPS, MOST_STEPS = 2, 15
SAY_LIMIT = 240
BURNING = {"rocket_flare", "hand_flare", "smoke_signal"}


def test_the_shipped_folder_has_no_problem() -> None:
    knowledge, problems = compiling.load()
    assert [problem.line() for problem in (*problems, *graph.problems(knowledge))] == []


def test_the_vocabulary_is_that_of_the_interface(knowledge: Knowledge) -> None:
    """The topics are those, each once. Facts are those and some of our own, which nobody outside need know."""
    assert sorted(TOPICS) == sorted(knowledge.topics)
    assert FACTS.keys() <= knowledge.facts.keys()


@pytest.mark.parametrize("topic", TOPICS)
def test_a_topic_has_a_title_and_enough_steps(knowledge: Knowledge, topic: str) -> None:
    record = knowledge.topics[topic]
    assert record.title
    assert FEWEST_STEPS <= len(record.steps) <= MOST_STEPS
    assert len(set(record.steps)) == len(record.steps)


@pytest.mark.parametrize("fact", FACTS)
def test_a_fact_has_its_type_and_unit(knowledge: Knowledge, fact: str) -> None:
    record = knowledge.facts[fact]
    assert (record.type, record.unit) == FACTS[fact]
    assert record.about


def test_the_packs_are_the_values_of_their_fact(knowledge: Knowledge) -> None:
    assert set(knowledge.facts["pack"].values) == {"solas_a", "solas_b", "coastal"} == set(knowledge.packs)


def test_a_step_is_short_and_says_why(knowledge: Knowledge) -> None:
    long = {s.id: len(s.say) for s in knowledge.steps.values() if not 0 < len(s.say) <= SAY_LIMIT}
    assert long == {}
    assert [s.id for s in knowledge.steps.values() if not s.why] == []


def test_a_step_ends_as_a_sentence(knowledge: Knowledge) -> None:
    assert [s.id for s in knowledge.steps.values() if not re.search(r"[.!?\"']$", s.say)] == []


def test_a_step_that_burns_something_has_a_caution(knowledge: Knowledge) -> None:
    burning = [s for s in knowledge.steps.values() if s.band != "note" and BURNING & {*s.needs, *s.uses}]
    assert burning
    assert [s.id for s in burning if not s.cautions] == []


def test_a_step_that_fires_a_rocket_says_never_at_an_aircraft(knowledge: Knowledge) -> None:
    # LSA Code 3.1 and public rescue guidance: never towards an aircraft.
    rockets = [s for s in knowledge.steps.values() if s.band != "note" and "rocket_flare" in s.needs]
    assert rockets
    assert [s.id for s in rockets if "rocket_not_at_aircraft" not in s.cautions] == []


def test_every_claim_carries_a_source(knowledge: Knowledge) -> None:
    claims = [(step.id, step.sources) for step in knowledge.steps.values()]
    claims += [(caution.id, caution.sources) for caution in knowledge.cautions.values()]
    claims += [(item.id, item.sources) for item in knowledge.equipment.values()]
    claims += [(f"{p.id}.{line.item}", line.sources) for p in knowledge.packs.values() for line in p.items.values()]
    claims += [(f"{d.id}.{p.id}", p.sources) for d in knowledge.disputes.values() for p in d.positions]
    known = {*knowledge.clauses, COMMON_PRACTICE, UNVERIFIED}
    assert [owner for owner, sources in claims if not sources or not set(sources) <= known] == []


def test_every_clause_has_a_work_a_mark_and_its_words(knowledge: Knowledge) -> None:
    bad = [c.id for c in knowledge.clauses.values()
           if c.source not in knowledge.sources or c.mark not in MARKS or not c.clause or not c.says]
    assert bad == []


def test_a_claim_from_memory_is_shown_as_such(knowledge: Knowledge) -> None:
    for clause in knowledge.clauses.values():
        assert ("from memory, unverified" in knowledge.cite(clause.id)) == (clause.mark == "memory")


@pytest.mark.parametrize("dispute", [
    "first_day_water", "fish_fluids", "helicopter_canopy", "rescue_breaths", "drogue_line", "hand_flare_day_range",
    "before_firing", "stay_tied", "tropics_floor"])
def test_a_dispute_is_held_with_its_sides(knowledge: Knowledge, dispute: str) -> None:
    record = knowledge.disputes[dispute]
    assert len(record.positions) >= 2
    assert record.because


def test_a_planned_step_can_come_up(knowledge: Knowledge) -> None:
    assert [s.id for s in knowledge.steps.values() if s.band != "note" and not s.when] == []


def test_a_step_leads_to_a_topic_that_calls_for_it(knowledge: Knowledge) -> None:
    stands_in = {s.instead for s in knowledge.steps.values()}
    called = {name for topic in knowledge.topics.values() for name in topic.steps}
    assert [name for name in knowledge.steps if name not in called | stands_in] == []


def test_a_caution_names_its_thing(knowledge: Knowledge) -> None:
    """Cautions stand apart from the step that they belong to: none begins with a pronoun that would point there."""
    pointing = re.compile(r"^(?:\w+ ){0,2}(?:it|its|them|they)\b", re.IGNORECASE)
    assert [name for name, caution in knowledge.cautions.items() if pointing.search(caution.say)] == []
