"""A drill at a keyboard: lines in, what happens and what the guide says out, each line on disk before it is answered."""
from __future__ import annotations

import math
import queue
import sys
import threading
from collections.abc import Callable, Iterable, Iterator
from typing import TextIO

from guide.asides import says_done
from guide.drills import acting
from guide.drills.clocks import Clock
from guide.drills.logs import LogFile
from guide.drills.playing import Drill
from guide.drills.records import Entry, Log, Moment, Played
from guide.terminal.rendering import turn_lines
from guide.terminal.wrapping import wrapped
from guide.turn import Turn, in_short

WIDTH = 80
POLL_S = 0.5
LEAVING = ("quit", "exit", "leave", "save", "save and quit")
Lines = Callable[[float | None], str | None]
"""The next line typed, waiting so many seconds at most (None: as long as it takes); None where none came, EOFError at the end."""


def clock_words(t_s: float) -> str:
    """Time of a drill as h:mm:ss, with days before it where it has run for days."""
    days, rest = divmod(round(t_s), 86400)
    return (f"day {days + 1}, " if days else "") + f"{rest // 3600}:{rest // 60 % 60:02d}:{rest % 60:02d}"


def span_words(seconds: float) -> str:
    """A length of time in words: `5 days`, `1 h 15 min`."""
    days, rest = divmod(round(seconds / 60), 1440)
    parts = ((days, "day" if days == 1 else "days"), (rest // 60, "h"), (rest % 60, "min"))
    return " ".join(f"{number} {unit}" for number, unit in parts if number) or "0 min"


def keyboard(stream: TextIO, *, live: bool) -> Lines:
    """Lines of a stream; for a live clock read by a thread of their own, so that time can pass meanwhile."""
    if not live:
        return lambda _: _line(stream.readline())
    waiting: queue.Queue[str] = queue.Queue()

    def listen() -> None:
        for line in iter(stream.readline, ""):
            waiting.put(line)
        waiting.put("")

    threading.Thread(target=listen, daemon=True).start()

    def next_line(seconds: float | None) -> str | None:
        try:
            return _line(waiting.get(timeout=seconds))
        except queue.Empty:
            return None
    return next_line


def _line(raw: str) -> str:
    if not raw:
        raise EOFError
    return raw.rstrip("\r\n")


class Table:
    """One drill with its crew, log, clock and keyboard."""

    def __init__(self, drill: Drill, log: Log, file: LogFile, clock: Clock, lines: Lines, out: TextIO | None = None, *,
                 prompt: str = "") -> None:
        self._drill, self._log, self._file, self._clock, self._lines = drill, log, file, clock, lines
        self._out, self._prompt = out or sys.stdout, prompt
        self._paused = False

    def play(self) -> None:
        """Play until the drill is over, somebody leaves, or the input ends. What was typed is kept in any case."""
        self._say(self._drill.advance(0.0))
        self._ask()
        try:
            while not self._drill.over and self._turn():
                pass
        except (EOFError, KeyboardInterrupt):
            pass
        if self._clock.live and not self._drill.over:
            left_s = _tenth(self._clock.now())
            self._file.append(Entry(left_s, "", ""))
            self._say(self._drill.reach(left_s))

    def _turn(self) -> bool:
        """One line, or a stretch of time without one; False where somebody leaves."""
        line = self._lines(POLL_S if self._clock.live else None)
        if line is None:
            happened = [] if self._paused else self._drill.advance(self._clock.now())
            self._say(happened)
            if happened:
                self._ask()
            return True
        words = " ".join(line.lower().split()).strip(" .!")
        if words in LEAVING:
            return False
        if words in ("pause", "go", "go on", "time", ""):
            self._control(words)
        else:
            self._control("go")
            self._typed(line)
        self._ask()
        return True

    def _control(self, words: str) -> None:
        if words == "pause":
            self._paused = True
            self._clock.pause()
            self._print("The clock stands still. Type `go` when you go on.")
        elif words == "time":
            self._print(f"It is {clock_words(self._clock.now())}.")
        elif self._paused:
            self._paused = False
            self._clock.go()

    def _typed(self, line: str) -> None:
        who, text = acting.speaker(line, self._log.crew)
        entry = Entry(_tenth(self._clock.now()), who, text)
        self._file.append(entry)
        happened = self._drill.say(entry.who, entry.text, entry.t_s)
        self._clock.come_to(self._drill.t_s)
        self._say(happened)

    def _say(self, moments: Iterable[Moment]) -> None:
        for line in (line for moment in moments for line in moment_lines(moment, self._drill)):
            self._print(line)

    def _ask(self) -> None:
        if not self._drill.over:
            print(self._prompt, end="", file=self._out, flush=True)

    def _print(self, line: str) -> None:
        print(line, file=self._out, flush=True)


def _tenth(t_s: float) -> float:
    """Rounded up as the log keeps it, so that what is played again comes to the same time."""
    return math.ceil(t_s * 10) / 10


def moment_lines(moment: Moment, drill: Drill) -> Iterator[str]:
    """What is printed of a moment, as the help level allows."""
    if moment.kind == "wait":
        wanted_s = moment.t_s + (acting.waiting_s(moment.text) or 0.0)
        short = ", cut short by what happens then" if moment.done_s < wanted_s else ""
        yield from wrapped(f"You wait until {clock_words(moment.done_s)}{short}.", WIDTH, f"{clock_words(moment.t_s)}  ", 2)
    elif moment.kind != "said":
        yield from ("", *wrapped(moment.text, WIDTH, f"{clock_words(moment.t_s)}  ** ", 2))
    elif drill.turn is not None:
        yield from _reply(moment, drill.turn, drill)


def _reply(moment: Moment, turn: Turn, drill: Drill) -> Iterator[str]:
    lead = f"{clock_words(moment.done_s)}  "
    if drill.shows(turn):
        yield lead.rstrip()
        yield from turn_lines(turn, drill.knowledge, width=WIDTH)
        return
    yield from wrapped(_noted(moment, turn, drill), WIDTH, lead, 2)
    for note in turn.notes:
        if note.endswith("?"):
            yield from wrapped(note, WIDTH, "  ? ", 4)


def _noted(moment: Moment, turn: Turn, drill: Drill) -> str:
    """What was understood, without advice."""
    if moment.asked:
        return "No advice in this drill. Do what you think right, and say so."
    if turn.jobs:
        return "Which is done: " + "; ".join(f"{n} {in_short(step.say, '').rstrip('.')}" for n, step in enumerate(turn.jobs, 1)) + "?"
    if moment.understood:
        return "Noted: " + "; ".join(moment.understood) + "."
    if says_done(moment.text):
        return " ".join(turn.notes) if turn.topic == "what_now" and turn.notes else "What is done? Say it: the drogue is out."
    if turn.outcome == "unsure":
        titles = (f"{n} {drill.knowledge.topics[name].title}" for n, name in enumerate(turn.choices, 1))
        return "Which is meant: " + ", ".join(titles) + "?"
    if turn.outcome == "outside":
        return "Not understood. Say in other words what you did or see" + (", or ask: what now." if drill.help == "asked" else ".")
    topic = drill.knowledge.topics.get(turn.topic or "")
    ordered = turn.readings and all(reading.kind == "command" for reading in turn.readings)
    return (f"Heard: {topic.title}." if topic else "Heard.") + (" Say what is done: an order changes nothing." if ordered else "")


def score_lines(played: Played) -> Iterator[str]:
    """The short score at the end."""
    score, results = played.score, [one for one in played.results if one.of]
    met = [one for one in results if one.done_s is not None]
    yield (f"Score {score.percent:.0f} of 100: {sum(one.in_time for one in met)} of {len(results)} done in time, "
           f"{sum(not one.in_time for one in met)} late, {len(results) - len(met)} not done.")
    yield f"Order: {score.as_planned} of {score.settled} jobs came when the guide's plan puts them."
    yield f"Asked the guide {'once' if score.asked == 1 else f'{score.asked} times'}."
    for one in played.results:
        if one.of and one.done_s is None:
            yield from wrapped(one.expectation.says, WIDTH, "  not done: ", 4)
    for harm in played.harms:
        yield from wrapped(harm.harm.says, WIDTH, f"  harmful at {clock_words(harm.times_s[0])}: ", 4)
