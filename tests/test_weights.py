"""The file of evidence weights: what is packed is what is scored, and damage is noticed."""
from __future__ import annotations

from pathlib import Path

import pytest

from guide.language import weights
from guide.language.features import Lexicon

ROWS = {"wflare": {0: 1.0, 2: -0.5}, "wraft": {1: 0.25}, "bflare raft": {2: 2.0}, "w" + "é" * 200: {0: 1.0}, "wnothing": {0: 0.001}}
OTHER = {"wflare": {1: 3.0}, "wsea": {0: -1.0}}


def made() -> bytes:
    return weights.pack("digest", [("topics", ["a", "b", "c"], [0.5, 0.0, -0.5], ROWS), ("scope", ["in", "out"], [0.0, 0.1], OTHER)],
                        Lexicon.of({"light": ["flare", "hand flares"], "boat": ["raft", "flare"]}))


def test_scores_are_sums_of_the_weights_shown() -> None:
    learned = weights.unpack(made())
    shown = learned.models["topics"].table.shown({"wflare": 0.5, "wraft": 1.0, "wunknown": 9.0, "wsea": 0.1})
    assert learned.digest == "digest"
    assert learned.models["topics"].score(shown) == pytest.approx([1.0, 0.25, -0.75])
    assert learned.models["scope"].score(shown) == pytest.approx([-0.1, 1.6])
    assert learned.models["topics"].contributions(shown, "a") == [(0.5, "wflare")]


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
