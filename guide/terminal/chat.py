"""The chat: lines in, replies out, and the words to the chat itself. It decides nothing about the raft."""
from __future__ import annotations

import shutil
from collections.abc import Callable, Mapping
from textwrap import shorten
from typing import NamedTuple

from guide.asides import picked_number, says_done, says_neither, says_yes
from guide.knowledge.records import Step, Value
from guide.planning.planner import plan
from guide.planning.readiness import Returning, returning, returning_words
from guide.starting import Started, now
from guide.state.journal import JournalError
from guide.terminal import keeping
from guide.terminal.rendering import Row, paged, screens
from guide.terminal.status import status_lines, status_rows
from guide.terminal.wrapping import wrapped
from guide.turn import Turn, in_short

_FIRST = ("Guidance for a crew in an inflatable liferaft, offline. It trains and supports.",
          "It never replaces the raft's instructions, your leader, rescuers or a doctor.",
          "What has happened? Or say which pack and how many people. (or: help)")
_HELP = ("In trouble now? Say what is wrong in a few words, or type: what now",
         "Type what has happened or what you want to know, in your own words; several things at once are fine.",
         "For example: drogue's out. Six of us. 4 litres left. What if it gets dark?",
         "what now: the next steps in full",
         "done: the step just shown is done; asks which, where in doubt",
         "undo: take back the last report",
         "why: the reasons; why not bail, why is the drogue before the floor",
         "what have we done: all that is known",
         "status: the state in a line; due: tasks that come again",
         "more: the rest of a long reply; chart: the last figure drawn",
         "new: a new conversation; quit: leave, all is saved",
         "sessions: those kept; session resume NAME, session rename NAME, session export FILE")
_CHART = 'Chart: type "more".'
_KEYS = ("Keys: F2 done, F3 undo, Tab takes a suggestion, Alt and a number answers \"which of these\" (Alt-0: neither), "
         "Ctrl-C clears the line, Ctrl-D leaves.")
WORDS = ("what now", "done", "undo", "why", "what have we done", "what if ", "more", "chart", "status", "due", "new", "help", "quit", "sessions",
         "session resume ", "session rename ", "session export ")
"""What may be typed to the chat itself, for suggestions."""
_WIDEST = 100
"""Columns beyond which a line is hard to read."""
_PROMPT_ROWS = 4
"""The prompt and the suggestions below it."""
_LONGEST_STEP = 60
_MOST_DUE, _MOST_LISTED, _MOST_CHOICES = 3, 9, 3
Show = Callable[[list[Row]], None]


class Manner(NamedTuple):
    """How the chat speaks: replies cut into screens, with keys, or spoken for a screen reader."""

    cut: bool = False
    keys: bool = False
    spoken: bool = False


_PLAIN = Manner()


