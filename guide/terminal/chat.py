"""The chat: lines in, replies out. The only home of prompt_toolkit, which plain mode never loads."""
from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, TextIO

from guide.knowledge.records import Value
from guide.planning.planner import plan
from guide.session import Session
from guide.starting import Started, now
from guide.state.journal import JournalError
from guide.terminal import keeping
from guide.terminal.rendering import Row, screens
from guide.terminal.status import status_lines, status_rows
from guide.terminal.wrapping import wrapped

if TYPE_CHECKING:
    from prompt_toolkit import PromptSession
    from prompt_toolkit.completion import Completer
    from prompt_toolkit.history import History
    from prompt_toolkit.key_binding import KeyBindings, KeyPressEvent

_FIRST = ("Guidance for a crew in an inflatable liferaft, offline. It trains and supports.",
          "It never replaces the raft's instructions, your leader, rescuers or a doctor.",
          "What happened? Or: which pack, how many people? Use your own words. (or: help)")
_HELP = ("Type what happened or what you want to know, in your own words. Several things at once are fine.",
         "Facts: \"drogue's out\", \"six of us\", \"4 litres left\". What if: \"what if it gets dark\".",
         "what now: the next steps. done: the first next step is done. undo: take back the last report.",
         "why: the reasons for the last advice. what have we done: all that is known.",
         "more: the rest of a long reply. new: start a new conversation. quit: leave; all is saved at every line.")
_KEYS = "Keys: F2 done, F3 undo, Ctrl-C clears the line, Ctrl-D leaves, Tab takes a suggestion."
_COMMANDS = ("what now", "done", "undo", "why", "what have we done", "what if ", "more", "new", "help", "quit")
_WIDEST = 100
"""Columns beyond which a line is hard to read."""
_SUGGESTED = 6
_PROMPT_ROWS = 4
"""The prompt and the suggestions below it."""
_REFRESH_S = 20.0
Show = Callable[[list[Row]], None]


class Chat:
    """A conversation with its commands; what it says goes out through `show`."""

    def __init__(self, started: Started, kept: keeping.Kept, show: Show, *, rows: bool = True, keys: bool = False) -> None:
        self.started, self.kept, self._show, self._cut, self._keys = started, kept, show, rows, keys
        self._begin()

    def _begin(self) -> None:
        """The session that the journal holds, and what is open in it."""
        self.session = Session(self.started.knowledge, self.started.reader, now, events=self.kept.events, keeper=self.kept)
        self._open = plan(self.session.view(), now())
        self._rest: list[list[Row]] = []

    def say(self, *lines: str) -> None:
        """Show lines that are no reply."""
        self._show([Row("note", row) for line in lines for row in wrapped(line, _width())])

    def greet(self, given: Mapping[str, Value]) -> None:
        """The first screen: what this is, what it goes on with, one question."""
        self.say(*_FIRST)
        known = len(self.session.state.facts)
        if self.session.events:
            self.say(f"Going on with {self.kept.path}, {known} thing{'' if known == 1 else 's'} known; "
                     "type 'new' to start afresh.")
        if given:
            self.session.given(given)
        self._tell()

    def answer(self, line: str) -> bool:
        """Carry out or answer one line; False to leave."""
        command = " ".join(line.lower().split())
        if command in ("quit", "exit"):
            return False
        if command == "help":
            self.say(*_HELP, *([_KEYS] if self._keys else []))
        elif command == "more":
            self._more()
        elif command == "new":
            self._anew()
        elif command:
            turn = self.session.answer(line)
            self._rest = screens(turn, self.started.knowledge, width=_width(), most=_height() if self._cut else None)
            self._more()
        self._tell()
        return True

    def leave(self) -> None:
        """One line about what is saved."""
        self.say(self.kept.farewell())
        self.kept.close()

    def status(self) -> str:
        """The status line as it is now."""
        steps = self.session.last.next if self.session.last else self._open
        width = shutil.get_terminal_size().columns
        return "\n".join(status_lines(self.session.state, steps, self.started.knowledge, now(), width=width))

    def _more(self) -> None:
        if self._rest:
            self._show(self._rest.pop(0))
        else:
            self.say("There is no more.")

    def _anew(self) -> None:
        self.say(self.kept.farewell())
        self.kept.close()
        self.kept = keeping.fresh(now())
        self._begin()
        self.say("A new conversation: nothing is known. What happened?")

    def _tell(self) -> None:
        """What there is to say about the keeping."""
        if self.kept.lines:
            self.say(*self.kept.lines)
            self.kept.lines.clear()


