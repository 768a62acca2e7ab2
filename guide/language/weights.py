"""Evidence weights: label scores of a sentence from a compact file made from the phrase bank.

The file stands beside the knowledge it was learned from and carries the digest of the phrases and the
lexicon, so that a change of the bank is noticed (`guide check` says so). It is plain bytes: a JSON
head, feature names, label numbers and weights in steps; reading it can run nothing.
"""
from __future__ import annotations

import hashlib
import json
import struct
import zlib
from collections.abc import Iterable, Mapping
from pathlib import Path

from guide.knowledge.records import Language

FILE = "weights.bin"
_MAGIC = b"LRGW1\n"
_SCALE = 40.0

Rows = Mapping[str, Mapping[int, float]]


class Model:
    """One family of labels."""

    __slots__ = ("_base", "_counts", "_rows", "_steps", "_which", "labels")

    def __init__(self, labels: list[str], base: list[float], names: list[str], counts: bytes, which: bytes, steps: bytes) -> None:
        self.labels, self._base, self._counts, self._which = labels, base, counts, which
        self._steps = memoryview(steps).cast("b")
        self._rows: dict[str, tuple[int, int]] = {}
        at = 0
        for name, count in zip(names, counts):
            self._rows[name] = (at, at + count)
            at += count

    def knows(self, feature: str) -> bool:
        """Whether the feature was seen in the bank often enough to matter."""
        return feature in self._rows

    def features(self) -> Iterable[str]:
        """The names of all features."""
        return self._rows

    def score(self, shown: Mapping[str, float]) -> list[float]:
        """The evidence for each label, in the order of `labels`; above 0 speaks for it."""
        scores = self._base.copy()
        rows, which, steps = self._rows, self._which, self._steps
        for name, value in shown.items():
            row = rows.get(name)
            if row:
                start, stop = row
                scaled = value / _SCALE
                for label, step in zip(which[start:stop], steps[start:stop]):
                    scores[label] += step * scaled
        return scores

    def contributions(self, shown: Mapping[str, float], label: str) -> list[tuple[float, str]]:
        """What each feature adds to one label, the strongest first."""
        number, found = self.labels.index(label), []
        for name, value in shown.items():
            start, stop = self._rows.get(name, (0, 0))
            for other, step in zip(self._which[start:stop], self._steps[start:stop]):
                if other == number:
                    found.append((step * value / _SCALE, name))
        return sorted(found, reverse=True)


def digest(language: Language) -> str:
    """What the weights depend on, as one hash."""
    parts = [f"{name}={','.join(words)}" for name, words in sorted(language.concepts.items())]
    for section in (language.questions, language.reports, language.facts, language.amounts, language.nothing,
                    language.suppose, language.outside):
        parts += sorted(f"{phrase.means}|{phrase.text}" for phrase in section)
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()


def pack(made_from: str, models: Iterable[tuple[str, list[str], list[float], Rows]]) -> bytes:
    """The bytes of a weights file. At most 255 labels a model, as a label takes one byte."""
    blocks: list[bytes] = []
    head: list[dict[str, object]] = []
    for name, labels, base, rows in models:
        names, counts, which, steps = [], bytearray(), bytearray(), bytearray()
        for feature in sorted(rows):
            row = [(label, max(-127, min(127, round(weight * _SCALE)))) for label, weight in sorted(rows[feature].items())]
            row = [(label, step) for label, step in row if step][:255]
            if row:
                names.append(feature)
                counts.append(len(row))
                which += bytes(label for label, _ in row)
                steps += struct.pack(f"{len(row)}b", *(step for _, step in row))
        parts = ["\n".join(names).encode(), bytes(counts), bytes(which), bytes(steps)]
        head.append({"name": name, "labels": labels, "base": [round(b, 4) for b in base], "sizes": [len(p) for p in parts]})
        blocks += parts
    start = json.dumps({"digest": made_from, "models": head}).encode()
    return _MAGIC + zlib.compress(struct.pack(">I", len(start)) + start + b"".join(blocks), 9)


def made_from(path: Path) -> str:
    """The digest of the bank that a weights file was learned from; empty where there is no usable file."""
    return read(path)[0]


def read(path: Path) -> tuple[str, dict[str, Model]]:
    """The digest a weights file was made from and its models; empty where there is no usable file."""
    try:
        raw = path.read_bytes()
        if not raw.startswith(_MAGIC):
            return "", {}
        data = zlib.decompress(raw[len(_MAGIC):])
        size = struct.unpack(">I", data[:4])[0]
        head = json.loads(data[4:4 + size])
    except (OSError, zlib.error, ValueError, struct.error):
        return "", {}
    at, models = 4 + size, {}
    for entry in head["models"]:
        parts = []
        for length in entry["sizes"]:
            parts.append(data[at:at + length])
            at += length
        names = parts[0].decode().split("\n")
        models[entry["name"]] = Model(entry["labels"], entry["base"], names, *parts[1:])
    return head["digest"], models
