"""Evidence weights: label scores of a sentence from a file made from the phrase bank.

The file stands beside the knowledge it was learned from and carries the digest of the phrases and the
lexicon, so that a change of the bank is noticed (`guide check` says so). It is plain bytes: a JSON
head, words, checksums, and one table of features for all families; reading it can run nothing. A start reads
what stands before the table. Of the table each piece is read, and held to its checksum, when a sentence first
needs it: a sentence needs a few thousandths of it.

The table: each feature falls in a bucket by the CRC of its name. A bucket is a run of records: the length of
the name, the name, for each family how many labels it speaks of, each one byte; then those labels, two bytes each, counted
through all families, which is the lane that a label has where all are summed at once; then their weights in steps of 1/40, one byte each.
"""
from __future__ import annotations

import json
import struct
import zlib
from array import array
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from io import SEEK_END, BytesIO
from sys import byteorder
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, BinaryIO, NamedTuple

from guide.language.features import UNIT, Lexicon, length
from guide.language.weighing import Net, Weighing
from guide.safe import LARGEST, Damaged, plain_file

if TYPE_CHECKING:
    from pathlib import Path

FILE = "weights.bin"
MAGIC = b"LRGW6\n"
START = len(MAGIC) + 8
PIECE = 1024
"""Bytes of the table that are read and checked at once."""
SCALE = 40.0
LONGEST_NAME = 255
"""Bytes of a feature's name, and labels a feature may speak of: both are counted in one byte."""

_ONE = struct.Struct("<I")
_TWO = struct.Struct("<II")
_MIDDLE = 1 << 31
"""Nothing in a lane: sums stay far below this (127 steps, 20 units, some hundred features)."""
_MANY = 80
"""Labels from which a row is packed: a shorter one is added label by label sooner than it is packed."""
_SOME = 4
"""The same in a family by itself, which has fewer lanes."""
_ROWS_KEPT = 8192
_FOUND_KEPT = 16_384
Rows = Mapping[str, Mapping[int, float]]


_NO_CLUES = Weighing(MappingProxyType({}))


class Learned(NamedTuple):
    """What a weights file holds; nothing in it where there is no usable file."""

    digest: str
    """Of the bank that it was learned from."""
    models: dict[str, Model]
    lexicon: Lexicon
    clues: Weighing = _NO_CLUES
    """What clues to a topic weigh."""
    tells: Weighing = _NO_CLUES
    """What clues to a fact being told weigh."""
    rehearsed: str = ""
    """The digest of the talks from which those were learned."""


NOTHING = Learned("", {}, Lexicon({}))


class Feature:
    """What the bank has of one feature."""

    __slots__ = ("counts", "lanes", "steps")

    def __init__(self, counts: bytes, lanes: array[int], steps: array[int]) -> None:
        """`counts`: of how many labels of each family it speaks; `lanes`: those of all these labels; `steps`: its weights."""
        self.counts, self.lanes, self.steps = counts, lanes, steps

    def part(self, family: int) -> tuple[array[int], array[int]]:
        """The lanes of the labels of one family, and the weights."""
        start = sum(self.counts[:family])
        stop = start + self.counts[family]
        return self.lanes[start:stop], self.steps[start:stop]


class Shown(NamedTuple):
    """The features that a sentence shows and the bank knows."""

    features: tuple[tuple[str, int, Feature], ...]
    """Name, weight in units of `features`, and what the bank has of it."""
    scale: float
    """What one step of evidence comes to at a weight of one unit."""


