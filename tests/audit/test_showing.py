"""`guide show`, `guide find`, `guide path`, coverage and exports, on the shipped knowledge."""
from __future__ import annotations

import csv
import io
import json
import xml.etree.ElementTree as ET
from pathlib import Path

import networkx
import pytest

from guide import cli
from guide.audit import coverage, examples, exporting, plainly, showing, tables
from guide.audit.describing import Describer
from guide.audit.profile import Profile
from guide.audit.searching import Searcher
from guide.knowledge import compiling
from guide.knowledge.base import Knowledge
from guide.knowledge.conditions import Condition, parse

KINDS = {
    "step:drogue_stream": ("Throw the drogue", "when: you are in the raft; and the painter is cut", "A.657(16) Annex 1, Part A, action 3 (from memory, unverified)",
                           "phrases lead to it", "is called for by (1)", "comes after (2)", "item:drogue: drogue"),
    "topic:drogue": ("the drogue (sea anchor)", "phrases lead to it", "calls for (10)", "is near"),
    "item:drogue": ("also: sea anchor", "stands in: spare drogue", "is needed by", "is carried by (3)"),
    "pack:coastal": ("marked: COASTAL SERVICE", "46 CFR 160.051-11 [quoit, knife", "carries", "item:quoit (1)"),
    "fact:drogue_set": ("= true: the drogue is out", "presumed: the drogue is not out, because", "is set by", "phrases lead to it"),
    "caution:drogue_line_hands": ("Never wrap the drogue line", "common practice", "is a caution of"),
    "source:lsa": ("International Life-Saving Appliance Code", "has the clause"),
    "clause:lsa-4.1.5.1.3": ("mark: secondary", "bears out", "is a clause of (1)", "pack:solas_a (bailer)"),
    "clause:common_practice": ("a rule of the trade", "bears out"),
    "dispute:first_day_water": ("drink_as_needed (followed)", "hold_back:", "has a side taken by", "either way"),
    "priority:water": ("title: water", "is served by"),
    "figure:water_budget.water_days": ("answers (1)", "takes", "fact:water (stock_l)"),
    "waters:us_beyond_50": ("an inflatable liferaft with the SOLAS A pack", "calls for (1)"),
}


@pytest.mark.parametrize("name", KINDS)
def test_a_node_of_each_kind_shows_what_belongs_to_it(describer: Describer, name: str) -> None:
    node = describer.node(name)
    text = " ".join(" ".join(showing.node_lines(node, every=True)).split())
    assert [words for words in KINDS[name] if words not in text] == []
    assert name == "clause:common_practice" or str(node.place) in text


def test_every_node_can_be_shown(describer: Describer) -> None:
    for name in describer.places:
        node = describer.node(name)
        assert node.title and node.words, name
        json.dumps(showing.node_data(node))


def test_links_go_both_ways(describer: Describer) -> None:
    for name in ("step:drogue_stream", "topic:rough_sea", "item:pump", "fact:night"):
        for link in describer.node(name).links:
            back = {(other.name, other.type, other.detail) for other in describer.node(link.name).links if other.out is not link.out or other.name == name}
            assert (name, link.type, link.detail) in back


def test_an_id_of_several_kinds_shows_each(describer: Describer, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr("guide.audit.command.read_all", lambda *_: describer.knowledge)
    assert cli.main(["show", "drogue", "--json"]) == 0
    assert [node["name"] for node in json.loads(capsys.readouterr().out)] == ["topic:drogue", "item:drogue"]


@pytest.mark.parametrize(("words", "line"), [
    (["show", "drouge_stream"], 'guide show: there is no node "drouge_stream"; did you mean "drogue_stream"?'),
    (["show", "\x1b[31mzzz"], 'guide show: there is no node "[31mzzz"; look for it with guide find WORDS'),
    (["path", "rough_sea", "qqqq"], 'guide path: there is no node "qqqq"; look for it with guide find WORDS'),
    (["path", "topic:drogue", "topic:drogue"], "guide path: topic:drogue is both ends: name two nodes"),
    (["show", "drogue", "--knowledge", "nowhere"], "guide show: nowhere: not a folder of knowledge files"),
    (["audit", "--overlay", "nowhere.yaml"], "guide audit: nowhere.yaml: no such overlay file"),
    (["audit", "--profile", "nowhere.yaml"], "guide audit: nowhere.yaml:1:1: error: cannot be read: No such file or directory [K001]"),
    (["audit", "--format", "csv"], "guide audit: --format csv goes with --coverage"),
    (["find", "drogue", "--most", "0"], "guide find: --most is at least 1"),
])
def test_a_wrong_call_gets_one_line(
        describer: Describer, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], words: list[str], line: str) -> None:
    if "--knowledge" not in words:
        monkeypatch.setattr("guide.audit.command.read_all", lambda *_: describer.knowledge)
        monkeypatch.setattr("guide.audit.command.Describer", lambda _: describer)
    assert cli.main(words) == 2
    out, err = capsys.readouterr()
    assert (out, err.strip()) == ("", line)