def run(started: Started, given: Mapping[str, Value], *, journal: Path | None, new: bool, plain: bool) -> int:
    """Talk until the end of input; returns the exit status."""
    kept = _kept(journal, new)
    if kept is None:
        print(f"guide: {journal} holds a conversation: leave out --new, or name another file", file=sys.stderr)
        return 2
    fancy = not plain and sys.stdin.isatty() and sys.stdout.isatty() and os.environ.get("TERM") != "dumb"
    if fancy:
        interact(started, kept, given)
    else:
        talk(started, kept, given, sys.stdin, sys.stdout)
    return 0


def _kept(journal: Path | None, new: bool) -> keeping.Kept | None:
    """Where this conversation is kept; None where a new one would go into a file that holds another."""
    if journal is None:
        return keeping.fresh(now()) if new else keeping.latest(now())
    try:
        kept = keeping.opened(journal, now())
    except JournalError as error:
        return keeping.in_memory(error)
    if new and kept.events:
        kept.close()
        return None
    return kept


def _width() -> int:
    return min(shutil.get_terminal_size().columns, _WIDEST)


def _height() -> int:
    """Rows of a reply that stay in sight above the prompt, its suggestions and the status line."""
    size = shutil.get_terminal_size()
    return max(4, size.lines - _PROMPT_ROWS - status_rows(size.columns))


def talk(started: Started, kept: keeping.Kept, given: Mapping[str, Value], source: TextIO, target: TextIO) -> None:
    """Plain lines: no colour, no status line; no prompt either where nobody types."""
    for stream in (source, target):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure:
            reconfigure(errors="replace")

    def show(rows: list[Row]) -> None:
        target.write("".join(row.text + "\n" for row in rows))
        target.flush()

    typed = source.isatty()
    chat = Chat(started, kept, show, rows=target.isatty() and typed)
    chat.greet(given)
    for line in _lines(source, target, "> " if typed else ""):
        if not chat.answer(line):
            break
    chat.leave()


def _lines(source: TextIO, target: TextIO, prompt: str) -> Iterator[str]:
    """The lines typed; where a person types, Ctrl-C only drops the line."""
    while True:
        target.write(prompt)
        target.flush()
        try:
            line = source.readline()
        except KeyboardInterrupt:
            if not prompt:
                raise
            target.write("\n")
            continue
        if not line:
            target.write("\n" if prompt else "")
            return
        yield line


def interact(started: Started, kept: keeping.Kept, given: Mapping[str, Value]) -> None:
    """The chat with a status line, suggestions, history and keys."""
    chat = Chat(started, kept, _printer(), keys=True)
    chat.greet(given)
    stash: list[str] = []
    prompt = _prompt(chat, stash)
    while True:
        try:
            line = prompt.prompt("> ", default=stash.pop() if stash else "")
        except EOFError:
            break
        except KeyboardInterrupt:
            continue
        if not chat.answer(line):
            break
    chat.leave()


def _printer() -> Show:
    """Prints rows; bold where the terminal may show it, and never as the only sign of anything."""
    from prompt_toolkit import print_formatted_text
    from prompt_toolkit.formatted_text import FormattedText
    bold = not os.environ.get("NO_COLOR")
    styles = {"head": "bold", "caution": "bold", "more": "reverse"} if bold else {}

    def show(rows: list[Row]) -> None:
        for row in rows:
            print_formatted_text(FormattedText([(styles.get(row.kind, ""), row.text)]))

    return show


