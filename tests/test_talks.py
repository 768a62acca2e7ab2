"""The labelled talks, what is learned from them, and how the choice among topics is made. The talks are our own; nothing here is a source."""
from __future__ import annotations

from pathlib import Path

import pytest

from guide.knowledge import compiling
from guide.knowledge.base import Knowledge
from guide.knowledge.problems import Problem
from guide.language import weights
from guide.language.cutting import stated
from guide.language.labels import OUTSIDE
from guide.language.naming import Naming
from guide.language.reading import Reader
from guide.language.units import Units
from guide.language.vocabulary import Vocabulary
from guide.language.weighing import Weighing
from guide.talk.before import Talk, goes_on, points_back
from guide.talk.clues import Clues, candidates, sentence
from guide.talk.deciding import Deciding, short_list, weigh
from guide.talk.examples import Example, digest, read
from guide.talk.fitting import Choice, choosing

FOLDER = compiling.default_folder()
FILE = """kind: talks
voice: somebody
talks:
  - given: {persons: 6, aboard_raft: true}
    turns: |
      leak, repair_kit | leak_open=true | there's a hole in the tube
      any | - | hm
      take_back | leak_open=? | scratch that
      leak | if leak_open=true, persons=5 | and if it starts again?
sentences: |
  outside | | who won the cup
"""


def talks_of(text: str, tmp_path: Path, knowledge: Knowledge) -> tuple[list[Example], list[Problem]]:
    (tmp_path / "talks").mkdir(exist_ok=True)
    (tmp_path / "talks" / "somebody.yaml").write_text(text, encoding="utf-8")
    problems: list[Problem] = []
    return read(tmp_path, knowledge, problems), problems


def test_a_file_of_talks_is_read(tmp_path: Path, knowledge: Knowledge) -> None:
    (talk, alone), problems = talks_of(FILE, tmp_path, knowledge)
    assert problems == []
    assert talk.given == {"persons": 6, "aboard_raft": True} and talk.voice == alone.voice == "somebody"
    assert [said.topics for said in talk.turns] == [("leak", "repair_kit"), (), ("take_back",), ("leak",)]
    assert [said.told for said in talk.turns] == [{"leak_open": True}, None, {"leak_open": None}, {"leak_open": True, "persons": 5}]
    assert [said.supposes for said in talk.turns] == [False, False, False, True]
    assert [said.place.line for said in talk.turns] == [6, 7, 8, 9]
    assert alone.turns[0].topics == (OUTSIDE,) and alone.turns[0].told == {} and alone.turns[0].text == "who won the cup"


@pytest.mark.parametrize(("line", "wrong", "code"), [
    ("leek | | a hole", 'unknown "leek"; did you mean "leak"?', "K031"),
    ("leak | leak_opn=true | a hole", 'unknown "leak_opn"; did you mean "leak_open"?', "K031"),
    ("leak | a hole", '"topics | what it tells | sentence" is expected', "K023"),
    ("leak | | ", '"topics | what it tells | sentence" is expected', "K023")])
def test_a_wrong_line_is_named(line: str, wrong: str, code: str, tmp_path: Path, knowledge: Knowledge) -> None:
    _, problems = talks_of(f"kind: talks\nvoice: somebody\nsentences: |\n  leak | | a hole in it\n  {line}x\n".replace("| x", "| "), tmp_path, knowledge)
    assert [(problem.code, wrong in problem.message, "line 5" in problem.message) for problem in problems] == [(code, True, True)]


def test_the_shipped_talks_are_sound_and_were_learned_from(knowledge: Knowledge) -> None:
    problems: list[Problem] = []
    talks = read(FOLDER, knowledge, problems)
    assert problems == [] and sum(len(talk.turns) for talk in talks) > 5000
    assert weights.read(FOLDER / weights.FILE).rehearsed == digest(FOLDER)


# ---- the choice

def turn(**found: dict[str, float]) -> dict[str, dict[str, float]]:
    return dict(found)


def test_what_is_fitted_prefers_what_was_right() -> None:
    """Two clues, of which one always stands with the right topic: it weighs more than 0, the other less."""
    heard = [Choice(turn(leak={"told": 1.0, "long": 0.0}, pump={"told": 0.0, "long": 1.0}), ("leak",)),
             Choice(turn(torch={"told": 1.0, "long": 0.0}, outside={"told": 0.0, "long": 1.0}), ("torch",)),
             Choice(turn(sart={"told": 1.0, "long": 1.0}, epirb={"told": 0.0, "long": 1.0}), ("sart", "lookout"))]
    found = choosing(heard)
    assert found.alone["told"] > 1.0 and found.alone["long"] < 0.0
    assert [weigh(each.found, found)[0].topic in each.right for each in heard] == [True, True, True]


