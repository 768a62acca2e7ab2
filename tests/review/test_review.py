"""The sign-off: what is asked, what is kept, and that a review goes stale by itself when the content changes."""
from __future__ import annotations

import io
import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from guide import cli, signoff
from guide.knowledge import compiling
from guide.knowledge.claims import Claim, claim_of, claims
from guide.knowledge.compiling import Knowledge
from guide.signoff import Review
from guide.starting import Started, start
from tests.review.small_knowledge import write


def read_claims(folder: Path) -> dict[str, Claim]:
    knowledge, problems = compiling.load(folder)
    assert problems == []
    return {claim.id: claim for claim in claims(knowledge)}


def review(folder: Path, typed: str, monkeypatch: pytest.MonkeyPatch, *words: str) -> int:
    monkeypatch.setattr("sys.stdin", io.StringIO(typed))
    return cli.main(["review", "--knowledge", str(folder), "--by", "A. Tester", *words])


def status(folder: Path, capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, dict[str, Any]]:
    capsys.readouterr()
    code = cli.main(["review", "--knowledge", str(folder), "--status", "--json", *words])
    return code, json.loads(capsys.readouterr().out)


def test_every_claim_of_the_shipped_knowledge_says_something_and_rests_on_something(knowledge: Knowledge) -> None:
    found = claims(knowledge)
    assert len({claim.id for claim in found}) == len(found) > 1300
    assert [claim.id for claim in found if not claim.says or not claim.marks] == []
    assert len({claim.digest for claim in found}) == len(found)


def test_verdicts_typed_through_a_pipe_are_kept_with_the_digest(small: Path, monkeypatch: pytest.MonkeyPatch,
                                                                capsys: pytest.CaptureFixture[str]) -> None:
    assert review(small, "a read it\ns\nd\nd  who\tsays so? \nq\n", monkeypatch) == 0
    out = capsys.readouterr().out
    assert "Code 1.2 (from memory, unverified): Bail at once." in out and "cautions: Mind your hands." in out and "say what is amiss: d NOTE" in out
    kept = signoff.read(small / signoff.FILE)
    assert [(r.claim, r.verdict, r.note, r.by) for r in kept] == [
        ("step:bail", "agree", "read it", "A. Tester"), ("caution:hands", "doubt", "who says so?", "A. Tester")]
    assert kept[0].digest == read_claims(small)["step:bail"].digest


def test_what_is_signed_is_not_asked_again_until_it_changes(small: Path, monkeypatch: pytest.MonkeyPatch,
                                                            capsys: pytest.CaptureFixture[str]) -> None:
    assert review(small, "a\n" * 20, monkeypatch) == 0
    assert status(small, capsys) == (0, {"counts": {
        "steps": {"agree": 2}, "cautions": {"agree": 1}, "items": {"agree": 1}, "packs": {"agree": 2}, "disputes": {"agree": 1}},
        "amiss": []})
    assert review(small, "", monkeypatch) == 0
    assert "Nothing is left to review." in capsys.readouterr().out
    write(small, steps=("Bail the water out.", "Bail all the water out."))
    code, found = status(small, capsys)
    assert code == 1 and [(a["claim"], a["state"], a["line"]) for a in found["amiss"]] == [("step:bail", "stale", 3)]
    assert review(small, "a\n", monkeypatch) == 0
    assert "[1 of 1] step:bail" in (out := capsys.readouterr().out) and "changed since: agree, by A. Tester" in out
    assert status(small, capsys)[0] == 0


@pytest.mark.parametrize(("file", "old", "new", "stale"), [
    ("steps", '"dry is not true"', '"dry is false"', {"step:bail"}),
    ("steps", "needs: [bailer]", "uses: [bailer]", {"step:bail"}),
    ("works", "Bail at once.", "Bail soon.", {"step:bail", "dispute:bailing"}),
    ("works", '"1.1", mark: read', '"1.1", mark: secondary', {"item:bailer", "pack:large"}),
    ("packs", "count: 1", "count: 2", {"pack:large"}),
    ("disputes", "default: bail_first", "default: look_first", {"dispute:bailing"}),
    ("cautions", "Mind your hands.", "Mind your hands!", {"caution:hands"}),
    ("topics", "title: water in the raft", "title: water aboard", set()),
])
def test_a_review_is_stale_when_what_is_told_or_what_it_rests_on_changes(tmp_path: Path, file: str, old: str, new: str,
                                                                         stale: set[str]) -> None:
    before = read_claims(write(tmp_path / "a"))
    after = read_claims(write(tmp_path / "b", **{file: (old, new)}))
    assert {name for name in before if before[name].digest != after[name].digest} == stale


def test_a_source_that_moves_to_the_other_side_of_a_dispute_is_noticed(tmp_path: Path) -> None:
    before = read_claims(write(tmp_path / "a", disputes=("[code-2]", "[code-2, code-1]")))
    after = read_claims(write(tmp_path / "b", disputes=("Look out first., sources: [", "Look out first., sources: [code-1, ")))
    assert before["dispute:bailing"].digest != after["dispute:bailing"].digest


