"""One conversation: taking back, done, which of these, the machine's turn, and a process that is killed."""
from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import pytest

from guide.cli import main
from guide.knowledge.records import Value
from guide.session import Session
from guide.starting import Started, start
from guide.state.journal import read
from guide.turn import Turn, in_short
from tests.talking import changed

ROOT = Path(__file__).resolve().parent.parent
AT = "2031-04-05T06:07:08+00:00"
VAGUE = ("what about the thing", "and that other one", "how about it then", "what do we do about this", "the line thing",
         "what about the light", "it keeps doing that")
"""Sentences too vague to answer; the guide must ask back at one of them at least."""


@pytest.fixture(scope="module")
def started() -> Started:
    return start()


@pytest.fixture
def read_once(started: Started, monkeypatch: pytest.MonkeyPatch) -> None:
    """Commands run in this process share one reading of the knowledge."""
    monkeypatch.setattr("guide.starting.start", lambda *_, **__: started)


def talk(started: Started, *lines: str, given: Mapping[str, Value] | None = None) -> tuple[Session, list[Turn]]:
    session = started.session(clock=lambda: AT)
    session.given(given or {})
    return session, [session.answer(line) for line in lines]


# ---- taking back

def test_undo_restores_unknown(started: Started) -> None:
    session, turns = talk(started, "the drogue is out", "undo")
    assert changed(turns[0]) == {"drogue_set": True}
    assert changed(turns[1]) == {"drogue_set": None}
    assert session.state.known() == {}


def test_undo_restores_the_value_before(started: Started) -> None:
    session, turns = talk(started, "six of us in the raft", "there are seven of us", "undo")
    assert session.state.value("persons") == 6
    assert changed(turns[-1])["persons"] == 6


@pytest.mark.parametrize("words", ["undo", "no, scrap that", "sorry, take that back", "scratch that", "Undo!", "oops, undo"])
def test_every_way_of_taking_back(started: Started, words: str) -> None:
    session, turns = talk(started, "the drogue is out", words)
    assert (turns[1].topic, session.state.known()) == ("take_back", {})


def test_undo_twice_steps_back_twice(started: Started) -> None:
    session, _ = talk(started, "the drogue is out", "six of us in the raft", "undo", "undo")
    assert session.state.value("drogue_set") is None and session.state.value("persons") is None


def test_undo_says_what_it_took_back(started: Started) -> None:
    _, turns = talk(started, "the drogue is out", "undo")
    assert any("the drogue is out" in note for note in turns[1].notes)


def test_nothing_to_take_back_is_said(started: Started) -> None:
    session, turns = talk(started, "undo", given={"persons": 4})
    assert any("nothing to take back" in note for note in turns[0].notes)
    assert session.state.known() == {"persons": 4}


def test_a_question_between_is_not_what_undo_takes_back(started: Started) -> None:
    session, _ = talk(started, "the drogue is out", "how far can we see", "undo")
    assert session.state.known() == {}


# ---- done

def test_done_reports_the_first_next_step(started: Started) -> None:
    session, turns = talk(started, "what now", "done")
    step = turns[0].next[0].step
    assert step.id in session.state.done
    assert all(session.state.value(fact) == value for fact, value in step.sets.items())
    assert in_short(step.say) in " ".join(turns[1].notes)
    assert step.id not in [n.step.id for n in turns[1].next]


def test_done_can_be_taken_back(started: Started) -> None:
    session, _ = talk(started, "what now", "done", "undo")
    assert not session.state.done and session.state.known() == {}


def test_undo_of_done_names_the_step(started: Started) -> None:
    _, turns = talk(started, "what now", "done", "undo")
    assert in_short(turns[0].next[0].step.say) in turns[2].notes[0] and "no longer" in turns[2].notes[0]


def test_why_after_an_undo_is_about_the_plan(started: Started) -> None:
    _, turns = talk(started, "we are in the raft", "the drogue is out", "undo", "why")
    assert turns[-1].notes[0].startswith(f'"{turns[-2].next[0].step.say}"')


