"""Load: a session of ten thousand turns, a thousand journals, knowledge ten times the size. Growth must be near linear."""
from __future__ import annotations

import argparse
import json
import random
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

from guide.knowledge import compiling, image
from guide.knowledge.base import files
from guide.session import Session
from guide.starting import Started, start
from guide.state.facts import fold
from guide.state.journal import read
from tests.benchmarks.rubbish import bank_sentences, resident_mb
from tests.benchmarks.tables import show

JOURNALS = 1000


def run(args: argparse.Namespace) -> bool:
    """Print the tables; whether growth was near linear."""
    with tempfile.TemporaryDirectory() as name:
        return all([long_session(Path(name), args.count or 10_000, args.seed), many_journals(Path(name)), large_knowledge(Path(name))])


def _timed(work: Callable[[], object]) -> float:
    """Processor milliseconds, the best of three."""
    best = float("inf")
    for _ in range(3):
        begun = time.process_time()
        work()
        best = min(best, (time.process_time() - begun) * 1e3)
    return best


def long_session(folder: Path, turns: int, seed: int) -> bool:
    """One journal of many turns: what a turn costs, and what opening it again costs."""
    bank = [*bank_sentences(), *["undo", "done", "what now", "why"] * 400]
    random.Random(seed).shuffle(bank)
    started, path, rows, costs = start(), folder / "long.jsonl", [], []
    session, part = started.session(path), turns // 10
    for number in range(10):
        begun, each = time.process_time(), []
        for at in range(number * part, (number + 1) * part):
            before = time.process_time()
            session.answer(bank[at % len(bank)])
            each.append((time.process_time() - before) * 1e3)
        each.sort()
        costs.append((time.process_time() - begun) * 1e3 / part)
        rows.append(((number + 1) * part, costs[-1], each[int(part * 0.99)], resident_mb(), path.stat().st_size / 1e6))
    show(f"A session of {turns} turns, kept in a journal", ("turns", "ms a turn", "p99 ms", "resident MB", "journal MB"), rows)
    opened = _timed(lambda: fold(read(path)[0]))
    same = fold(read(path)[0]).known() == session.state.known()
    print(f"  opening that journal: {opened:.0f} ms; state after replay {'equals' if same else 'DIFFERS from'} the state before")
    return same and costs[-1] < 2 * costs[1]


def many_journals(folder: Path) -> bool:
    """`guide sessions` over folders of journals."""
    rows: list[Sequence[object]] = []
    for count in (JOURNALS // 10, JOURNALS):
        place = folder / f"data-{count}" / "liferaft-guide" / "sessions"
        place.mkdir(parents=True)
        for number in range(count):
            lines: list[dict[str, object]] = [{"journal": 1, "started": "2026-01-01T00:00:00+00:00", "name": f"talk {number}"}]
            lines += [{"turn": turn, "at": "2026-01-01T00:00:00+00:00", "text": "six of us",
                       "events": [{"kind": "fact", "by": "crew", "name": "persons", "value": 6, "was": None}]} for turn in range(1, 31)]
            (place / f"talk-{number}.jsonl").write_text("".join(json.dumps(line) + "\n" for line in lines), encoding="utf-8")
        def list_them(home: Path = folder / f"data-{count}") -> None:
            subprocess.run([sys.executable, "-m", "guide", "sessions"], env={"XDG_DATA_HOME": str(home), "PATH": "", "HOME": str(home)},
                           stdout=subprocess.DEVNULL, check=True)
        begun = time.perf_counter()
        list_them()
        rows.append((count, (time.perf_counter() - begun) * 1e3))
    show("Journals in the data folder, listed by `guide sessions`", ("journals", "ms in all"), rows)
    return float(str(rows[1][1])) < 20 * float(str(rows[0][1]))


def large_knowledge(folder: Path) -> bool:
    """The shipped knowledge, and its steps, cautions and clauses ten times."""
    rows = []
    for times in (1, 10):
        place = folder / f"knowledge-{times}"
        _copied(compiling.default_folder(), place, times)
        before = resident_mb()
        begun = time.process_time()
        knowledge, problems = compiling.load(place, bank=False)
        read_ms = (time.process_time() - begun) * 1e3
        image.load(place)
        kept_ms = _timed(partial(image.load, place))
        session = Started(knowledge, start().learned).session()
        turn_ms = _timed(partial(_twenty_turns, session)) / 20
        rows.append((times, len(knowledge.steps), len(problems), read_ms, kept_ms, turn_ms, resident_mb() - before))
    show("Knowledge once and ten times", ("times", "steps", "problems", "read ms", "compiled form ms", "turn ms", "MB more"), rows)
    one, ten = rows
    return ten[2] == 0 and ten[3] < 20 * one[3] and ten[4] < 20 * one[4] and ten[5] < 20 * one[5]


def _twenty_turns(session: Session) -> None:
    for _ in range(20):
        session.answer("the floor is flat and we have nine litres of water")


def _copied(source: Path, target: Path, times: int) -> None:
    """A knowledge folder in which the steps, cautions and clauses stand `times` times, each time under another name."""
    for name in files(source, bank=False):
        path = target / name
        path.parent.mkdir(parents=True, exist_ok=True)
        text = (source / name).read_text(encoding="utf-8")
        path.write_text(text, encoding="utf-8")
        for number in range(1, times) if name.startswith(("steps/", "sources/", "cautions/")) else ():
            other = re.sub(r"^(\s*- \{?id: )(\w+)", rf"\1\2_copy{number}", text, flags=re.MULTILINE)
            path.with_name(f"{path.stem}-{number}.yaml").write_text(other, encoding="utf-8")
    (target / "weights.bin").write_bytes((source / "weights.bin").read_bytes())