def test_what_clues_say_only_together_is_fitted() -> None:
    """The right topic has one of two clues, the wrong one both or neither: no clue by itself speaks for either."""
    one, other, both, neither = ({"near": a, "asks": b} for a, b in ((1.0, 0.0), (0.0, 1.0), (1.0, 1.0), (0.0, 0.0)))
    heard = [Choice(turn(leak=good, pump=bad), ("leak",)) for good in (one, other) for bad in (both, neither)] * 500
    found = choosing(heard)
    by_themselves = [weigh(each.found, Weighing(found.alone))[0] for each in heard]
    assert all(each.share < 0.6 for each in by_themselves)
    together = [weigh(each.found, found)[0] for each in heard]
    assert all(each.topic == "leak" and each.share > 0.7 for each in together)


def test_of_what_is_right_the_best_is_fitted() -> None:
    """`what now` may always be said; what is said best is something else."""
    heard = [Choice(turn(board_raft={"told": 1.0}, what_now={"always": 1.0}), ("board_raft", "what_now"))] * 20
    found = choosing(heard)
    assert weigh(heard[0].found, found)[0].topic == "board_raft"
    alone = Choice(turn(leak={"told": 1.0}, what_now={"always": 1.0}), ("head_count", "what_now"))
    assert [alone.worth(topic) for topic in ("leak", "what_now", "head_count")] == [0.0, 1.0, 0.0]  # what was not found is not the best


def test_few_topics_are_looked_at_again_and_none_where_one_is_settled() -> None:
    assert short_list({"leak": 9.0, "pump": 1.0, "torch": 0.0}) == []
    assert short_list({name: 1.0 for name in "gfedcba"}) == ["a", "b", "c", "d", "e"]


def test_shares_are_shares() -> None:
    ranked = weigh(turn(leak={"words": 2.0}, pump={"words": 1.0}, torch={"words": 1.0}), Weighing({"words": 1.0}))
    assert [each.topic for each in ranked] == ["leak", "pump", "torch"]  # those alike in order of their names
    assert sum(each.share for each in ranked) == pytest.approx(1.0)
    assert ranked[0].share / ranked[1].share == pytest.approx(2.718281828, rel=1e-6)


def test_a_clue_of_the_talk_needs_a_talk(knowledge: Knowledge) -> None:
    """What is said first has no clue that stands on something before it."""
    reader = Reader(knowledge, weights.read(FOLDER / weights.FILE))
    deciding = Deciding(reader.matcher)
    utterance = reader.read("and which way do I point it?")
    first, later = Talk(knowledge), Talk(knowledge, "hand_flare", last="hand_flare", begun=True)
    of_first = candidates(first, sentence(first, utterance), deciding.spoken_of(first, sentence(first, utterance)))
    of_later = candidates(later, sentence(later, utterance), deciding.spoken_of(later, sentence(later, utterance)))
    assert not any(name.startswith(("subject", "near,", "of the turn")) for clues in of_first.values() for name in clues)
    assert of_later["hand_flare"]["of the turn before, goes on"] == 1.0 and "subject, asks" in of_later["hand_flare"]
    share = [next((each.share for each in weigh(found, reader.matcher.clues) if each.topic == "hand_flare"), 0.0) for found in (of_first, of_later)]
    assert share[1] > 2 * share[0]


@pytest.mark.parametrize(("text", "named"), [
    ("where do we put the epirb", {"epirb"}), ("the hand flares and a torch", {"hand_flare", "torch"}), ("is it ok to sleep", set()), ("it is in the drogue line bag", {"drogue"})])
def test_items_called_by_a_name(knowledge: Knowledge, text: str, named: set[str]) -> None:
    assert Naming(knowledge, Vocabulary(Units(knowledge.language.words))).named(text) == named


def test_what_is_named_and_what_is_told_first_are_clues(knowledge: Knowledge) -> None:
    reader = Reader(knowledge, weights.read(FOLDER / weights.FILE))
    deciding, talk = Deciding(reader.matcher), Talk(knowledge)

    def found(text: str) -> dict[str, Clues]:
        heard = sentence(talk, reader.read(text))
        return candidates(talk, heard, deciding.spoken_of(talk, heard))

    torch = found("where is the torch")
    others = [clues for topic, clues in torch.items() if topic != "torch"]
    assert torch["torch"]["nothing else is named"] == 1.0 and others and all(clues["another is named"] == 1.0 for clues in others)
    mixed = found("there is a leak in the tube. how do I find it")
    assert mixed["leak"]["context of what is told"] > 0.0 and not any("context of what is told" in clues for clues in torch.values())


@pytest.mark.parametrize(("text", "says"), [
    ("it is on. how long does it last", "it is on."), ("we cut it, do we paddle?", "we cut it"), ("the floor is hard", "the floor is hard"), ("how do I pump it", "how do I pump it")])
def test_what_is_stated_beside_a_question(text: str, says: str) -> None:
    assert stated(text) == says


@pytest.mark.parametrize(("text", "goes", "points"), [
    ("and in the dark?", True, False), ("how do I fix that", False, True), ("there is a leak", False, False), ("is anybody in there", False, True),
    ("one left the raft", False, False), ("show me another", True, False)])
def test_what_leans_on_the_talk(text: str, goes: bool, points: bool) -> None:
    assert goes_on(text) is goes and points_back(text) is points