class Pieces:
    """The bytes of a file from some place on, for one thread. A piece that is not as it was packed is never used: Damaged."""

    __slots__ = ("_file", "_name", "_piece", "_start", "_sums", "size")

    def __init__(self, file: BinaryIO, name: str, start: int, size: int, sums: bytes) -> None:
        self._file, self._name, self._start, self._sums, self.size = file, name, start, sums, size
        self._piece = lru_cache(maxsize=None)(self._read)

    def _read(self, number: int) -> bytes:
        at = number * PIECE
        try:
            self._file.seek(self._start + at)
            data = self._file.read(min(PIECE, self.size - at))
        except OSError as error:
            raise Damaged(f"{self._name}: {error.strerror or error}") from error
        if zlib.crc32(data) != _ONE.unpack_from(self._sums, 4 * number)[0]:
            raise Damaged(f"{self._name} is damaged, or was changed meanwhile: start again; if that does not help, run `python -m guide.learning`")
        return data

    def part(self, at: int, stop: int) -> bytes:
        """The bytes from `at` to before `stop`."""
        first = at // PIECE
        start, end = at - first * PIECE, stop - first * PIECE
        if end <= PIECE:  # as most are
            return self._piece(first)[start:end]
        return b"".join(map(self._piece, range(first, (stop - 1) // PIECE + 1)))[start:end]

    def check(self) -> None:
        """Read all of it once. Damaged where any piece is."""
        for number in range(len(self._sums) // 4):
            self._read(number)


class Table:
    """The features of all families."""

    __slots__ = ("_count", "_families", "_records", "find", "pieces")

    def __init__(self, pieces: Pieces, buckets: int, families: int) -> None:
        self.pieces, self._count, self._families = pieces, buckets, families
        self._records = 4 * (buckets + 1)
        self.find = lru_cache(maxsize=_FOUND_KEPT)(self._find)

    def _find(self, name: str) -> Feature | None:
        """A feature; None for one that the bank does not have."""
        raw = name.encode("utf-8", "replace")
        size = len(raw)
        if size > LONGEST_NAME:
            return None
        part = self.pieces.part
        entry = 4 * (zlib.crc32(raw) % self._count)
        start, stop = _TWO.unpack(part(entry, entry + 8))
        if start == stop:
            return None
        data = part(self._records + start, self._records + stop)
        wanted, at, families = bytes((size,)) + raw, 0, self._families
        while at < len(data):
            counted = at + 1 + data[at]
            lanes = counted + families
            counts = data[counted:lanes]
            labels = sum(counts)
            steps = lanes + 2 * labels
            if data.startswith(wanted, at):
                return Feature(counts, _lanes(data[lanes:steps]), array("b", data[steps:steps + labels]))
            at = steps + labels
        return None

    def known(self, name: str) -> Feature:
        """A feature that the bank has. KeyError for another."""
        found = self.find(name)
        if found is None:
            raise KeyError(name)
        return found

    def shown(self, found: Mapping[str, int]) -> Shown:
        """Those of a sentence's features that the bank knows."""
        find = self.find
        return Shown(tuple([(name, weight, feature) for name, weight in found.items() if (feature := find(name)) is not None]),
                     1 / (SCALE * UNIT * length(found)))


class Model:
    """One family of labels.

    A feature that speaks of many labels is one long number, a lane of 32 bits for each label: such a row is multiplied and
    added at once, and the rows of common words are kept.
    """

    __slots__ = ("_family", "_middle", "_packed", "_start", "_words", "base", "labels", "table")

    def __init__(self, labels: list[str], base: list[float], words: bytes, table: Table, family: int, start: int) -> None:
        """`family`: its number in the table, `start`: the lane of its first label."""
        self.labels, self.table = labels, table
        self.base, self._words, self._family, self._start = base, words, family, start
        self._middle = int.from_bytes(struct.pack("<I", _MIDDLE) * len(labels), "little")
        self._packed = lru_cache(maxsize=_ROWS_KEPT)(self._pack)

    def knows(self, feature: str) -> bool:
        """Whether the feature was seen in the bank often enough to matter."""
        found = self.table.find(feature)
        return found is not None and found.counts[self._family] > 0

    def words(self) -> list[str]:
        """The words (as stems) that a misspelt one may be taken for, in order."""
        return self._words.decode().split("\n") if self._words else []

    def score(self, shown: Shown) -> list[float]:
        """The evidence for each label, in the order of `labels`; above 0 speaks for it."""
        many, rest, family = _Sum(self._middle), [], self._family
        for name, weight, feature in shown.features:
            count = feature.counts[family]
            if count >= _SOME:
                many[weight].append(self._packed(name))
            elif count:
                rest.append((feature, weight))
        lanes, scale = [0] * self._start + many.lanes(len(self.labels)), shown.scale
        for feature, weight in rest:
            for lane, step in zip(*feature.part(family)):
                lanes[lane] += step * weight
        return [base + lane * scale for base, lane in zip(self.base, lanes[self._start:])]

    def added(self, feature: Feature, weight: int) -> Iterator[tuple[str, float]]:
        """What a feature of this weight adds to the evidence for each label that it speaks of, apart from the others of a sentence."""
        for label, step in zip(*self._labels_of(feature)):
            yield self.labels[label], step * weight / (SCALE * UNIT)

    def _labels_of(self, feature: Feature) -> tuple[array[int], array[int]]:
        """The labels of this family that a feature speaks of, and its weights in steps."""
        lanes, steps = feature.part(self._family)
        return array("H", [lane - self._start for lane in lanes]), steps

    def _pack(self, name: str) -> int:
        return _as_number(self._middle, len(self.labels), *self._labels_of(self.table.known(name)))

    def contributions(self, shown: Shown, label: str) -> list[tuple[float, str]]:
        """What each feature adds to one label, the strongest first."""
        wanted, found = self.labels.index(label), []
        for name, weight, feature in shown.features:
            found += [(step * weight * shown.scale, name) for other, step in zip(*self._labels_of(feature)) if other == wanted]
        return sorted(found, reverse=True)


class Scored:
    """What a sentence shows for every family; a family is worked out when it is first asked for."""

    __slots__ = ("_families", "_found", "_lanes", "_scale")

    def __init__(self, families: Mapping[str, tuple[Sequence[str], Sequence[float], slice]], lanes: Sequence[int], scale: float) -> None:
        """`families`: of each the labels, their bases and their part of the lanes."""
        self._families, self._lanes, self._scale = families, lanes, scale
        self._found: dict[str, dict[str, float]] = {}

    def family(self, name: str) -> Mapping[str, float]:
        """Label → evidence."""
        found = self._found.get(name)
        if found is None:
            (labels, bases, part), scale = self._families[name], self._scale
            found = self._found[name] = {label: base + lane * scale for label, base, lane in zip(labels, bases, self._lanes[part])}
        return found


class Together:
    """The families of one table scored at once: most of what is read of a sentence needs most of them. As in `Model`, with a lane for each label of each."""

    __slots__ = ("_families", "_lanes", "_middle", "_packed", "_tables")

    def __init__(self, models: Mapping[str, Model]) -> None:
        self._families: dict[str, tuple[Sequence[str], Sequence[float], slice]] = {}
        lanes = 0
        for name, model in models.items():
            self._families[name] = model.labels, model.base, slice(lanes, lanes + len(model.labels))
            lanes += len(model.labels)
        self._lanes, self._tables = lanes, [model.table for model in models.values()]
        self._middle = int.from_bytes(struct.pack("<I", _MIDDLE) * lanes, "little")
        self._packed = lru_cache(maxsize=_ROWS_KEPT)(self._pack)

    def score(self, shown: Shown) -> Scored:
        """The evidence of every family."""
        many, rest = _Sum(self._middle), []
        for name, weight, feature in shown.features:
            if len(feature.lanes) >= _MANY:
                many[weight].append(self._packed(name))
            else:
                rest.append((feature, weight))
        lanes = many.lanes(self._lanes)
        for feature, weight in rest:  # most are of this sentence alone: to keep them costs more than to look anew
            for lane, step in zip(feature.lanes, feature.steps):
                lanes[lane] += step * weight
        return Scored(self._families, lanes, shown.scale)

    def _pack(self, name: str) -> int:
        feature = self._tables[0].known(name)
        return _as_number(self._middle, self._lanes, feature.lanes, feature.steps)


class _Sum(defaultdict[int, list[int]]):
    """Weight → packed rows that have it: those of one weight are added before they are multiplied, as there are few weights."""

    def __init__(self, middle: int) -> None:
        super().__init__(list)
        self._middle = middle

    def lanes(self, count: int) -> list[int]:
        """What stands in so many lanes, each from the middle: with its highest bit turned, a lane is a number below or above nothing."""
        total = sum([weight * sum(rows) for weight, rows in self.items()], self._middle)
        return list(struct.unpack(f"<{count}i", (total ^ self._middle).to_bytes(4 * count, "little")))


def _lanes(data: bytes) -> array[int]:
    lanes = array("H", data)
    if byteorder == "big":
        lanes.byteswap()
    return lanes


def _as_number(middle: int, count: int, lanes: Iterable[int], steps: Iterable[int]) -> int:
    """A row as one number, in so many lanes: what is below nothing in a lane takes one from the next."""
    found = array("i", bytes(4 * count))
    for lane, step in zip(lanes, steps):
        found[lane] = step
    if byteorder == "big":
        found.byteswap()
    return (int.from_bytes(found.tobytes(), "little") ^ middle) - middle


def _lexicon(forms: str, named: Sequence[str], numbers: Sequence[int]) -> Lexicon:
    return Lexicon(dict(zip(forms.split("|"), map(named.__getitem__, numbers))))


def read(path: Path | str) -> Learned:
    """What a weights file holds; nothing where there is no usable file. Damage within the table is found
    when it is used (Damaged), or by `intact`."""
    try:
        return _read(plain_file(path), str(path))
    except OSError:
        return NOTHING


def unpack(data: bytes) -> Learned:
    """As `read`, from the bytes of a file, all of them checked."""
    learned = _read(BytesIO(data), FILE)
    return learned if intact(learned) else NOTHING


def intact(learned: Learned) -> bool:
    """Whether the whole table is as it was packed; all of it is read for that."""
    try:
        for table in {model.table for model in learned.models.values()}:
            table.pieces.check()
    except Damaged:
        return False
    return True


def _read(file: BinaryIO, name: str) -> Learned:
    start = file.read(START)
    if len(start) < START or not start.startswith(MAGIC):
        return NOTHING
    total, size = _TWO.unpack_from(start, len(MAGIC))
    before = file.read(min(size, LARGEST))
    if len(before) < size or zlib.crc32(before) != total:
        return NOTHING
    at = 4 + _ONE.unpack_from(before)[0]
    head = json.loads(before[4:at])
    if file.seek(0, SEEK_END) != START + size + head["table"]:
        return NOTHING
    sums = before[at + sum(family["words"] for family in head["families"]):]
    table = Table(Pieces(file, name, START + size, head["table"], sums), head["buckets"], len(head["families"]))
    return Learned(head["digest"], dict(_models(head["families"], before, at, table)), _lexicon(*head["forms"]),
                   _weighing(head, "clues"), _weighing(head, "tells"), head.get("rehearsed", ""))


def _weighing(head: Mapping[str, Any], name: str) -> Weighing:
    alone, nets = head.get(name, {}), head.get("nets", {})
    return Weighing(alone, Net(alone, nets[name]) if name in nets else None)


def _models(families: Sequence[Mapping[str, Any]], data: bytes, at: int, table: Table) -> Iterator[tuple[str, Model]]:
    lane = 0
    for number, family in enumerate(families):
        stop = at + family["words"]
        yield family["name"], Model(family["labels"], family["base"], data[at:stop], table, number, lane)
        at, lane = stop, lane + len(family["labels"])
