"""The demo stories: each plays as written, and says in structured lines what it shows."""
from __future__ import annotations

from pathlib import Path

import pytest

from guide.arguments import Misuse
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
    assert found[-1].endswith(', not "Hello."')


def test_recording_anew_rewrites_words_and_keeps_structured_lines(started: Started, tmp_path: Path) -> None:
    path = tmp_path / "story.talk"
    path.write_text("# title: anew\n\nyou> the drogue is out\n  ~ fact: drogue_set = false\nguide> Hello.\n")
    path.write_text(replaying.rerecord(replaying.read_story(path), started))
    assert "  ~ fact: drogue_set = false\n" in path.read_text() and "Hello." not in path.read_text()
    assert len(replaying.differences(replaying.read_story(path), started)) == 1


@pytest.mark.parametrize("line", ["# colour: blue", "# title: worse", "# clock: yesterday +30s", "# clock: 2000-01-01T06:00:00+00:00 +1min",
                                  "# clock: 2000-13-01T06:00:00+00:00 +30s", "you> x\n  ~ mood: calm", "a line of its own"])
def test_a_story_that_cannot_be_read_names_the_line(tmp_path: Path, line: str) -> None:
    path = tmp_path / "bad.talk"
    path.write_text("# title: bad\n" + line + "\n\nyou> x\n")
    with pytest.raises(replaying.StoryProblem, match=r"bad\.talk:[23]: "):
        replaying.read_story(path)


@pytest.mark.parametrize("line", ["# given: persons=many", "# given: crew=6", "# given: persons", "# given: persons=6 persons=7",
                                  "# overlay: nowhere.yaml"])
def test_a_head_that_cannot_be_used_names_the_line(started: Started, tmp_path: Path, line: str) -> None:
    path = tmp_path / "bad.talk"
    path.write_text("# title: bad\n" + line + "\n\nyou> x\n")
    with pytest.raises(Misuse, match=r"bad\.talk:2: "):
        list(replaying.play(replaying.read_story(path), started))


@pytest.mark.parametrize("data", [b"", b"# title: nothing\n", b"you> caf\xe9\n", None])
def test_what_is_no_story_is_one_line_with_its_file(started: Started, tmp_path: Path, data: bytes | None,
                                                    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(replaying, "start", lambda: started)
    path = tmp_path / "none.talk"
    if data is None:
        path.mkdir()
    else:
        path.write_bytes(data)
    assert replaying.run_replay([str(path)]) == 2
    told = capsys.readouterr()
    assert told.out == "" and told.err.startswith(f"guide replay: {path}: ") and len(told.err.splitlines()) == 1
