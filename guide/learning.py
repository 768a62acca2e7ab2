"""Learn from the phrase bank and the labelled talks, and write what was learned beside them.

    python -m guide.learning [KNOWLEDGE_FOLDER] [--talks | --leave-out VOICE]

Two steps: the evidence of words for each topic, fact and amount, from the bank (`guide.language.training`, some minutes); then what each
clue to a topic weighs (`guide.talk.clues`), from the talks, played turn by turn with that evidence (a minute). `--talks` is the second step
alone. Needs the extra `train` (scikit-learn, which brings numpy). Deterministic; nothing is downloaded. With --leave-out it
learns without one voice of the bank and prints how well that voice is understood, or without one of the talks, and writes nothing.
"""
from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from types import MappingProxyType
from typing import NamedTuple

from guide.knowledge import compiling
from guide.knowledge.base import Knowledge
from guide.knowledge.problems import Problem
from guide.language import training, weights, writing
from guide.language.features import Lexicon
from guide.language.reading import Reader, Utterance
from guide.language.weights import Learned
from guide.session import Session
from guide.talk.before import Talk
from guide.talk.clues import Clues, candidates, sentence
from guide.talk.deciding import Deciding, Decision, weigh
from guide.talk.examples import Example, digest, read

BEGIN: Mapping[str, float] = MappingProxyType({"words": 3.5, "context": 3.5, "told first": 5.0, "told as well": 4.0, "supposed first": 3.0})
"""Weights with which the talks are played the first time."""
ROUNDS = 2
"""How often they are played: what a turn leans on is what the guide itself took the turn before to be about."""
HOLD = 0.5
"""How much weights are held near 0."""
STEPS = 25
"""Newton steps, with the curve of all that is likely; of what is right, where several are, it is left out, which only shortens the steps."""
_PLACES = 4


class Heard(NamedTuple):
    """A turn of a labelled talk: all it may be about, with the clues to each, and which of them are right."""

    found: Mapping[str, Clues]
    right: frozenset[str]


class _Listening(Deciding):
    """Decides as ever, and keeps what it decided on."""

    kept: tuple[Talk, Utterance] | None = None

    def decide(self, talk: Talk, utterance: Utterance) -> Decision:
        self.kept = talk, utterance
        return super().decide(talk, utterance)


def rehearse(knowledge: Knowledge, learned: Learned, talks: Iterable[Example]) -> list[Heard]:
    """Each turn of the talks that is labelled and decided by clues, as the guide hears it now."""
    reader = Reader(knowledge, learned)
    listening = _Listening(reader.matcher)
    found: list[Heard] = []
    for talk in talks:
        session = Session(knowledge, reader, lambda: "2026-01-01T00:00:00+00:00", deciding=listening)
        session.given(talk.given)
        for said in talk.turns:
            listening.kept = None
            session.answer(said.text)
            if said.topics and listening.kept:
                before, utterance = listening.kept
                found.append(Heard(candidates(before, sentence(before, utterance), listening.context(before)), frozenset(said.topics)))
    return found


def fitted(heard: Sequence[Heard]) -> dict[str, float]:
    """The weights under which the right topics are likeliest: logistic regression among what each turn may be about."""
    import numpy as np
    able = [turn for turn in heard if turn.right & turn.found.keys()]
    names = sorted({name for turn in able for clues in turn.found.values() for name in clues})
    column = {name: number for number, name in enumerate(names)}
    starts = np.cumsum([0, *(len(turn.found) for turn in able)])
    table, right = np.zeros((starts[-1], len(names))), np.zeros(starts[-1], dtype=bool)
    for start, turn in zip(starts, able):
        for row, (topic, clues) in enumerate(turn.found.items(), start):
            right[row] = topic in turn.right
            for name, value in clues.items():
                table[row, column[name]] = value
    of_turn, begins = np.repeat(np.arange(len(able)), np.diff(starts)), starts[:-1]
    weight = np.zeros(len(names))
    for _ in range(STEPS):
        points = table @ weight
        likely = np.exp(points - np.maximum.reduceat(points, begins)[of_turn])
        share, good = likely / np.add.reduceat(likely, begins)[of_turn], likely * right
        slope = table.T @ (share - good / np.add.reduceat(good, begins)[of_turn]) + HOLD * weight
        usual = np.add.reduceat(share[:, None] * table, begins)  # what a turn's clues come to, each topic by its share
        apart = table - usual[of_turn]
        weight -= np.linalg.solve(apart.T @ (share[:, None] * apart) + HOLD * np.eye(len(names)), slope)
    return {name: round(float(value), _PLACES) for name, value in zip(names, weight)}


def clue_weights(knowledge: Knowledge, learned: Learned, talks: Sequence[Example]) -> dict[str, float]:
    """What each clue weighs by these talks, heard with this evidence."""
    found = dict(BEGIN)
    for _ in range(ROUNDS):
        found = fitted(rehearse(knowledge, learned._replace(clues=found), talks))
    return found


def learn(folder: Path, *, only_talks: bool) -> None:
    """Learn and write. OSError where the file cannot be written."""
    knowledge, problems = compiling.load(folder)
    talks = read(folder, knowledge, problems)
    _refuse(problems)
    file = folder / weights.FILE
    if only_talks:
        data = file.read_bytes()
    else:
        lexicon = Lexicon.of(knowledge.language.concepts)
        data = writing.pack(writing.digest(knowledge.language), training.learned(knowledge, lexicon), lexicon, training.common(knowledge))
    found = clue_weights(knowledge, weights.unpack(data), talks)
    file.write_bytes(writing.with_clues(data, found, digest(folder)))


def _refuse(problems: Sequence[Problem]) -> None:
    if any(problem.level == "error" for problem in problems):
        raise SystemExit("\n".join(problem.line() for problem in problems))


def leave_out(folder: Path, voice: str) -> None:
    """Print how well one voice is understood by what was learned without it."""
    knowledge, problems = compiling.load(folder)
    talks = read(folder, knowledge, problems)
    held = [talk for talk in talks if talk.voice == voice]
    if not held:
        for family, share, number in training.leave_out(knowledge, voice):
            print(f"{voice:12} {family:8} {share:6.3f} of {number}")
        return
    learned = weights.read(folder / weights.FILE)
    found = clue_weights(knowledge, learned, [talk for talk in talks if talk.voice != voice])
    heard = rehearse(knowledge, learned._replace(clues=found), held)
    right = sum(weigh(turn.found, found)[0].topic in turn.right for turn in heard)
    print(f"{voice:12} talks    {right / len(heard):6.3f} of {len(heard)}")


def main() -> int:
    """The command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("folder", nargs="?", type=Path, default=compiling.default_folder())
    parser.add_argument("--talks", action="store_true", help="only what the clues weigh")
    parser.add_argument("--leave-out", metavar="VOICE", action="append", default=[])
    args = parser.parse_args()
    for voice in args.leave_out:
        leave_out(args.folder, voice)
    if not args.leave_out:
        learn(args.folder, only_talks=args.talks)
    return 0


if __name__ == "__main__":
    sys.exit(main())