def test_done_before_anything_was_shown_changes_nothing(started: Started) -> None:
    session, _ = talk(started, "done")
    assert not session.state.done and session.state.known() == {}


# ---- which of these

def vague(started: Started) -> tuple[Session, Turn]:
    for words in VAGUE:
        session, turns = talk(started, words)
        if turns[0].outcome == "unsure" and "what_can_you_do" not in turns[0].choices:
            return session, turns[0]
    pytest.fail("the guide is sure about every vague sentence")


def test_unsure_names_two_or_three_and_advises_nothing(started: Started) -> None:
    _, turn = vague(started)
    assert 2 <= len(turn.choices) <= 3 and turn.topic == turn.choices[0]
    assert turn.advice == () and turn.changes == ()


@pytest.mark.parametrize(("words", "number"), [("1", 0), ("2", 1), ("the second one", 1), ("first", 0)])
def test_a_choice_by_number(started: Started, words: str, number: int) -> None:
    session, asked = vague(started)
    turn = session.answer(words)
    assert (turn.outcome, turn.topic) == ("answered", asked.choices[number])
    assert turn.changes == ()


def test_a_choice_by_a_word_of_its_own(started: Started) -> None:
    session, asked = vague(started)
    titles = {name: re.findall(r"\w+", started.knowledge.topics[name].title.lower()) for name in asked.choices}
    name, word = next((name, word) for name in asked.choices for word in titles[name]
                      if len(word) > 3 and sum(word in other for other in titles.values()) == 1
                      and not any(reading.told for reading in started.reader.read(word).readings))
    turn = session.answer(word)
    assert (turn.outcome, turn.topic, turn.changes) == ("answered", name, ())


@pytest.mark.parametrize("words", ["neither", "none of these"])
def test_neither(started: Started, words: str) -> None:
    session, asked = vague(started)
    turn = session.answer(words)
    assert turn.topic not in asked.choices and turn.changes == ()


def test_a_report_is_heard_though_a_question_is_open(started: Started) -> None:
    session, _ = vague(started)
    assert changed(session.answer("two men are missing"))["persons_missing"] == 2


# ---- amounts over turns

def test_used_is_taken_from_what_is_known(started: Started) -> None:
    session, _ = talk(started, "fired one rocket", given={"rocket_flares": 4})
    assert session.state.value("rocket_flares") == 3


def test_used_from_an_unknown_stock_asks_for_what_is_left(started: Started) -> None:
    session, turns = talk(started, "fired one rocket")
    assert session.state.known() == {} and turns[0].changes == ()
    assert any("left" in note and note.endswith("?") for note in turns[0].notes)


def test_no_stock_goes_below_nothing(started: Started) -> None:
    session, _ = talk(started, "we burned three hand flares", given={"hand_flares": 2})
    assert session.state.value("hand_flares") == 0


def test_found_is_added(started: Started) -> None:
    session, _ = talk(started, "caught another three litres of rain", given={"water": 4.0})
    assert session.state.value("water") == 7


def test_a_corrected_use_is_counted_anew(started: Started) -> None:
    session, _ = talk(started, "we burned two hand flares", "no wait, we only burned one hand flare", given={"hand_flares": 6})
    assert session.state.value("hand_flares") == 5


def test_a_repetition_changes_nothing(started: Started) -> None:
    _, turns = talk(started, "the drogue is out", "the drogue is out")
    assert turns[1].changes == ()


def test_an_impossible_amount_is_asked_again(started: Started) -> None:
    session, turns = talk(started, "there are 900 of us")
    assert session.state.value("persons") is None and turns[0].changes == ()


# ---- the turn as a machine reads it

FIELDS: Mapping[str, type | tuple[type, ...]] = {
    "text": str, "outcome": str, "topic": (str, type(None)), "readings": list, "changes": list, "advice": list, "cautions": list,
    "figures": list, "next": list, "state": dict}
