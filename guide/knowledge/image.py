"""A compiled form of the knowledge in the user's cache folder, so that an answer need not read YAML.

It is JSON with a digest of everything it was made from (the YAML files, the overlay, the code that reads them) and a
checksum of itself. Whatever does not fit, to the byte, is not used and is made anew; where the folder cannot be written,
the YAML is read each time. Nothing but the guide's own records is ever made from it.
"""
from __future__ import annotations

import contextlib
import json
import os
import sys
import zlib
from collections.abc import ItemsView, Iterator, Mapping, ValuesView
from typing import TYPE_CHECKING, Any, TypeVar

from guide.knowledge.base import Knowledge, Parts, default_place, files
from guide.knowledge.computed import Quantity
from guide.knowledge.plain import columns, from_columns, maker_of, plain
from guide.knowledge.problems import Problem
from guide.knowledge.records import (
    Caution,
    Clause,
    Dispute,
    Equipment,
    Fact,
    Members,
    Pack,
    Priority,
    Source,
    Step,
    Topic,
)

if TYPE_CHECKING:
    from pathlib import Path

R = TypeVar("R")

_NAME = "liferaft-guide"
_FORM = 1
_KEPT = 8
"""Images that are kept, one for each folder and overlay in use."""
_TABLES = {"priorities": Priority, "facts": Fact, "equipment": Equipment, "packs": Pack, "cautions": Caution, "steps": Step, "topics": Topic,
           "disputes": Dispute, "sources": Source, "clauses": Clause, "quantities": Quantity, "shown_with": Members}
"""Records by id, and their class."""
_LATE = ("sources", "clauses")
"""Made when first asked for: most answers cite nothing."""
_WHOLE = ("presumptions", "computed", "language", "stores", "overlay")


def load(folder: Path | None = None, overlay: Path | None = None) -> tuple[Knowledge, list[Problem]]:
    """The knowledge of a folder without its phrase bank, under a vessel's overlay, and its problems."""
    place = str(folder or default_place())
    key = _digest(place, overlay)
    kept = _kept(key, place)
    if kept is not None:
        return kept, []
    from guide.knowledge import compiling
    knowledge, problems = compiling.load(folder, bank=False, overlay=overlay)
    if not problems and key and _digest(place, overlay) == key:
        _keep(key, knowledge)
    return knowledge, problems


def cache_folder(environment: Mapping[str, str] | None = None, platform: str = sys.platform) -> str:
    """Where this person's system keeps what can be made again; nothing where it names no such place."""
    environment = os.environ if environment is None else environment
    home = os.path.expanduser("~")
    if platform == "win32":
        found = os.path.join(environment.get("LOCALAPPDATA") or os.path.join(home, "AppData", "Local"), _NAME, "cache")
    elif platform == "darwin":
        found = os.path.join(home, "Library", "Caches", _NAME)
    else:
        named = environment.get("XDG_CACHE_HOME", "")
        found = os.path.join(named if os.path.isabs(named) else os.path.join(home, ".cache"), _NAME)
    return found if os.path.isabs(found) else ""


def _digest(folder: str, overlay: Path | None) -> str:
    """Of everything that the knowledge is made from; empty where something cannot be read. It is the digest of 64 bits by which
    Python tells whether its own compiled files are stale: any change, whatever its date and size, goes unseen once in 10^19 times."""
    from importlib.util import source_hash
    found = [f"{_FORM} {overlay.name if overlay else ''}".encode()]  # of large files only the digest is kept: what is let go is used again
    code = os.path.dirname(__file__)
    paths = [os.path.join(code, name) for name in sorted(os.listdir(code)) if name.endswith(".py")] if os.path.isdir(code) else []
    paths += [os.path.join(folder, name) for name in files(folder, bank=False)]
    try:
        for path in paths if overlay is None else [*paths, str(overlay)]:
            if not os.path.isfile(path):
                return ""
            with open(path, "rb", buffering=0) as file:
                data = file.read()
            found += [f"\0{path}\0{len(data)}\0".encode("utf-8", "surrogateescape"), source_hash(data)]
    except OSError:
        return ""
    return source_hash(b"".join(found)).hex()


