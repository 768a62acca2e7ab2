"""Crashes: killed at any moment, cut at every byte, no room, no leave to write, two at once. Nothing acknowledged may be lost."""
from __future__ import annotations

import argparse
import json
import os
import random
import resource
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, AnyStr

from guide.state.facts import fold
from guide.state.journal import Journal, JournalError, read
from tests.benchmarks.tables import show

SENTENCES = ("drogue's out", "the floor is flat", "we have nine litres of water", "drank a litre", "no wait, only half a litre", "undo",
             "there are six of us", "what now", "a helicopter is coming", "the painter is cut", "what if it gets dark", "fired two rockets")
KILLS_A_JOURNAL = 20
_CHAT = (sys.executable, "-m", "guide", "chat", "--json", "--journal")


@dataclass(slots=True)
class Tally:
    """What became of one kind of crash."""

    kind: str
    tried: int = 0
    acknowledged: int = 0
    lost: int = 0
    unreadable: int = 0
    other_state: int = 0
    cut: int = 0
    """Last lines that were cut short and reported."""
    wrong: list[str] = field(default_factory=list)

    def row(self) -> Sequence[object]:
        return (self.kind, self.tried, self.acknowledged, self.lost, self.unreadable, self.other_state, self.cut, "; ".join(self.wrong[:2]) or "none")

    @property
    def kept(self) -> bool:
        return not (self.lost or self.unreadable or self.other_state or self.wrong)


def run(args: argparse.Namespace) -> bool:
    """Print the table; whether every promise was kept."""
    chance = random.Random(args.seed)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        tallies = [kills(folder, args.count or 1000, chance), cuts(folder), no_room(folder), *refusals(folder), two_at_once(folder)]
    show("Crashes (acknowledged turns lost, journals unreadable and states that differ must be 0)",
         ("crash", "tried", "acknowledged", "lost", "unreadable", "other state", "torn ends told", "anything else"), [t.row() for t in tallies])
    return all(tally.kept for tally in tallies)


def kills(folder: Path, count: int, chance: random.Random) -> Tally:
    """`guide chat --json` killed at random moments, from its start to its twentieth turn, on journals that go on."""
    tally = Tally("killed at a random moment")
    begun = time.monotonic()
    _told(folder / "whole.jsonl", ["what now"])
    longest = 2.5 * (time.monotonic() - begun)
    path, turns = folder / "killed-0.jsonl", 0
    for number in range(count):
        if number % KILLS_A_JOURNAL == 0:
            path, turns = folder / f"killed-{number}.jsonl", 0
        acknowledged = _killed(path, longest, chance)
        tally.tried += 1
        tally.acknowledged += len(acknowledged)
        turns = _check(path, turns, acknowledged, tally)
    return tally


def _killed(path: Path, longest: float, chance: random.Random) -> list[dict[str, object]]:
    """The turns that one process acknowledged before it was killed, at most `longest` seconds after its start."""
    shown = path.with_suffix(".shown")
    with shown.open("wb") as out, subprocess.Popen([*_CHAT, str(path)], stdin=subprocess.PIPE, stdout=out, stderr=subprocess.DEVNULL) as process:
        typing = _piped(process.stdin)
        typing.write("".join(chance.choice(SENTENCES) + "\n" for _ in range(400)).encode())
        typing.flush()
        time.sleep(chance.random() * longest)
        process.send_signal(signal.SIGKILL)
    return [json.loads(line) for line in shown.read_text(encoding="utf-8").split("\n")[:-1]]


def _check(path: Path, before: int, acknowledged: Sequence[dict[str, object]], tally: Tally) -> int:
    """Compare a journal with what was acknowledged; how many turns it holds."""
    if not path.exists():
        tally.lost += len(acknowledged)
        return before
    try:
        events, problems = read(path)
    except JournalError as error:
        tally.unreadable += 1
        tally.wrong.append(str(error))
        return before
    tally.cut += len(problems)
    tally.wrong += [line for line in problems if "cut short" not in line]
    turns = max((event.turn for event in events), default=0)
    tally.lost += max(0, before + len(acknowledged) - turns)
    if acknowledged:
        state = fold([event for event in events if event.turn <= before + len(acknowledged)])
        tally.other_state += state.known() != acknowledged[-1]["state"]
    return turns


def _piped(stream: IO[AnyStr] | None) -> IO[AnyStr]:
    """A stream of a process that was started with a pipe for it."""
    if stream is None:
        raise OSError("the process was started without that pipe")
    return stream


def _told(path: Path, sentences: Sequence[str], preexec_fn: Callable[[], None] | None = None) -> subprocess.CompletedProcess[str]:
    return subprocess.run([*_CHAT, str(path)], input="".join(s + "\n" for s in sentences), capture_output=True, text=True, timeout=60,
                          check=False, preexec_fn=preexec_fn)


