"""Rubbish in: a million sentences and a hundred thousand files, without a traceback, a hang, growth or a raw control character."""
from __future__ import annotations

import argparse
import json
import random
import signal
import tempfile
import time
import traceback
import unicodedata
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from guide.arguments import Misuse
from guide.drills.logs import read_log
from guide.drills.scenario import read_scenario
from guide.figures import catalogue
from guide.figures.model import FigureError
from guide.knowledge import compiling, nodes, reading
from guide.knowledge.base import Overlay
from guide.knowledge.problems import Problem
from guide.knowledge.reading import Harvest
from guide.signoff import read as read_reviews
from guide.starting import Started, start
from guide.state.journal import Journal, JournalError
from guide.stores.inventory import facts_of_file
from guide.stores.packs import StoresError
from guide.terminal.rendering import turn_lines
from tests.benchmarks.mess import damaged, sentence
from tests.benchmarks.tables import show

ROOT = Path(__file__).resolve().parent.parent.parent
HANG_S = 20
TURNS_A_SESSION = 200
SETTLED = 2000
"""After so many the caches are full; memory is counted from there."""
_ALLOWED = (JournalError, StoresError, Misuse, FigureError)


@dataclass(slots=True)
class Tally:
    """What became of one kind of rubbish."""

    kind: str
    tried: int = 0
    refused: int = 0
    """Ended in one clear line."""
    slowest_ms: float = 0.0
    grown_mb: float = 0.0
    seconds: float = 0.0
    found: dict[str, bytes] = field(default_factory=dict)
    """What went wrong, and the input that shows it."""

    def row(self) -> Sequence[object]:
        return self.kind, self.tried, self.refused, len(self.found), self.slowest_ms, self.grown_mb, self.seconds


class Hang(Exception):
    """It took too long."""


