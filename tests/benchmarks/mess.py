"""What people, pipes and bad disks send: rubbish sentences and damaged files, from a seed."""
from __future__ import annotations

import random
from collections.abc import Sequence

_SCRIPTS = ((0x20, 0x7e), (0x400, 0x4ff), (0x590, 0x5ff), (0x600, 0x6ff), (0x900, 0x97f), (0x300, 0x36f), (0x3040, 0x30ff), (0x4e00, 0x9fff),
            (0xac00, 0xd7a3), (0x1f300, 0x1faff), (0xfe00, 0xfe0f), (0x2000, 0x206f), (0x00, 0x9f), (0xd800, 0xdfff), (0x660, 0x669),
            (0xfff0, 0xffff), (0x1d400, 0x1d7ff), (0xe0000, 0xe007f), (0x10fff0, 0x10ffff))
"""Latin, Cyrillic, Hebrew, Arabic, Devanagari, marks, kana, Han, Hangul, pictures, selectors, spaces and directions, controls,
surrogates, other digits, specials, letters of mathematics, tags, the end of the code."""
_SEQUENCES = ("\x1b[2J", "\x1b]0;title\x07", "\x1b[31m", "\x9b2J", "\x1b]8;;http://x\x07", "\x00", "\u202e", "\u2066", "\r", "\x08\x08\x08", "\x7f", "\u2028",
              "﷽", "a\u0301\u0302\u0303" * 8, "🏴\U000e0067\U000e0062\U000e007f", "½", "²", "٣", "①", "㎏", "ﬁ", "İ", "ß", "1e999", "-0", "nan", "inf",
              "0x10", "1_000", "1,000,000", "9" * 40, "1/0", "0/0", "3/0", "°", "%s", "{0}", "{{", "${x}", "../../etc/passwd", "; rm", "__class__",
              "\\", "'", '"', "`", "''", "|", "=", "@", "#", "?!?!", "...", "-", "--help", "=SUM(A1)", "<b>", "&amp;", "null", "true", "NaN")
_JOINTS = (" ", "  ", ", ", " and ", " but ", ". ", "? ", "! ", "; ", "\t", "\n", "", "-", " not ", " no ", " if ", " what if ")
_AMOUNTS = ("one", "a couple of", "half a", "minus three", "12", "0", "a hundred and five", "3.5", "1/3", "five hundred thousand", "a dozen", "²", "٣٣")


def sentence(chance: random.Random, bank: Sequence[str]) -> str:
    """One utterance: a phrase of the bank bent, phrases strung together, characters of any script, or nearly nothing."""
    kind = chance.random()
    if kind < 0.45:
        return _bent(chance, chance.choice(bank))
    if kind < 0.7:
        return chance.choice(_JOINTS).join(_bit(chance, bank) for _ in range(chance.randrange(1, 8)))
    if kind < 0.95:
        return "".join(_character(chance) for _ in range(chance.randrange(0, 60)))
    if kind < 0.995:
        return _bit(chance, bank) * chance.randrange(1, 40)
    return _bit(chance, bank) * chance.randrange(100, 20_000)


def _character(chance: random.Random) -> str:
    low, high = chance.choice(_SCRIPTS)
    return chr(chance.randint(low, high))


def _bit(chance: random.Random, bank: Sequence[str]) -> str:
    return chance.choice((chance.choice(_SEQUENCES), chance.choice(_AMOUNTS), _character(chance), chance.choice(chance.choice(bank).split() or [""]),
                          chance.choice(bank)))


def _bent(chance: random.Random, text: str) -> str:
    for _ in range(chance.randrange(1, 6)):
        at = chance.randrange(len(text) + 1)
        kind = chance.randrange(6)
        if kind == 0:
            text = text[:at] + text[at + 1:]
        elif kind == 1:
            text = text[:at] + _character(chance) + text[at:]
        elif kind == 2:
            text = text[:at] + chance.choice(_SEQUENCES) + text[at:]
        elif kind == 3:
            text = text[at:] + " " + text[:at]
        elif kind == 4:
            text = text.upper() if chance.random() < 0.5 else text.swapcase()
        else:
            words = text.split()
            chance.shuffle(words)
            text = chance.choice(_JOINTS).join(words)
    return text


_PIECES = (b"\0", b"\xff", b"\xc3", b"\xf4\x90\x80\x80", b"\xed\xa0\x80", b"&a ", b"*a", b"!!python/object:os.system ", b"!x ", b"{", b"[", b"}", b"]",
           b": ", b"- ", b"\n", b"\t", b"|", b">", b'"', b"'", b"#", b"---\n", b"...\n", b"%YAML 9.9\n", b"? ", b"<<: ", b"null", b"1e999", b"-1", b"99999999999999999999",
           b"NaN", b"true", b"\xe2\x80\xae", b"\x1b[2J", b"\r\n", b"[" * 3000, b"{a: " * 2000, b"- " * 5000, b"a" * 20_000, b"id: ", b"../../x", b"\xef\xbb\xbf",
           b"every 99999999999999999999 h", b"is not", b"has", b"and", b" or ", b"0 s", b"{}", b"[]", b"''")


def damaged(chance: random.Random, data: bytes) -> bytes:
    """A file with a few bytes, lines or stretches changed."""
    for _ in range(chance.choice((1, 1, 2, 3, 8))):
        at, kind = chance.randrange(len(data) + 1), chance.randrange(8)
        stop = min(len(data), at + chance.choice((1, 4, 30, 400)))
        if kind == 0:
            data = data[:at] + bytes((chance.randrange(256),)) + data[at + 1:]
        elif kind == 1:
            data = data[:at] + data[stop:]
        elif kind in (2, 3):
            data = data[:at] + chance.choice(_PIECES) + data[at:]
        elif kind == 4:
            data = data[:at]
        elif kind == 5:
            data = data[:stop] + data[at:stop] * chance.choice((1, 2, 30)) + data[stop:]
        else:
            lines = data.split(b"\n")
            one, two = chance.randrange(len(lines)), chance.randrange(len(lines))
            lines[one], lines[two] = (lines[two], lines[one]) if kind == 6 else (lines[one] + lines[two], lines[one])
            data = b"\n".join(lines)
    return data
