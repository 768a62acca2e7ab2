"""What comes next and why, on a small knowledge written here."""
from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest

from guide.knowledge.compiling import Knowledge, load
from guide.planning.items import View
from guide.planning.planner import NextStep, Reason, answer, open_reason, plan
from guide.planning.readiness import returning, returning_words, urgency
from guide.planning.reasons import moment_words
from guide.state.facts import Event, State

NOON = "2026-03-01T12:00:00+00:00"
_CITED = "sources: [common_practice]"
_TEXTS = {
    "facts": """
kind: facts
facts:
  - {id: aboard, type: bool, about: "the crew is in the raft",
     says: {true: "you are in the raft", false: "you are not in the raft"}}
  - {id: drogue_set, type: bool, about: "the drogue is out",
     says: {true: "the drogue is out", false: "the drogue is not out"}}
  - {id: bleeding, type: bool, about: "somebody is bleeding",
     says: {true: "somebody is bleeding", false: "nobody is bleeding"}}
  - {id: plane, type: bool, about: "a plane is in sight"}
  - {id: dry, type: bool, about: "the raft is dry"}
  - {id: rough, type: bool, about: "the sea is rough"}
  - {id: rockets, type: int, unit: items, about: "rockets left", low: 0, high: 9}
  - {id: water, type: float, unit: L, about: "drinking water aboard", low: 0, high: 99}
  - {id: hours, type: float, unit: h, about: "hours adrift", low: 0, high: 999}
  - {id: pack, type: enum, about: "the pack", values: [big, small], says: {big: "it is the big pack"}}
presumptions:
  - {fact: aboard, value: true, when: ["drogue_set is known or dry is known"], because: "only seen from inside"}
  - {fact: drogue_set, value: false, when: ["lacks drogue"], because: "there is no drogue aboard"}
""",
    "equipment": """
kind: equipment
equipment:
  - {id: drogue, name: drogue, what: w, where: w, use: u, shown_by: drogue_set, CITED}
  - {id: spare, name: spare drogue, what: w, where: w, use: u, CITED}
  - {id: knife, name: knife, what: w, where: w, use: u, CITED}
  - {id: radio, name: radio, what: w, where: w, use: u, CITED}
  - {id: cloth, name: cloth, what: w, where: w, use: u, improvised: "yes", CITED}
  - {id: rocket, name: parachute rocket, what: w, where: w, use: u, amount: rockets, CITED}
""",
    "packs": """
kind: packs
packs:
  - id: big
    name: big pack
    items:
      - {item: drogue, count: 1, CITED}
      - {item: spare, count: 1, CITED}
      - {item: knife, count: 1, CITED}
      - {item: rocket, count: 4, CITED}
  - {id: small, name: small pack, items: [{item: drogue, count: 1, CITED}]}
""",
    "topics": """
kind: topics
topics:
  - {id: blood, title: t, priority: protection, steps: [press, bandage]}
  - {id: fly, title: t, priority: location, steps: [fire, wave]}
  - {id: sea, title: t, priority: protection, steps: [stream, stream_spare, chafe, sea_note, sea_old]}
  - {id: wet, title: t, priority: protection, steps: [mop, bail]}
  - {id: drink, title: t, priority: water, steps: [share, drink_now, drink_later]}
  - {id: call, title: t, priority: location, steps: [phone, log]}
  - {id: cut, title: t, priority: protection, steps: [cut_rope, cut_old, cut_note]}
""",
    "priorities": """
kind: priorities
priorities:
  [{id: leave, title: t}, {id: protection, title: t}, {id: location, title: t}, {id: water, title: t}]
""",
    "disputes": """
kind: disputes
disputes:
  - {id: first_day, question: q, default: drink, because: b,
     positions: [{id: drink, says: s, CITED}, {id: hold, says: s, CITED}]}
""",
    "steps": """
kind: steps
steps:
  - {id: press, topic: blood, priority: protection, band: emergency, when: ["bleeding is true"], REST}
  - {id: bandage, topic: blood, priority: protection, band: emergency, when: ["bleeding is true"],
     done_when: ["bleeding is false"], after: [press], sets: {bleeding: false}, REST}
  - {id: fire, topic: fly, priority: location, band: chance, when: ["plane is true"], needs: [rocket],
     instead: wave, REST}
  - {id: wave, topic: fly, priority: location, band: chance, when: ["plane is true"], REST}
  - {id: stream, topic: sea, priority: protection, band: immediate, when: ["aboard is true", "drogue_set is not true"],
     done_when: ["drogue_set is true"], needs: [drogue], instead: stream_spare, sets: {drogue_set: true}, REST}
  - {id: stream_spare, topic: sea, priority: protection,
     when: ["aboard is true", "lacks drogue", "drogue_set is not true"], needs: [spare], instead: sea_note, REST}
  - {id: chafe, topic: sea, priority: protection, when: ["drogue_set is true"], again: every 60 min, REST}
  - {id: sea_note, topic: sea, priority: protection, band: note, REST}
  - {id: sea_old, topic: sea, priority: protection, band: note, unless: ["lacks drogue"], REST}
  - {id: mop, topic: wet, priority: protection, when: ["aboard is true"], after: [bail], REST}
  - {id: bail, topic: wet, priority: protection, when: ["aboard is true"], done_when: ["dry is true"],
     again: every 2 h, sooner_when: ["rough is true"], REST}
  - {id: share, topic: drink, priority: water, when: ["aboard is true"], unless: ["water = 0"], REST}
  - {id: drink_now, topic: drink, priority: water, when: ["aboard is true"], unless: ["water = 0"],
     dispute: first_day.drink, REST}
  - {id: drink_later, topic: drink, priority: water, when: ["aboard is true"], dispute: first_day.hold, REST}
  - {id: phone, topic: call, priority: location, band: immediate, when: ["aboard is true"], needs: [radio], REST}
  - {id: log, topic: call, priority: location, when: ["aboard is true"], after: [mop], REST}
  - {id: cut_rope, topic: cut, priority: protection, when: ["hours < 2"], needs: [knife], instead: sea_old, REST}
  - {id: cut_old, topic: cut, priority: protection, band: note, needs: [knife], dispute: first_day.hold, REST}
  - {id: cut_note, topic: cut, priority: protection, band: note, needs: [cloth], REST}
"""}


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Knowledge:
    folder = tmp_path_factory.mktemp("knowledge")
    for name, text in _TEXTS.items():
        text = text.replace("REST", "say: do it, why: because., CITED").replace("CITED", _CITED)
        (folder / f"{name}.yaml").write_text(text.lstrip(), encoding="utf-8")
    knowledge, problems = load(folder)
    assert [problem.line() for problem in problems] == []
    return knowledge


