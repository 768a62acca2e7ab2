"""The chat: plain lines, the prompt, keeping and resuming."""
from __future__ import annotations

import io
import json
import os
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from prompt_toolkit.application import create_app_session
from prompt_toolkit.input import PipeInput, create_pipe_input
from prompt_toolkit.output import DummyOutput

from guide.cli import main
from guide.session import Session
from guide.starting import Started, start
from guide.state.facts import Event
from guide.state.journal import JournalError, read
from guide.terminal import chat, keeping, prompting, talking
from guide.terminal import sessions as listing
from guide.terminal.keeping import data_folder
from guide.turn import Turn

ROOT = Path(__file__).resolve().parent.parent
AT = "2030-01-01T12:00:00+00:00"


@pytest.fixture(scope="module")
def started() -> Started:
    return start()


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    return tmp_path / "data"


@pytest.fixture
def sessions() -> Path:
    return data_folder() / "sessions"


def talked(started: Started, lines: str, kept: keeping.Kept | None = None, given: Mapping[str, int] | None = None) -> str:
    target = io.StringIO()
    talking.talk(started, kept or keeping.latest(AT), given or {}, io.StringIO(lines), target)
    return target.getvalue()


def test_plain_lines_answer_and_say_where_all_is_saved(started: Started, sessions: Path) -> None:
    said = talked(started, "six of us\n\nhow do i pump up the floor\n")
    assert "Understood: people aboard the raft: 6." in said and "About: pumping up the floor" in said
    (path,) = sessions.glob("*.jsonl")
    assert "".join(said.split()).endswith(f"Allissavedin{path}.")
    assert "\x1b" not in said and "> " not in said


def test_a_later_chat_goes_on_with_the_latest(started: Started, sessions: Path) -> None:
    talked(started, "six of us\n")
    said = talked(started, "the drogue is out\n")
    assert "Going on with session" in said and " 1 thing known" in " ".join(said.split())
    assert len(list(sessions.glob("*.jsonl"))) == 1
    assert "Going on with" not in talked(started, "what now\n", keeping.fresh("2030-01-02T12:00:00+00:00"))


def test_new_starts_afresh_and_both_are_kept(started: Started, sessions: Path) -> None:
    said = talked(started, "six of us\nnew\nthe drogue is out\nquit\n")
    assert "A new conversation" in said
    kept = [read(path)[0] for path in sessions.glob("*.jsonl")]
    names = [[event.name for event in events if event.kind == "fact"] for events in kept]
    assert sorted(names) == [["drogue_set"], ["persons"]]


def test_nothing_said_leaves_no_file(started: Started, sessions: Path) -> None:
    assert "There was nothing to save." in talked(started, "help\nmore\nquit\n")
    assert list(sessions.glob("*.jsonl")) == []


def test_given_facts_are_kept(started: Started, sessions: Path) -> None:
    talked(started, "", given={"persons": 4})
    (path,) = sessions.glob("*.jsonl")
    assert read(path)[0][0].value == 4


def test_a_folder_that_refuses_is_one_line_and_the_talk_goes_on(started: Started, home: Path) -> None:
    home.write_text("a file where the folder should be")
    said = " ".join(talked(started, "six of us\n").split())
    assert said.count("goes on in memory") == 1
    assert "Understood: people aboard the raft: 6." in said and "Not saved: 1 turn" in said


def test_a_journal_in_use_leads_to_a_new_one(started: Started, sessions: Path) -> None:
    talked(started, "six of us\n")
    (path,) = sessions.glob("*.jsonl")
    held = keeping.opened(path, AT)
    said = " ".join(talked(started, "the drogue is out\n").split())
    held.close()
    assert "another guide is using this journal" in said and "All is saved" in said
    assert len(list(sessions.glob("*.jsonl"))) == 2


