"""Evidence weights: label scores of a sentence from a file made from the phrase bank.

The file stands beside the knowledge it was learned from and carries the digest of the phrases and the
lexicon, so that a change of the bank is noticed (`guide check` says so). It is plain bytes: a JSON
head, words, and one table of features for all families, looked up where they lie, so that starting costs
one reading of the file; reading it can run nothing.

The table: each feature falls in a bucket by the CRC of its name. A bucket is a run of records: the length of
the name, the name, for each family how many labels it speaks of, then those labels, then their weights in
steps of 1/40, each one byte.
"""
from __future__ import annotations

import json
import struct
import zlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

from guide.knowledge.records import Language
from guide.language.features import UNIT, Lexicon, length
from guide.safe import read_file

FILE = "weights.bin"
_MAGIC = b"LRGW2\n"
_SCALE = 40.0
_LONGEST = 255
"""Bytes of a feature's name, and labels a feature may speak of: both are counted in one byte."""

_TWO = struct.Struct("<II")
_MIDDLE = 1 << 31
"""Nothing in a lane: sums stay far below this (127 steps, 20 units, some hundred features)."""
_MANY = 8
"""Labels from which a row is packed."""
_ROWS_KEPT = 2048
_FOUND_KEPT = 8192
Rows = Mapping[str, Mapping[int, float]]


class Learned(NamedTuple):
    """What a weights file holds; nothing in it where there is no usable file."""

    digest: str
    """Of the bank that it was learned from."""
    models: dict[str, Model]
    lexicon: Lexicon


class Shown(NamedTuple):
    """The features that a sentence shows and the bank knows."""

    features: tuple[tuple[str, int, int], ...]
    """Name, weight in units of `features`, and where the bank's record of it lies."""
    scale: float
    """What one step of evidence comes to at a weight of one unit."""


class Table:
    """The features of all families."""

    __slots__ = ("_buckets", "_count", "_data", "_families", "_start", "_steps", "find")

    def __init__(self, data: bytes, at: int, buckets: int, families: int) -> None:
        self._data, self._count, self._families = data, buckets, families
        self._buckets, self._start = at, at + 4 * (buckets + 1)
        self._steps = memoryview(data).cast("b")
        self.find = lru_cache(maxsize=_FOUND_KEPT)(self._find)

    def _find(self, name: str) -> int:
        """Where the record of a feature lies, behind its name; 0 for one that the bank does not have."""
        raw = name.encode("utf-8", "replace")
        size = len(raw)
        if size > _LONGEST:
            return 0
        data = self._data
        at, stop = _TWO.unpack_from(data, self._buckets + 4 * (zlib.crc32(raw) % self._count))
        wanted, at, stop = bytes((size,)) + raw, at + self._start, stop + self._start
        while at < stop:
            if data.startswith(wanted, at):
                return int(at) + 1 + size
            at += 1 + data[at]
            at += self._families + 2 * sum(data[at:at + self._families])
        return 0

    def many(self, at: int, family: int) -> int:
        """How many labels of a family the feature there speaks of."""
        return self._data[at + family]

    def row(self, at: int, family: int) -> tuple[bytes, memoryview]:
        """The labels of a family that the feature there speaks of, and its weights in steps."""
        counts = self._data[at:at + self._families]
        labels = at + self._families + sum(counts[:family])
        steps, count = labels + sum(counts), counts[family]
        return self._data[labels:labels + count], self._steps[steps:steps + count]

    def shown(self, found: Mapping[str, int]) -> Shown:
        """Those of a sentence's features that the bank knows."""
        return Shown(tuple((name, weight, at) for name, weight in found.items() if (at := self.find(name))),
                     1 / (_SCALE * UNIT * length(found)))


class Model:
    """One family of labels.

    A feature that speaks of many labels is one long number, a lane of 32 bits for each label: such a row is multiplied and
    added at once, and the rows of common words are kept.
    """

    __slots__ = ("_base", "_family", "_middle", "_packed", "_words", "labels", "table")

    def __init__(self, labels: list[str], base: list[float], words: bytes, table: Table, family: int) -> None:
        self.labels, self.table = labels, table
        self._base, self._words, self._family = base, words, family
        self._middle = int.from_bytes(struct.pack("<I", _MIDDLE) * len(labels), "little")
        self._packed = lru_cache(maxsize=_ROWS_KEPT)(self._pack)

    def knows(self, feature: str) -> bool:
        """Whether the feature was seen in the bank often enough to matter."""
        at = self.table.find(feature)
        return at > 0 and self.table.many(at, self._family) > 0

    def words(self) -> list[str]:
        """The words (as stems) that the family knows, in order."""
        return self._words.decode().split("\n") if self._words else []

    def score(self, shown: Shown) -> list[float]:
        """The evidence for each label, in the order of `labels`; above 0 speaks for it."""
        total, few = self._middle, [0] * len(self.labels)
        for _, weight, at in shown.features:
            count = self.table.many(at, self._family)
            if count >= _MANY:
                total += weight * self._packed(at)
            elif count:
                for label, step in zip(*self.table.row(at, self._family)):
                    few[label] += step * weight
        lanes = struct.unpack(f"<{len(few)}I", total.to_bytes(4 * len(few), "little"))
        scale = shown.scale
        return [base + (lane - _MIDDLE + own) * scale for base, lane, own in zip(self._base, lanes, few)]

    def _pack(self, at: int) -> int:
        lanes = [_MIDDLE] * len(self.labels)
        for label, step in zip(*self.table.row(at, self._family)):
            lanes[label] += step
        return int.from_bytes(struct.pack(f"<{len(lanes)}I", *lanes), "little") - self._middle

    def contributions(self, shown: Shown, label: str) -> list[tuple[float, str]]:
        """What each feature adds to one label, the strongest first."""
        wanted, found = self.labels.index(label), []
        for name, weight, at in shown.features:
            found += [(step * weight * shown.scale, name) for other, step in zip(*self.table.row(at, self._family)) if other == wanted]
        return sorted(found, reverse=True)