class Chat:
    """A conversation with its commands; what it says goes out through `show`."""

    def __init__(self, started: Started, kept: keeping.Kept, show: Show, manner: Manner = _PLAIN,
                 clock: Callable[[], str] = now) -> None:
        self.started, self.kept, self._show, self._manner, self._clock = started, kept, show, manner, clock
        self._warm = False
        self._begin()

    def _begin(self) -> None:
        """The session that the journal holds, and what is open in it."""
        self.session = self.started.going_on(self.kept.events, self.kept, self._clock, self.kept.lines.append)
        self._open = plan(self.session.view(), self._clock())
        self._rest: list[list[Row]] = []
        self._announced: set[tuple[str, str | None]] = set()
        self._fresh: list[Step] = []
        self._asked: list[Step] = []
        self._status = ""
        self._steps: dict[str, Step] | None = None

    def prepare(self) -> None:
        """Load what answers, while the first line is being typed."""
        self.session.ready()

    def warm(self) -> None:
        """Do once, while nobody waits, what first sentences would wait for."""
        if not self._warm:
            self._warm = True
            self.started.warm()

    def say(self, *lines: str, kind: str = "note") -> None:
        """Show lines that are no reply."""
        if self._manner.spoken:
            self._show([Row(kind, text) for line in lines for text in (line, "")])
        else:
            self._show([Row(kind, row) for line in lines for row in wrapped(line, width())])

    def greet(self, given: Mapping[str, Value]) -> None:
        """The first screen: what this is, what it goes on with, one question."""
        self.say(*_FIRST[:2], *([self._where()] if self.kept.events else []), *_FIRST[2:])
        if given:
            self.session.given(given)
        self._after()

    def _where(self) -> str:
        known = len(self.session.state.known())
        name = self.kept.path.stem if self.kept.path else ""
        return f"Going on with session {name}: {known} thing{'' if known == 1 else 's'} known. New: start afresh."

    def answer(self, line: str) -> bool:
        """Carry out or answer what was typed, pasted lines as sentences; False to leave."""
        line = ". ".join(part.strip() for part in line.splitlines() if part.strip())
        words = line.split()
        command = " ".join(words).lower()
        if command in ("quit", "exit"):
            return False
        own = {"help": self._help, "more": self._more, "new": self._anew, "status": self._tell_status, "due": self._list_due, "chart": self._chart,
               "sessions": self._list, "?": self._help}
        if command in own:
            own[command]()
        elif words and words[0].lower() in ("session", "sessions") and self._to_session(words[1:]):
            pass
        elif command and not self._picked(command):
            self._reply(line)
        self._after()
        return True

    def leave(self) -> None:
        """One line about what is saved."""
        self.say(self.kept.farewell())
        self.kept.close()

    def status(self) -> str:
        """The status line as it is now."""
        return "\n".join(self._status_lines(shutil.get_terminal_size().columns, whole=False))

    def news(self) -> list[Returning]:
        """The returning tasks that fell due and are not told yet."""
        return [item for item in self._due() if (item.step.id, item.last_at) not in self._announced]

    def announce(self) -> None:
        """Tell each returning task once when it falls due."""
        news = self.news()
        if not news:
            return
        self._announced.update((item.step.id, item.last_at) for item in news)
        self._fresh += [item.step for item in news]
        self.say(*(f"DUE: {returning_words(item)}." for item in news[:_MOST_DUE]), kind="due")
        if len(news) > _MOST_DUE:
            self.say(f"DUE: and {len(news) - _MOST_DUE} more.", kind="due")
        self.say('When one is done: type "due" and then its number.')

    def _due(self) -> list[Returning]:
        """The returning tasks that were done and are due again."""
        return [item for item in returning(self.session.view(), self._clock()) if item.last_at is not None and item.due_in_s <= 0]

    def open_steps(self) -> dict[str, Step]:
        """What may be typed to say that a step is done which is open now, and the step."""
        if self._steps is None:
            found = plan(self.session.view(), self._clock(), None)
            self._steps = {f"done: {shorten(in_short(item.step.say, ''), _LONGEST_STEP, placeholder='').rstrip(' .,:')}": item.step
                           for item in found}
        return self._steps

    def _reply(self, line: str) -> None:
        if line in self.open_steps():
            self._answered(self.session.done(self.open_steps()[line].id, line))
        elif says_done(line) and self._fresh:
            self._which_done()
        elif says_done(line) and not (self.session.last and self.session.last.next):
            self.say("No step has been shown as next yet. What now: shows it.")
        elif _answers_only(line) and not self._waits():
            self.say("No question is open. If a step is done, say what you did, or: done. What now: the next steps.")
        else:
            self._answered(self.session.answer(line))

    def _waits(self) -> bool:
        """Whether the last reply asked which of these, for a number, or whether something is so."""
        last = self.session.last
        return last is not None and (last.outcome == "unsure" or last.whether is not None or bool(last.question and last.question.wants))

    def _answered(self, turn: Turn) -> None:
        self._fresh, self._steps = [], None
        self._rest = screens(turn, self.started.knowledge, width=width(), most=_height() if self._manner.cut else None,
                             spoken=self._manner.spoken)
        self._rest += [] if self._manner.spoken else self._charts(turn)
        self._more()

    def _chart(self) -> None:
        """Draw the figures of the last reply."""
        drawn = self._charts(self.session.last) if self.session.last else []
        if not drawn:
            self.say("No chart goes with the last reply. Ask how long the water lasts, how far off we are seen, or how far we drift.")
            return
        self._rest = drawn
        self._more()

    @staticmethod
    def _charts(turn: Turn) -> list[list[Row]]:
        """A screen for each chart of the figures told, with what to type for it."""
        if not any(figure.get("chart") for figure in turn.figures):
            return []
        from guide.pictures import charts, text
        return [[Row("note", row) for row in text.rows(chart, width())] for chart in charts.of_figures(turn.figures)]

    def _which_done(self) -> None:
        """After an announcement `done` may mean the due task or the next step: ask."""
        last = self.session.last
        self._asked = list({step.id: step for step in (*self._fresh, *(item.step for item in (last.next[:1] if last else ())))}.values())
        self._fresh = []
        if len(self._asked) == 1:
            self._answered(self.session.done(self._asked.pop().id))
            return
        self.say("Which is done?", *(f"{number}. {step.say}" for number, step in enumerate(self._asked, start=1)),
                 "Answer with the number, or: neither", kind="choice")

    def _picked(self, command: str) -> bool:
        """Whether the line answered `which is done`; any other line ends that question."""
        asked, self._asked = self._asked, []
        if asked and says_neither(command):
            self.say("Then nothing is noted.")
            return True
        number = int(command) if command.isascii() and command.isdigit() else 0
        if 1 <= number <= len(asked):
            self._answered(self.session.done(asked[number - 1].id))
        return 1 <= number <= len(asked)

    def _help(self) -> None:
        """What may be typed; where it is longer than the screen, the first of it and `more`."""
        lines = [*_HELP, *([_KEYS] if self._manner.keys else [])]
        rows = [Row("note", row) for line in lines for row in wrapped(line, width())]
        if not self._manner.cut or self._manner.spoken or len(rows) <= _height():
            self.say(*lines)
            return
        self._rest = paged(rows, _height())
        self._more()

    def _more(self) -> None:
        if self._rest:
            shown = self._rest.pop(0)
            last = shown[-1:] and shown[-1].kind == "more"
            self._show([*shown, *([] if last or not self._rest else [Row("more", _CHART)])])
        else:
            self.say("That was all. What now: the next steps.")

    def _list_due(self) -> None:
        """The returning tasks, those that are due first; the answer may be the number of one that is done."""
        found = [item for item in returning(self.session.view(), self._clock()) if item.last_at is not None][:_MOST_LISTED]
        if not found:
            self.say("Nothing has to be done again yet: no task that comes round was reported as done.")
            return
        self.say(*(f"{number}. {returning_words(item)}." for number, item in enumerate(found, start=1)),
                 "If one is done, answer with its number.", kind="choice")
        self._asked = [item.step for item in found]

    def _tell_status(self) -> None:
        self.say(*self._status_lines(width(), whole=True))

    def _status_lines(self, columns: int, *, whole: bool) -> list[str]:
        steps = self.session.last.next if self.session.last else self._open
        due = [item.step.topic for item in self._due()]
        return status_lines(self.session.state, steps, self.started.knowledge, self._clock(), due=due, width=columns, whole=whole)

    def _after(self) -> None:
        """What there is to say after a line: about the keeping, tasks that fell due, and spoken the status where it changed."""
        if self.kept.lines:
            self.say(*self.kept.lines)
            self.kept.lines.clear()
        self.announce()
        if self._manner.spoken:
            self._status, before = " ".join(self._status_lines(width(), whole=True)), self._status
            self.say(*([f"Status: {self._status}"] if self._status != before else []))

    # ---- sessions

    def _anew(self) -> None:
        self._change(keeping.fresh(self._clock()))
        self.say("A new conversation: nothing is known. What has happened?")

    def _change(self, kept: keeping.Kept) -> None:
        """Go on with another conversation."""
        self.leave()
        self.kept = kept
        self._begin()

    def _list(self) -> None:
        self._to_session(["list"])

    def _to_session(self, words: list[str]) -> bool:
        """Carry out `session DO NAME`; False where it is none of these, and so something said."""
        doing = {"list": self._name_sessions, "resume": self._resume, "rename": self._rename, "export": self._export}
        if not words or words[0].lower() not in doing:
            return False
        from guide.terminal import sessions
        try:
            doing[words[0].lower()](" ".join(words[1:]))
        except (sessions.SessionProblem, JournalError) as error:
            self.say(f"{error}.")
        return True

    def _name_sessions(self, _: str) -> None:
        from guide.terminal import sessions
        found = sessions.saved()
        self.say(*(f"{number}. {one.line()}" for number, one in enumerate(found[:_MOST_LISTED], start=1)),
                 *([] if found else ["No session is kept yet."]),
                 *([f"And {len(found) - _MOST_LISTED} older ones: guide sessions lists them."] if len(found) > _MOST_LISTED else []))

    def _resume(self, name: str) -> None:
        from guide.terminal import sessions
        found = sessions.find(name, sessions.saved())
        if found.path == self.kept.path:
            raise sessions.SessionProblem(f'"{found.name}" is the session that you are in')
        self._change(keeping.opened(found.path, self._clock()))
        self.say(self._where())

    def _rename(self, name: str) -> None:
        from guide.terminal import sessions
        self.kept.move(sessions.path_for(name), self._clock())
        self.say(f"This session is now called {self.kept.path.stem if self.kept.path else name}.")

    def _export(self, name: str) -> None:
        from pathlib import Path

        from guide.terminal import exporting
        here = self.kept.path.stem if self.kept.path else "conversation"
        path = Path(name or f"{here}.md")
        exporting.write(path, here, self.session.events, plan(self.session.view(), self._clock()), self.started.knowledge)
        self.say(f"Written to {path}.")


def _answers_only(line: str) -> bool:
    """Whether a line can be nothing but the answer to a question; `ok` may be said to anything."""
    words = line.strip(" .!").lower()
    return words.isdecimal() or picked_number(line, _MOST_CHOICES) is not None or says_neither(line) or says_yes(line) and not words.startswith("ok")


def width() -> int:
    """Columns of a reply."""
    return min(shutil.get_terminal_size().columns, _WIDEST)


def _height() -> int:
    """Rows of a reply that stay in sight above the prompt, its suggestions and the status line."""
    size = shutil.get_terminal_size()
    return max(4, size.lines - _PROMPT_ROWS - status_rows(size.columns))
