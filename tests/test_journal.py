"""Nothing acknowledged is ever lost: cut lines, damaged lines, killed processes, full disks, two guides."""
from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from guide.starting import start
from guide.state.facts import Event
from guide.state.journal import Journal, JournalError, read

posix_only = pytest.mark.skipif(sys.platform == "win32", reason="needs POSIX locks or signals")


def turn(number: int, text: str = "drogue's out, naïve ☂") -> list[Event]:
    at = f"2026-03-01T10:00:{number % 60:02d}+00:00"
    return [Event("fact", number, at, "crew", "drogue_set", True, None, text),
            Event("done", number, at, "crew", "drogue_stream", True, None, text)]


def written(path: Path, turns: int) -> list[Event]:
    events: list[Event] = []
    with Journal(path, "2026-03-01T10:00:00+00:00", "practice") as journal:
        for number in range(1, turns + 1):
            journal.append(turn(number))
            events += turn(number)
    return events


def test_what_is_written_is_read(tmp_path: Path) -> None:
    events = written(tmp_path / "j", 3)
    assert read(tmp_path / "j") == (events, [])
    with Journal(tmp_path / "j") as journal:
        assert (journal.events, journal.problems) == (events, [])


def test_a_turn_is_one_line_below_a_header(tmp_path: Path) -> None:
    written(tmp_path / "j", 2)
    lines = [json.loads(line) for line in (tmp_path / "j").read_text(encoding="utf-8").splitlines()]
    assert lines[0] == {"journal": 1, "started": "2026-03-01T10:00:00+00:00", "name": "practice"}
    assert [(line["turn"], len(line["events"])) for line in lines[1:]] == [(1, 2), (2, 2)]


def test_events_of_one_turn_may_rest_on_different_words(tmp_path: Path) -> None:
    events = [turn(1, "drogue's out")[0], turn(1, "and the floor is up")[1]]
    with Journal(tmp_path / "j") as journal:
        journal.append(events)
        journal.append([])
    assert read(tmp_path / "j") == (events, [])


def test_mixed_turns_are_a_mistake_of_the_caller(tmp_path: Path) -> None:
    with Journal(tmp_path / "j") as journal, pytest.raises(ValueError, match="one turn"):
        journal.append([*turn(1), *turn(2)])


def test_cut_at_every_byte_of_the_last_line(tmp_path: Path) -> None:
    """Nothing before the cut is lost or rewritten, and the journal goes on."""
    events = written(tmp_path / "whole", 3)
    data = (tmp_path / "whole").read_bytes()
    start = data.rindex(b"\n", 0, -1) + 1
    path = tmp_path / "cut"
    for end in range(start, len(data)):
        path.write_bytes(data[:end])
        whole = end == len(data) - 1
        kept = events if whole else events[:-2]
        found, problems = read(path)
        assert found == kept
        assert len(problems) == (0 if whole or end == start else 1)
        with Journal(path) as journal:
            assert path.read_bytes() == data[:end]
            journal.append(turn(9))
        assert path.read_bytes().startswith(data if whole else data[:start])
        assert read(path) == ([*kept, *turn(9)], [])


def test_a_header_cut_short_starts_again(tmp_path: Path) -> None:
    path = tmp_path / "j"
    written(path, 0)
    header = path.read_bytes()
    for end in range(len(header)):
        path.write_bytes(header[:end])
        with Journal(path, "now") as journal:
            journal.append(turn(1))
        assert read(path) == (turn(1), [])


def test_a_damaged_line_costs_only_itself(tmp_path: Path) -> None:
    path = tmp_path / "j"
    events = written(path, 3)
    no_json, no_turn = "it is not JSON", "it is not a turn: "
    for damage, says in ((b"{", no_json), (b"\xff\xfe", no_json), (b"\0" * 40, no_json), (b"[" * 90000, no_json),
                         (b"[]", no_turn + "a turn is an object"), (b'"turn"', no_turn + "a turn is an object"), (b"7", no_turn + "a turn is an object"),
                         (b'{"turn":2,"at":"x","text":"y"}', "it has no events"),
                         (b'{"turn":2,"at":"x","text":"y","events":7}', no_turn + "events is a list of objects"),
                         (b'{"turn":"2","at":"x","text":"y","events":[{"kind":"note","by":"crew","name":"water"}]}', no_turn + "turn is a whole number"),
                         (b'{"turn":2,"at":"x","text":"y","events":[{"kind":"fact","by":"crew","name":"water","value":NaN}]}', no_turn + "NaN is not a number")):
        lines = path.read_bytes().split(b"\n")
        lines[2] = damage
        other = tmp_path / "damaged"
        other.write_bytes(b"\n".join(lines))
        found, problems = read(other)
        assert found == events[:2] + events[4:]
        assert len(problems) == 1
        assert problems[0] == f"{other}:3: damaged line left out ({says})"
        with Journal(other) as journal:
            journal.append(turn(4))
        assert other.read_bytes().startswith(b"\n".join(lines))


def test_a_file_of_something_else_is_left_alone(tmp_path: Path) -> None:
    for content in (b"Dear diary\n", b"Dear diary", b"{}\n{}\n", b"\x89PNG"):
        path = tmp_path / "notes"
        path.write_bytes(content)
        with pytest.raises(JournalError, match="not a journal"):
            Journal(path)
        assert path.read_bytes() == content


def test_a_later_version_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "j"
    path.write_bytes(b'{"journal":2}\n')
    with pytest.raises(JournalError, match="another version"):
        Journal(path)
    assert path.read_bytes() == b'{"journal":2}\n'


