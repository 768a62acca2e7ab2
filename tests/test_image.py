"""The compiled form of the knowledge: the same as the YAML, never stale, harmless when damaged, not needed at all."""
from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from guide.knowledge import compiling, image
from guide.knowledge.base import Knowledge


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A small knowledge, and a cache folder of its own."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    found = tmp_path / "knowledge"
    found.mkdir()
    rows = "".join(f"  - {{id: p{number}, title: rank {number}}}\n" for number in range(200))
    (found / "priorities.yaml").write_text(f"kind: priorities\npriorities:\n{rows}", encoding="utf-8")
    facts = "  - {id: persons, type: int, about: persons aboard}\n"
    (found / "facts.yaml").write_text(f"kind: facts\nfacts:\n{facts}presumptions: []\n", encoding="utf-8")
    return found


@pytest.fixture
def no_yaml(monkeypatch: pytest.MonkeyPatch) -> Callable[[], None]:
    """From when it is called, YAML must not be read."""
    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("YAML was read")
    return lambda: monkeypatch.setattr(compiling, "load", refuse)


def same(one: Knowledge, two: Knowledge) -> bool:
    """Whether two are equal in every part, tables in their order."""
    for a, b in zip(one, two, strict=True):
        if list(a.items()) != list(b.items()) if isinstance(a, Mapping) else a != b:
            return False
    return True


def images(tmp_path: Path) -> list[Path]:
    return sorted((tmp_path / "cache").rglob("*.json"))


def test_the_image_is_the_knowledge(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, no_yaml: Callable[[], None]) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    made, _ = image.load()
    no_yaml()
    assert same(image.load()[0], made)


def test_an_overlay_has_its_own_image(folder: Path, tmp_path: Path, no_yaml: Callable[[], None]) -> None:
    overlay = tmp_path / "own.yaml"
    overlay.write_text("kind: overlay\nvessel: Own\ngiven:\n  persons: 3\n", encoding="utf-8")
    bare, _ = image.load(folder)
    made, _ = image.load(folder, overlay)
    assert len(images(tmp_path)) == 2
    no_yaml()
    kept, _ = image.load(folder, overlay)
    assert same(kept, made) and kept.overlay.given == {"persons": "3"} and image.load(folder)[0].overlay == bare.overlay


def test_a_change_is_seen_even_under_the_old_date_and_size(folder: Path) -> None:
    image.load(folder)
    file = folder / "priorities.yaml"
    stat, text = file.stat(), file.read_text(encoding="utf-8")
    file.write_text(text.replace("title: rank 7}", "title: rang 7}"), encoding="utf-8")
    os.utime(file, ns=(stat.st_atime_ns, stat.st_mtime_ns))
    assert image.load(folder)[0].priorities["p7"].title == "rang 7"


def test_a_file_more_or_less_is_seen(folder: Path) -> None:
    image.load(folder)
    (folder / "more.yaml").write_text("kind: priorities\npriorities:\n  - {id: last, title: The last of all}\n", encoding="utf-8")
    assert "last" in image.load(folder)[0].priorities
    (folder / "more.yaml").unlink()
    assert "last" not in image.load(folder)[0].priorities


@pytest.mark.parametrize("damage", [
    lambda data: b"", lambda data: data[:100], lambda data: data[:-1], lambda data: data + b"\n", lambda data: b"\0" * len(data),
    lambda data: data[:5000] + bytes((data[5000] ^ 1,)) + data[5001:], lambda data: b"[" * 100_000, lambda data: data.replace(b'"form": 1', b'"form": 0')])
def test_a_damaged_image_is_not_used_and_made_anew(folder: Path, tmp_path: Path, damage: Callable[[bytes], bytes]) -> None:
    made, _ = image.load(folder)
    [file] = images(tmp_path)
    whole = file.read_bytes()
    file.write_bytes(damage(whole))
    assert same(image.load(folder)[0], made)
    assert file.read_bytes() == whole


def test_knowledge_with_errors_is_not_kept(folder: Path, tmp_path: Path) -> None:
    (folder / "bad.yaml").write_text("kind: nonsense\n", encoding="utf-8")
    assert [p.code for p in image.load(folder)[1]] == [p.code for p in image.load(folder)[1]] == ["K011"]
    assert images(tmp_path) == []


@pytest.mark.parametrize("place", ["/dev/null/cache", "/proc/cache"])
def test_where_nothing_can_be_kept_the_yaml_is_read(folder: Path, monkeypatch: pytest.MonkeyPatch, place: str) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", place)
    assert image.load(folder)[1] == []


def test_only_the_newest_images_are_kept(folder: Path, tmp_path: Path) -> None:
    image.load(folder)
    [half] = [path.with_suffix(".77.new") for path in images(tmp_path)]
    half.write_bytes(b"half written")
    for number in range(10):
        (folder / "priorities.yaml").open("a").write(f"# {number}\n")
        image.load(folder)
    assert len(images(tmp_path)) == 8 and not half.exists()


@pytest.mark.parametrize(("platform", "environment", "expected"), [
    ("linux", {"XDG_CACHE_HOME": "/somewhere"}, "/somewhere/liferaft-guide"), ("linux", {"XDG_CACHE_HOME": "not/absolute"}, "/home/.cache/liferaft-guide"),
    ("linux", {}, "/home/.cache/liferaft-guide"), ("darwin", {}, "/home/Library/Caches/liferaft-guide"),
    ("win32", {"LOCALAPPDATA": "/local"}, "/local/liferaft-guide/cache"), ("win32", {}, "/home/AppData/Local/liferaft-guide/cache")])
def test_the_cache_lies_where_the_system_wants_it(monkeypatch: pytest.MonkeyPatch, platform: str, environment: dict[str, str], expected: str) -> None:
    monkeypatch.setenv("HOME", "/home")
    assert image.cache_folder(environment, platform) == expected