def known(turn: int = 1, minutes: int = 0, **facts: Any) -> list[Event]:
    at = f"2026-03-01T{10 + minutes // 60:02d}:{minutes % 60:02d}:00+00:00"
    return [Event("fact", turn, at, "crew", name, value, None, f"about {name}") for name, value in facts.items()]


def marked(turn: int, step: str, minutes: int = 0) -> list[Event]:
    at = f"2026-03-01T{10 + minutes // 60:02d}:{minutes % 60:02d}:00+00:00"
    return [Event("done", turn, at, "crew", step, True, None, "that's done")]


def view(knowledge: Knowledge, *events: list[Event], positions: Mapping[str, str] | None = None) -> View:
    state = State.empty()
    for event in (event for group in events for event in group):
        state = state.apply(event)
    return View(knowledge, state, positions or {})


def ids(steps: list[NextStep]) -> list[str]:
    return [item.step.id for item in steps]


def planned(knowledge: Knowledge, *events: list[Event], at: str = NOON) -> list[str]:
    return ids(plan(view(knowledge, *events), at, None))


# ---- items and presumptions ---------------------------------------------------------------------------------

@pytest.mark.parametrize(("item", "facts", "has"), [
    ("rocket", {}, None), ("rocket", {"rockets": 2}, True), ("rocket", {"rockets": 0}, False),
    ("rocket", {"pack": "big"}, True), ("rocket", {"pack": "small"}, False),
    ("rocket", {"pack": "big", "rockets": 0}, False), ("rocket", {"pack": "small", "rockets": 1}, True),
    ("knife", {}, None), ("knife", {"pack": "small"}, False), ("knife", {"pack": "small", "has_knife": True}, True),
    ("knife", {"pack": "big", "has_knife": False}, False),
    ("radio", {"pack": "big"}, None), ("radio", {"has_radio": True}, True),
    ("cloth", {"pack": "small"}, True), ("cloth", {"has_cloth": False}, False),
    ("drogue", {"drogue_set": True}, True), ("drogue", {"drogue_set": True, "has_drogue": False}, True),
    ("drogue", {"drogue_set": False}, None), ("no_such_item", {}, None)])
