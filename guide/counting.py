"""Signals that are out of date, as reported: the ones in date count, the others are a reserve.

`we found 4 rockets, 2 out of date` counts two. Where none is in date all count, for there is nothing better. A sentence that
does not tell how many there are in all changes nothing: how many are in date is asked for.
"""
from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from guide.knowledge.base import Knowledge
from guide.language.numbers import numbers, split
from guide.language.utterances import Utterance, told_in
from guide.language.wording import regular

STALE, FRESH = "out_of_date", "in_date"
"""The lists of the lexicon of words for signals that are out of date, and for those that are not."""
_DENIES = frozenset("not no none nothing never neither".split())
_ADDS = frozenset("and plus another more besides".split())
_OF_THEM = frozenset("of are is were was have has being".split())
"""Words that make a number a part of what was counted before: `and 2 are out of date`, not `and 2 out of date ones`."""


class Counted(NamedTuple):
    """An utterance whose counts are those that are in date, what is said of it, and facts to be asked for."""

    utterance: Utterance
    notes: tuple[str, ...] = ()
    asks: tuple[str, ...] = ()


class _Mark(NamedTuple):
    """A number, a thing counted, or a word for its date, and where it stands in the words."""

    what: str
    """number, all, both, stale, fresh or the fact that counts the thing."""
    value: float
    start: int
    stop: int


class _Part(NamedTuple):
    """How many of a fact's things there are in all, and how many of them are out of date; None: the sentence does not tell."""

    fact: str
    total: int | None = None
    stale: int = 0


def in_date(utterance: Utterance, knowledge: Knowledge, known: Mapping[str, object]) -> Counted:
    """The counts of dated signals as reported, without those that are out of date. `known` are the facts so far. Asked only of an utterance that speaks of
    dates (`Vocabulary.speaks_of_dates`)."""
    says, words = knowledge.stores.says, split(regular(utterance.text))
    if not says or not any(reading.kind == "report" for reading in utterance.readings):
        return Counted(utterance)
    items = {item.amount: item.name for name in knowledge.stores.dated
             if (item := knowledge.equipment[name]).amount and knowledge.facts[item.amount].type == "int"}
    marks = sorted(_marks(words, items, knowledge.language.words), key=lambda mark: mark.start)
    told = {each.fact: each.how for each in told_in(utterance.readings, "report")}
    notes, asks = [], []
    for part in _parts(words, marks):
        if part.fact not in told:
            continue
        name = items[part.fact]
        others = told[part.fact] == "found" and bool(known.get(part.fact))
        good = None if part.total is None else part.total - part.stale or (0 if others else part.total)
        utterance = _with(utterance, part.fact, good)
        notes.append(_said(says, name[0].upper() + name[1:], part, good))
        asks += [part.fact] if good is None else []
    return Counted(utterance, tuple(notes), tuple(asks))


def _said(says: Mapping[str, str], item: str, part: _Part, good: int | None) -> str:
    if part.total is None:
        return says["how_many_in_date"].format(item=item)
    if part.stale and good == part.total:
        return says["none_in_date"].format(item=item, all=part.total)
    return says["in_date"].format(item=item, all=part.total, stale=part.stale, good=good)


def _with(utterance: Utterance, fact: str, value: int | None) -> Utterance:
    """The utterance with this value for what it tells first of a fact, and nothing else of it; None tells nothing."""
    readings, done = [], value is None
    for reading in utterance.readings:
        kept = []
        for told in reading.told:
            if told.fact != fact or reading.kind != "report":
                kept.append(told)
            elif not done:
                kept.append(told._replace(value=value))
                done = True
        readings.append(reading._replace(told=tuple(kept)))
    return utterance._replace(readings=tuple(readings))


def _marks(words: Sequence[str], items: Mapping[str, str], lists: Mapping[str, tuple[str, ...]]) -> Iterator[_Mark]:
    """Numbers, things and words for dates; of phrases that overlap the longest."""
    yield from (_Mark("number", each.value, each.start, each.stop) for each in numbers(list(words)) if not each.bare_article)
    phrases = [("stale", phrase) for phrase in lists[STALE]] + [("fresh", phrase) for phrase in lists[FRESH]] + [("all", "all"), ("both", "both")]
    phrases += [(fact, phrase) for fact in items for phrase in lists.get(f"noun_{fact}", ())]
    taken: set[int] = set()
    for what, phrase in sorted(phrases, key=lambda each: -len(each[1].split())):
        parts = phrase.split()
        for at in range(len(words) - len(parts) + 1):
            span = range(at, at + len(parts))
            if list(words[at:at + len(parts)]) == parts and not taken.intersection(span):
                taken.update(span)
                yield _Mark(what, 0.0, at, at + len(parts))


def _parts(words: Sequence[str], marks: Sequence[_Mark]) -> Iterator[_Part]:
    """What each word for a date says, once for each fact; a date that is denied says nothing."""
    seen: set[str] = set()
    for at, mark in enumerate(marks):
        if mark.what not in ("stale", "fresh"):
            continue
        fact = _fact_of(marks, at)
        start = max((m.stop for m in marks[:at] if m.what in ("stale", "fresh")), default=0)
        if fact and fact not in seen and not _DENIES & set(words[start:mark.start]):
            part = _part(words, marks[:at], mark, fact)
            if part:
                seen.add(fact)
                yield part


def _fact_of(marks: Sequence[_Mark], at: int) -> str:
    """The thing that a word for a date is about: the last one before it, else the next."""
    things = [mark.what for mark in (*marks[at::-1], *marks[at:]) if mark.what not in ("number", "all", "both", "stale", "fresh")]
    return things[0] if things else ""


def _part(words: Sequence[str], before: Sequence[_Mark], date: _Mark, fact: str) -> _Part | None:
    """All and those out of date of one thing; None where all that is told of are in date, which changes nothing."""
    counted = next((at for at, mark in enumerate(before[:-1]) if mark.what == "number" and before[at + 1].what == fact), None)
    last = next((at for at in range(len(before) - 1, -1, -1) if before[at].what in ("number", "all", "both")), None)
    alone = last is None or last == counted or counted is None
    if alone:
        return None if date.what == "fresh" else _Part(fact)
    total, named = int(before[counted or 0].value), before[last or 0]
    if named.what == "both" and total != 2:
        return _Part(fact)
    if named.what in ("all", "both"):
        return _Part(fact, total, total) if date.what == "stale" else None
    adds = _ADDS & set(words[before[(counted or 0) + 1].stop:named.start]) and not _OF_THEM & set(words[named.stop:date.start])
    if adds or not named.value.is_integer() or not 0 <= named.value <= total:
        return _Part(fact)
    return _Part(fact, total, int(named.value) if date.what == "stale" else total - int(named.value))
