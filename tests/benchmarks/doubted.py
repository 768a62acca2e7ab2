"""Doubts that doubt too much: what labelled talks tell, and a row of `knowledge/doubts/` keeps from being noted."""
from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Iterator
from functools import partial
from itertools import islice
from pathlib import Path

import guide
from guide.answering import Answering
from guide.knowledge import compiling
from guide.language import weights
from guide.language.facts import Told
from guide.language.reading import Reader
from guide.session import Session
from guide.talk.examples import Example, read
from guide.turn import Turn
from tests.benchmarks.tables import show

FOLDER = Path(guide.__file__).parent.parent / "knowledge"
HOWS = ("set", "used", "found", "issued")
"""How an amount may be told."""
MOST = 8
"""Labelled facts, in all the talks, that one reason may keep from being noted: more are no odd labels."""


def run(args: argparse.Namespace) -> bool:
    """Play the talks, print the reasons with an example each; whether none doubts more than `MOST`."""
    knowledge, problems = compiling.load(FOLDER)
    reader = Reader(knowledge, weights.read(FOLDER / weights.FILE))
    found: Counter[str] = Counter()
    examples: dict[str, str] = {}
    turns = told = missed = 0
    for talk in read(FOLDER, knowledge, problems):
        if args.count and turns >= args.count:
            break
        session = Session(knowledge, partial(Answering, reader=reader), lambda: "2026-01-01T00:00:00+00:00")
        turns += len(talk.turns)
        for turn, labels, untold in _played(session, talk):
            told, missed = told + labels, missed + len(untold)
            for because in {because for each in untold for because in _doubted(reader, session, turn, each)}:
                found[because] += 1
                examples.setdefault(because, turn.text)
    show(f"Labelled facts: {told} in {turns} turns, {missed} of them not noted; doubted", ("because", "times", "as in"),
         ((because, times, examples[because][:70]) for because, times in islice(found.most_common(), 25)))
    return not found or max(found.values()) <= MOST


def _played(session: Session, talk: Example) -> Iterator[tuple[Turn, int, list[Told]]]:
    """Each turn that tells something by its labels, with how much that is and what of it was not noted; what the labels say holds from there on."""
    session.given(talk.given)
    for said in talk.turns:
        turn = session.answer(said.text)
        if said.supposes or not said.told:
            continue
        untold = [Told(fact, value, "set") for fact, value in said.told.items() if value is not None and turn.state.get(fact) != value]
        yield turn, len(said.told), untold
        session.given({told.fact: told.value for told in untold})


def _doubted(reader: Reader, session: Session, turn: Turn, told: Told) -> list[str]:
    """The reasons for which the clause of a turn that sounds most like it, or one with a quantity, is said only to seem to tell this."""
    clauses = [reading.clause for reading in turn.readings]
    if not isinstance(told.value, (bool, str)):
        likely, hows = [clause for clause in clauses if reader.amounts.counts(clause)], HOWS
    else:
        likely, hows = sorted(clauses, key=lambda clause: reader.sounds(clause, told.fact))[-1:], HOWS[:1]
    return [because for clause in likely for how in hows if (because := reader.doubted_because(told._replace(how=how), clause, turn.text, session.state.known()))]
