"""Replies as rows: width, order, cutting, safe echoing."""
from __future__ import annotations

import unicodedata
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from guide.session import Session
from guide.starting import Started, start
from guide.terminal.explaining import explain_lines
from guide.terminal.rendering import (
    MORE,
    OUTSIDE,
    fact_words,
    quantity,
    screens,
    turn_lines,
)
from guide.terminal.status import status_lines
from guide.terminal.wrapping import columns, wrapped
from guide.turn import Change, Turn, in_short

AT = "2030-01-01T12:00:00+00:00"


@pytest.fixture(scope="module")
def started() -> Started:
    return start()


@pytest.fixture
def session(started: Started) -> Session:
    return started.session(clock=lambda: AT)


@pytest.fixture
def lines(session: Session) -> Callable[..., list[str]]:
    def answered(text: str, width: int = 80, most: int | None = None) -> list[str]:
        return turn_lines(session.answer(text), session.knowledge, width=width, most=most)
    return answered


def test_a_report_is_echoed_and_what_it_replaces_is_said(lines: Callable[..., list[str]]) -> None:
    assert lines("the drogue is out")[0] == "Understood: the drogue is out."
    assert lines("the drogue is gone")[0] == "Understood: the drogue is not out (before: the drogue is out); no drogue aboard."


def test_a_question_names_its_topic_steps_and_equipment(session: Session) -> None:
    session.given({"pack": "solas_a"})
    shown = turn_lines(session.answer("how do i pump up the floor"), session.knowledge)
    assert shown[0].startswith("About: ") and shown[1].startswith("1. ")
    assert any("pump]" in line for line in shown)
    assert not any(line.startswith("Understood") for line in shown)


def test_cautions_begin_in_capitals_and_follow_the_steps(lines: Callable[..., list[str]]) -> None:
    shown = lines("can we drink sea water")
    first = next(n for n, line in enumerate(shown) if line.startswith("CAUTION: "))
    assert all(not line[:1].isdigit() for line in shown[first:])


def test_outside_is_one_sentence_without_advice(lines: Callable[..., list[str]]) -> None:
    assert " ".join(lines("what is the capital of France")) == OUTSIDE


def test_unsure_numbers_its_choices(started: Started) -> None:
    topics = tuple(list(started.knowledge.topics)[:3])
    shown = turn_lines(Turn("it", "unsure", topics[0], choices=topics), started.knowledge)
    titles = [started.knowledge.topics[topic].title for topic in topics]
    assert shown[0] == "Which of these do you mean?"
    assert shown[1:4] == [f"{n}. {title}" for n, title in enumerate(titles, start=1)]
    assert shown[4].endswith("neither")


def test_a_what_if_says_that_nothing_changed(lines: Callable[..., list[str]], session: Session) -> None:
    shown = lines("what if the drogue is lost")
    assert shown[0].startswith("If so: ") and "Nothing has been changed." in shown
    assert not session.state.known()


def test_what_now_does_not_repeat_itself(lines: Callable[..., list[str]]) -> None:
    assert not any(line.startswith("Next: ") for line in lines("what now"))


def test_a_next_step_that_is_the_first_advice_is_not_repeated(lines: Callable[..., list[str]]) -> None:
    assert any(line == "Next: step 1 above" for line in lines("there is a hole in the tube"))


def test_what_comes_next_is_no_part_of_an_answer_while_nothing_was_reported(lines: Callable[..., list[str]], session: Session) -> None:
    asked = [lines("can we drink sea water"), lines("what if the drogue is lost")]
    assert not any(line.startswith(("Next: ", "Then: ")) for shown in asked for line in shown)
    session.given({"vessel_afloat": True})
    assert any(line.startswith("Next: ") for line in lines("can we drink sea water"))


def test_the_next_step_is_told_in_full_and_the_others_in_short(lines: Callable[..., list[str]], session: Session) -> None:
    session.given({"vessel_afloat": True})
    shown = " ".join(" ".join(lines("can we drink sea water")).split())
    first, *others = session.last.next if session.last else ()
    assert f"Next: {first.step.say} ({first.line})" in shown
    assert [f"Then: {in_short(item.step.say)}" in shown for item in others] == [True, True]


def test_next_steps_shown_before_are_only_called_to_mind(lines: Callable[..., list[str]], session: Session) -> None:
    session.given({"vessel_afloat": True})
    lines("can we drink sea water")
    shown = [line for line in lines("how do we fish") if line.startswith(("Next: ", "Then: "))]
    assert len(shown) == 1 and "(as before)" in " ".join(lines("how do we fish"))
    assert any(line.startswith("Then: ") for line in lines("the drogue is lost"))


def test_an_emergency_that_the_plan_does_not_know_is_not_put_after_the_next_step(lines: Callable[..., list[str]]) -> None:
    lines("we are in the raft")
    shown = lines("the upper tube has burst")
    after = next(number for number, line in enumerate(shown) if line.startswith("After that: "))
    steps = [number for number, line in enumerate(shown) if line[:1].isdigit()]
    assert shown[1].startswith("1. Shift everybody low") and len(steps) > 2 and after > max(steps) and not any(line.startswith("Next: ") for line in shown)


