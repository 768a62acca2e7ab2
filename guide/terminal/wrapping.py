"""Text in rows as a terminal shows them: wide characters take two columns, and no control character gets through."""
from __future__ import annotations

from collections.abc import Iterator

from guide.language.wording import clean


def columns(text: str) -> int:
    """How many columns of a terminal a text takes."""
    return len(text) if text.isascii() else sum(map(_columns, text))


def _columns(character: str) -> int:
    import unicodedata
    if unicodedata.combining(character) or unicodedata.category(character) in ("Mn", "Me"):
        return 0
    return 2 if unicodedata.east_asian_width(character) in "WF" else 1


def wrapped(text: str, width: int, lead: str = "", hang: int = 0) -> list[str]:
    """The text in lines of at most `width` columns, the first after `lead`, the others after `hang` blanks."""
    lines: list[str] = []
    line, empty = lead, True
    for word in _words(text, max(2, width - max(columns(lead), hang))):
        if not empty and columns(line) + 1 + columns(word) > width:
            lines.append(line)
            line, empty = " " * hang, True
        line, empty = line + ("" if empty else " ") + word, False
    return [*lines, line.rstrip()]


def _words(text: str, room: int) -> Iterator[str]:
    """The words of a text without control characters, those wider than `room` columns in pieces."""
    for word in " ".join(clean(part) for part in text.split()).split():
        if columns(word) <= room:
            yield word
            continue
        piece = ""
        for character in word:
            if columns(piece) + _columns(character) > room:
                yield piece
                piece = ""
            piece += character
        yield piece