def test_what_is_to_hand(small: Knowledge, item: str, facts: dict[str, Any], has: bool | None) -> None:
    assert view(small, known(**facts)).lookup(f"has:{item}") is has


def test_presumptions_rest_on_each_other_and_give_way_to_reports(small: Knowledge) -> None:
    lost = view(small, known(has_drogue=False))
    assert sorted(lost.presumed()) == [("aboard", True, "only seen from inside"),
                                       ("drogue_set", False, "there is no drogue aboard")]
    assert view(small, known(has_drogue=False, aboard=False)).lookup("aboard") is False
    assert view(small).presumed() == []
    assert lost.state.known() == {"has_drogue": False}


# ---- which steps --------------------------------------------------------------------------------------------

def test_an_unknown_situation_calls_for_nothing(small: Knowledge) -> None:
    assert planned(small) == []


def test_a_step_is_done_by_what_it_brings_about(small: Knowledge) -> None:
    assert "stream" in planned(small, known(aboard=True))
    assert "stream" not in planned(small, known(aboard=True, drogue_set=True))


def test_a_step_is_done_by_its_mark_until_it_is_called_for_anew(small: Knowledge) -> None:
    bleeding, pressed = known(1, bleeding=True), marked(2, "press")
    assert "press" in planned(small, bleeding)
    assert "press" not in planned(small, bleeding, pressed)
    assert "press" not in planned(small, bleeding, pressed, known(3, bleeding=True))
    assert "press" in planned(small, bleeding, pressed, known(3, bleeding=False), known(4, bleeding=True))
    assert "press" in planned(small, bleeding, pressed, known(3, bleeding=False), known(4, bleeding=True),
                              known(5, bleeding=True))


def test_a_mark_outlives_hearing_what_was_presumed(small: Knowledge) -> None:
    events = [known(1, drogue_set=False), marked(2, "mop"), known(3, aboard=True)]
    assert "mop" not in planned(small, *events)


def test_a_mark_falls_with_what_the_step_had_brought_about(small: Knowledge) -> None:
    events = [known(1, aboard=True), marked(2, "bail"), known(3, dry=False)]
    assert "bail" not in planned(small, *events[:2], at="2026-03-01T10:10:00Z")
    assert "bail" in planned(small, *events, at="2026-03-01T10:10:00Z")


@pytest.mark.parametrize(("at", "due"), [
    ("2026-03-01T10:59:59Z", False), ("2026-03-01T11:00:00Z", True), ("2026-03-01T12:59:59+02:00", False),
    ("2026-03-01T11:00:00", True), ("", False), ("yesterday", False)])
def test_a_step_returns_after_its_time(small: Knowledge, at: str, due: bool) -> None:
    assert ("chafe" in planned(small, known(drogue_set=True), marked(1, "chafe"), at=at)) is due