def digest(language: Language) -> str:
    """What the weights depend on, as one hash."""
    from hashlib import sha256
    parts = [f"{name}={','.join(words)}" for name, words in sorted(language.concepts.items())]
    for section in (language.questions, language.reports, language.facts, language.amounts, language.nothing,
                    language.suppose, language.outside):
        parts += sorted(f"{phrase.means}|{phrase.text}" for phrase in section)
    return sha256("\n".join(parts).encode()).hexdigest()


def pack(made_from: str, models: Iterable[tuple[str, list[str], list[float], Rows]], lexicon: Lexicon) -> bytes:
    """The bytes of a weights file. At most 255 labels a model, as a label takes one byte."""
    models = list(models)
    steps = [{feature: _steps(row) for feature, row in rows.items()} for _, _, _, rows in models]
    known = [sorted(name[1:] for name, row in family.items() if row and name[0] == "w" and _fits(name)) for family in steps]
    words = ["\n".join(names).encode() for names in known]
    table, count = _table(steps)
    families = [{"name": name, "labels": labels, "base": [round(b, 4) for b in base], "words": len(block)}
                for (name, labels, base, _), block in zip(models, words)]
    head = json.dumps({"digest": made_from, "buckets": count, "families": families, "forms": lexicon.forms}).encode()
    body = b"".join([struct.pack("<I", len(head)), head, *words, table])
    return _MAGIC + struct.pack("<I", zlib.crc32(body)) + body


def _steps(row: Mapping[int, float]) -> list[tuple[int, int]]:
    """Labels and weights of one feature in whole steps, without those that come to nothing."""
    found = [(label, max(-127, min(127, round(weight * _SCALE)))) for label, weight in sorted(row.items())]
    return [(label, step) for label, step in found if step][:_LONGEST]


def _fits(name: str) -> bool:
    return len(name.encode()) <= _LONGEST


def _table(families: Sequence[Mapping[str, list[tuple[int, int]]]]) -> tuple[bytes, int]:
    """Where each bucket starts, then the records; and how many buckets there are."""
    names = sorted({name for rows in families for name in rows if _fits(name)})
    count = max(1, len(names))
    buckets: list[list[bytes]] = [[] for _ in range(count)]
    for name in names:
        rows = [rows.get(name, []) for rows in families]
        if any(rows):
            raw = name.encode()
            labels, steps = [label for row in rows for label, _ in row], [step for row in rows for _, step in row]
            buckets[zlib.crc32(raw) % count].append(b"".join(
                [bytes((len(raw),)), raw, bytes(map(len, rows)), bytes(labels), struct.pack(f"{len(steps)}b", *steps)]))
    starts = [0]
    for bucket in buckets:
        starts.append(starts[-1] + sum(map(len, bucket)))
    return struct.pack(f"<{count + 1}I", *starts) + b"".join(record for bucket in buckets for record in bucket), count


def read(path: Path) -> Learned:
    """What a weights file holds; nothing where there is no usable file."""
    try:
        return unpack(read_file(path))
    except OSError:
        return unpack(b"")


def unpack(data: bytes) -> Learned:
    """As `read`, from the bytes of a file."""
    start = len(_MAGIC) + 8
    if len(data) < start or not data.startswith(_MAGIC):
        return Learned("", {}, Lexicon({}))
    total, size = struct.unpack_from("<II", data, len(_MAGIC))
    if zlib.crc32(memoryview(data)[start - 4:]) != total:
        return Learned("", {}, Lexicon({}))
    head = json.loads(data[start:start + size])
    at = start + size
    table = Table(data, at + sum(family["words"] for family in head["families"]), head["buckets"], len(head["families"]))
    return Learned(head["digest"], dict(_models(head["families"], data, at, table)), Lexicon(head["forms"]))


def _models(families: Sequence[Mapping[str, Any]], data: bytes, at: int, table: Table) -> Iterator[tuple[str, Model]]:
    for number, family in enumerate(families):
        stop = at + family["words"]
        yield family["name"], Model(family["labels"], family["base"], data[at:stop], table, number)
        at = stop