@pytest.mark.parametrize(("only", "ids"), [
    ("mark=memory", ["step:bail", "dispute:bailing"]), ("source=code-1", ["item:bailer", "pack:large"]),
    ("topic=water_in", ["step:bail", "step:look_out"]), ("kind=caution", ["caution:hands"]), ("source=code", [
        "step:bail", "item:bailer", "pack:large", "dispute:bailing"])])
def test_only_what_was_asked_for_is_walked(small: Path, only: str, ids: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    assert review(small, "a\n" * 20, monkeypatch, "--only", only) == 0
    assert [r.claim for r in signoff.read(small / signoff.FILE)] == ids


@pytest.mark.parametrize(("line", "said"), [
    ('{"claim": "step:bail"}', ":2: not a review"), ("half a li", ":2: not a review"), ("[1]", ":2: not a review"),
    ('{"claim": "step:bail", "digest": "0", "verdict": "maybe", "note": "", "by": "x", "at": "y"}', ":2: a review has")])
def test_a_damaged_file_is_one_line_and_stays_as_it_is(small: Path, line: str, said: str, monkeypatch: pytest.MonkeyPatch,
                                                       capsys: pytest.CaptureFixture[str]) -> None:
    path = small / signoff.FILE
    signoff.append(path, Review("step:bail", "0", "agree", "", "x", "2031-04-05"))
    path.write_text(path.read_text() + line)
    before = path.read_bytes()
    assert review(small, "a\n", monkeypatch) == 2
    err = capsys.readouterr().err
    assert said in err and err.count("\n") == 1 and path.read_bytes() == before


def test_a_last_line_without_its_end_is_not_spoilt_by_the_next(small: Path) -> None:
    path = small / signoff.FILE
    first = Review("step:bail", "0", "agree", "", "x", "2031-04-05")
    signoff.append(path, first)
    path.write_text(path.read_text().rstrip("\n"))
    signoff.append(path, first)
    assert signoff.read(path) == (first, first)


def test_what_is_no_text_file_is_left_alone(small: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for path in (small, Path("/dev/zero"), small / "steps.yaml" / "reviews.jsonl"):
        assert cli.main(["review", "--knowledge", str(small), "--status", "--file", str(path)]) == 2
        err = capsys.readouterr().err
        assert str(path) in err and err.count("\n") == 1


def test_bytes_that_are_no_text_are_kept_as_such(small: Path) -> None:
    done = subprocess.run([sys.executable, "-m", "guide", "review", "--by", "x", "--knowledge", str(small)], input=b"d \xff\xfe so\nq\n",
                          capture_output=True, check=True)
    assert b"1 signed" in done.stdout and [r.note for r in signoff.read(small / signoff.FILE)] == ["\ufffd\ufffd so"]


def test_a_person_who_asks_why_hears_who_signed_it(small: Path) -> None:
    claim = read_claims(small)["step:bail"]
    assert signoff.told(claim, small) == ""
    signoff.append(small / signoff.FILE, Review(claim.id, claim.digest, "doubt", "when?\x1b[2J", "A. Tester", "2031-04-05T06:07:08+00:00"))
    assert signoff.told(claim, small) == "Reviewed: doubt, by A. Tester, 2031-04-05: when?[2J"
    signoff.append(small / signoff.FILE, Review(claim.id, "0", "agree", "", "A. Tester", "2031-04-06T06:07:08+00:00"))
    assert signoff.told(claim, small).endswith("(the words have changed since)")


@pytest.mark.parametrize(("words", "said"), [
    (["review", "--only", "topic=drouge"], 'did you mean "drogue"'), (["review", "--only", "colour=red"], "with a name of topic, source"),
    (["review"], "say who signs"), (["review", "--by", " "], "say who signs"), (["review", "--by", "x", "--json"], "--json goes with --status"),
    (["review", "--knowledge", "nowhere", "--status"], "nowhere: not a folder")])
def test_misuse_is_one_line(words: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(words) == 2
    err = capsys.readouterr().err
    assert said in err and err.count("\n") == 1


def test_why_in_a_talk_names_who_signed(knowledge: Knowledge, tmp_path: Path) -> None:
    session = Started(knowledge._replace(folder=str(tmp_path)), start().learned).session(clock=lambda: "2031-04-05T06:07:08+00:00")
    first = session.answer("the floor is flat, how do i pump it up").advice[0].step
    claim = claim_of(knowledge, "step", first)
    signoff.append(tmp_path / signoff.FILE, Review(claim.id, claim.digest, "agree", "read", "A. Tester", "2031-04-05T06:07:08+00:00"))
    assert "Reviewed: agree, by A. Tester, 2031-04-05: read" in session.answer("why").notes