def test_a_step_returns_after_the_report_of_what_it_brings_about(small: Knowledge) -> None:
    events = known(1, aboard=True, dry=True)
    assert "bail" not in planned(small, events, at="2026-03-01T11:00:00Z")
    assert "bail" in planned(small, events, at="2026-03-01T12:00:00Z")
    assert "bail" not in planned(small, events, marked(2, "bail", minutes=90))
    line = next(item.line for item in plan(view(small, events), NOON, None) if item.step.id == "bail")
    assert "last done 2 h ago, due every 2 h" in line


def test_what_forbids_a_step_keeps_it_out(small: Knowledge) -> None:
    assert "share" in planned(small, known(aboard=True, water=1.0))
    assert "share" not in planned(small, known(aboard=True, water=0.0))


def test_one_side_of_a_dispute_is_planned(small: Knowledge) -> None:
    both = {"drink_now", "drink_later"}
    assert both & set(planned(small, known(aboard=True))) == {"drink_now"}
    other = view(small, known(aboard=True), positions={"first_day": "hold"})
    assert both & set(ids(plan(other, NOON, None))) == {"drink_later"}


def test_lacking_needs_lead_to_the_stand_in(small: Knowledge) -> None:
    lost = known(aboard=True, has_drogue=False)
    assert [s for s in planned(small, lost) if s.startswith("stream")] == ["stream_spare"]
    assert [s for s in planned(small, lost, known(has_spare=False)) if s.startswith("stream")] == []
    item = next(i for i in plan(view(small, lost), NOON, None) if i.step.id == "stream_spare")
    assert item.line.startswith("No drogue aboard: this stands in")
    assert planned(small, known(plane=True, rockets=0)) == ["wave"]
    assert planned(small, known(plane=True, rockets=1)) == ["fire", "wave"]


def test_a_need_of_which_nothing_is_known_is_no_hindrance(small: Knowledge) -> None:
    assert "phone" in planned(small, known(aboard=True))
    assert "phone" not in planned(small, known(aboard=True, has_radio=False))


# ---- their order --------------------------------------------------------------------------------------------

def test_emergency_then_chance_then_the_rest(small: Knowledge) -> None:
    found = planned(small, known(aboard=True, bleeding=True, plane=True, rockets=1))
    assert found[:5] == ["press", "bandage", "fire", "wave", "stream"]


def test_what_has_to_come_before_comes_before(small: Knowledge) -> None:
    found = planned(small, known(aboard=True, drogue_set=True))
    assert found.index("bail") < found.index("mop")
    assert "mop" in planned(small, known(aboard=True, dry=True), at="2026-03-01T10:01:00Z")


def test_conditions_make_a_step_urgent(small: Knowledge) -> None:
    afloat = known(aboard=True, drogue_set=True, hours=1.0, has_radio=False)
    assert planned(small, afloat)[:3] == ["chafe", "bail", "cut_rope"]
    assert planned(small, afloat, known(rough=True))[:3] == ["bail", "chafe", "cut_rope"]


def test_urgency_grows_with_each_condition_and_each_time_missed(small: Knowledge) -> None:
    afloat = view(small, known(aboard=True, drogue_set=True, rough=True), marked(1, "bail"), marked(1, "chafe"))
    points = {at: [urgency(afloat, small.steps[name], f"2026-03-01T{at}:00Z") for name in ("chafe", "bail")]
              for at in ("10:30", "11:10", "13:10")}
    assert points == {"10:30": [0, 1], "11:10": [1, 1], "13:10": [3, 2]}