def test_errors_are_one_clear_line(tmp_path: Path) -> None:
    written(tmp_path / "file", 0)
    for path in (tmp_path / "none" / "j", tmp_path, tmp_path / "file" / "j"):
        for action in (Journal, read):
            with pytest.raises(JournalError) as caught:
                action(path)
            assert str(path) in str(caught.value)
            assert "\n" not in str(caught.value)


def test_a_closed_journal_takes_nothing(tmp_path: Path) -> None:
    journal = Journal(tmp_path / "j")
    journal.close()
    journal.close()
    with pytest.raises(JournalError, match="closed"):
        journal.append(turn(1))


@pytest.mark.parametrize("taken", [0, 1, 40, 100_000])
def test_a_full_disk_costs_only_the_turn(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, taken: int) -> None:
    """The write stops after some bytes, or the sync after all of them; the next turn stands on whole lines."""
    path, real_write, real_sync = tmp_path / "j", os.write, os.fsync
    events = written(path, 2)

    def write(fd: int, data: bytes) -> int:
        if taken < len(data):
            real_write(fd, data[:taken])
            raise OSError(28, "No space left on device")
        return real_write(fd, data)

    def sync(fd: int) -> None:
        raise OSError(28, "No space left on device")

    with Journal(path) as journal:
        monkeypatch.setattr(os, "write", write)
        monkeypatch.setattr(os, "fsync", sync)
        with pytest.raises(JournalError, match="No space left"):
            journal.append(turn(3))
        monkeypatch.setattr(os, "write", real_write)
        monkeypatch.setattr(os, "fsync", real_sync)
        assert read(path) == (events, [])
        journal.append(turn(3))
    assert read(path) == ([*events, *turn(3)], [])


def test_a_slow_disk_gets_the_whole_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real_write = os.write
    monkeypatch.setattr(os, "write", lambda fd, data: real_write(fd, data[:7]))
    events = written(tmp_path / "j", 2)
    assert read(tmp_path / "j") == (events, [])


def test_a_cut_that_fails_is_made_before_the_next_turn(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path, real_write, real_cut = tmp_path / "j", os.write, os.ftruncate

    def write(fd: int, data: bytes) -> int:
        real_write(fd, data[:10])
        raise OSError(5, "Input/output error")

    def cut(fd: int, length: int) -> None:
        raise OSError(5, "Input/output error")

    with Journal(path) as journal:
        monkeypatch.setattr(os, "write", write)
        monkeypatch.setattr(os, "ftruncate", cut)
        with pytest.raises(JournalError):
            journal.append(turn(1))
        monkeypatch.setattr(os, "write", real_write)
        monkeypatch.setattr(os, "ftruncate", real_cut)
        assert read(path)[0] == []
        journal.append(turn(2))
    assert read(path) == (turn(2), [])


_CHILD = """
import sys
from guide.state.journal import Journal
from guide.state.facts import Event
with Journal(sys.argv[1]) as journal:
    number = 0
    while True:
        number += 1
        journal.append([Event("fact", number, "2026-03-01T10:00:00", "crew", "persons", number, None, "x" * 200)])
        print(number, flush=True)
"""


def child(path: Path) -> subprocess.Popen[str]:
    return subprocess.Popen([sys.executable, "-c", _CHILD, str(path)], stdout=subprocess.PIPE, text=True,
                            cwd=Path(__file__).resolve().parent.parent)


@posix_only
def test_two_processes_on_one_journal_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "j"
    process = child(path)
    try:
        assert process.stdout is not None
        assert process.stdout.readline() == "1\n"
        with pytest.raises(JournalError, match="another guide is using this journal"):
            Journal(path)
        assert read(path)[0]
    finally:
        process.kill()
        process.communicate()
    Journal(path).close()


@posix_only
@pytest.mark.parametrize("turns", [1, 2, 7, 40])
def test_a_killed_process_loses_nothing_acknowledged(tmp_path: Path, turns: int) -> None:
    path = tmp_path / "j"
    process = child(path)
    assert process.stdout is not None
    for _ in range(turns):
        process.stdout.readline()
    process.send_signal(signal.SIGKILL)
    rest = process.communicate()[0].split()
    acknowledged = int(rest[-1]) if rest else turns
    numbers = [event.value for event in read(path)[0]]
    assert numbers[:acknowledged] == list(range(1, acknowledged + 1))
    with Journal(path) as journal:
        journal.append(turn(len(numbers) + 1))
    assert len(read(path)[0]) == len(numbers) + 2


@posix_only
def test_a_device_or_a_pipe_is_no_journal(tmp_path: Path) -> None:
    """A device may have no end: reading it would never stop."""
    os.mkfifo(tmp_path / "pipe")
    for path in (Path("/dev/full"), Path("/dev/zero"), tmp_path / "pipe"):
        for use in (Journal, read):
            with pytest.raises(JournalError, match="must be a file, not a device or pipe"):
                use(path)


def test_what_another_version_knew_is_left_out_and_told(tmp_path: Path) -> None:
    """Facts renamed since, values no longer possible: the talk goes on without them."""
    path, told = tmp_path / "j", []
    at = "2026-03-01T10:00:00+00:00"
    with Journal(path, at) as journal:
        journal.append([Event("fact", 1, at, "crew", "renamed_since", True, None, "x"), Event("fact", 1, at, "crew", "persons", "many", None, "x"),
                        Event("fact", 1, at, "crew", "persons_missing", -3, None, "x"), Event("fact", 1, at, "crew", "drogue_set", True, None, "x")])
    session = start().session(path, on_problem=told.append)
    assert session.state.known() == {"drogue_set": True}
    assert told == ["left out of this talk, for this knowledge knows no such fact or value: renamed_since=true, persons=many, persons_missing=-3"]
    assert session.answer("what's done").outcome == "answered"