LISTED: Mapping[str, Mapping[str, type | tuple[type, ...]]] = {
    "readings": {"clause": str, "kind": str, "topic": (str, type(None)), "score": (int, float), "others": list},
    "changes": {"fact": str, "was": object, "now": object},
    "advice": {"step": str, "text": str, "topic": str, "priority": str, "equipment": list, "sources": list},
    "figures": {"id": str, "value": object, "unit": str, "inputs": dict, "sources": list},
    "next": {"step": str, "text": str, "topic": str, "priority": str, "reason": str}}
PRIORITIES = ("leave", "account", "protection", "location", "water", "food", "morale")
UTTERANCES = ("drogue's out but the floor is soft, how do i pump it", "what if the drogue tore off in the night", "six of us",
              "how long does the water last", "undo", "who won the football", "why", "what now", "what have we done", "done",
              "what about the thing", "?!", "there's a plane", "how far off is the horizon")


def check_turn(turn: Mapping[str, Any], text: str) -> None:
    """The fields, their types and what they may hold."""
    assert turn["text"] == text
    for name, kind in FIELDS.items():
        assert isinstance(turn[name], kind), name
    for name, fields in LISTED.items():
        for entry in turn[name]:
            for field, kind in fields.items():
                assert isinstance(entry[field], kind), f"{name}.{field}"
    assert turn["outcome"] in ("answered", "unsure", "outside")
    assert all(r["kind"] in ("question", "report", "what_if", "command") and 0 <= r["score"] <= 1 for r in turn["readings"])
    assert all(len(r["others"]) <= 4 for r in turn["readings"])
    assert len(turn["advice"]) <= 9 and len(turn["next"]) <= 3
    assert all(entry["priority"] in PRIORITIES for entry in (*turn["advice"], *turn["next"]))
    assert all(change["was"] != change["now"] for change in turn["changes"])
    if turn["outcome"] == "outside":
        assert turn["topic"] is None and turn["advice"] == [] and turn["changes"] == []
    if any(r["kind"] == "what_if" for r in turn["readings"]):
        assert turn["changes"] == [] and isinstance(turn["supposed"], list)
        assert turn["compare"].keys() == {"added", "dropped", "first"}
    else:
        assert "supposed" not in turn and "compare" not in turn


@pytest.mark.parametrize("given", [{}, {"pack": "solas_a", "persons": 6, "raft_capacity": 6, "water": 9.0}])
def test_the_fields_of_a_turn(started: Started, given: dict[str, Value]) -> None:
    session = started.session(clock=lambda: AT)
    session.given(given)
    for text in UTTERANCES:
        turn = json.loads(json.dumps(session.answer(text).as_json(started.knowledge), allow_nan=False))
        check_turn(turn, text)
        assert turn["state"] == session.state.known()


def test_a_turn_names_what_exists(started: Started) -> None:
    session = started.session(clock=lambda: AT)
    knowledge = started.knowledge
    for text in UTTERANCES:
        turn: dict[str, Any] = session.answer(text).as_json(knowledge)
        assert turn["topic"] is None or turn["topic"] in knowledge.topics
        assert {c["fact"] for c in turn["changes"]} <= knowledge.facts.keys()
        assert {a["step"] for a in (*turn["advice"], *turn["next"])} <= knowledge.steps.keys()


# ---- facts before the first utterance

@pytest.mark.usefixtures("read_once")
@pytest.mark.parametrize("command", [["ask", "--json"], ["ask"], ["chat", "--json"]])
@pytest.mark.parametrize(("given", "names"), [
    ("no_such_fact=1", ["no_such_fact"]), ("person=6", ["person", "persons"]), ("persons=999", ["persons", "150"]),
    ("persons=-1", ["persons", "0"]), ("persons=six", ["persons", "whole number"]), ("persons=6.5", ["persons", "whole"]),
    ("water=nan", ["water", "1000"]), ("water=inf", ["water"]), ("night=maybe", ["night", "true or false"]),
    ("pack=solas_z", ["pack", "solas_a", "coastal"]), ("persons", ["persons", "FACT=VALUE"]), ("=6", ["unknown fact"])])
