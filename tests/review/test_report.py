"""The report: every node once, all links lead somewhere, nothing from outside, nothing that a text could break."""
from __future__ import annotations

import base64
import hashlib
import os
import re
import subprocess
import sys
from collections import Counter
from datetime import date
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest

from guide import cli, signoff
from guide.audit.describing import Describer
from guide.audit.running import Audited, audit, profile_of
from guide.knowledge import compiling, graph
from guide.knowledge.claims import claims
from guide.knowledge.compiling import Knowledge, default_folder
from guide.review.drawing import MOST, Drawer
from guide.review.report import report
from guide.signoff import Review
from tests.review.small_knowledge import write

TODAY = date(2031, 4, 5)
HOSTILE = """</title></script><script>alert(1)</script><img src=x onerror=alert(2)>"onfocus="alert(3)' {{ 7 * 7 }}"""


class Page(HTMLParser):
    """What stands in a page: ids, links, elements, texts."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.ids: Counter[str] = Counter()
        self.elements: Counter[str] = Counter()
        self.links: set[str] = set()
        self.attributes: set[str] = set()
        self.data: list[str] = []
        self.text = text
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements[tag] += 1
        for name, value in attrs:
            self.attributes.add(name)
            if name == "id":
                self.ids[str(value)] += 1
            if name in ("href", "src", "action", "xlink:href", "data", "srcset", "poster"):
                self.links.add(str(value))

    def handle_data(self, data: str) -> None:
        self.data.append(data)

    @property
    def words(self) -> str:
        """All text."""
        return " ".join(" ".join(self.data).split())


def of(folder: Path, overlay: Path | None = None, *reviews: Review) -> Page:
    return Page(report(audit(folder, overlay=overlay, today=TODAY), signoff.latest(reviews), TODAY))


@pytest.fixture(scope="module")
def shipped(knowledge: Knowledge) -> str:
    return report(Audited(knowledge, profile_of(default_folder()), (), ""), {}, TODAY)


# ---- the shipped knowledge

def test_every_node_has_one_section_and_every_link_an_end(shipped: str, knowledge: Knowledge) -> None:
    ids = Counter(re.findall(r' id="([^"]+)"', shipped))
    assert [name for name, number in ids.items() if number > 1] == []
    assert [name for name in Describer(knowledge).places if name not in ids] == []
    assert [link for link in set(re.findall(r'href="#([^"]*)"', shipped)) if link not in ids] == []


def test_nothing_comes_from_outside(shipped: str) -> None:
    assert re.findall(r"<(?:link|img|iframe|object|embed|base|script [^>]*src)|url\(|@import|https?:", shipped) == []
    assert set(re.findall(r' href="(.)', shipped)) == {"#"}


def test_it_stays_small_enough_to_send(shipped: str) -> None:
    assert 1_000_000 < len(shipped.encode()) < 6_500_000


def test_every_drawing_is_sound_svg(shipped: str) -> None:
    drawings = re.findall(r"<svg.*?</svg>", shipped, re.DOTALL)
    assert len(drawings) > 1500
    for text in drawings[::50]:
        assert ElementTree.fromstring(text).tag == "svg"


def test_a_drawing_has_the_layers_in_order_and_no_box_on_another(knowledge: Knowledge) -> None:
    drawn = Drawer(Describer(knowledge)).drawing("topic:drogue")
    assert drawn is not None and [name for _, name in drawn.heads] == ["situation", "steps", "equipment", "sources"]
    columns: dict[int, list[int]] = {}
    kinds = {}
    for box in drawn.boxes:
        columns.setdefault(box.x, []).append(box.y)
        kinds.setdefault(box.x, set()).add(box.name.partition(":")[0])
    assert [kinds[x] - {""} for x in sorted(columns)] == [{"topic"}, {"step"}, {"item"}, {"clause"}]
    assert all(b - a >= 22 for ys in columns.values() for a, b in pairwise(ys))
    steps = [box.name.removeprefix("step:") for box in drawn.boxes if box.name.startswith("step:")]
    assert steps == list(knowledge.topics["drogue"].steps)


def test_of_many_neighbours_the_last_box_counts_the_rest(knowledge: Knowledge) -> None:
    drawn = Drawer(Describer(knowledge)).drawing("fact:aboard_raft")
    assert drawn is not None
    steps = [box for box in drawn.boxes if box.x == drawn.heads[1][0]]
    assert len(steps) == MOST and re.fullmatch(r"and \d+ more", steps[-1].label) and steps[-1].name == ""


def test_rows_of_a_layout_are_centred_and_in_order() -> None:
    assert graph.layered([["b"], ["z", "a", "m"], ["q", "c"]]) == {"b": 1, "z": 0, "a": 1, "m": 2, "q": 0.5, "c": 1.5}
    assert graph.layered([["a"], ["b"]]) == {"a": 0, "b": 0}


# ---- what a page says

def test_the_script_is_the_only_one_that_the_policy_allows(small: Path) -> None:
    page = of(small)
    script = re.findall(r"<script>(.*?)</script>", page.text, re.DOTALL)
    digest = base64.b64encode(hashlib.sha256(script[0].encode()).digest()).decode()
    assert len(script) == 1 and f"script-src 'sha256-{digest}';" in page.text and "default-src 'none'" in page.text


def test_a_step_tells_its_words_conditions_sources_and_links(small: Path) -> None:
    text = of(small).text
    article = text[text.index('<article id="step:bail"'):].partition("</article>")[0]
    assert all(words in article for words in (
        'data-pack="large"', 'data-priority="protection"', 'data-source="code"', 'data-mark="memory"', "Bail the water out.",
        "Wet people cool fast.", "Mind your hands.", "it is not known that the raft is dry", "Code 1.2 (from memory, unverified)", "Bail at once.",
        "steps.yaml:3", 'href="#item:bailer"', 'href="#topic:water_in"', "not reviewed"))


def test_a_dispute_stands_side_by_side_and_an_overlay_s_choice_is_marked(small: Path, tmp_path: Path) -> None:
    overlay = tmp_path / "vessel.yaml"
    overlay.write_text("kind: overlay\nvessel: A boat of our own\npositions: {bailing: look_first}\n")
    assert "bail first (followed)" in of(small).words
    page = of(small, overlay)
    assert "look first (followed)" in page.words and "from vessel.yaml" in page.words and "A boat of our own" in page.words


def test_who_signed_and_what_is_stale_is_shown(small: Path) -> None:
    digest = {claim.id: claim.digest for claim in claims(compiling.load(small)[0])}
    page = of(small, None, Review("step:bail", digest["step:bail"], "doubt", "how fast?", "A. Tester", "2031-04-01"),
              Review("caution:hands", "0", "agree", "", "B. Tester", "2031-04-02"))
    assert "doubt, by A. Tester, 2031-04-01: how fast?" in page.words and "changed since: agree, by B. Tester" in page.words
    assert 'data-review="stale"' in page.text and 'data-review="doubt"' in page.text


@pytest.mark.parametrize(("file", "old"), [
    ("steps", '"Keep a lookout."'), ("steps", '"Wet people cool fast."'), ("topics", "water in the raft"), ("works", "A code of our own"),
    ("works", "Bail at once."), ("works", '"1.2"'), ("packs", "large pack"), ("base", "being found"), ("disputes", "Look out first."),
    ("facts", "the raft is dry, says"), ("items", "name: bailer")])
def test_no_text_of_the_knowledge_becomes_markup(tmp_path: Path, file: str, old: str) -> None:
    pages = []
    for name, text in (("plain", "harmless words"), ("hostile", HOSTILE)):
        quoted = "'" + text.replace("'", "''") + "'"
        new = {"facts": quoted + ", says", "items": f"name: {quoted}"}.get(file, quoted)
        pages.append(of(write(tmp_path / name, **{file: (old, new)})))
    plain, page = pages
    assert page.elements == plain.elements and page.attributes == plain.attributes
    assert "alert(1)" in page.text and "{{ 7 * 7 }}" in page.words


def test_no_text_of_a_review_becomes_markup(small: Path) -> None:
    digest = {claim.id: claim.digest for claim in claims(compiling.load(small)[0])}["step:bail"]
    plain, page = (of(small, None, Review("step:bail", digest, "wrong", note, note, "2031")) for note in ("plain", HOSTILE))
    assert page.elements == plain.elements and page.attributes == plain.attributes and "alert(1)" in page.text


def test_the_page_does_not_hang_on_chance(small: Path, tmp_path: Path) -> None:
    here, there = tmp_path / "here.html", tmp_path / "there.html"
    assert cli.main(["report", str(here), "--knowledge", str(small)]) == 0
    subprocess.run([sys.executable, "-m", "guide", "report", str(there), "--knowledge", str(small)],
                   env={**os.environ, "PYTHONHASHSEED": "1"}, check=True, capture_output=True)
    assert here.read_bytes() == there.read_bytes()


# ---- the command

def test_the_findings_of_the_audit_stand_in_the_page(small: Path, tmp_path: Path) -> None:
    out = tmp_path / "audit.html"
    assert cli.main(["report", str(out), "--knowledge", str(small)]) == 0
    page = Page(out.read_text(encoding="utf-8"))
    assert "warning : memory only (" in page.words and '<a href="#step:bail">step:bail</a>' in page.text


@pytest.mark.parametrize(("words", "said"), [
    (["report", "audit.txt"], "ends in .html"), (["report", "no/such/folder/audit.html", "--knowledge", "SMALL"], "cannot be written"),
    (["report", "a.html", "--knowledge", "nowhere"], "not a folder"),
    (["report", "a.html", "--knowledge", "SMALL", "--reviews", "SMALL/steps.yaml"], "steps.yaml:1: not a review")])
def test_misuse_is_one_line(small: Path, words: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main([word.replace("SMALL", str(small)) for word in words]) == 2
    err = capsys.readouterr().err
    assert said in err and err.count("\n") == 1