def test_of_what_can_wait_the_shorter_goes_first_and_an_emergency_keeps_its_order(small: Knowledge) -> None:
    def taking(seconds: float, *names: str) -> Knowledge:
        return small._replace(steps=small.steps | {name: small.steps[name]._replace(takes_s=seconds) for name in names})

    facts = known(aboard=True, bleeding=True)
    names = ("press", "bandage", "share", "drink_now")
    assert [name for name in planned(small, facts) if name in names] == ["press", "bandage", "share", "drink_now"]
    longer = planned(taking(600.0, "press", "share"), facts)
    assert [name for name in longer if name in names] == ["press", "bandage", "drink_now", "share"]


def test_three_jobs_of_three_topics_stand_in_front(small: Knowledge) -> None:
    found = planned(small, known(aboard=True))
    assert found[:3] == ["stream", "phone", "bail"]
    waits_for_mop = planned(small, known(aboard=True, drogue_set=True, has_radio=False))
    assert waits_for_mop[:5] == ["chafe", "bail", "share", "mop", "log"]
    assert planned(small, known(aboard=True, bleeding=True))[:3] == ["press", "bandage", "stream"]
    assert planned(small, known(plane=True))[:3] == ["fire", "wave"]


def test_the_limit_cuts_and_changes_nothing_else(small: Knowledge) -> None:
    here = view(small, known(aboard=True, bleeding=True))
    whole = plan(here, NOON, None)
    assert plan(here, NOON) == whole[:3]
    assert plan(here, NOON, 1) == whole[:1]


# ---- why ----------------------------------------------------------------------------------------------------

def kinds(reason: Reason) -> set[str]:
    return {reason.kind}.union(*(kinds(child) for child in reason.children))


def test_a_reason_names_facts_words_rule_and_source(small: Knowledge) -> None:
    item = plan(view(small, known(drogue_set=False)), NOON)[0]
    assert item.line == "the drogue is not out; nothing is more urgent"
    text = "\n".join(item.reason.lines())
    assert '"about drogue_set"' in text
    assert "presumed: only seen from inside" in text
    assert "common practice" in text
    assert {"said", "presumed", "needs", "rule", "source"} <= kinds(item.reason)


@pytest.mark.parametrize(("step", "facts", "words"), [
    ("sea_note", {}, "answers a question"), ("drink_later", {"aboard": True}, "side of a dispute"),
    ("stream", {}, "it waits until aboard is true"), ("stream", {"aboard": True, "drogue_set": True}, "it is done"),
    ("share", {"aboard": True, "water": 0}, "not while water = 0"),
    ("fire", {"plane": True, "rockets": 0}, "instead: do it"),
    ("phone", {"aboard": True, "has_radio": False}, "nothing stands in"),
    ("drink_now", {"aboard": True, "bleeding": True}, "others go first"),
    ("press", {"bleeding": True}, "an emergency goes before everything else")])
def test_why_and_why_not(small: Knowledge, step: str, facts: dict[str, Any], words: str) -> None:
    assert words in "\n".join(open_reason(view(small, known(**facts)), small.steps[step], NOON).lines())


def test_why_not_a_step_that_was_done_tells_when(small: Knowledge) -> None:
    here = view(small, known(drogue_set=True), marked(2, "chafe"))
    reason = open_reason(here, small.steps["chafe"], "2026-03-01T10:30:00Z")
    assert '''done at 10:00 UTC on 1 March (you said: "that's done"); due every 1 h''' in "\n".join(reason.lines())


@pytest.mark.parametrize(("at", "words"), [
    ("2026-03-01T10:00:00", "10:00 UTC on 1 March"), ("2026-12-31T23:59:59+02:00", "23:59 UTC+0200 on 31 December"), ("noon", "noon")])
def test_a_time_in_words(at: str, words: str) -> None:
    assert moment_words(at) == words


# ---- advice -------------------------------------------------------------------------------------------------

def advised(here: View, topic: str, skip_done: bool = False) -> tuple[list[str], list[str]]:
    steps, missing = answer(here, here.knowledge.topics[topic].steps, skip_done)
    return [step.id for step in steps], missing


