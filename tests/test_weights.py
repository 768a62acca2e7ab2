"""The file of evidence weights: what is packed is what is scored, and damage is noticed."""
from __future__ import annotations

from pathlib import Path

import pytest

from guide.language import weights, writing
from guide.language.features import Lexicon
from guide.language.weighing import Net, Weighing
from guide.safe import Damaged

ROWS = {"wflare": {0: 1.0, 2: -0.5}, "wraft": {1: 0.25}, "bflare raft": {2: 2.0}, "w" + "é" * 200: {0: 1.0}, "wnothing": {0: 0.001}}
OTHER = {"wflare": {1: 3.0}, "wsea": {0: -1.0}}


def made() -> bytes:
    return writing.pack("digest", [("topics", ["a", "b", "c"], [0.5, 0.0, -0.5], ROWS), ("scope", ["in", "out"], [0.0, 0.1], OTHER)],
                        Lexicon.of({"light": ["flare", "hand flares"], "boat": ["raft", "flare"]}))


def test_scores_are_sums_of_the_weights_shown() -> None:
    """Features count by their share of the whole sentence's length, those that the bank does not know included."""
    learned = weights.unpack(made())
    shown = learned.models["topics"].table.shown({"wflare": 10, "wraft": 20, "wunknown": 20, "wsea": 2})
    size = (0.5 ** 2 + 1 + 1 + 0.1 ** 2) ** 0.5
    assert learned.digest == "digest"
    assert learned.models["topics"].score(shown) == pytest.approx([0.5 + 0.5 / size, 0.25 / size, -0.5 - 0.25 / size])
    assert learned.models["scope"].score(shown) == pytest.approx([-0.1 / size, 0.1 + 1.5 / size])
    assert learned.models["topics"].contributions(shown, "a") == [(pytest.approx(0.5 / size), "wflare")]


def test_a_feature_of_many_labels_scores_as_one_of_few() -> None:
    """Long rows are added as one number: the same sums, negative ones and those of many features among them."""
    labels = [f"l{n}" for n in range(40)]
    rows = {f"w{word}": {n: (n - 20) / 8 * (1 if word % 2 else -0.5) for n in range(word % 7, 40)} for word in range(60)}
    model = weights.unpack(writing.pack("", [("topics", labels, [0.0] * 40, rows)], Lexicon({}))).models["topics"]
    scored = model.score(model.table.shown({f"w{word}": 20 for word in range(60)}))
    wanted = [sum(max(-127, min(127, round(row.get(n, 0.0) * 40))) / 40 for row in rows.values()) / 60 ** 0.5 for n in range(40)]
    assert scored == pytest.approx(wanted)


def test_a_family_knows_its_own_features_only() -> None:
    models = weights.unpack(made()).models
    assert [models["topics"].knows(name) for name in ("wflare", "wsea", "wnothing", "w" + "é" * 200)] == [True, False, False, False]
    assert models["topics"].words() == ["flare", "raft"]
    assert models["scope"].words() == ["flare", "sea"]


def test_the_lexicon_comes_along() -> None:
    lexicon = weights.unpack(made()).lexicon
    assert lexicon.concepts(["hand", "flar", "on", "raft"]) == ["light", "boat"]
    assert lexicon.concepts(["flar"]) == ["light", "boat"]


def test_damage_is_no_evidence(tmp_path: Path) -> None:
    whole = made()
    for at in range(0, len(whole), 7):
        assert weights.unpack(whole[:at]).models == {}
        assert weights.unpack(whole[:at] + bytes((whole[at] ^ 4,)) + whole[at + 1:]).models == {}
    assert weights.read(tmp_path / "none").models == {}


def test_a_damaged_piece_is_never_used(tmp_path: Path) -> None:
    """A start reads only what stands before the table: what is damaged of that is found by whoever needs it, and by the check."""
    rows = {f"w{number}": {number % 3: 1.0, 2: -0.5} for number in range(2000)}
    whole = writing.pack("digest", [("topics", ["a", "b", "c"], [0.5, 0.0, -0.5], rows)], Lexicon({}))
    scored = {name: score(weights.unpack(whole), name) for name in rows}
    file = tmp_path / weights.FILE
    at = len(whole) - 3000
    file.write_bytes(whole[:at] + bytes((whole[at] ^ 4,)) + whole[at + 1:])
    learned, refused = weights.read(file), 0
    for name, wanted in scored.items():
        try:
            assert score(learned, name) == wanted
        except Damaged as error:
            refused += 1
            assert str(error).startswith(f"{file} is damaged") and "\n" not in str(error)
    assert 0 < refused < 200
    assert not weights.intact(learned) and weights.unpack(file.read_bytes()).models == {}


def score(learned: weights.Learned, name: str) -> list[float]:
    model = learned.models["topics"]
    return model.score(model.table.shown({name: 20}))


def test_all_families_at_once_say_what_each_says_by_itself() -> None:
    """Short rows and rows of many labels."""
    many = {f"w{word}": {label: (word - label) / 40 for label in range(90)} for word in range(30)}
    few = {f"w{word}": {word % 2: 0.25} for word in range(0, 30, 3)}
    models = weights.unpack(writing.pack("", [("topics", [f"t{n}" for n in range(90)], [0.1] * 90, many), ("scope", ["in", "out"], [0.0, 0.2], few)],
                                         Lexicon({}))).models
    shown = models["topics"].table.shown({f"w{word}": 1 + word % 20 for word in range(40)})
    scored = weights.Together(models).score(shown)
    for family in ("topics", "scope"):
        assert scored.family(family) == pytest.approx(dict(zip(models[family].labels, models[family].score(shown))))


# ---- what clues weigh

def test_clues_weigh_alone_and_together() -> None:
    """Two hinges: one begins where both clues stand, the other never. Numbers are kept in thousandths."""
    net = Net.of(["sure", "long"], [[1.0, -2.0], [1.0, -2.0]], [-1.5, 0.25], [4.0, 8.0])
    assert net.adds({"sure": 1.0, "long": 1.0}) == pytest.approx(4.0 * (2.0 - 1.5))
    assert net.adds({"sure": 1.0, "unheard of": 9.0}) == 0.0
    assert net.adds({}) == pytest.approx(8.0 * 0.25)
    weighing = Weighing({"sure": 2.0, "long": -0.5}, net)
    assert weighing.points({"sure": 1.0, "long": 1.0, "unheard of": 9.0}) == pytest.approx(1.5)
    assert Weighing({"sure": 2.0}).together({"sure": 1.0}) == 0.0


def test_what_clues_weigh_is_kept_in_the_file() -> None:
    net = Net.of(["sure", "long"], [[1.0, -2.0], [0.125, 32.0]], [-1.5, 0.25], [4.0, -30.0])
    data = writing.with_clues(made(), Weighing({"sure": 2.0, "long": -0.5}, net), Weighing({"news": 1.0}), "talks")
    learned = weights.unpack(data)
    assert dict(learned.clues.alone) == {"sure": 2.0, "long": -0.5} and learned.rehearsed == "talks"
    for clues in ({"sure": 1.0}, {"sure": 1.0, "long": 2.0}, {"long": -1.0}):
        assert learned.clues.together(clues) == pytest.approx(net.adds(clues), abs=0.05)
    assert learned.tells.net is None and dict(learned.tells.alone) == {"news": 1.0}
    assert weights.unpack(writing.with_clues(data, learned.clues, learned.tells, "talks")).clues.together({"sure": 1.0}) == learned.clues.together({"sure": 1.0})
