"""The bytes of a weights file, from what was learned. How they are read, and their form, stands in `guide.language.weights`."""
from __future__ import annotations

import json
import struct
import zlib
from collections.abc import Container, Iterable, Mapping, Sequence
from itertools import accumulate

from guide.knowledge.language import Language
from guide.language.features import Lexicon
from guide.language.weighing import Weighing
from guide.language.weights import LONGEST_NAME, MAGIC, PIECE, SCALE, START, Rows

_ONE, _TWO = struct.Struct("<I"), struct.Struct("<II")


def digest(language: Language) -> str:
    """What the weights depend on, as one hash."""
    from hashlib import sha256
    parts = [f"{name}={','.join(words)}" for name, words in sorted(language.concepts.items())]
    for section in (language.questions, language.reports, language.orders, language.facts, language.amounts, language.nothing,
                    language.suppose, language.outside, language.follow_ups, language.tellings):
        parts += sorted(f"{phrase.means}|{phrase.text}" for phrase in section)
    return sha256("\n".join(parts).encode()).hexdigest()


def pack(made_from: str, models: Iterable[tuple[str, list[str], list[float], Rows]], lexicon: Lexicon, common: Container[str] | None = None) -> bytes:
    """The bytes of a weights file, without weights of clues. At most 255 labels of a model a feature, as they are counted in one byte. `common`: the words
    (as stems) that a misspelt word may be taken for; all where it is not given."""
    models = list(models)
    steps = [{feature: _steps(row) for feature, row in rows.items()} for _, _, _, rows in models]
    known = [sorted(name[1:] for name, row in family.items() if row and name[0] == "w" and _fits(name) and (common is None or name[1:] in common))
             for family in steps]
    words = ["\n".join(names).encode() for names in known]
    table, count = _table(steps, [len(labels) for _, labels, _, _ in models])
    families = [{"name": name, "labels": labels, "base": [round(b, 4) for b in base], "words": len(block)}
                for (name, labels, base, _), block in zip(models, words)]
    return assembled({"digest": made_from, "buckets": count, "families": families, "forms": _as_texts(lexicon)}, words, table)


def with_clues(data: bytes, clues: Weighing, tells: Weighing, rehearsed: str) -> bytes:
    """The bytes of a weights file with other weights of the clues to a topic and to a fact, learned from the talks of that digest."""
    _, size = _TWO.unpack_from(data, len(MAGIC))
    before, table = data[START:START + size], data[START + size:]
    at = 4 + _ONE.unpack_from(before)[0]
    head = json.loads(before[4:at])
    words, stop = [], at
    for family in head["families"]:
        words.append(before[stop:stop + family["words"]])
        stop += family["words"]
    each = {"clues": clues, "tells": tells}
    nets = {name: weighing.net.text for name, weighing in each.items() if weighing.net}
    return assembled({**head, **{name: dict(weighing.alone) for name, weighing in each.items()}, "nets": nets, "rehearsed": rehearsed}, words, table)


def assembled(head: Mapping[str, object], words: Sequence[bytes], table: bytes) -> bytes:
    """A weights file of its parts: the sizes and sums that it is read by are put in."""
    text = json.dumps({**head, "table": len(table)}).encode()
    sums = b"".join(_ONE.pack(zlib.crc32(table[at:at + PIECE])) for at in range(0, len(table), PIECE))
    before = b"".join([_ONE.pack(len(text)), text, *words, sums])
    return MAGIC + _TWO.pack(zlib.crc32(before), len(before)) + before + table


def _as_texts(lexicon: Lexicon) -> list[object]:
    """The forms of a lexicon as one text, quicker to read than a mapping; then the concepts of each, by numbers. Words hold no bar."""
    named = sorted(set(lexicon.forms.values()))
    return ["|".join(lexicon.forms), named, [named.index(concepts) for concepts in lexicon.forms.values()]]


def _steps(row: Mapping[int, float]) -> list[tuple[int, int]]:
    """Labels and weights of one feature in whole steps, without those that come to nothing."""
    found = [(label, max(-127, min(127, round(weight * SCALE)))) for label, weight in sorted(row.items())]
    return [(label, step) for label, step in found if step][:LONGEST_NAME]


def _fits(name: str) -> bool:
    return len(name.encode()) <= LONGEST_NAME


def _table(families: Sequence[Mapping[str, list[tuple[int, int]]]], labels: Sequence[int]) -> tuple[bytes, int]:
    """Where each bucket starts, then the records; and how many buckets there are. `labels`: how many each family has."""
    begins = list(accumulate(labels, initial=0))
    names = sorted({name for rows in families for name in rows if _fits(name)})
    count = max(1, len(names))
    buckets: list[list[bytes]] = [[] for _ in range(count)]
    for name in names:
        rows = [rows.get(name, []) for rows in families]
        if any(rows):
            raw = name.encode()
            lanes = [start + label for start, row in zip(begins, rows) for label, _ in row]
            steps = [step for row in rows for _, step in row]
            buckets[zlib.crc32(raw) % count].append(b"".join(
                [bytes((len(raw),)), raw, bytes(map(len, rows)), struct.pack(f"<{len(lanes)}H", *lanes), struct.pack(f"{len(steps)}b", *steps)]))
    starts = [0]
    for bucket in buckets:
        starts.append(starts[-1] + sum(map(len, bucket)))
    return struct.pack(f"<{count + 1}I", *starts) + b"".join(record for bucket in buckets for record in bucket), count
