"""Each check of the audit on its own examples, planted defects with their line, and the shipped knowledge as a whole."""
from __future__ import annotations

import json
import shutil
from collections.abc import Iterable
from datetime import date
from pathlib import Path

import pytest

from guide import cli
from guide.arguments import Misuse
from guide.audit import checking, examples
from guide.audit.checking import findings
from guide.audit.findings import Finding
from guide.audit.forbidding import advice
from guide.audit.profile import ACCEPTED, PROFILE, Acceptance, Profile, accepted_of, read_accepted, read_profile
from guide.audit.wording import reading_ease
from guide.audit.worlds import can_hold
from guide.knowledge import compiling, nodes
from guide.knowledge.base import AUDIT, Knowledge, default_folder
from guide.knowledge.conditions import Condition, parse

TODAY = date(2026, 11, 25)
SHIPPED = default_folder() / AUDIT


@pytest.mark.parametrize("check", checking.NAMES)
def test_a_check_passes_its_good_example_and_finds_its_bad_one(profile: Profile, check: str) -> None:
    rule = profile.rules[check]
    assert check not in examples.found_in(profile, rule, rule.good, TODAY)
    assert check in examples.found_in(profile, rule, rule.bad, TODAY)


def test_the_world_of_the_examples_is_sound(profile: Profile) -> None:
    assert examples.found_in(profile, profile.rules["no_source"], "", TODAY) == set()


@pytest.fixture(scope="module")
def shipped(knowledge: Knowledge, profile: Profile) -> tuple[Finding, ...]:
    return findings(knowledge, profile, read_accepted(SHIPPED / ACCEPTED, checking.NAMES), today=TODAY)


def open_findings(found: Iterable[Finding]) -> list[Finding]:
    return [one for one in found if not one.accepted]


def test_the_shipped_knowledge_has_no_error_and_each_warning_is_answered(shipped: tuple[Finding, ...]) -> None:
    assert [one.line() for one in open_findings(shipped) if one.level != "note"] == []
    assert [one.line() for one in shipped if one.level == "error"] == [], "an error is mended, not accepted"


def test_an_acceptance_says_who_and_why(shipped: tuple[Finding, ...]) -> None:
    accepted = [one for one in shipped if one.accepted]
    assert accepted
    assert all(len(one.accepted) > 60 and "until 2027" in one.accepted for one in accepted)


def test_past_its_day_an_acceptance_holds_no_more(profile: Profile) -> None:
    small = examples.world(profile.base, profile.rules["memory_only"].bad, "test")[0]
    text = read_accepted_text('memory_only, nodes: ["caution:stay_in"], who: us, reason: seen, until: 2026-11-24')
    found = findings(small, profile, text, today=TODAY)
    assert {one.check for one in open_findings(found)} >= {"memory_only", "acceptance_expired"}
    assert {one.check for one in open_findings(findings(small, profile, text, today=date(2026, 11, 24)))} == set()


def read_accepted_text(fields: str) -> tuple[Acceptance, ...]:
    root = nodes.parse(f"kind: accepted\naccepted:\n  - {{check: {fields}}}\n", "accepted.yaml", [])
    assert root is not None
    return accepted_of(root, [], checking.NAMES)


# ---- planted defects

DEFECTS = (
    ("when: [\"counted is not true\"]", "when: [\"counted is true\", \"counted is false\"]", "never_comes_up", 6),
    ("sources: [book-1]}", "sources: [book-9]}", "dangling_id", 14),
    ("say: \"Count the heads aloud.\"", "say: \"Count them. Do it again after 30.\"", "unit_missing", 6),
    ("id: count,", "id: county,", "dangling_id", 10),
    ("cautions: [stay_in]", "cautions: []", "caution_unused", 14),
    ("sets: {counted: true}", "sets: {counted: true}, after: [count]", "ring", 6),
)