def test_a_wrong_given_is_one_line(command: list[str], given: str, names: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    words = ["how do i pump up the floor"] if command[0] == "ask" else []
    assert main([*command, "--given", given, *words]) == 2
    out, err = capsys.readouterr()
    assert out == "" and err.count("\n") == 1
    assert all(name in err for name in names), err


@pytest.mark.usefixtures("read_once")
def test_given_facts_are_in_the_state(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["ask", "--json", "--given", "pack=coastal", "--given", "persons=4", "--given", "night=true", "what now"]) == 0
    state = json.loads(capsys.readouterr().out)["state"]
    assert state == {"pack": "coastal", "persons": 4, "night": True}


# ---- a process and its journal

class Child:
    """`guide chat --json --journal FILE`, a line at a time."""

    def __init__(self, journal: Path) -> None:
        self._process = subprocess.Popen(
            [sys.executable, "-m", "guide", "chat", "--json", "--journal", str(journal)], cwd=ROOT,
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE)

    def send(self, line: str) -> None:
        assert self._process.stdin is not None
        self._process.stdin.write(line.encode() + b"\n")
        self._process.stdin.flush()

    def turn(self, line: str) -> dict[str, Any]:
        """The turn, which is acknowledged by being printed."""
        self.send(line)
        assert self._process.stdout is not None
        shown: dict[str, Any] = json.loads(self._process.stdout.readline())
        return shown

    def kill(self) -> None:
        """SIGKILL; nothing can be written after it."""
        self._process.kill()
        self._process.communicate()

    def end(self) -> tuple[int, str]:
        """The end of input; exit status and standard error."""
        _, err = self._process.communicate(timeout=30)
        return self._process.returncode, err.decode()


STORY = ("mayday sent and acknowledged", "six of us in the raft, all accounted for", "4 rockets in the pack", "the drogue is out",
         "fired one rocket", "how do i pump up the floor", "undo", "the floor is pumped up", "three litres of water left")


def acknowledged(journal: Path, lines: Sequence[str]) -> dict[str, Any]:
    """The state of the last acknowledged turn of a process that is then killed."""
    child = Child(journal)
    state = [child.turn(line)["state"] for line in lines][-1]
    child.kill()
    return dict(state)


@pytest.mark.parametrize("turns", [1, 5, len(STORY)])
def test_killed_in_the_middle_every_acknowledged_turn_is_there(tmp_path: Path, turns: int) -> None:
    state = acknowledged(tmp_path / "talk.jsonl", STORY[:turns])
    assert state
    child = Child(tmp_path / "talk.jsonl")
    assert child.turn("what have we done")["state"] == state
    assert child.end() == (0, "")


def test_killed_before_the_answer_the_turn_is_there_whole_or_not_at_all(tmp_path: Path) -> None:
    child = Child(tmp_path / "talk.jsonl")
    before = child.turn("six of us in the raft")["state"]
    child.send("the drogue is out and the floor is pumped up")
    child.kill()
    child = Child(tmp_path / "talk.jsonl")
    state = child.turn("what have we done")["state"]
    assert state in (before, {**before, "drogue_set": True, "floor_inflated": True})
    child.kill()


def test_undo_reaches_back_over_a_restart(tmp_path: Path) -> None:
    before = acknowledged(tmp_path / "talk.jsonl", ["six of us in the raft"])
    acknowledged(tmp_path / "talk.jsonl", ["the drogue is out"])
    assert acknowledged(tmp_path / "talk.jsonl", ["undo"]) == before


@pytest.mark.parametrize("torn", [b'{"turn":9,"at":"2031', b"{", b'{"turn":9,"at":"2031-04-05T06:07:08+00:00","text":"\xe2\x80'])
def test_a_torn_last_line_costs_nothing_before_it(tmp_path: Path, torn: bytes) -> None:
    journal = tmp_path / "talk.jsonl"
    state = acknowledged(journal, STORY[:4])
    journal.write_bytes(journal.read_bytes() + torn)
    events, problems = read(journal)
    assert events and len(problems) == 1 and "cut short" in problems[0]
    assert acknowledged(journal, ["what have we done"]) == state
    after = acknowledged(journal, ["three litres of water left"])
    assert after == {**state, "water": 3}
    assert read(journal)[1] == []


@pytest.mark.usefixtures("read_once")
def test_a_journal_that_cannot_be_used_is_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "letter.txt").write_text("Dear all,\nhere is the list.\n")
    for path in (tmp_path / "letter.txt", tmp_path, tmp_path / "none" / "talk.jsonl"):
        assert main(["chat", "--json", "--journal", str(path)]) == 2
        out, err = capsys.readouterr()
        assert out == "" and err.count("\n") == 1 and path.name in err
    assert (tmp_path / "letter.txt").read_text() == "Dear all,\nhere is the list.\n"


