"""Takes back what was noted: a turn, or of a turn what the text names."""
from __future__ import annotations

from guide.correcting import taken_back, taken_back_by_name, told_by_name, turn_taken_back
from guide.language.reading import Reader
from guide.language.utterances import Reading
from guide.language.wording import clean
from guide.log import Log
from guide.replying import Replying
from guide.talk.deciding import Decision
from guide.turn import Turn

_NOTHING = "There is nothing to take back: nothing was noted of that. For what was noted before it, say: undo."
_PART = "Taken back, and nothing else of that turn: {}."
_ABOUT_IT = Decision("answered", ("take_back",))


class Undoing:
    """Takes back in one log. Taking back is an event of its own: nothing kept is lost."""

    def __init__(self, log: Log, reader: Reader, replying: Replying) -> None:
        self._log, self._reader, self._replying = log, reader, replying

    def wrong(self, text: str) -> int | None:
        """The number of the turn that a text takes back; None where it takes none back."""
        return turn_taken_back(text, self._replying.last, self._log.events, self._reader)

    def undo(self, text: str) -> Turn:
        """The reply to a text that takes back; what it takes back is kept before this returns."""
        turn, before = self.wrong(text), self._log.state
        reading = Reading(clean(text), "command", tuple(self._reader.matcher.rank("topics", text)), ())
        if turn is None:
            return self.nothing(text)._replace(readings=(reading,))
        knowledge = self._log.knowledge
        parts = told_by_name(turn, self._log.events, taken_back_by_name(text, self._reader))
        if parts:
            self._log.keep([self._log.event("fact", part.name, part.was, before.value(part.name), text) for part in parts])
            note = _PART.format(", ".join(knowledge.facts[part.name].about for part in parts))
        else:
            self._log.keep([self._log.event("undo", "turn", turn, text=text)])
            note = taken_back(self._log.events, turn, knowledge)
        return self._replying.reply(text, _ABOUT_IT, None, before, [note])._replace(readings=(reading,))

    def nothing(self, text: str) -> Turn:
        """The reply where nothing was noted that could be taken back."""
        return self._replying.reply(text, _ABOUT_IT, notes=[_NOTHING])