def test_a_small_screen_tells_what_is_done_about_a_report_from_the_first_step_on(session: Session, started: Started) -> None:
    session.answer("we are in the raft")
    pages = screens(session.answer("the upper tube has burst"), started.knowledge, width=40, most=14)
    order = [int(row.text.split(".")[0]) for page in pages for row in page if row.kind == "step" and row.text[1:3] == ". "]
    assert order == sorted(order) and order[0] == 1 and all(row.kind != "next" for row in pages[0])


@pytest.mark.parametrize(("say", "short"), [("Stop it. Then rest.", "Stop it ..."), ("Stop it.", "Stop it."),
                                            ("Use 1.5 L each. Wait.", "Use 1.5 L each ...")])
def test_a_step_in_short_shows_that_there_is_more(say: str, short: str) -> None:
    assert in_short(say) == short


def test_after_a_plain_report_what_comes_next_stands_first_and_the_lesson_waits(session: Session) -> None:
    session.given({"vessel_afloat": True})
    first, rest = screens(session.answer("mayday sent"), session.knowledge, most=24)
    assert [row.kind for row in first if row.text[:1].isupper()] == ["head", "next", "next", "next", "more"]
    assert rest[0].text.startswith("About: ") and rest[1].text.startswith("1. ")


def test_the_step_that_was_asked_for_is_on_the_first_screen(session: Session) -> None:
    session.given({"helicopter_near": True})
    turn = session.answer("who goes up first")
    step = next(advice.step.say for advice in turn.advice if "who goes first" in advice.step.say)
    shown = [row.text for row in screens(turn, session.knowledge, most=18)[0]]
    assert shown[-1] == MORE and step in " ".join(" ".join(shown).split())


def test_an_emergency_that_ended_is_no_lesson_and_one_that_began_waits_for_nothing(session: Session) -> None:
    session.given({"aboard_raft": True, "painter_cut": True, "someone_unconscious": True})
    began = screens(session.answer("there's a hole in the tube"), session.knowledge, most=24)[0]
    assert any(row.kind == "step" for row in began)
    ended = screens(session.answer("the leak is stopped"), session.knowledge, most=24)[0]
    assert not any(row.kind == "step" for row in ended) and any(row.kind == "next" for row in ended)


def test_a_trouble_told_is_answered_at_once(session: Session) -> None:
    session.given({"aboard_raft": True, "painter_cut": True})
    shown = screens(session.answer("there's water in the raft"), session.knowledge, most=24)[0]
    assert any(row.kind == "step" for row in shown)


def test_an_emergency_stands_before_the_steps_about_a_lesser_report(lines: Callable[..., list[str]], session: Session) -> None:
    session.given({"aboard_raft": True, "painter_cut": True, "person_in_water": True})
    shown = [line[:2] for line in lines("there's water in the raft") if not line.startswith(" ")]
    assert shown.index("Ne") < shown.index("1.")
    assert next(line for line in lines("how do we bail the water out") if line[:2] in ("Ne", "1.")).startswith("1.")


def test_a_what_if_names_no_step_twice(lines: Callable[..., list[str]], session: Session) -> None:
    session.given({"aboard_raft": True, "painter_cut": True, "drogue_set": True, "hours_adrift": 2.0})
    shown = [line for line in lines("what if the drogue is lost", 1000) if " then: " in line]
    assert len({line.partition(" then: ")[2][:30] for line in shown}) == len(shown)


def test_why_is_its_reasons_alone(session: Session) -> None:
    session.answer("can we drink sea water")
    assert {row.kind for row in screens(session.answer("why"), session.knowledge)[0]} == {"head", "note"}