@pytest.mark.parametrize(("words", "first"), [
    ("soft tubes", "topic:top_up_tubes"), ("drouge line chafing", "step:drogue_chafe_check"), ("LSA 4.1.5.1.3", "clause:lsa-4.1.5.1.3"),
    ("underwater parachute", "item:drogue"), ("water in the first 24 hours", "dispute:first_day_water")])
def test_find_mends_and_ranks(describer: Describer, searcher: Searcher, words: str, first: str) -> None:
    assert first in [hit.name for hit in searcher.find(words, most=3)]


@pytest.fixture(scope="module")
def searcher(describer: Describer) -> Searcher:
    return Searcher(describer)


def test_find_says_when_there_is_nothing(searcher: Searcher) -> None:
    assert searcher.find("zzzzqq xxyy") == [] == searcher.find("the of and")


def test_a_path_is_told_in_sentences(describer: Describer) -> None:
    lines = showing.way(describer, "topic:rough_sea", "step:drogue_stream")
    assert lines[0] == 'topic rough_sea "heavy or breaking seas" is near topic drogue "the drogue (sea anchor)".'
    assert lines[1].startswith('topic drogue "the drogue (sea anchor)" calls for step drogue_stream')
    assert lines[2].startswith("It comes up when: you are in the raft; and the painter is cut")


def test_what_an_overlay_changed_is_marked_where_it_is_shown() -> None:
    overlay = Path(__file__).resolve().parents[2] / "transcripts_demo" / "vessel_overlay.yaml"
    knowledge = compiling.load(bank=False, overlay=overlay)[0]
    own = Describer(knowledge)
    marked = {own.node(name).overlay for name in own.places}
    changed = [name for name in own.places if name.partition(":")[2] in knowledge.overlay.changed and own.places[name].file == overlay.name]
    assert marked == {"", "from vessel_overlay.yaml"}
    assert changed and all(own.node(name).overlay for name in changed)


# ---- coverage

def test_a_pack_without_flares_shows_its_gap_and_still_has_steps(knowledge: Knowledge, profile: Profile) -> None:
    cells = {(c.topic, c.pack, c.conditions): c for c in coverage.situations(knowledge, profile)}
    assert len(cells) == len(knowledge.topics) * len(knowledge.packs) * (1 + len(profile.conditions))
    assert min(len(c.steps) for c in cells.values()) >= 1
    # 46 CFR 160.051-11: the Coastal Service pack holds no flares; LSA Code 4.1.5.1.10: an A pack four rockets.
    assert "No parachute rocket aboard." in cells["rocket_flare", "coastal", "plain"].gaps
    assert cells["rocket_flare", "solas_a", "plain"].gaps == ()
    assert "ship_mirror" in cells["ship_sighted", "coastal", "plain"].steps
    assert "ship_mirror" not in cells["ship_sighted", "coastal", "night"].steps


def test_every_clause_of_the_standards_named_bears_something_out(knowledge: Knowledge, profile: Profile) -> None:
    rows = coverage.standards(knowledge, profile)
    # A.657(16) Annex 1: 5 immediate actions and 20 survival steps; LSA Code 4.1.5: 24 items and three paragraphs.
    assert [sum(row.standard == s.title for row in rows) for s in profile.standards][:2] == [25, 27]
    assert [row.clause for row in rows if not row.claims] == []