def cuts(folder: Path) -> Tally:
    """The last record cut at every byte: the turns before it stand, and the journal goes on."""
    tally = Tally("last record cut at each byte")
    whole = folder / "cut-from.jsonl"
    _told(whole, SENTENCES)
    data = whole.read_bytes()
    last = data.rstrip(b"\n").rfind(b"\n") + 1
    every, _ = read(whole)
    turns = max(event.turn for event in every)
    for at in range(last, len(data)):
        path = folder / "cut.jsonl"
        path.write_bytes(data[:at])
        tally.tried += 1
        with Journal(path) as journal:
            known = [event for event in every if event.turn < turns or at >= len(data) - 1]
            tally.cut += len(journal.problems)
            tally.acknowledged += turns - 1
            tally.lost += journal.events != known
            journal.append([every[-1]])
        again, problems = read(path)
        tally.unreadable += bool(problems)
        tally.other_state += fold(again) != fold([*known, every[-1]])
    return tally


def no_room(folder: Path) -> Tally:
    """A disk that is full after so many bytes: one line, exit status 2, and what was acknowledged is there."""
    tally = Tally("no room after n bytes")
    for room in range(0, 3000, 75):
        path = folder / f"room-{room}.jsonl"
        done = _told(path, SENTENCES, preexec_fn=lambda room=room: resource.setrlimit(resource.RLIMIT_FSIZE, (room, room)))
        acknowledged = [json.loads(line) for line in done.stdout.splitlines()]
        tally.tried += 1
        tally.acknowledged += len(acknowledged)
        _one_line(done, 0 if len(acknowledged) == len(SENTENCES) else 2, tally)
        _check(path, 0, acknowledged, tally)
        _told(path, ["what now"])  # with room again it goes on
        _, problems = read(path)
        tally.unreadable += bool(problems)
    return tally


def _one_line(done: subprocess.CompletedProcess[str], status: int, tally: Tally) -> None:
    lines = done.stderr.splitlines()
    if done.returncode != status or (status and len(lines) != 1) or "Traceback" in done.stderr:
        tally.wrong.append(f"status {done.returncode}: {done.stderr.strip()[-200:]}")


def refusals(folder: Path) -> Iterator[Tally]:
    """Places where no journal can be: each says so in one line."""
    (folder / "text").write_text("not a journal", encoding="utf-8")
    (folder / "newer.jsonl").write_text('{"journal":99}\n', encoding="utf-8")
    for kind, path in (("a device that is full", Path("/dev/full")), ("a folder in its place", folder), ("no such folder", folder / "no" / "where.jsonl"),
                       ("a file that is no journal", folder / "text"), ("a newer version's journal", folder / "newer.jsonl")):
        tally = Tally(kind, tried=1)
        before = path.read_bytes() if path.is_file() else b""
        done = _told(path, ["what now"])
        _one_line(done, 2, tally)
        tally.acknowledged = len(done.stdout.splitlines())
        tally.lost = tally.acknowledged + (path.is_file() and path.read_bytes() != before)
        yield tally
    yield _read_only(folder)


def _read_only(folder: Path) -> Tally:
    """A folder that may only be read, as a person without special rights meets it."""
    tally = Tally("a read-only folder", tried=1)
    closed = folder / "closed"
    closed.mkdir(mode=0o555)
    folder.chmod(0o755)
    if _as_nobody(lambda: Journal(closed / "new.jsonl").close()) != "JournalError":
        tally.wrong.append("a journal was made where nothing may be written")
    return tally


def _as_nobody(work: Callable[[], None]) -> str:
    """The name of the error that `work` raises in a process without special rights; nothing where none."""
    ours, theirs = os.pipe()
    child = os.fork()
    if child == 0:
        name = ""
        try:
            if os.getuid() == 0:
                os.setuid(65534)
            work()
        except Exception as error:  # noqa: BLE001 - the name of whatever it was goes to the parent
            name = type(error).__name__
        os.write(theirs, name.encode())
        os._exit(0)
    os.close(theirs)
    with os.fdopen(ours) as told:
        name = told.read()
    os.waitpid(child, 0)
    return name


def two_at_once(folder: Path) -> Tally:
    """A second process on a journal in use is refused in one line; the first is not disturbed."""
    tally = Tally("two processes on one journal", tried=1)
    path = folder / "shared.jsonl"
    with subprocess.Popen([*_CHAT, str(path)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as first:
        acknowledged, typing, shown = [], _piped(first.stdin), _piped(first.stdout)
        for sentence in SENTENCES[:3]:
            typing.write(sentence + "\n")
            typing.flush()
            acknowledged.append(json.loads(shown.readline()))
            _one_line(_told(path, ["undo"]), 2, tally)
        typing.close()
    tally.acknowledged = len(acknowledged)
    _check(path, 0, acknowledged, tally)
    return tally
