"""The invariants of advice: a sample of the proof, its mutations, and whole sessions at random.

The full proof is `python -m tests.prove`, which looks at every step and prints the states checked for each invariant.
"""
from __future__ import annotations

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from guide.knowledge.compiling import Knowledge, load
from guide.planning.items import View
from guide.planning.planner import answer, plan
from guide.starting import Started, start
from guide.state.facts import Event, State
from tests.invariants import INVARIANTS, PYROTECHNICS, Invariant, Shown, told
from tests.prove import Prover, view_of

SAMPLE = 40
_SHIPPED = load()[0]
_PROVER = Prover(_SHIPPED)
NAMED = [pytest.param(item, id=item.name) for item in INVARIANTS]


@pytest.fixture(scope="module")
def started() -> Started:
    return start()


def values_of(name: str) -> st.SearchStrategy[object]:
    """Values of a fact that decide about something."""
    return st.sampled_from([value for value in _PROVER.values(name) if value is not None])


FACTS = st.sampled_from([name for name in sorted(_SHIPPED.facts) if len(_PROVER.values(name)) > 1]).flatmap(lambda name: st.tuples(st.just(name), values_of(name)))


@pytest.mark.parametrize("item", NAMED)
def test_a_sample_of_steps_in_every_state(item: Invariant) -> None:
    steps = [step for step in _SHIPPED.steps.values() if step.band != "note"][::SAMPLE] if item.plans else \
        list(_SHIPPED.steps.values())[::SAMPLE]
    proof = _PROVER.prove(item, steps)
    assert proof.states >= proof.steps > 0
    assert proof.breaches == ()


@pytest.mark.parametrize("item", NAMED)
def test_every_step_with_nothing_known_and_with_the_worst(item: Invariant) -> None:
    if not item.plans:
        views = [view_of(_SHIPPED, {}), view_of(_SHIPPED, {"aboard_raft": True, "water": 0.0, "someone_unconscious": True})]
        for view in views:
            for step in _SHIPPED.steps.values():
                assert item.breach(Shown(view, (), answer(view, [step.id])[0])) is None


@pytest.mark.parametrize("item", NAMED)
def test_every_mutation_trips(item: Invariant) -> None:
    assert item.mutations
    assert _PROVER.caught(item) == len(item.mutations)


def test_what_forbids_is_no_advice(knowledge: Knowledge) -> None:
    assert told(knowledge.steps["urine_never"], r"\bdrink\b") is None
    assert told(knowledge.steps["hypothermia_never"], r"\balcohol\b") is None
    assert told(knowledge.steps["rain_drink_rest"], r"\bdrink\b") is not None


def test_a_painter_stays_uncut_with_people_on_a_sound_vessel(knowledge: Knowledge) -> None:
    afloat = {"aboard_raft": True, "vessel_afloat": True, "vessel_on_fire": False, "all_accounted": False}
    topic = knowledge.topics["cut_free"].steps
    assert "cut_free_cut" not in [s.id for s in answer(view_of(knowledge, afloat), topic)[0]]
    for change in ({"vessel_on_fire": True}, {"vessel_afloat": False}, {"all_accounted": True}):
        assert "cut_free_cut" in [s.id for s in answer(view_of(knowledge, {**afloat, **change}), topic)[0]]


class Sessions(RuleBasedStateMachine):
    """Given facts, reports, doubts and done marks in any order; every invariant after each."""

    def __init__(self) -> None:
        super().__init__()
        self.state, self.minutes, self.turn, self.topic = State.empty(), 0, 0, "cut_free"

    @property
    def now(self) -> str:
        return f"2026-03-{1 + self.minutes // 1440:02d}T{self.minutes // 60 % 24:02d}:{self.minutes % 60:02d}:00+00:00"

    def _note(self, kind: str, name: str, value: object, by: str = "crew") -> None:
        self.state = self.state.apply(Event(kind, self.turn, self.now, by, name, value, self.state.value(name)))

    @initialize(given=st.lists(FACTS, max_size=8))
    def start(self, given: list[tuple[str, object]]) -> None:
        for name, value in given:
            self._note("fact", name, value, "given")

    @rule(told_fact=FACTS, minutes=st.integers(0, 90))
    def report(self, told_fact: tuple[str, object], minutes: int) -> None:
        self.turn, self.minutes = self.turn + 1, min(self.minutes + minutes, 20000)
        self._note("fact", *told_fact)

    @rule(name=st.sampled_from(sorted(_SHIPPED.facts)))
    def doubt(self, name: str) -> None:
        self.turn += 1
        self._note("fact", name, None)

    @rule(which=st.integers(0, 2))
    def do(self, which: int) -> None:
        found = plan(View(_SHIPPED, self.state), self.now, 3)
        if which < len(found):
            self.turn, self.minutes = self.turn + 1, self.minutes + 2
            self._note("done", found[which].step.id, True)
            for name, value in found[which].step.sets.items():
                self._note("fact", name, value)

    @rule(topic=st.sampled_from(sorted(_SHIPPED.topics)))
    def ask(self, topic: str) -> None:
        self.topic = topic

    @invariant()
    def never(self) -> None:
        view = View(_SHIPPED, self.state)
        shown = Shown(view, plan(view, self.now, None), answer(view, _SHIPPED.topics[self.topic].steps)[0])
        assert [(item.name, found) for item in INVARIANTS if (found := item.breach(shown))] == []


TestSessions = Sessions.TestCase
TestSessions.settings = settings(max_examples=25, stateful_step_count=20, deadline=None)


def test_no_reply_shows_a_signal_that_burns_without_a_caution_of_it(started: Started) -> None:
    """The same as for a step, for whole replies: an answer keeps few cautions, but one at least of each step."""
    session = started.session(clock=lambda: "2026-03-01T12:00:00+00:00")
    session.given({"pack": "solas_a", "aboard_raft": True})
    for words in ("a plane is in sight", "the plane has gone, a ship is in sight", "how do i fire a hand flare", "when do we use the flares"):
        turn = session.answer(words)
        burning = [advice.step for advice in turn.advice if PYROTECHNICS & {*advice.step.needs} and advice.step.cautions]
        said = set(turn.cautions)
        assert [step.id for step in burning if not said & {started.knowledge.cautions[name].say for name in step.cautions}] == []
    assert burning
