"""The chat on a terminal: prompt, suggestions, keys, status line. The only home of prompt_toolkit, which plain mode never loads."""
from __future__ import annotations

import asyncio
import gc
import os
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from guide.knowledge.records import Value
from guide.starting import Started
from guide.state.journal import JournalError
from guide.terminal import keeping
from guide.terminal.chat import WORDS, Chat, Manner, Show
from guide.terminal.rendering import Row

if TYPE_CHECKING:
    from prompt_toolkit import PromptSession
    from prompt_toolkit.completion import Completer
    from prompt_toolkit.history import History
    from prompt_toolkit.key_binding import KeyBindings, KeyPressEvent

_SUGGESTED = 6
_MENU_ROWS = 4
_SETTLED_S = 0.05
"""When the prompt is drawn what answers is loaded, sooner than anybody has typed a word."""
_IDLE_S = 0.5
"""When the rest of it is done that first sentences would wait for."""
_REFRESH_S = 20.0
"""How often the status line and the tasks that fall due are looked at while nobody types."""
_STYLES = {"head": "bold", "caution": "bold", "due": "bold", "more": "reverse"}
"""Bold and reverse come from the terminal itself, and are never the only sign of anything."""


def interact(started: Started, kept: keeping.Kept, given: Mapping[str, Value], refresh_s: float = _REFRESH_S) -> None:
    """The chat with a status line, suggestions, history and keys."""
    chat = Chat(started, kept, _printer(), Manner(cut=True, keys=True))
    chat.greet(given)
    stash: list[str] = []
    prompt = _prompt(chat, stash, refresh_s)

    def begin() -> None:
        asyncio.get_running_loop().call_later(_SETTLED_S, chat.prepare)
        asyncio.get_running_loop().call_later(_IDLE_S, chat.warm)
        prompt.app.create_background_task(_watch(chat, refresh_s))

    while True:
        try:
            line = prompt.prompt("> ", default=stash.pop() if stash else "", pre_run=begin, handle_sigint=False)
        except EOFError:
            break
        except KeyboardInterrupt:
            continue
        if not chat.answer(line):
            break
    chat.leave()


async def _watch(chat: Chat, every_s: float) -> None:
    """Tell tasks that fall due above the prompt; what is being typed stays as it is."""
    from prompt_toolkit.application import run_in_terminal
    while True:
        await asyncio.sleep(every_s)
        if chat.news():
            await run_in_terminal(chat.announce)


def _printer() -> Show:
    """Prints rows; bold where the terminal may show it. Without the styles for program text, which would be made anew each time."""
    from prompt_toolkit import print_formatted_text
    from prompt_toolkit.formatted_text import FormattedText
    gc.freeze()  # as the knowledge, so the library stays for good

    def show(rows: list[Row]) -> None:
        text = FormattedText((_STYLES.get(row.kind, ""), row.text + "\n") for row in rows)
        print_formatted_text(text, end="", include_default_pygments_style=False)

    return show


def _prompt(chat: Chat, stash: list[str], refresh_s: float) -> PromptSession[str]:
    from prompt_toolkit import PromptSession
    from prompt_toolkit.output import ColorDepth
    from prompt_toolkit.styles import Style
    plain, chosen, part = "bg:default fg:default", "bg:default fg:default reverse", "completion-menu.completion"
    style = Style.from_dict({
        "bottom-toolbar": "reverse", "bottom-toolbar.text": "", "completion-menu": plain, part: plain,
        "completion-menu.meta.completion": plain, f"{part}.current": chosen, "completion-menu.meta.completion.current": chosen,
        f"{part} fuzzymatch.outside": "fg:default", f"{part} fuzzymatch.inside": "bold",
        f"{part} fuzzymatch.inside.character": "nounderline bold", f"{part}.current fuzzymatch.outside": "fg:default",
        f"{part}.current fuzzymatch.inside": "bold", "scrollbar.background": "bg:default", "scrollbar.button": "reverse"})
    return PromptSession(
        bottom_toolbar=chat.status, completer=_completer(chat), complete_while_typing=True, history=_history(),
        key_bindings=_keys(stash), style=style, color_depth=ColorDepth.DEPTH_1_BIT, refresh_interval=refresh_s,
        reserve_space_for_menu=_MENU_ROWS, include_default_pygments_style=False)


def _completer(chat: Chat) -> Completer:
    """Fuzzy suggestions from situations, equipment, open steps and commands, each with a word on what it is."""
    from prompt_toolkit.completion import Completer, FuzzyCompleter, WordCompleter
    knowledge = chat.started.knowledge
    kinds = {**{item.name: "gear" for item in knowledge.equipment.values()},
             **{topic.title: "case" for topic in knowledge.topics.values()},
             **{command: "word" for command in WORDS}}

    class Few(Completer):
        """The best suggestions only, and none before two letters."""

        def get_completions(self, document: Any, complete_event: Any) -> Iterator[Any]:
            typed = " ".join(document.text_before_cursor.lower().split())
            if len(typed) >= 2:
                now = {**kinds, **{line: "step" for line in chat.open_steps()}}
                fuzzy = FuzzyCompleter(WordCompleter(sorted(now), meta_dict=now, sentence=True), pattern=r"^.{2,}")
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
        folder = keeping.data_place()
        path = os.path.join(folder, "history")
        os.makedirs(folder, mode=0o700, exist_ok=True)
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

    return Lines(path)


def _keys(stash: list[str]) -> KeyBindings:
    """F2 done, F3 undo, Alt and a number for `which of these` (what is being typed comes back afterwards); Ctrl-C clears the line."""
    from prompt_toolkit.key_binding import KeyBindings
    keys = KeyBindings()

    def sends(line: str, *pressed: str) -> None:
        def send(event: KeyPressEvent) -> None:
            buffer = event.current_buffer
            stash[:] = [buffer.text] if buffer.text else []
            buffer.text = line
            buffer.validate_and_handle()

        keys.add(*pressed)(send)

    def clear(event: KeyPressEvent) -> None:
        event.current_buffer.reset()

    sends("done", "f2")
    sends("undo", "f3")
    sends("neither", "escape", "0")
    for number in "123":
        sends(number, "escape", number)
    keys.add("c-c")(clear)
    return keys
