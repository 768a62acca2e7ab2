"""Learn from the phrase bank and the labelled talks, and write what was learned beside them.

    python -m guide.learning [KNOWLEDGE_FOLDER] [--clues | --leave-out VOICE]

Three steps. The evidence of words for each topic, fact and amount is learned from the bank (`guide.language.training`, some minutes). The talks
are played turn by turn with that evidence, which has never seen them, and what each clue weighs to a topic (`guide.talk.clues`) and to a fact being
told (`guide.talk.hints`) is learned from that (two minutes). Then the evidence is learned anew from the bank and the talks together, so that
nothing people said is lost. `--clues` leaves the evidence of the file as it is, for a change of clues. Needs the extra `train` (scikit-learn, which
brings numpy). Deterministic; nothing is downloaded. With --leave-out it learns without one voice of the bank, or without one of the talks, prints
how well that voice is understood, and writes nothing.
"""
from __future__ import annotations

import argparse
import sys
from collections.abc import Collection, Iterator, Mapping, Sequence
from functools import partial
from pathlib import Path
from types import MappingProxyType
from typing import NamedTuple

from guide.answering import Answering
from guide.knowledge import compiling
from guide.knowledge.base import Knowledge
from guide.knowledge.problems import Problem
from guide.knowledge.records import Value
from guide.language import training, weights, writing
from guide.language.features import Lexicon
from guide.language.reading import Reader
from guide.language.utterances import Utterance
from guide.language.weighing import Weighing
from guide.language.weights import Learned
from guide.session import Session
from guide.talk.before import Talk
from guide.talk.clues import candidates, sentence
from guide.talk.deciding import Deciding, Decision, weigh
from guide.talk.examples import Example, digest, read
from guide.talk.fitting import Asked, Choice, answering, choosing
from guide.talk.hints import likely
from guide.talk.lessons import with_lessons
from guide.talk.telling import KEEP, Telling

BEGIN: Mapping[str, float] = MappingProxyType({"words": 3.5, "context": 3.5, "told first": 5.0, "told as well": 4.0, "supposed first": 3.0})
"""Weights with which the talks are played the first time."""
ROUNDS = 2
"""How often they are played: what a turn leans on is what the guide itself took the turn before to be about."""


class Turns(NamedTuple):
    """What the turns of labelled talks show."""

    topics: list[Choice]
    facts: list[Asked]


class _Deciding(Deciding):
    """Decides as ever, and keeps what it decided on."""

    kept: tuple[Talk, Utterance] | None = None

    def decide(self, talk: Talk, utterance: Utterance) -> Decision:
        self.kept = talk, utterance
        return super().decide(talk, utterance)


class _Telling(Telling):
    """Hears as ever, and keeps what it heard."""

    kept: tuple[Talk, Utterance] | None = None

    def heard(self, talk: Talk, utterance: Utterance) -> Utterance:
        self.kept = talk, utterance
        return super().heard(talk, utterance)


def rehearse(knowledge: Knowledge, learned: Learned, talks: Sequence[Example]) -> Turns:
    """Each turn of the talks that is labelled and decided by clues, as the guide hears it now."""
    reader = Reader(knowledge, learned)
    deciding, telling = _Deciding(reader.matcher), _Telling(knowledge, reader)
    labelled = {fact for talk in talks for said in talk.turns for fact in said.told or ()}
    found = Turns([], [])
    for talk in talks:
        session = Session(knowledge, partial(Answering, reader=reader, deciding=deciding, telling=telling), lambda: "2026-01-01T00:00:00+00:00")
        session.given(talk.given)
        for said in talk.turns:
            deciding.kept = telling.kept = None
            session.answer(said.text)
            if said.topics and deciding.kept:
                before, utterance = deciding.kept
                heard = sentence(before, utterance)
                found.topics.append(Choice(candidates(before, heard, deciding.spoken_of(before, heard)), said.topics))
            if said.told is not None and not said.supposes and telling.kept:
                found.facts.extend(_asked(*telling.kept, telling, said.told, labelled))
    return found


def _asked(before: Talk, utterance: Utterance, telling: Telling, told: Mapping[str, Value | None], labelled: Collection[str]) -> Iterator[Asked]:
    """The facts that a turn may tell, and whether it does; what is known already is not told anew."""
    for label, hint in telling.hints(before, utterance).items():
        fact, _, value = label.partition("=")
        so = value == "true"
        if fact in labelled and before.known.get(fact) is not so:
            yield Asked(hint.clues, told.get(fact) is so)


def clue_weights(knowledge: Knowledge, learned: Learned, talks: Sequence[Example]) -> Learned:
    """The same with what each clue weighs by these talks, heard with this evidence."""
    learned = learned._replace(clues=Weighing(BEGIN), tells=Weighing({}))
    for _ in range(ROUNDS):
        turns = rehearse(knowledge, learned, talks)
        learned = learned._replace(clues=choosing(turns.topics), tells=answering(turns.facts))
    return learned


def evidence(knowledge: Knowledge, talks: Sequence[Example] = ()) -> bytes:
    """The bytes of a weights file with what the words of the bank, and of these talks, speak for."""
    lexicon = Lexicon.of(knowledge.language.concepts)
    return writing.pack(writing.digest(knowledge.language), training.learned(with_lessons(knowledge, talks), lexicon), lexicon, training.common(knowledge))


def learn(folder: Path, *, only_clues: bool) -> None:
    """Learn and write. OSError where the file cannot be written."""
    knowledge, problems = compiling.load(folder)
    talks = read(folder, knowledge, problems)
    _refuse(problems)
    found = clue_weights(knowledge, weights.unpack(evidence(knowledge)), talks)
    file = folder / weights.FILE
    data = file.read_bytes() if only_clues else evidence(knowledge, talks)
    file.write_bytes(writing.with_clues(data, found.clues, found.tells, digest(folder)))


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
    others = [talk for talk in talks if talk.voice != voice]
    found = clue_weights(knowledge, weights.unpack(evidence(knowledge)), others)
    found = weights.unpack(evidence(knowledge, others))._replace(clues=found.clues, tells=found.tells)
    turns = rehearse(knowledge, found, held)
    right = sum(weigh(turn.found, found.clues)[0].topic in turn.right for turn in turns.topics)
    print(f"{voice:12} topics   {right / len(turns.topics):6.3f} of {len(turns.topics)}")
    as_told = sum((likely(turn.clues, found.tells) >= KEEP) is turn.told for turn in turns.facts)
    print(f"{voice:12} facts    {as_told / len(turns.facts):6.3f} of {len(turns.facts)}")


def main() -> int:
    """The command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("folder", nargs="?", type=Path, default=compiling.default_folder())
    parser.add_argument("--clues", action="store_true", help="only what the clues weigh")
    parser.add_argument("--leave-out", metavar="VOICE", action="append", default=[])
    args = parser.parse_args()
    for voice in args.leave_out:
        leave_out(args.folder, voice)
    if not args.leave_out:
        learn(args.folder, only_clues=args.clues)
    return 0


if __name__ == "__main__":
    sys.exit(main())