def run(args: argparse.Namespace) -> bool:
    """Print the table and every finding; whether there was none."""
    chance = random.Random(args.seed)
    started, bank = start(), bank_sentences()
    until = time.monotonic() + 60 * args.minutes if args.minutes else float("inf")
    half = time.monotonic() + 30 * args.minutes if args.minutes else float("inf")
    with tempfile.TemporaryDirectory() as name:
        every = args.files or 100_000
        tallies = [sentences(started, bank, args.count or 1_000_000, half, chance), *files(started, Path(name), every, until, chance),
                   figures(max(1, every // 7), chance)]
    show("Rubbish (findings must be 0)", ("input", "tried", "refused in one line", "findings", "slowest ms", "grown MB", "s"), [t.row() for t in tallies])
    for tally in tallies:
        for what, shown in tally.found.items():
            print(f"  {tally.kind}: {what}\n    {shown[:300]!r}")
    return not any(tally.found for tally in tallies)


def bank_sentences() -> list[str]:
    language = compiling.load()[0].language
    return [phrase.text for section in (language.questions, language.reports, language.orders, language.facts, language.amounts, language.nothing, language.suppose,
                                        language.outside) for phrase in section]


def resident_mb() -> float:
    """Memory of this process now."""
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    return pages * 4096 / 1e6


@contextmanager
def _watched(tally: Tally, shown: bytes) -> Iterator[None]:
    def late(*_: object) -> None:
        raise Hang

    signal.signal(signal.SIGALRM, late)
    signal.alarm(HANG_S)
    begun = time.perf_counter()
    try:
        yield
    except _ALLOWED:
        tally.refused += 1
    except Exception as error:  # noqa: BLE001 - whatever escapes is what is looked for
        last = traceback.extract_tb(error.__traceback__)[-1]
        tally.found.setdefault(f"{type(error).__name__}: {str(error)[:80]} ({Path(last.filename).name}:{last.lineno})", shown)
    finally:
        signal.alarm(0)
        tally.tried += 1
        tally.slowest_ms = max(tally.slowest_ms, (time.perf_counter() - begun) * 1e3)


def raw_free(text: str) -> bool:
    """Whether a text is free of characters that act on a terminal or turn its direction."""
    return all(unicodedata.category(c) not in ("Cc", "Cs", "Cf") for c in text)


def sentences(started: Started, bank: Sequence[str], count: int, until: float, chance: random.Random) -> Tally:
    """Answered, shown and written as JSON, in sessions of a few hundred turns."""
    tally, begun, memory = Tally("sentence"), time.perf_counter(), 0.0
    session = started.session()
    for number in range(count):
        if number % TURNS_A_SESSION == 0:
            session = started.session()
            if time.monotonic() > until:
                break
        if number == min(count // 5, SETTLED):
            memory = resident_mb()
        text = sentence(chance, bank)
        with _watched(tally, text.encode("utf-8", "surrogatepass")):
            turn = session.answer(text)
            lines = turn_lines(turn, started.knowledge, width=chance.choice((20, 40, 80, 200)))
            json.dumps(turn.as_json(started.knowledge), ensure_ascii=False).encode("utf-8", "surrogatepass")
            if not all(map(raw_free, lines)):
                tally.found.setdefault("a control character is shown", text.encode("utf-8", "surrogatepass"))
    tally.grown_mb, tally.seconds = resident_mb() - memory, time.perf_counter() - begun
    return tally


Use = Callable[[Path], object]


def files(started: Started, folder: Path, count: int, until: float, chance: random.Random) -> list[Tally]:
    """Each kind of file a person may hand in, damaged."""
    knowledge = started.knowledge

    def read_knowledge(path: Path) -> object:
        problems: list[Problem] = []
        root = nodes.read(path, path.name, problems)
        harvest = Harvest()
        if root is not None:
            reading.read_file(root, harvest)
        compiling.link(harvest, Overlay(), problems)
        return _problems(problems)

    def scenario(path: Path) -> object:
        problems: list[Problem] = []
        read_scenario(path, path.name, knowledge, problems)
        return _problems(problems)

    def overlay(path: Path) -> object:
        return _problems(compiling.load(folder / "none", overlay=path)[1])

    def gone_on(path: Path) -> object:
        with Journal(path) as kept:
            going = started.going_on(kept.events, None)
            return [turn_lines(going.answer(text), knowledge) for text in ("what's done", "we drank a litre", "why")] if chance.random() < 0.2 else None

    journal = folder / "journal.jsonl"
    session = started.session(journal)
    for text in ("drogue's out", "we have nine litres of water", "undo", "six of us", "done"):
        session.answer(text)
    drill_log = b'{"drill": 1, "scenario": "x", "digest": "d", "help": "asked", "crew": ["a"], "started": "2000-01-01T00:00:00+00:00", "record": {}}\n' \
                + b"".join(b'{"t": %d, "who": "a", "text": "drogue out"}\n' % number for number in range(9))
    review = b'{"claim": "step:a", "digest": "d", "verdict": "agree", "note": "", "by": "A", "at": "2000-01-01"}\n' * 4
    shipped = compiling.default_folder()
    kinds: list[tuple[str, list[bytes], str, Use]] = [
        ("journal", [journal.read_bytes()], "jsonl", gone_on),
        ("knowledge", [(shipped / name).read_bytes()[:6000] for name in ("steps/raft.yaml", "equipment.yaml", "stores.yaml", "disputes.yaml", "topics/raft.yaml",
                                                                          "sources/solas.yaml", "frames.yaml", "concepts.yaml")], "yaml", read_knowledge),
        ("overlay", [(ROOT / "transcripts_demo/vessel_overlay.yaml").read_bytes()], "yaml", overlay),
        ("inventory", [(ROOT / name).read_bytes() for name in ("transcripts_demo/inventory.yaml", "tests/stores/found.csv")], "",
         lambda path: facts_of_file(path, knowledge)),
        ("scenario", [path.read_bytes() for path in sorted((shipped / "drills").glob("*.yaml"))], "yaml", scenario),
        ("drill log, reviews", [drill_log, review], "", lambda path: (read_log if b'"drill"' in path.read_bytes()[:40] else read_reviews)(path))]
    share = (until - time.monotonic()) / len(kinds)
    return [_damaged_files(kind, bases, ending, use, folder, max(1, count // 7), share, chance) for kind, bases, ending, use in kinds]


def _problems(found: Sequence[Problem]) -> None:
    for problem in found:
        if "\n" in problem.line() or not raw_free(problem.line()):
            raise ValueError(f"a problem is not one clean line [{problem.code}]")


def _damaged_files(kind: str, bases: Sequence[bytes], ending: str, use: Use, folder: Path, count: int, seconds: float, chance: random.Random) -> Tally:
    tally, begun, memory = Tally(kind), time.perf_counter(), resident_mb()
    for number in range(count):
        if time.perf_counter() - begun > seconds:
            break
        if number == min(count // 5, SETTLED):
            memory = resident_mb()
        data = damaged(chance, chance.choice(bases))
        path = folder / f"damaged.{ending or chance.choice(('yaml', 'csv'))}"
        path.write_bytes(data)
        with _watched(tally, data):
            use(path)
    tally.grown_mb, tally.seconds = resident_mb() - memory, time.perf_counter() - begun
    return tally


def figures(count: int, chance: random.Random) -> Tally:
    """Figures with inputs of any kind."""
    tally, begun, memory = Tally("figure inputs"), time.perf_counter(), resident_mb()
    odd: list[object] = [None, True, "", "x", -1, 0, 1e308, -1e308, float("nan"), float("inf"), 10**400, "9" * 400, "1e999", [], {}, "2000-02-30", "25:61", "\x1b[2J", "٣", b"x",
                         "2024-06-21", "12:00", 45.0, 0.1, 5, 300]
    for _ in range(count):
        figure = chance.choice(list(catalogue.FIGURES.values()))
        inputs = {wanted.name: chance.choice(odd) for wanted in figure.inputs if chance.random() < 0.9}
        if chance.random() < 0.05:
            inputs[str(chance.choice(odd))] = 1
        with _watched(tally, repr((figure.id, inputs)).encode()):
            catalogue.compute(figure.id, inputs)
    tally.grown_mb, tally.seconds = resident_mb() - memory, time.perf_counter() - begun
    return tally


