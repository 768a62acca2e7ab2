"""The words of a sign-off: a claim as it is shown to the person who answers for it, and what they type."""
from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import NamedTuple

from guide.knowledge.base import Knowledge
from guide.knowledge.claims import Row
from guide.review.choosing import Standing, counted
from guide.signoff import STATES

WIDTH = 80
PROMPT = "a agree, d doubt, w wrong (say why), s skip, q quit> "
_VERDICT = {"a": "agree", "d": "doubt", "w": "wrong"}


class Typed(NamedTuple):
    """What a person typed: `agree`, `doubt`, `wrong`, `skip` or `quit`; or nothing, and what to type instead."""

    word: str
    note: str = ""
    problem: str = ""


def typed(line: str) -> Typed:
    """The choice in one line of input. A doubt without a note helps nobody, so it is asked for."""
    letter, _, note = line.strip().partition(" ")
    note = " ".join(note.split())
    letter = letter.lower()
    if letter in ("s", "q"):
        return Typed("skip" if letter == "s" else "quit")
    if letter not in _VERDICT:
        return Typed("", "", "type a, d, w, s or q, and a note after it")
    if letter != "a" and not note:
        return Typed("", "", f"say what is amiss: {letter} NOTE")
    return Typed(_VERDICT[letter], note)


def claim_lines(standing: Standing, knowledge: Knowledge, number: int, total: int) -> list[str]:
    """A claim with every field and what it rests on, at 80 columns."""
    claim = standing.claim
    lines = [f"[{number} of {total}] {claim.id} ({claim.place.file}:{claim.place.line})"]
    if standing.review is not None:
        lines += _wrapped(("changed since" if standing.state == "stale" else "reviewed", standing.review.line()))
    for label, text in claim.rows:
        lines += _wrapped((label, _cautions(text, knowledge) if label == "cautions" else text))
    for source in claim.sources:
        says = knowledge.clauses[source].says if source in knowledge.clauses else ""
        lines += _wrapped(("rests on", knowledge.cite(source) + (f": {says}" if says else "")))
    return lines


def _cautions(text: str, knowledge: Knowledge) -> str:
    """The sentences of the cautions that a step names; each is a claim of its own, so the step's digest holds their ids only."""
    return " ".join(knowledge.cautions[name].say if name in knowledge.cautions else name for name in text.split("; "))


def _wrapped(row: Row) -> list[str]:
    return textwrap.wrap(f"{row[0]}: {row[1]}", WIDTH, initial_indent="  ", subsequent_indent="    ", break_long_words=True)


def status_lines(found: Sequence[Standing]) -> list[str]:
    """Counts by family and state, then each claim that is stale, doubted or wrong."""
    table = counted(found)
    wide = max([len("family"), len("all"), *map(len, table)])
    lines = ["  ".join([f"{'family':<{wide}}", *(f"{state:>12}" for state in STATES)]).rstrip()]
    for family, counts in table.items():
        lines.append("  ".join([f"{family:<{wide}}", *(f"{counts[state]:>12}" for state in STATES)]))
    lines.append("  ".join([f"{'all':<{wide}}", *(f"{sum(c[state] for c in table.values()):>12}" for state in STATES)]))
    for standing in amiss(found):
        review = standing.review.line() if standing.review else ""
        lines += textwrap.wrap(f"{standing.state}: {standing.claim.id} ({standing.claim.place.file}:{standing.claim.place.line}) {review}",
                               WIDTH, subsequent_indent="    ")
    return lines


def amiss(found: Sequence[Standing]) -> list[Standing]:
    """What somebody has to look at again: stale, doubted, wrong."""
    return [standing for standing in found if standing.state in ("stale", "doubt", "wrong")]