def test_advice_shows_notes_and_steps_in_order(small: Knowledge) -> None:
    assert advised(view(small), "sea") == (["stream", "stream_spare", "chafe", "sea_note", "sea_old"], [])


def test_advice_replaces_what_is_lacking(small: Knowledge) -> None:
    assert advised(view(small, known(rockets=0)), "fly") == (["wave"], [])
    assert advised(view(small, known(has_knife=False)), "cut") == (["sea_old", "cut_note"], [])
    lost = view(small, known(has_drogue=False))
    assert advised(lost, "sea") == (["stream_spare", "chafe", "sea_note"], ["No drogue aboard."])
    both_lost = view(small, known(has_drogue=False, has_spare=False))
    assert advised(both_lost, "sea") == (["sea_note", "chafe"], ["No drogue aboard."])


def test_advice_says_once_what_is_missing(small: Knowledge) -> None:
    assert advised(view(small, known(has_knife=False, has_drogue=False)), "cut") == (["cut_note"], ["No knife aboard."])
    assert answer(view(small, known(has_radio=False)), ["phone", "phone"]) == ([], ["No radio aboard."])


def test_advice_leaves_out_what_is_forbidden_or_not_the_side_taken(small: Knowledge) -> None:
    assert advised(view(small, known(water=0.0)), "drink") == ([], [])
    assert advised(view(small, positions={"first_day": "hold"}), "drink") == (["share", "drink_later"], [])
    assert answer(view(small, known(has_knife=False)), ["cut_old"]) == ([], [])


def test_advice_may_skip_what_is_done(small: Knowledge) -> None:
    here = view(small, known(drogue_set=True), marked(2, "sea_note"))
    assert advised(here, "sea")[0][0] == "stream"
    assert advised(here, "sea", skip_done=True)[0] == ["stream_spare", "chafe", "sea_old"]


# ---- what returns -------------------------------------------------------------------------------------------

def came_back(here: View, at: str) -> dict[str, tuple[str | None, float]]:
    return {item.step.id: (item.last_at, item.due_in_s) for item in returning(here, at)}


def test_returning_steps_tell_when_they_were_done_and_when_they_are_due(small: Knowledge) -> None:
    here = view(small, known(aboard=True, drogue_set=True), marked(2, "chafe"), marked(3, "bail", minutes=30))
    assert came_back(here, "2026-03-01T10:40:00Z") == {
        "chafe": ("2026-03-01T10:00:00+00:00", 20 * 60), "bail": ("2026-03-01T10:30:00+00:00", 110 * 60)}
    assert came_back(here, "2026-03-01T11:30:00Z")["chafe"] == ("2026-03-01T10:00:00+00:00", -30 * 60)
    assert [item.step.id for item in returning(here, "2026-03-01T13:00:00Z")] == ["chafe", "bail"]


def test_a_returning_step_never_done_is_due_and_one_of_no_use_is_not_told(small: Knowledge) -> None:
    assert came_back(view(small, known(aboard=True)), NOON) == {"bail": (None, 0.0)}
    assert came_back(view(small), NOON) == {}


def test_a_time_that_cannot_be_read_makes_nothing_due(small: Knowledge) -> None:
    here = view(small, known(drogue_set=True), marked(1, "chafe"))
    assert came_back(here, "yesterday")["chafe"] == ("2026-03-01T10:00:00+00:00", 3600)


@pytest.mark.parametrize(("at", "words"), [
    ("2026-03-01T10:20:00Z", "last done 20 min ago, every 1 h, due in 40 min"), ("2026-03-01T11:00:30Z", "every 1 h, due now"),
    ("2026-03-01T13:10:00Z", "last done 3 h 10 min ago, every 1 h, overdue by 2 h 10 min")])
def test_due_in_words(small: Knowledge, at: str, words: str) -> None:
    here = view(small, known(drogue_set=True), marked(1, "chafe"))
    assert words in returning_words(next(item for item in returning(here, at) if item.step.id == "chafe"))