def _prompt(chat: Chat, stash: list[str]) -> PromptSession[str]:
    from prompt_toolkit import PromptSession
    from prompt_toolkit.output import ColorDepth
    from prompt_toolkit.styles import Style
    reverse = "noreverse" if os.environ.get("NO_COLOR") else "reverse"
    style = Style.from_dict({
        "bottom-toolbar": reverse, "bottom-toolbar.text": "", "completion-menu": "bg:default fg:default",
        "completion-menu.completion": "bg:default fg:default", "completion-menu.meta.completion": "bg:default fg:default",
        "completion-menu.completion.current": "bg:default fg:default reverse",
        "completion-menu.meta.completion.current": "bg:default fg:default reverse",
        "completion-menu.completion fuzzymatch.outside": "fg:default", "completion-menu.completion fuzzymatch.inside": "bold",
        "completion-menu.completion fuzzymatch.inside.character": "nounderline bold",
        "completion-menu.completion.current fuzzymatch.outside": "fg:default",
        "completion-menu.completion.current fuzzymatch.inside": "bold",
        "scrollbar.background": "bg:default", "scrollbar.button": "reverse"})
    return PromptSession(
        bottom_toolbar=chat.status, completer=_completer(chat), complete_while_typing=True, history=_history(),
        key_bindings=_keys(stash), style=style, color_depth=ColorDepth.DEPTH_1_BIT, refresh_interval=_REFRESH_S,
        reserve_space_for_menu=_PROMPT_ROWS)


def _completer(chat: Chat) -> Completer:
    """Fuzzy suggestions from situations, equipment and commands, each with a word on what it is."""
    from prompt_toolkit.completion import Completer, FuzzyCompleter, WordCompleter
    knowledge = chat.started.knowledge
    kinds = {**{item.name: "equipment" for item in knowledge.equipment.values()},
             **{topic.title: "situation" for topic in knowledge.topics.values()},
             **{command: "command" for command in _COMMANDS}}
    words = WordCompleter(sorted(kinds), meta_dict=kinds, sentence=True)
    fuzzy = FuzzyCompleter(words, pattern=r"^.{2,}")

    class Few(Completer):
        """The best suggestions only, and none before two letters."""

        def get_completions(self, document: Any, complete_event: Any) -> Iterator[Any]:
            typed = " ".join(document.text_before_cursor.lower().split())
            if len(typed) >= 2:
                found = fuzzy.get_completions(document, complete_event)
                yield from sorted(found, key=lambda each: _aloof(typed, each.text.lower()))[:_SUGGESTED]

    return Few()


def _aloof(typed: str, text: str) -> int:
    """How loosely a suggestion fits: 0 a word begins so, 1 it holds the letters together, 2 it holds them in order."""
    return 0 if f" {typed}" in f" {text}" else 1 if typed in text else 2


def _history() -> History:
    """Lines typed in earlier sessions; in memory where the folder refuses."""
    from prompt_toolkit.history import FileHistory, InMemoryHistory
    try:
        path = keeping.data_folder() / "history"
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        os.close(os.open(path, os.O_RDWR | os.O_APPEND | os.O_CREAT, 0o600))
    except (OSError, JournalError):
        return InMemoryHistory()

    class Lines(FileHistory):
        """A full disk does not stop the talk."""

        def store_string(self, string: str) -> None:
            try:
                super().store_string(string)
            except (OSError, UnicodeError):
                return

    return Lines(str(path))


def _keys(stash: list[str]) -> KeyBindings:
    """F2 done, F3 undo (what is being typed comes back afterwards), Ctrl-C clears the line."""
    from prompt_toolkit.key_binding import KeyBindings
    keys = KeyBindings()

    def sends(key: str, line: str) -> None:
        def send(event: KeyPressEvent) -> None:
            buffer = event.current_buffer
            stash[:] = [buffer.text] if buffer.text else []
            buffer.text = line
            buffer.validate_and_handle()

        keys.add(key)(send)

    def clear(event: KeyPressEvent) -> None:
        event.current_buffer.reset()

    sends("f2", "done")
    sends("f3", "undo")
    keys.add("c-c")(clear)
    return keys
