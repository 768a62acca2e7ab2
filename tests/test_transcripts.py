"""The demo stories: each plays as written, and says in structured lines what it shows."""
from __future__ import annotations

from pathlib import Path

import pytest

from guide.commands import replaying
from guide.starting import Started, start

STORIES = sorted((Path(__file__).resolve().parent.parent / "transcripts_demo").glob("*.talk"))


@pytest.fixture(scope="module")
def started() -> Started:
    return start()


def test_there_are_stories() -> None:
    assert STORIES


@pytest.mark.parametrize("path", STORIES, ids=lambda path: path.stem)
def test_a_story_plays_as_written(started: Started, path: Path) -> None:
    assert replaying.differences(replaying.read_story(path), started) == []


@pytest.mark.parametrize("path", STORIES, ids=lambda path: path.stem)
def test_a_story_says_what_it_shows(path: Path) -> None:
    story = replaying.read_story(path)
    assert set(story.heads) >= {"title", "clock"}
    marks = {kind for told in story.turns for _, kind, _ in told.marks}
    assert {"next", "topic"} <= marks


def test_a_wrong_line_is_seen(started: Started, tmp_path: Path) -> None:
    path = tmp_path / "wrong.talk"
    path.write_text("# title: wrong\n\nyou> the drogue is out\n  ~ fact: drogue_set = false\n  ~ topic: bleeding\nguide> Hello.\n")
    found = replaying.differences(replaying.read_story(path), started)
    assert len(found) == 3
    assert [line.split(":")[1] for line in found] == ["4", "5", "3"]


def test_recording_anew_rewrites_words_and_keeps_structured_lines(started: Started, tmp_path: Path) -> None:
    path = tmp_path / "story.talk"
    path.write_text("# title: anew\n\nyou> the drogue is out\n  ~ fact: drogue_set = false\nguide> Hello.\n")
    path.write_text(replaying.rerecord(replaying.read_story(path), started))
    assert "  ~ fact: drogue_set = false\n" in path.read_text() and "Hello." not in path.read_text()
    assert len(replaying.differences(replaying.read_story(path), started)) == 1


@pytest.mark.parametrize("line", ["# colour: blue", "you> x\n  ~ mood: calm", "a line of its own"])
def test_a_story_that_cannot_be_read_names_the_line(tmp_path: Path, line: str) -> None:
    path = tmp_path / "bad.talk"
    path.write_text("# title: bad\n" + line + "\n")
    with pytest.raises(replaying.StoryProblem, match=r"bad\.talk:\d+: "):
        replaying.read_story(path)
