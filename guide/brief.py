"""What a few words tell by what was asked or told in the turn before: `yes`, `only the cook`, `off again`, `two`."""
from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping

from guide import asides
from guide.answered import answered_whether, contradicted, says_yes_or_no, told_measure, told_missing, told_too
from guide.knowledge.base import Knowledge
from guide.language import muster
from guide.language.clauses import without_scene
from guide.language.cutting import sentences
from guide.language.facts import OF_SOMEBODY, Told
from guide.language.reading import Reader
from guide.language.utterances import told_in
from guide.language.wording import tokens
from guide.patterns import pattern
from guide.talk.before import of_another
from guide.turn import Turn
from guide.whether import Whether, next_asked

_STOP = pattern(r"\s*[,.;!:-]+\s+")
_MOST_STOPS = 3
"""Stops of a text behind which somebody still says why what he told is not so."""
_SAYS_HOW = 2
"""Words that say how a thing is."""


class Brief:
    """Reads short answers with one knowledge. Holds no state of a talk."""

    def __init__(self, knowledge: Knowledge, reader: Reader) -> None:
        self._knowledge, self._reader = knowledge, reader
        self._done = frozenset(fact for fact, value in knowledge.brought_about if value is True)
        """The facts that jobs bring about."""

    def told(self, text: str, last: Turn, known: Mapping[str, object], *, measured: bool) -> tuple[Told, ...]:
        """What a text tells by the turn before it: `yes` or `no` to what the crew itself asked after, or what it told last, is not so or as well;
        nothing where it says more. `measured`: whether a bare number may answer what the crew asked."""
        text = without_scene(text)
        found = self._found(text, last, known)
        if found:
            return found
        of_all = Told(*last.whether, "set") if last.whether else _reported_alone(last)
        if of_all and of_all.fact in muster.OF_ALL and of_all.value is True and muster.leaves_out(text):
            return (of_all._replace(value=False),)
        if of_all and of_all.fact in muster.OF_ALL and of_all.value is True and self._takes_back_first(text, last):
            return (of_all._replace(value=False),)
        told = told_too(text, last.whether or _reported_alone(last), self._knowledge, self._reader)
        told = told or (answered_whether(text, last.whether, self._reader.naming.facts_about(text) or {self._reader.likeliest(text)}) if last.whether else contradicted(text, last.readings))
        if not told and last.whether and last.whether.fact in self._done and asides.says_done(text):
            told = Told(last.whether.fact, True, "set")  # `is the drogue out?`, `done`
        if told and told.fact.startswith(OF_SOMEBODY) and of_another(text, last.text, self._reader.matcher.may_be_name):
            return ()  # `Tom is seasick`, `I'm not`
        told = told or self._said_of_it(text, last.whether) or self._undone(text, [Told(*last.whether, "set")] if last.whether else _reported(last), known)
        if told:
            return (told,)
        return (told_missing(text, last.text, self._reader) or told_measure(text, last.readings, last.topic, self._knowledge, self._reader)) if measured else ()

    def _takes_back_first(self, text: str, last: Turn) -> bool:
        """Whether the first words of a text say that what was told of all is not so, and the rest tells nothing else: `not everybody. Baz spat his`."""
        for stop in itertools.islice(_STOP.finditer(text), _MOST_STOPS):
            head, rest = text[:stop.start()], text[stop.end():]
            if rest and (muster.leaves_out(head) or contradicted(head, last.readings)):
                return not any(reading.told for reading in self._reader.read(rest).readings)
        return False

    def next_asked(self, text: str, last: Turn) -> Whether | None:
        """The next thing of a roll call, where the turn before asked whether something is so, or answered that; None where a text says more."""
        rolling = last.whether is not None or bool(last.readings) and says_yes_or_no(last.readings[0].clause) and bool(last.readings[0].told)
        return next_asked(without_scene(text), self._reader.naming.facts_about(text), self._knowledge, self._reader) if rolling else None

    def _found(self, text: str, last: Turn, known: Mapping[str, object]) -> tuple[Told, ...]:
        """That people who are missing are found, where the turn before was about them: `found one`, `both are back`."""
        missing, about = known.get(muster.MISSING), self._knowledge.facts[muster.OF_ALL[0]].topics.values()
        if not isinstance(missing, int) or not missing or last.topic not in about and not muster.names_missing(text):
            return ()
        before = next((change for change in last.changes if change.fact == muster.MISSING), None)
        fewer = before is not None and isinstance(before.was, int) and isinstance(before.now, int) and before.now < before.was
        first, *more = sentences(text) or [text]
        found = muster.found(text, missing, last.text) or int(fewer and muster.found_again(text)) or muster.found(first, missing, last.text)
        if not found:
            return ()
        left, beside = missing - found, list(told_in(self._reader.read(" ".join(more)).readings, "report"))
        aboard = not left and all(told.fact != muster.IN_WATER or told.value is False for told in beside)  # `found him! he is hanging on outside`
        return (Told(muster.MISSING, left, "set"), *((Told(muster.OF_ALL[0], True, "set"),) if aboard else ()), *(told for told in beside if told.fact not in (muster.MISSING, *muster.OF_ALL)))

    def _said_of_it(self, text: str, whether: Whether | None) -> Told | None:
        """What one or two words tell of the thing that was asked after: `is the canopy closed`, `open now`."""
        thing = self._knowledge.facts[whether.fact].thing if whether else ""
        if whether is None or not thing or len(tokens(text)) > _SAYS_HOW or text.rstrip().endswith("?"):
            return None
        said = self._reader.read(f"{thing} {'are' if thing.endswith('s') else 'is'} {text}")
        return next((each for each in told_in(said.readings, "report") if each.fact == whether.fact), None)

    def _undone(self, text: str, before: Iterable[Told], known: Mapping[str, object]) -> Told | None:
        """The one thing that a few words undo of what was told or asked before, unless they only seem to: `he has stopped` may be his breathing."""
        undone = [told for each in before if (told := self._reader.turning.undone(text, each))]
        return undone[0] if len(undone) == 1 and self._reader.after_all(undone[0], text, text, known) else None


def _reported(last: Turn) -> list[Told]:
    """What a turn told."""
    return list(told_in(last.readings, "report"))


def _reported_alone(last: Turn) -> Told | None:
    """What a turn told, where it was one thing."""
    told = _reported(last)
    return told[0] if len(told) == 1 else None