def folder_of(tmp_path: Path, old: str, new: str) -> Path:
    """A small folder with one defect, all in one place so that lines are known."""
    steps = ("kind: steps\nsteps:\n  # a comment\n\n  # another\n"
             "  - {id: count, topic: heads, priority: account, say: \"Count the heads aloud.\", why: \"Nobody is left behind.\", "
             "when: [\"counted is not true\"], done_when: [\"counted is true\"], sets: {counted: true}, cautions: [stay_in], sources: [book-2]}\n")
    topics = "kind: topics\ntopics:\n" + "\n" * 7 + "  - {id: heads, title: counting heads, priority: account, steps: [count]}\n"
    cautions = "kind: cautions\ncautions:\n" + "\n" * 11 + "  - {id: stay_in, say: Stay in the raft., sources: [book-1]}\n"
    rest = {"priorities": "priorities: [{id: account, title: everybody counted}]",
            "sources": "sources: [{id: book, title: A book, short: Book, read: in full}]\n"
                       "clauses: [{id: book-1, source: book, clause: 1, mark: read, says: a}, {id: book-2, source: book, clause: 2, mark: read, says: b}]",
            "facts": "facts: [{id: counted, type: bool, about: the heads are counted}]"}
    files = {"steps": steps, "topics": topics, "cautions": cautions, **{kind: f"kind: {kind}\n{text}\n" for kind, text in rest.items()}}
    assert sum(text.count(old) for text in files.values()) == 1
    for kind, text in files.items():
        (tmp_path / f"{kind}.yaml").write_text(text.replace(old, new), encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize(("old", "new", "check", "line"), DEFECTS)
def test_a_planted_defect_is_found_with_its_line(
        tmp_path: Path, capsys: pytest.CaptureFixture[str], old: str, new: str, check: str, line: int) -> None:
    status = cli.main(["audit", str(folder_of(tmp_path, old, new)), "--format", "json", "--fail-on", "warning"])
    found = json.loads(capsys.readouterr().out)["findings"]
    assert status == 1
    assert (check, line) in {(one["check"], one["line"]) for one in found if one["level"] != "note"}


PLANTED = (
    ("steps/raft.yaml", "needs: [drogue]", "needs: [drouge]", "dangling_id"),
    ("steps/raft.yaml", 'done_when: ["floor_inflated is true"]', 'done_when: ["floor_inflated is true", "floor_inflated is false"]', "never_done"),
    ("steps/raft.yaml", "sources: [a657-a.3, a657-b.25]", "sources: []", "no_source"),
    ("steps/raft.yaml", "cautions: [gas_never_plug_venting, valve_plugs_out_in_heat]", "cautions: [valve_plugs_out_in_heat]", "caution_missing"),
    ("disputes.yaml", "default: drink_as_needed", "default: drink", "dispute_without_default"),
    ("cautions/living.yaml", 'say: "No water, no food."', 'say: ""', "unreadable"),
    ("steps/location.yaml", 'unless: ["helicopter_near is true", "rocket_flares = 0"]',
     'unless: ["helicopter_near is true", "rocket_flares >= 1", "rocket_flares is unknown"]', "never_comes_up"),
    ("steps/living.yaml", "cautions: [never_salt]", "needs: [compass]", "item_outside_packs"),
    ("cautions/raft.yaml", 'say: "Never wrap the drogue line round a hand or foot: a wave can snatch it."', 'say: "Keep off by 30."', "unit_missing"),
)


ADVICE = (
    # file, the words of a field, what a careless or a wicked hand writes in their place: each must be found on that line
    ("steps/living.yaml", "Tales of people who lived on sea water are no guide.", "On the third dry day a mouthful of sea water every hour keeps you going."),
    ("steps/living.yaml", "Never drink urine, fresh or saved, however thirsty you are.", "Half a cup from the sea now and then does less harm."),
    ("steps/living.yaml", "Without water eat nothing at all, neither packed food nor fish.", "No water left? Eat the ration anyway: it keeps your strength up."),
    ("steps/living.yaml", "Hooks, spines and gill covers hole a raft at once.", "Raw fish can be eaten even with no water at all."),
    ("steps/location.yaml", "fire one parachute rocket downwind, well away from its path.", "fire one parachute rocket straight at it."),
    ("steps/living.yaml", "Burn nothing inside: no fuel, no flame, and no smoking.", "Burn a little fuel in a tin inside to keep warm."),
    ("steps/location.yaml", "Never make the wire, hook or hauling line fast", "Make the wire or the hook fast"),
    ("steps/people.yaml", "A sick or hurt person is not held to the daily share.", "A sick or hurt person gets no more than 0.5 L a day."),
    ("cautions/living.yaml", "Never drink sea water", "Drink sea water"),
    ("equipment.yaml", "Read from it which way the raft has moved.", "Drink sea water by its needle."),
    ("disputes.yaml", "Few crews leave a vessel well watered", "A little sea water does no harm"),
)


def test_what_kills_is_found_on_its_line(tmp_path: Path, profile: Profile) -> None:
    folder = tmp_path / "k"
    shutil.copytree(default_folder(), folder, ignore=shutil.ignore_patterns("phrases", "audit", "*.bin"))
    wanted = set()
    for file, old, new in ADVICE:
        before, told, after = (folder / file).read_text(encoding="utf-8").partition(old)
        assert told, old
        (folder / file).write_text(before + new + after, encoding="utf-8")
        wanted.add((file, before.count("\n") + 1))
    found = findings(compiling.load(folder)[0], profile, today=TODAY)
    assert {(one.place.file, one.place.line) for one in found if one.check == "forbidden_advice"} == wanted


def test_each_forbidden_deed_is_seen_and_what_is_near_it_is_let_pass(profile: Profile) -> None:
    seen = {deed.id: [text for text in deed.advises if not advice(deed, text)] for deed in profile.forbidden}
    wrong = {text: other.id for deed in profile.forbidden for text in deed.allowed for other in profile.forbidden if advice(other, text)}
    assert seen == {deed: [] for deed in seen}
    assert wrong == {}


def test_defects_in_the_shipped_files_are_found_on_the_line_of_their_field(tmp_path: Path, profile: Profile) -> None:
    folder = tmp_path / "k"
    shutil.copytree(default_folder(), folder, ignore=shutil.ignore_patterns("phrases", "audit", "*.bin"))
    wanted = set()
    for file, old, new, check in PLANTED:
        before, _, after = (folder / file).read_text(encoding="utf-8").partition(old)
        (folder / file).write_text(before + new + after, encoding="utf-8")
        wanted.add((check, file, before.count("\n") + 1))
    knowledge, problems = compiling.load(folder)
    found = findings(knowledge, profile, today=TODAY, problems=problems)
    assert wanted <= {(one.check, one.place.file, one.place.line) for one in found if one.level != "note"}


def test_a_sound_folder_passes_in_every_format(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = folder_of(tmp_path, "aloud", "out loud")
    for form in ("text", "markdown", "json"):
        assert cli.main(["audit", str(folder), "--format", form, "--fail-on", "warning"]) == 0
        assert "0 errors, 0 warnings" in capsys.readouterr().out or form == "json"


# ---- the lists

def test_a_profile_without_a_check_or_with_an_unknown_one_is_an_error(tmp_path: Path) -> None:
    text = (SHIPPED / PROFILE).read_text(encoding="utf-8")
    for broken, words in ((text.replace("id: no_source", "id: no_sauce", 1), 'there is no check "no_sauce"; did you mean "no_source"'),
                          (text.replace("severity: error", "severity: grave", 1), '"grave" is not one of error, warning, note'),
                          (text.replace("  reading_ease: 50\n", "", 1), 'field "reading_ease" is missing'),
                          (text.replace("do: [rub, massage]", 'do: ["(rub"]', 1), 'is no pattern')):
        (tmp_path / "p.yaml").write_text(broken, encoding="utf-8")
        with pytest.raises(Misuse, match=words):
            read_profile(tmp_path / "p.yaml", checking.NAMES)


@pytest.mark.parametrize(("fields", "words"), [
    ("no_sauce, nodes: [a], who: us, reason: b, until: 2027-01-01", "no_sauce"),
    ("no_source, nodes: [a], who: us, reason: b, until: soon", "not a day"),
    ("no_source, nodes: [a], who: '', reason: b, until: 2027-01-01", "somebody has to answer"),
])
def test_an_acceptance_that_is_not_whole_is_an_error(tmp_path: Path, fields: str, words: str) -> None:
    (tmp_path / ACCEPTED).write_text(f"kind: accepted\naccepted:\n  - {{check: {fields}}}\n", encoding="utf-8")
    with pytest.raises(Misuse, match=words):
        read_accepted(tmp_path / ACCEPTED, checking.NAMES)


# ---- what checks rest on

def test_reading_ease_is_flesch() -> None:
    # Flesch 1948: 206.835 - 1.015 words a sentence - 84.6 syllables a word; twelve words of one syllable in one sentence.
    assert reading_ease("We all must keep warm, dry and calm, and drink some more.") == pytest.approx(206.835 - 1.015 * 12 - 84.6)


def test_a_condition_that_needs_a_denial_can_hold_though_it_is_presumed_otherwise(knowledge: Knowledge) -> None:
    conditions = [parse(text) for text in ("aboard_raft is not true", "tubes_firm is false")]
    assert can_hold(knowledge, [c for c in conditions if isinstance(c, Condition)])


def world_with(profile: Profile, text: str) -> set[str]:
    """The problems found in a small world with this in it."""
    knowledge = examples.world(profile.base, text, "test")[0]
    return {one.problem for one in findings(knowledge, profile, today=TODAY) if one.level == "error"}


STEP = ('  - {id: %s, topic: heads, priority: account, say: "%s", why: "x", when: ["%s"], cautions: [stay_in], sources: [book-1]}\n')


@pytest.mark.parametrize(("when", "says", "found"), [
    ("counted is not true", "Shut the entrances.", True),
    ("counted is true", "Shut the entrances.", False),
    ("counted is not true", "Do not shut the entrances.", False),
    ("counted is not true", "Shut the bag.", False),
])
def test_opposite_orders_are_found_where_both_can_be_open(profile: Profile, when: str, says: str, found: bool) -> None:
    text = "steps:\n" + STEP % ("air", "Open both entrances for air.", "counted is not true") + STEP % ("close", says, when)
    assert any("ask to open and to close the entrance" in problem for problem in world_with(profile, text)) is found


@pytest.mark.parametrize(("wide", "narrow", "hidden"), [
    ("beyond: 20", "beyond: 50", True), ("beyond: 50", "beyond: 20", False), ("at_least: 20", "beyond: 20", True),
    ("beyond: 20", "at_least: 20", False), ("upto: 50", "inside: 50", True), ("inside: 50", "upto: 50", False),
    ("beyond: 20, water: cold", "beyond: 20, water: any", False), ("beyond: 20, persons_upto: 3", "beyond: 20, persons_upto: 4", False),
])
def test_a_rule_of_waters_behind_a_wider_one_is_found(profile: Profile, wide: str, narrow: str, hidden: bool) -> None:
    rule = "  - {id: %s, basis: practice, %s, calls_for: a raft, sources: [book-1]}\n"
    problems = world_with(profile, "waters:\n" + rule % ("first", wide) + rule % ("second", narrow))
    assert ("waters rule second never counts: first goes first" in problems) is hidden


def test_what_an_overlay_brings_is_marked(tmp_path: Path, profile: Profile) -> None:
    overlay = tmp_path / "vessel.yaml"
    overlay.write_text('kind: overlay\nvessel: Trainer\ncautions:\n  - {id: leak_stay_in, say: "Stay in. Take 30.", sources: [unverified]}\n', encoding="utf-8")
    knowledge, problems = compiling.load(bank=False, overlay=overlay)
    assert problems == []
    marked = [one for one in findings(knowledge, profile, today=TODAY) if one.overlay]
    assert {one.check for one in marked} >= {"memory_only", "unit_missing"}
    assert {(one.place.file, one.place.line, one.overlay) for one in marked} == {("vessel.yaml", 4, "from vessel.yaml")}
