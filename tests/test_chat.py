"""The chat: plain lines, the prompt, keeping and resuming."""
from __future__ import annotations

import io
import os
import signal
import subprocess
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest
from prompt_toolkit.application import create_app_session
from prompt_toolkit.input import PipeInput, create_pipe_input
from prompt_toolkit.output import DummyOutput

from guide.session import Session
from guide.starting import Started, start
from guide.state.journal import JournalError, read
from guide.terminal import chat, keeping
from guide.terminal.keeping import data_folder

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
    chat.talk(started, kept or keeping.latest(AT), given or {}, io.StringIO(lines), target)
    return target.getvalue()


def test_plain_lines_answer_and_say_where_all_is_saved(started: Started, sessions: Path) -> None:
    said = talked(started, "six of us\n\nhow do i pump up the floor\n")
    assert "Understood: persons: 6." in said and "About: pumping up the floor" in said
    (path,) = sessions.glob("*.jsonl")
    assert "".join(said.split()).endswith(f"Allissavedin{path}.")
    assert "\x1b" not in said and "> " not in said


def test_a_later_chat_goes_on_with_the_latest(started: Started, sessions: Path) -> None:
    talked(started, "six of us\n")
    said = talked(started, "the drogue is out\n")
    assert "Going on with" in said and " 1 thing known" in " ".join(said.split())
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
    assert "Understood: persons: 6." in said and "Not saved: 1 turn" in said


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

    def append(events: object) -> None:
        if full:
            raise JournalError("one.jsonl: this turn could not be saved: No space left on device")
        real(events)  # type: ignore[arg-type]

    monkeypatch.setattr(kept.journal, "append", append)
    session = Session(started.knowledge, started.reader, lambda: AT, keeper=kept)
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
    assert chat.run(started, {}, journal=path, new=True, plain=True) == 2
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
    assert b"Understood: persons: 6." in done.stdout and b"\x1b" not in done.stdout


def test_killed_after_an_answer_nothing_is_lost(started: Started, sessions: Path) -> None:
    child = subprocess.Popen([sys.executable, "-m", "guide", "chat", "--plain"], cwd=ROOT, stdin=subprocess.PIPE,
                             stdout=subprocess.PIPE, text=True)
    assert child.stdin is not None and child.stdout is not None
    child.stdin.write("six of us\n")
    child.stdin.flush()
    while "Understood: persons: 6." not in child.stdout.readline():
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


def interacted(started: Started, keyboard: PipeInput, keys: str, tmp_path: Path) -> list[tuple[str, object]]:
    path = tmp_path / "talk.jsonl"
    keyboard.send_text(keys)
    chat.interact(started, keeping.opened(path, AT), {})
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


def test_lines_are_remembered_across_sessions(started: Started, keyboard: PipeInput, tmp_path: Path) -> None:
    interacted(started, keyboard, "six of us\r\x04", tmp_path)
    history = data_folder() / "history"
    assert "+six of us" in history.read_text() and history.stat().st_mode & 0o077 == 0


def test_suggestions_put_the_closest_first(started: Started) -> None:
    from prompt_toolkit.completion import CompleteEvent
    from prompt_toolkit.document import Document
    talk = chat.Chat(started, keeping.in_memory("test"), lambda rows: None)
    offered = list(chat._completer(talk).get_completions(Document("drog"), CompleteEvent()))
    assert "drogue" in offered[0].text and offered[0].display_meta_text in ("equipment", "situation")
    assert len(offered) <= 6
    assert not list(chat._completer(talk).get_completions(Document("d"), CompleteEvent()))