def _path(key: str) -> str:
    folder = cache_folder()
    return os.path.join(folder, f"{key}.json") if folder and key else ""


def _kept(key: str, folder: str) -> Knowledge | None:
    """The image of that key; None where there is none that is whole."""
    path = _path(key)
    try:
        if not path:
            return None
        with open(path, "rb", buffering=0) as file:
            data = file.read()
        head, *lines = _lines(data)
        if json.loads(_text(head)) != {"form": _FORM, "made from": key, "sum": zlib.crc32(memoryview(data)[len(head) + 1:])}:
            return None
        return _unpacked(dict(zip((*_TABLES, *_WHOLE), lines, strict=True)), folder)
    except (OSError, ValueError, TypeError, RecursionError):
        return None


def _lines(data: bytes) -> Iterator[memoryview]:
    """The lines of an image, none of them copied."""
    whole, at = memoryview(data), 0
    while (end := data.find(b"\n", at)) >= 0:
        yield whole[at:end]
        at = end + 1
    yield whole[at:]


def _text(line: memoryview) -> str:
    return str(line, "utf-8")


def _keep(key: str, knowledge: Knowledge) -> None:
    """Write the image, whole or not at all; a folder that cannot be written is left alone."""
    if not _path(key):
        return
    from pathlib import Path
    path = Path(_path(key))
    body = _packed(knowledge)
    head = json.dumps({"form": _FORM, "made from": key, "sum": zlib.crc32(body)}).encode()
    with contextlib.suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        beside = path.with_suffix(f".{os.getpid()}.new")
        beside.write_bytes(head + b"\n" + body)
        os.replace(beside, path)
        old = sorted(path.parent.glob("*.json"), key=lambda other: other.stat().st_mtime)[:-_KEPT]
        for other in (*old, *path.parent.glob("*.new")):  # what a killed process left half written
            other.unlink(missing_ok=True)


def _packed(knowledge: Knowledge) -> bytes:
    lines: list[object] = [columns(record, getattr(knowledge, name).values()) for name, record in _TABLES.items()]
    lines += [getattr(knowledge, name) for name in _WHOLE]
    return "\n".join(json.dumps(line, default=plain, separators=(",", ":")) for line in lines).encode()


def _unpacked(lines: Mapping[str, memoryview], folder: str) -> Knowledge:
    parts: dict[str, Any] = {}
    for name, record in _TABLES.items():
        parts[name] = _Late(record, bytes(lines[name])) if name in _LATE else _table(record, _text(lines[name]))
    for name in _WHOLE:
        maker = maker_of(Parts.__annotations__[name])
        parts[name] = maker(json.loads(_text(lines[name]))) if maker else None
    return Knowledge(**parts, folder=folder)


def _table(record: type, line: str | bytes) -> dict[str, Any]:
    data = json.loads(line)
    return dict(zip(data[0], from_columns(record, data))) if data else {}


class _Late(Mapping[str, R]):
    """A table that is made when it is first read."""

    __slots__ = ("_line", "_record", "_table")

    def __init__(self, record: type, line: bytes) -> None:
        self._record, self._line = record, line
        self._table: dict[str, R] | None = None

    def _made(self) -> dict[str, R]:
        if self._table is None:
            self._table = _table(self._record, self._line)
        return self._table

    def __getitem__(self, name: str) -> R:
        return self._made()[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._made())

    def __len__(self) -> int:
        return len(self._made())

    def __contains__(self, name: object) -> bool:
        return name in self._made()

    def values(self) -> ValuesView[R]:
        return self._made().values()

    def items(self) -> ItemsView[str, R]:
        return self._made().items()
