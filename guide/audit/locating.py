"""The line of a finding within its record: a record stands where it begins, a fault in one of its fields stands lower."""
from __future__ import annotations

import re
from functools import cache
from pathlib import Path

from guide.knowledge.problems import Place

_LONGEST = 120
"""Lines of a record that are looked through."""
_NEXT = re.compile(r"^( *)- ")


class Locator:
    """Finds hints in the files of one folder; each file is read once."""

    def __init__(self, folder: str) -> None:
        self._folder = folder
        self._lines = cache(self._read)

    def at(self, place: Place, hint: str) -> Place:
        """The place of a hint in the record that begins at `place`; the place itself where it is not found."""
        lines = self._lines(place.file)[place.line - 1:place.line - 1 + _LONGEST] if hint else []
        wanted = re.compile(rf"(?<![\w.-]){re.escape(hint)}(?![\w-])")
        for number, line in enumerate(lines):
            begins = _NEXT.match(line)
            if number and begins and len(begins[1]) <= place.col - 3:
                break
            match = wanted.search(line, place.col - 1 if number == 0 else 0)
            if match:
                return Place(place.file, place.line + number, match.start() + 1)
        return place

    def _read(self, file: str) -> list[str]:
        if not self._folder or not file.endswith(".yaml"):
            return []
        try:
            return Path(self._folder, file).read_text(encoding="utf-8", errors="replace").splitlines()
        except OSError:
            return []