def test_a_helicopter_holds_the_rockets_back_until_it_has_gone(started: Started) -> None:
    session = started.session(clock=lambda: "2000-01-01T12:00:00+00:00")
    session.given({"pack": "solas_a", "aboard_raft": True})
    assert {c.fact for c in session.answer("there's a helicopter!").changes} == {"aircraft_in_sight", "helicopter_near"}
    turn = session.answer("can we send up a rocket at it")
    assert "rocket_how" not in [a.step.id for a in turn.advice]
    assert not [n for n in turn.next if "rocket_flare" in n.step.needs]
    assert session.answer("helicopter's gone").state["helicopter_near"] is False
    assert "aircraft_rocket" in [n.step.id for n in session.answer("there's a plane").next]


def test_an_emergency_that_is_over_keeps_no_other_question(started: Started) -> None:
    session = started.session(clock=lambda: "2000-01-01T12:00:00+00:00")
    session.given({"aboard_raft": True})
    for text in ("he's in the water", "got him back in, he's aboard"):
        session.answer(text)
    assert session.answer("wheres the hole how do i find it in the dark").topic == "leak"


def test_a_number_beside_an_unclear_question_does_not_say_what_is_asked(started: Started) -> None:
    turn = started.session(clock=lambda: "2000-01-01T12:00:00+00:00").answer("how long til they come we only got 3 litters for 4 of us")
    assert turn.topic == "rescue_wait" or turn.outcome == "unsure"


def test_a_question_that_points_back_stays_with_the_emergency(started: Started) -> None:
    session = started.session(clock=lambda: "2000-01-01T12:00:00+00:00")
    session.given({"aboard_raft": True})
    session.answer("Rasa is in the water")
    assert session.answer("how do i get a line to her").topic == "recover_swimmer"


@pytest.mark.parametrize(("said", "outcome", "topic"), [("yes", "unsure", None), ("no", "answered", "what_can_you_do")])
def test_yes_and_no_to_a_question_back(started: Started, said: str, outcome: str, topic: str | None) -> None:
    session = started.session(clock=lambda: "2000-01-01T12:00:00+00:00")
    asked = session.answer("the thing is broken")
    assert asked.outcome == "unsure"
    turn = session.answer(said)
    assert (turn.outcome, turn.topic) == (outcome, topic or asked.topic) and not turn.changes


def test_done_after_a_question_is_about_its_answer(started: Started) -> None:
    session = started.session(clock=lambda: "2000-01-01T12:00:00+00:00")
    session.given({"aboard_raft": True, "painter_cut": True, "floor_inflated": False})
    asked = session.answer("how do i pump up the floor")
    assert asked.next[0].step.topic != "inflate_floor"
    assert {c.fact: c.now for c in session.answer("done").changes} == {"floor_inflated": True}


# ---- what returns

def test_the_status_tells_what_returns_and_when(started: Started) -> None:
    minutes = iter((0, 0, 0, 25, 95))
    session = started.session(clock=lambda: f"2031-04-05T{6 + (m := next(minutes)) // 60:02d}:{m % 60:02d}:00+00:00")
    session.given({"aboard_raft": True, "painter_cut": True, "drogue_set": False})
    session.answer("the drogue is out")
    early, late = session.answer("what have we done"), session.answer("what have we done")
    assert any("drogue line" in note and "last done 25 min ago, every 1 h, due in 35 min" in note for note in early.notes)
    assert any("drogue line" in note and "overdue by 35 min" in note for note in late.notes)
