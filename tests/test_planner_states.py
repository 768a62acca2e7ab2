"""The planner over the shipped knowledge, in any state that may arise."""
from __future__ import annotations

import random
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from guide.knowledge.compiling import load
from guide.knowledge.records import BANDS
from guide.planning.items import View
from guide.planning.planner import NextStep, answer, open_reason, plan
from guide.planning.readiness import settled
from guide.state.facts import Event, State

NOON = "2026-03-01T12:00:00+00:00"
_SHIPPED = load()[0]


def known(turn: int = 1, minutes: int = 0, **facts: Any) -> list[Event]:
    at = f"2026-03-01T{10 + minutes // 60:02d}:{minutes % 60:02d}:00+00:00"
    return [Event("fact", turn, at, "crew", name, value, None, f"about {name}") for name, value in facts.items()]


def marked(turn: int, step: str, minutes: int = 0) -> list[Event]:
    at = f"2026-03-01T{10 + minutes // 60:02d}:{minutes % 60:02d}:00+00:00"
    return [Event("done", turn, at, "crew", step, True, None, "that's done")]


def view(*events: list[Event]) -> View:
    state = State.empty()
    for event in (event for group in events for event in group):
        state = state.apply(event)
    return View(_SHIPPED, state)


def ids(steps: list[NextStep]) -> list[str]:
    return [item.step.id for item in steps]




@st.composite
def situations(draw: st.DrawFn) -> View:
    """Any facts within their types, some steps marked done before or after."""
    names = draw(st.lists(st.sampled_from(sorted(_SHIPPED.facts)), max_size=14, unique=True))
    groups = []
    for turn, name in enumerate(names, start=1):
        fact = _SHIPPED.facts[name]
        value = draw({"bool": st.booleans(), "enum": st.sampled_from(fact.values or ("",)),
                      "int": st.integers(0, 8), "float": st.integers(0, 60).map(float)}[fact.type])
        groups.append(known(turn, turn, **{name: value}))
    for step in draw(st.lists(st.sampled_from(sorted(_SHIPPED.steps)), max_size=6)):
        groups.insert(draw(st.integers(0, len(groups))), marked(draw(st.integers(1, 14)), step))
    return view( *groups)


def test_advice_is_at_most_nine() -> None:
    for topic in _SHIPPED.topics.values():
        assert len(answer(view(), topic.steps)[0]) <= 9


@settings(deadline=None)
@given(situations())
def test_no_step_that_is_done_or_impossible_is_next(here: View) -> None:
    for item in plan(here, NOON, None):
        step = item.step
        assert step.band != "note"
        assert all(condition.holds(here.lookup) for condition in step.when)
        assert not any(condition.holds(here.lookup) for condition in step.unless)
        assert not settled(here, step, NOON)
        assert all(here.has(need) is not False for need in step.needs)
        assert here.chosen(step.dispute)


@settings(deadline=None)
@given(situations())
def test_order_in_any_state(here: View) -> None:
    found = plan(here, NOON, None)
    names = ids(found)
    urgent = [BANDS.index(item.step.band) for item in found if item.step.band in ("emergency", "chance")]
    assert len(set(names)) == len(names)
    assert [BANDS.index(item.step.band) for item in found[:len(urgent)]] == sorted(urgent)
    for item in found:
        same_band = [name for name in item.step.after if name in names and _SHIPPED.steps[name].band == item.step.band]
        assert all(names.index(name) < names.index(item.step.id) for name in same_band)
    rest = [item.step.topic for item in found if item.step.band not in ("emergency", "chance")]
    if not urgent and len(set(rest)) >= 3:
        assert len(set(rest[:3])) == 3


@settings(deadline=None)
@given(situations(), st.randoms(use_true_random=False))
def test_the_plan_is_the_same_whatever_order_the_state_is_kept_in(here: View, chance: random.Random) -> None:
    facts, done = list(here.state.facts.items()), list(here.state.done.items())
    chance.shuffle(facts)
    chance.shuffle(done)
    other = View(here.knowledge, State(dict(facts), dict(done), here.state.turn, here.state.at))
    assert ids(plan(other, NOON, None)) == ids(plan(here, NOON, None)) == ids(plan(here, NOON, None))


@settings(deadline=None, max_examples=40)
@given(situations())
def test_advice_in_any_state_uses_nothing_lacking_or_forbidden(here: View) -> None:
    for topic in _SHIPPED.topics.values():
        steps, missing = answer(here, topic.steps)
        assert len(set(missing)) == len(missing)
        for step in steps:
            assert not any(condition.holds(here.lookup) for condition in step.unless)
            assert all(here.has(need) is not False for need in step.needs)


@settings(deadline=None, max_examples=40)
@given(situations(), st.sampled_from(sorted(_SHIPPED.steps)))
def test_every_step_has_a_reason_in_any_state(here: View, name: str) -> None:
    reason = open_reason(here, _SHIPPED.steps[name], NOON)
    names = ids(plan(here, NOON, None))
    assert (reason.kind == "blocked") is (name not in names)
    assert all(line.strip() for line in reason.lines())


def test_doing_what_comes_next_comes_to_an_end() -> None:
    """From a fresh raft, each step done as soon as it is first: nothing goes round in circles."""
    events = [known(1, aboard_raft=True, painter_cut=True, rough=True, pack="solas_a")]
    seen: list[str] = []
    while found := plan(view( *events), "2026-03-01T10:00:00+00:00", 1):
        step = found[0].step
        assert step.id not in seen
        seen.append(step.id)
        turn = len(seen) + 1
        events.append(marked(turn, step.id) + known(turn, **dict[str, Any](step.sets)))
    assert {"drogue_stream", "epirb_switch_on", "inflate_floor_pump"} <= set(seen)


FACTS = [fact.id for fact in _SHIPPED.facts.values() if fact.type == "bool" or fact.id.startswith("has_")]


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.sampled_from([*FACTS, "pack", "rocket_flares", "hand_flares", "wind_speed"]), st.integers(0, 3)), max_size=12))
def test_a_view_that_remembers_another_sees_what_a_fresh_one_sees(steps: list[tuple[str, int]]) -> None:
    state, remembering = State.empty(), View(_SHIPPED, State.empty())
    plan(remembering, NOON)
    for turn, (fact, number) in enumerate(steps, 1):
        value = (("solas_a", "solas_b", "coastal", None)[number] if fact == "pack" else (False, True, None, True)[number] if fact in FACTS else number or None)
        state = state.apply(Event("fact", turn, NOON, "crew", fact, value, None, "told"))
        remembering, fresh = View(_SHIPPED, state, before=remembering), View(_SHIPPED, state)
        assert plan(remembering, NOON) == plan(fresh, NOON)
        assert {name: remembering.item(name) for name in _SHIPPED.equipment} == {name: fresh.item(name) for name in _SHIPPED.equipment}


def test_a_remembered_plan_still_counts_the_time() -> None:
    """Nothing is told from one look to the next, but what returns comes due."""
    steps = [marked(2, step.id) for step in _SHIPPED.returning]
    looking = view(known(1, aboard_raft=True, painter_cut=True, pack="solas_a"), *steps)
    times = [f"2026-03-0{day}T{hour:02d}:05:00+00:00" for day in (1, 2) for hour in range(10, 24, 3)]
    seen = set()
    for at in times:
        looking = View(_SHIPPED, looking.state._replace(at=at), before=looking)
        found = plan(looking, at, None)
        assert found == plan(View(_SHIPPED, looking.state), at, None) == plan(looking, at, None)
        seen.add(tuple(item.line for item in found))
    assert len(seen) > 2