def test_a_disk_that_is_full_for_a_while_loses_nothing(started: Started, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    kept = keeping.opened(tmp_path / "one.jsonl", AT)
    assert kept.journal is not None
    real, full = kept.journal.append, True

    def append(events: Sequence[Event]) -> None:
        if full:
            raise JournalError("one.jsonl: this turn could not be saved: No space left on device")
        real(events)

    monkeypatch.setattr(kept.journal, "append", append)
    session = Session(started.knowledge, started.answering, lambda: AT, keeper=kept)
    session.answer("six of us")
    session.answer("the drogue is out")
    assert len(kept.lines) == 1 and "No space left" in kept.lines[0] and "Not saved: 2 turns" in kept.farewell()
    full = False
    session.answer("four litres of water left")
    assert kept.lines[1:] == ["Saving works again: nothing is lost."]
    kept.close()
    assert [event.name for event in read(tmp_path / "one.jsonl")[0]] == ["persons", "drogue_set", "water"]


def test_new_never_writes_into_a_conversation(started: Started, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "one.jsonl"
    talked(started, "six of us\n", keeping.opened(path, AT))
    before = path.read_bytes()
    assert main(["chat", "--journal", str(path), "--new"]) == 2
    assert path.read_bytes() == before and "leave out --new" in capsys.readouterr().err


@pytest.mark.parametrize(("platform", "environment", "end"), [
    ("linux", {"XDG_DATA_HOME": "/somewhere"}, "/somewhere/liferaft-guide"),
    ("linux", {"XDG_DATA_HOME": "relative"}, ".local/share/liferaft-guide"),
    ("darwin", {}, "Library/Application Support/liferaft-guide"),
    ("win32", {"LOCALAPPDATA": "/local"}, "/local/liferaft-guide")])
def test_the_data_folder_of_each_platform(platform: str, environment: dict[str, str], end: str) -> None:
    assert data_folder(environment, platform).as_posix().endswith(end)


def test_plain_mode_by_a_pipe_never_loads_the_prompt(tmp_path: Path) -> None:
    code = ("import sys\nfrom guide.cli import main\nstatus = main(['chat', '--new'])\n"
            "assert 'prompt_toolkit' not in sys.modules\nsys.exit(status)")
    done = subprocess.run([sys.executable, "-c", code], input=b"six of us\nwhat \xff now\nquit\n", cwd=ROOT, capture_output=True,
                          env={**os.environ, "PYTHONIOENCODING": "ascii"}, timeout=60, check=False)
    assert done.returncode == 0, done.stderr
    assert b"Understood: people aboard the raft: 6." in done.stdout and b"\x1b" not in done.stdout


def test_killed_after_an_answer_nothing_is_lost(started: Started, sessions: Path) -> None:
    child = subprocess.Popen([sys.executable, "-m", "guide", "chat", "--plain"], cwd=ROOT, stdin=subprocess.PIPE,
                             stdout=subprocess.PIPE, text=True)
    assert child.stdin is not None and child.stdout is not None
    child.stdin.write("six of us\n")
    child.stdin.flush()
    while "Understood: people aboard the raft: 6." not in child.stdout.readline():
        assert child.poll() is None
    child.send_signal(signal.SIGKILL)
    child.wait()
    child.stdin.close()
    child.stdout.close()
    said = " ".join(talked(started, "").split())
    assert "Going on with" in said and "1 thing known" in said


@pytest.fixture
def keyboard() -> Iterator[PipeInput]:
    with create_pipe_input() as piped, create_app_session(input=piped, output=DummyOutput()):
        yield piped


def interacted(started: Started, keyboard: PipeInput, keys: str, tmp_path: Path) -> list[tuple[str, str]]:
    path = tmp_path / "talk.jsonl"
    keyboard.send_text(keys)
    prompting.interact(started, keeping.opened(path, AT), {})
    return [(event.kind, event.name) for event in read(path)[0]] if path.exists() else []


def test_the_prompt_takes_a_line_and_leaves_on_ctrl_d(started: Started, keyboard: PipeInput, tmp_path: Path) -> None:
    assert interacted(started, keyboard, "six of us\r\x04", tmp_path) == [("fact", "persons")]


def test_ctrl_c_clears_the_line(started: Started, keyboard: PipeInput, tmp_path: Path) -> None:
    assert interacted(started, keyboard, "six of us\x03the drogue is out\r\x04", tmp_path) == [("fact", "drogue_set")]


def test_the_keys_for_done_and_undo(started: Started, keyboard: PipeInput, tmp_path: Path) -> None:
    f2, f3 = "\x1bOQ", "\x1bOR"
    kept = interacted(started, keyboard, f"what now\r{f2}{f3}\x04", tmp_path)
    assert "done" in [kind for kind, _ in kept] and kept[-1] == ("undo", "turn")


def test_what_is_being_typed_survives_a_key(started: Started, keyboard: PipeInput, tmp_path: Path) -> None:
    kept = interacted(started, keyboard, "what now\rsix of\x1bOQ us\r\x04", tmp_path)
    assert ("fact", "persons") in kept


@pytest.mark.parametrize(("key", "number"), [("\x1b2", 1), ("\x1b1", 0)])
def test_a_key_answers_which_of_these(started: Started, keyboard: PipeInput, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
                                      key: str, number: int) -> None:
    topics = tuple(list(started.knowledge.topics)[:3])
    seen: list[str | None] = []

    class Asked(chat.Chat):
        def greet(self, given: object) -> None:
            self.session.last = Turn("it", "unsure", topics[0], choices=topics)

        def leave(self) -> None:
            seen.append(self.session.last.topic if self.session.last else None)
            super().leave()

    monkeypatch.setattr(prompting, "Chat", Asked)
    interacted(started, keyboard, f"{key}\x04", tmp_path)
    assert seen == [topics[number]]


def test_lines_are_remembered_across_sessions(started: Started, keyboard: PipeInput, tmp_path: Path) -> None:
    interacted(started, keyboard, "six of us\r\x04", tmp_path)
    history = data_folder() / "history"
    assert "+six of us" in history.read_text() and history.stat().st_mode & 0o077 == 0


def test_suggestions_put_the_closest_first(started: Started) -> None:
    from prompt_toolkit.completion import CompleteEvent
    from prompt_toolkit.document import Document
    talk = chat.Chat(started, keeping.in_memory("test"), lambda rows: None)
    offered = list(prompting._completer(talk).get_completions(Document("drog"), CompleteEvent()))
    assert "drogue" in offered[0].text and offered[0].display_meta_text in ("gear", "case")
    assert len(offered) <= 6
    assert not list(prompting._completer(talk).get_completions(Document("d"), CompleteEvent()))


# ---- tasks that return

class Talk:
    """A chat with a clock that is set by hand, and what it said since it was last asked."""

    def __init__(self, started: Started, *, spoken: bool = False, cut: bool = False, kept: keeping.Kept | None = None, at: str = AT) -> None:
        self.at = datetime.fromisoformat(at)
        self.rows: list[str] = []
        self.chat = chat.Chat(started, kept or keeping.in_memory("test"), lambda rows: self.rows.extend(row.text for row in rows),
                              chat.Manner(cut=cut, keys=cut, spoken=spoken), clock=lambda: self.at.isoformat())

    def said(self, *lines: str, after_min: float = 0) -> str:
        self.rows.clear()
        self.at += timedelta(minutes=after_min)
        for line in lines:
            self.chat.answer(line)
        return " ".join(" ".join(self.rows).split())


AFLOAT = ("we are all aboard the raft, painter cut", "the drogue is out", "lookout posted")


def test_a_task_that_falls_due_is_told_once_and_stands_in_the_status(started: Started) -> None:
    talk = Talk(started)
    talk.said(*AFLOAT)
    assert "DUE" not in talk.said("how do i pump up the floor", after_min=30) + talk.chat.status()
    assert "DUE: Change the lookout: last done 1 h" in talk.said("how do i pump up the floor", after_min=31)
    assert " DUE, first: " in talk.chat.status()
    assert "DUE: Change" not in talk.said("how do i pump up the floor", after_min=1)


def test_done_after_an_announcement_asks_which(started: Started) -> None:
    talk = Talk(started)
    talk.said(*AFLOAT)
    talk.said("what now", after_min=61)
    asked = talk.said("done")
    assert "Which is done?" in asked and "Change the lookout" in asked
    number = next(n for n in range(1, 9) if f"{n}. Change the lookout" in asked)
    assert "Noted as done: " in (said := talk.said(str(number))) and "Change the lookout" in said
    assert "watch_change" in talk.chat.session.state.done and "lookout" not in talk.chat.status()


@pytest.mark.parametrize("answer", ["neither", "a ship is in sight"])
def test_which_is_done_can_be_left(started: Started, answer: str) -> None:
    talk = Talk(started)
    talk.said(*AFLOAT)
    talk.said("what now", "done", after_min=61)
    talk.said(answer)
    assert not talk.chat.session.state.done
    assert (talk.chat.session.state.value("ship_in_sight") is True) == (answer != "neither")


def test_due_lists_what_returns_and_when(started: Started) -> None:
    talk = Talk(started)
    assert "Nothing has to be done again yet" in talk.said("due")
    talk.said(*AFLOAT)
    assert "every 1 h, due in 40 min." in talk.said("due", after_min=20)


def test_done_before_a_step_was_shown_is_explained(started: Started) -> None:
    talk = Talk(started)
    assert "No step has been shown" in talk.said("done") and not talk.chat.session.events


def test_a_due_task_is_told_above_the_prompt_and_the_line_stays(started: Started, keyboard: PipeInput, tmp_path: Path,
                                                                monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[str] = []
    path = tmp_path / "talk.jsonl"
    talk = Talk(started, kept=keeping.opened(path, AT), at="2001-01-01T12:00:00+00:00")
    talk.said(*AFLOAT)
    talk.chat.leave()
    rescue = threading.Timer(20, lambda: keyboard.send_text("\x03\x04"))
    rescue.start()

    class Said(chat.Chat):
        def announce(self) -> None:
            told.extend(item.step.id for item in self.news())
            super().announce()
            keyboard.send_text(" us\r\x04" if len(told) and not self.session.last else "")

    monkeypatch.setattr(prompting, "Chat", Said)
    monkeypatch.setattr(Said, "greet", lambda self, given: None)
    keyboard.send_text("six of")
    prompting.interact(started, keeping.opened(path, AT), {}, refresh_s=0.01)
    rescue.cancel()
    assert "watch_change" in told
    assert ("six of us", 6) in [(event.text, event.value) for event in read(path)[0]]


def test_an_open_step_is_suggested_and_noted_as_done(started: Started) -> None:
    from prompt_toolkit.completion import CompleteEvent
    from prompt_toolkit.document import Document
    talk = Talk(started)
    talk.said(*AFLOAT)
    offered = list(prompting._completer(talk.chat).get_completions(Document("close entr"), CompleteEvent()))
    (line,) = [one.text for one in offered if one.display_meta_text == "step" and "entrances" in one.text]
    assert line.startswith("done: Close the entrances") and 'Noted as done: "Close the entrances' in talk.said(line)
    assert line not in talk.chat.open_steps()


@pytest.mark.parametrize("answer", ["2", "two", "the second", "neither", "yes"])
def test_an_answer_to_no_question_is_said_to_be_one(started: Started, answer: str) -> None:
    assert "No question is open" in Talk(started).said(answer)


def test_done_after_an_order_is_what_was_ordered(started: Started) -> None:
    talk = Talk(started)
    talk.said("we are in the raft, six of us", "cut the painter")
    assert 'Noted as done: "Cut the painter' in talk.said("done") and talk.chat.session.state.value("painter_cut") is True


def test_done_after_a_report_of_something_that_is_not_next_asks_which_is_done(started: Started) -> None:
    talk = Talk(started)
    talk.said("we are in the raft, six of us", "there is water on the floor")
    asked = talk.said("done")
    assert "Which is done?" in asked and "1. Bail the water out" in asked and "2. Count everyone" in asked and "Next: " not in asked
    assert not talk.chat.session.state.done and talk.chat.session.state.value("raft_dry") is False
    assert 'Noted as done: "Bail the water out' in talk.said("1") and len(talk.chat.session.state.done) == 1


def test_neither_of_the_jobs_is_noted(started: Started) -> None:
    talk = Talk(started)
    talk.said("we are in the raft, six of us", "there is water on the floor", "done")
    assert "Nothing is noted as done." in talk.said("neither") and not talk.chat.session.state.done


def test_done_after_a_question_asks_where_an_emergency_comes_next(started: Started) -> None:
    """Unless it was asked how to do it: whoever asks how to bail has bailed."""
    talk = Talk(started)
    talk.said("we are in the raft", "there is a hole in the tube", "what is the bailer for")
    asked = talk.said("done")
    assert "1. Bail the water out" in asked and "2. Put a hand flat over the hole" in asked and not talk.chat.session.state.done
    talk.said("neither", "how do we bail")
    assert 'Noted as done: "Bail the water out' in talk.said("done")


def test_done_is_not_taken_for_the_plan_where_it_knows_nothing_of_the_emergency(started: Started) -> None:
    talk = Talk(started)
    talk.said("we are in the raft", "the upper tube has burst")
    asked = talk.said("done")
    assert "1. Shift everybody low" in asked and "2. Count everyone" in asked and not talk.chat.session.state.done


def test_help_longer_than_the_screen_is_cut_and_goes_on(started: Started, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("shutil.get_terminal_size", lambda: os.terminal_size((40, 20)))
    talk = Talk(started, cut=True)
    first = talk.said("help")
    assert first.startswith("In trouble now?") and 'More: type "more".' in first and "Ctrl-D" not in first
    assert "Ctrl-D" in talk.said("more", "more")


def test_pasted_lines_are_sentences_of_their_own(started: Started) -> None:
    talk = Talk(started)
    talk.said("six of us\n\nthe drogue is out\n")
    assert talk.chat.session.state.known() == {"persons": 6, "drogue_set": True}


# ---- spoken

def test_spoken_all_is_in_words_and_the_status_is_told_where_it_changed(started: Started) -> None:
    talk = Talk(started, spoken=True)
    assert "Status: 6 people" in talk.said("six of us")
    assert "Step 1: " in (said := talk.said("how do i pump up the floor")) and "Status: " not in said
    assert max(map(len, talk.rows)) > 100


# ---- sessions

def test_sessions_are_listed_resumed_and_renamed_by_typing(started: Started, sessions: Path) -> None:
    talked(started, "six of us\n")
    said = " ".join(talked(started, "new\nthe drogue is out\nsession rename night drill\nsessions\nsession resume 2\nquit\n").split())
    assert "This session is now called night drill." in said and '1. night drill, last used' in said and 'last said: "the drogue is out"' in said
    assert "6 people" in said and "1 thing known" in said.partition("session resume")[0]
    assert (sessions / "night drill.jsonl").exists()
    assert [event.name for event in read(sessions / "night drill.jsonl")[0]] == ["drogue_set"]


def test_a_new_name_goes_on_in_the_same_file(started: Started, sessions: Path) -> None:
    talked(started, "six of us\nsession rename one\nthe drogue is out\nundo\n")
    assert [event.kind for event in read(sessions / "one.jsonl")[0]] == ["fact", "fact", "undo"]
    assert len(list(sessions.iterdir())) == 1


@pytest.mark.parametrize("name", ["../out", "a/b", "a\\b", ".hidden", "", "con", "x" * 61, "nul.txt", "~", "a\x00b", "..", "end."])
def test_a_name_that_is_a_path_or_none_is_refused(started: Started, sessions: Path, name: str) -> None:
    before = {path.name for path in sessions.parent.rglob("*")}
    said = " ".join(talked(started, f"six of us\nsession rename {name}\nthe drogue is out\n").split())
    assert "cannot be a name" in said and "All is saved" in said
    assert len({path.name for path in sessions.parent.rglob("*")} - before - {"sessions"}) == 1


def test_a_taken_name_and_an_unknown_one_are_refused(started: Started, sessions: Path) -> None:
    talked(started, "six of us\nsession rename one\n")
    said = " ".join(talked(started, "new\nseven of us\nsession rename one\nsession resume two\nsession resume one\nsession resume one\n").split())
    assert 'there is a session "one" already' in said and 'called "two"; there are: ' in said
    assert 'is the session that you are in' in said


@pytest.mark.parametrize("line", ["session with the doctor on the radio", "resume cpr", "session"])
def test_words_that_only_look_like_a_command_are_said(started: Started, line: str) -> None:
    talk = Talk(started)
    talk.said(line)
    assert talk.chat.session.last is not None and talk.chat.session.last.text == line


def test_a_damaged_session_is_listed_with_its_trouble(started: Started, sessions: Path) -> None:
    sessions.mkdir(parents=True)
    (sessions / "odd.jsonl").write_text("not a journal\nat all\n")
    (found,) = listing.saved()
    assert "not a journal of this guide" in found.line()


def test_a_session_made_elsewhere_moves_no_cursor(started: Started, sessions: Path, capsys: pytest.CaptureFixture[str],
                                                  monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("guide.starting.start", lambda *_, **__: started)
    sessions.mkdir(parents=True)
    note = {"kind": "note", "by": "crew", "name": "turn", "value": None, "was": None}
    rows = [{"journal": 1, "started": "", "name": ""}, {"turn": 1, "at": "\x1b[2J", "text": "\x1b[31mred \x9b2J", "events": [note]}]
    (sessions / "odd.jsonl").write_text("".join(json.dumps(row) + "\n" for row in rows))
    assert main(["sessions"]) == main(["sessions", "export", "odd"]) == main(["sessions", "export", "odd", "--as", "json"]) == 0
    out, err = capsys.readouterr()
    assert "red" in out and not {"\x1b", "\x9b"} & set(out + err)


def test_an_export_is_written_once_and_read_again(started: Started, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    said = " ".join(talked(started, "six of us\nthe drogue is *out*\nundo\nsession export one.json\nsession export one.md\nsession export one.md\n"
                           "session export no/such/folder.md\nseven of us\n").split())
    assert said.count("Written to one.") == 2 and "there is such a file already" in said and "No such file" in said
    data = json.loads((tmp_path / "one.json").read_text())
    assert data["state"] == {"persons": 6} and data["turns"][1]["changes"] == [{"fact": "drogue_set", "was": None, "now": True}]
    text = (tmp_path / "one.md").read_text()
    assert "turn 2" in text and "\\*out\\*" in text and "takes back turn 2" in text and "- people aboard the raft: 6" in text
    assert "Understood: people aboard the raft: 7" in said


def test_sessions_as_a_command(started: Started, sessions: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("guide.starting.start", lambda *_, **__: started)
    assert main(["sessions"]) == 0 and "No session is kept yet" in capsys.readouterr().out
    talked(started, "six of us\n")
    assert main(["sessions", "rename", "1", "first"]) == 0 and (sessions / "first.jsonl").exists()
    assert main(["sessions"]) == 0 and "1. first, last used" in capsys.readouterr().out
    assert main(["sessions", "export", "first"]) == 0 and "people aboard the raft: 6" in capsys.readouterr().out
    assert main(["sessions", "export", "first", "--as", "json"]) == 0
    assert json.loads(capsys.readouterr().out)["state"] == {"persons": 6}
    assert main(["sessions", "rename", "first", "../x"]) == 2 and "cannot be a name" in capsys.readouterr().err
    assert main(["sessions", "export", "none"]) == 2 and len(capsys.readouterr().err.splitlines()) == 1
    assert main(["chat", "--resume", "nowhere"]) == 2


@pytest.mark.parametrize(("environment", "plain"), [({}, False), ({"TERM": "dumb"}, True), ({"NO_COLOR": "1"}, True), ({"NO_COLOR": ""}, False)])
def test_plain_by_itself(environment: dict[str, str], plain: bool) -> None:
    class Terminal(io.StringIO):
        def isatty(self) -> bool:
            return True

    assert talking.capable(environment, Terminal(), Terminal()) is not plain
    assert not talking.capable(environment, io.StringIO(), Terminal())