def test_a_work_counts_its_clauses_and_claims(knowledge: Knowledge) -> None:
    rows = {row.source: row for row in coverage.works(knowledge)}
    assert sum(sum(row.clauses.values()) for row in rows.values()) == len(knowledge.clauses)
    assert rows["common_practice"].claims > 0


def test_a_cell_cannot_be_a_formula() -> None:
    assert tables.csv_of([["=1+1", "@x", "-2", "+3", 'a "b", c']]) == '\'=1+1,\'@x,\'-2,\'+3,"a ""b"", c"\r\n'


def test_coverage_and_exports_by_command(
        describer: Describer, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    monkeypatch.setattr("guide.commands.auditing.read_all", lambda *_: describer.knowledge)
    monkeypatch.setattr("guide.commands.auditing.Describer", lambda _: describer)
    assert cli.main(["audit", "--coverage"]) == 0
    assert "Every clause named is covered." in capsys.readouterr().out
    assert cli.main(["audit", "--coverage", "--format", "csv"]) == 0
    blocks = capsys.readouterr().out.replace("\r\n", "\n").split("\n\n")
    assert [block.partition(",")[0] for block in blocks] == ["topic", "work", "standard"]
    assert cli.main(["audit", "--coverage", "--format", "json"]) == 0
    assert set(json.loads(capsys.readouterr().out)) == {"situations", "works", "standards"}
    for form in exporting.FORMATS:
        assert cli.main(["export", form, "-o", str(tmp_path / form)]) == 0
    assert cli.main(["export", "csv", "-o", str(tmp_path / "no" / "where")]) == 2
    assert "cannot be written" in capsys.readouterr().err


# ---- exports

def test_graphml_is_read_by_two_readers(describer: Describer) -> None:
    text = exporting.graphml(describer)
    nodes, links = describer.graph.number_of_nodes(), describer.graph.number_of_edges()
    graph = networkx.parse_graphml(text)
    assert (graph.number_of_nodes(), graph.number_of_edges()) == (nodes, links)
    space = "{http://graphml.graphdrawing.org/xmlns}"
    root = ET.fromstring(text)
    assert (len(root.findall(f".//{space}node")), len(root.findall(f".//{space}edge"))) == (nodes, links)


def test_node_link_and_dot_hold_every_link(describer: Describer) -> None:
    data = json.loads(exporting.node_link(describer))
    ids = {node["id"] for node in data["nodes"]}
    assert len(data["links"]) == describer.graph.number_of_edges()
    assert {link["source"] for link in data["links"]} | {link["target"] for link in data["links"]} <= ids
    assert exporting.dot(describer).count(" -> ") == describer.graph.number_of_edges()


def test_hostile_words_stay_words(profile: Profile) -> None:
    hostile = 'cautions:\n  - {id: stay_in, say: "=cmd|x \\"]; <b>&\\\\", sources: [common_practice]}'
    own = Describer(examples.world(profile.base, hostile, "test")[0])
    assert networkx.parse_graphml(exporting.graphml(own)).nodes["caution:stay_in"]["title"] == '=cmd|x "]; <b>&\\'
    assert '"caution:stay_in" [label="=cmd|x \\"]; <b>&\\\\", kind="caution"];' in exporting.dot(own)
    rows = {row["claim"]: row for row in csv.DictReader(io.StringIO(exporting.claims_csv(own)))}
    assert rows["caution:stay_in"]["text"].startswith("'=cmd")


@pytest.mark.parametrize(("text", "words"), [
    ("drogue_set is true", "the drogue is out"), ("drogue_set is not true", "it is not known that the drogue is out"),
    ("persons is unknown", "nobody has said: people aboard the raft"), ("night is known", "somebody has said: whether it is dark"),
    ("rocket_flares is not 0", "parachute rockets left is not 0"), ("air_temperature < 10", "air temperature is below 10 °C"),
    ("has pump and lacks bailer or pack is coastal", "the topping-up pump is to hand and there is no bailer, or"),
])
def test_a_condition_is_told_in_plain_words(knowledge: Knowledge, text: str, words: str) -> None:
    condition = parse(text)
    assert isinstance(condition, Condition)
    assert plainly.condition_words(knowledge, condition).startswith(words)
