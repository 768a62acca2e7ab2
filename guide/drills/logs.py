"""The log of a drill: what was typed and when, one line of JSON each, on disk before it is answered, never rewritten.

The first line says which scenario and who; every other line is `{"t": seconds, "who": name, "text": typed}`. A last line
that was cut short is no line: it was never answered. It is reported, and cut away before the next one is written.
"""
from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any, Self

from guide.arguments import Misuse
from guide.drills.records import HELP_LEVELS, Entry, Log
from guide.state.lines import Kind, LineFile, read_data

VERSION = 1


def read_log(path: Path) -> Log:
    """The log in a file. Damaged lines are left out and named in `problems`; Misuse where there is no log to read."""
    first, *rest = read_data(path, _KIND).split(b"\n")
    head = _head(first, path)
    entries: list[Entry] = []
    problems: list[str] = []
    for number, line in enumerate(rest, start=2):
        entry = _entry(line, entries[-1].t_s if entries else 0.0) if line.strip() else None
        if isinstance(entry, Entry):
            entries.append(entry)
        elif entry is not None:
            cut = number == len(rest) + 1
            problems.append(f"{path}:{number}: " + ("the last line was cut short; it is left out" if cut else f"damaged line left out ({entry})"))
    return Log(head["scenario"], head["digest"], head["help"], tuple(head["crew"]), head["started"], dict(head["record"]),
               tuple(entries), tuple(problems))


class LogFile:
    """A log open for more lines, held against other processes until it is closed. Raises Misuse where the disk refuses."""

    def __init__(self, path: Path, file: LineFile) -> None:
        self.path, self._file = path, file

    @classmethod
    def begin(cls, path: Path, log: Log) -> Self:
        """A new log with its head; a file that is there already is never written over."""
        head = {"drill": VERSION, "scenario": log.scenario, "digest": log.digest, "help": log.help, "crew": list(log.crew),
                "started": log.started, "record": dict(log.record)}
        file = LineFile(path, _KIND, new=True)
        file.write(_line(head))
        file.keep_name()
        return cls(path, file)

    @classmethod
    def go_on(cls, path: Path) -> Self:
        """A log that is there; one that is not is never made."""
        read_data(path, _KIND)
        return cls(path, LineFile(path, _KIND))

    def append(self, entry: Entry) -> None:
        """Write one line and return once it is on disk, after cutting away what a broken write left behind."""
        self._file.write(_line({"t": round(entry.t_s, 1), "who": entry.who, "text": entry.text}))

    def close(self) -> None:
        """Let go of the file."""
        self._file.close()


def _line(data: dict[str, object]) -> bytes:
    return json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode("utf-8", "replace") + b"\n"


def _head(line: bytes, path: Path) -> dict[str, Any]:
    head = _json(line)
    if not isinstance(head, dict) or "drill" not in head:
        raise Misuse(f"{path}: not the log of a drill; it is left as it is")
    if head["drill"] != VERSION:
        raise Misuse(f"{path}: written by another version of the guide (drill {head['drill']}); it is left as it is")
    texts = all(isinstance(head.get(name), str) for name in ("scenario", "digest", "help", "started"))
    crew, record = head.get("crew"), head.get("record")
    if not texts or head["help"] not in HELP_LEVELS or not isinstance(crew, list) or not all(isinstance(n, str) for n in crew):
        raise Misuse(f"{path}:1: the head of the log is damaged: it needs scenario, digest, help, crew, started and record")
    if not isinstance(record, dict) or not all(isinstance(value, str) for value in record.values()):
        raise Misuse(f"{path}:1: the head of the log is damaged: record holds names and texts")
    return head


def _entry(line: bytes, before_s: float) -> Entry | str:
    """The entry of one line, or what is wrong with it. Time never runs back."""
    data = _json(line)
    if not isinstance(data, dict):
        return "it is not JSON"
    t, who, text = data.get("t"), data.get("who"), data.get("text")
    if isinstance(t, bool) or not isinstance(t, (int, float)) or not math.isfinite(t) or not isinstance(who, str) or not isinstance(text, str):
        return "it needs t, who and text"
    if t < before_s:
        return f"t goes back from {before_s:g} to {t:g}"
    return Entry(float(t), who, text)


def _json(line: bytes) -> object:
    try:
        found: object = json.loads(line.decode("utf-8"))
    except (ValueError, RecursionError):
        return None
    return found


def _is_whole(line: bytes) -> bool:
    head = _json(line)
    return isinstance(_entry(line, 0.0), Entry) or isinstance(head, dict) and "drill" in head


_KIND = Kind("log", "line", Misuse, _is_whole)