def test_spoken_rows_say_what_they_are(lines: Callable[..., list[str]], session: Session) -> None:
    session.given({"pack": "solas_a"})
    shown = turn_lines(session.answer("how do i pump up the floor"), session.knowledge, spoken=True)
    assert shown[2].startswith("Step 1: ") and any(" Uses: " in row for row in shown) and shown[1::2] == [""] * (len(shown) // 2)
    assert not any(mark in row for row in shown for mark in ("CAUTION", "[", "..."))


QUESTIONS = ("what now", "there is a hole in the tube", "how much water each a day", "a ship is in sight", "why",
             "what if we lose the drogue", "somebody is bleeding and the floor is flat", "undo", "what is in the pack")


@pytest.mark.parametrize("width", [40, 41, 57, 60, 80, 133, 200])
def test_never_wider_than_asked(session: Session, width: int) -> None:
    for question in QUESTIONS:
        shown = turn_lines(session.answer(question), session.knowledge, width=width)
        assert shown and max(map(columns, shown)) <= width


@pytest.mark.parametrize("most", [1, 4, 7, 15, 20])
def test_screens_hold_everything_once_and_no_more_rows_than_asked(session: Session, most: int) -> None:
    for question in QUESTIONS:
        turn = session.answer(question)
        parts = screens(turn, session.knowledge, width=60, most=most)
        limit = max(most, 2)
        assert all(len(part) <= limit for part in parts)
        assert all(part[-1].text == MORE for part in parts[:-1])
        rows = [row.text for part in parts for row in part if row.kind != "more"]
        assert sorted(rows) == sorted(turn_lines(turn, session.knowledge, width=60))


def test_a_caution_stands_on_the_screen_of_its_step(session: Session) -> None:
    """The first screen may hold cautions of the first step alone; from there on none comes later than its step."""
    turn = session.answer("there is a plane")
    parts = [[row.text for row in part] for part in screens(turn, session.knowledge, most=20)]
    assert len(parts) > 1 and turn.cautions
    for number, advice in enumerate(turn.advice, start=1):
        screen = next(n for n, part in enumerate(parts) if any(row.startswith(f"{number}. ") for row in part))
        shown = " ".join(" ".join(row.strip() for part in parts[:screen + 1] for row in part).split())
        for name in advice.step.cautions:
            say = session.knowledge.cautions[name].say
            assert say not in turn.cautions or say in shown


def test_control_characters_are_never_echoed(started: Started) -> None:
    said = 'Taken back: "\x1b[31mred\x07 \u202eover\x9b2J\r\n".'
    shown = turn_lines(Turn("", "answered", "take_back", notes=(said,)), started.knowledge)
    assert not [c for line in shown for c in line if unicodedata.category(c)[0] == "C"]


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=300), st.integers(40, 200), st.sampled_from(["", "1. ", "CAUTION: "]), st.integers(0, 9))
def test_wrapping_any_text(text: str, width: int, lead: str, hang: int) -> None:
    shown = wrapped(text, width, lead, hang)
    assert shown and max(map(columns, shown)) <= width
    assert not [c for line in shown for c in line if unicodedata.category(c)[0] == "C"]


def test_wide_characters_take_two_columns() -> None:
    assert columns("救命") == 4 and columns("e\u0301") == 1
    assert wrapped("救" * 30, 40) == ["救" * 20, "救" * 10]


def test_quantities_and_lost_facts_in_words(started: Started) -> None:
    facts = started.knowledge.facts
    assert fact_words(facts["water"], 4.0) == "drinking water aboard: 4 L"
    assert fact_words(facts["sea_temperature"], 12.5) == "sea-surface temperature: 12.5 °C"
    assert fact_words(facts["drogue_set"], None).startswith("no longer known whether ")
    assert fact_words(facts["water"], None).endswith(": no longer known")
    assert quantity(1_000_000.0, "kcal") == "1000000 kcal" and quantity(6, "persons") == "6"


def test_changes_of_unknown_facts_do_not_break(started: Started) -> None:
    assert turn_lines(Turn("", "answered", None, changes=(Change("no_such", None, 1),)), started.knowledge)


def test_explaining_names_words_and_the_runner_up(session: Session, started: Started) -> None:
    shown = explain_lines(session.answer("the drogue is gone and how do i pump up the floor"), started.reader)
    whole = " ".join(" ".join(shown).split())
    assert "most likely about: inflate_floor (" in whole and "%), by these clues: " in whole and "words +" in whole and ", behind most of all in: " in whole
    text = " ".join(" ".join(shown).split())
    assert '"the drogue is gone" - report' in text and "drogue_set = false" in text
    assert 'inflate_floor rests on: ' in text and 'word "floor"' in text and " behind, most of it for: " in text
    assert max(map(columns, shown)) <= 80
    assert explain_lines(Turn("", "answered", None), started.reader)


def test_explaining_an_amount_names_what_stands_beside_it(session: Session, started: Started) -> None:
    text = " ".join(" ".join(explain_lines(session.answer("just fired two rockets"), started.reader)).split())
    assert 'tells: rocket_flares used 2 that rests on: word "rocket"' in text


def test_the_status_says_what_is_in_force(session: Session, started: Started) -> None:
    session.given({"persons": 6, "water": 4.0, "rocket_flares": 1, "hours_adrift": 2.0})
    turn = session.answer("there is a hole in the tube")
    (line,) = status_lines(session.state, turn.next, started.knowledge, "2030-01-01T13:30:00+00:00", width=200)
    assert line.startswith("EMERGENCY: ")
    assert line.endswith("adrift 3 h 30 min; 6 people; water 4 L; signals left: 1 rocket")
    for width in (20, 40, 60, 80):
        assert max(map(columns, status_lines(session.state, turn.next, started.knowledge, AT, width=width))) <= width


def test_nobody_is_missing_once_all_are_accounted_for(started: Started, session: Session) -> None:
    session.answer("there are five of us in the raft")
    session.answer("one person is missing")
    assert "1 MISSING" in status_lines(session.state, (), started.knowledge, AT)[0]
    session.answer("everybody is accounted for")
    assert "MISSING" not in status_lines(session.state, (), started.knowledge, AT)[0]
