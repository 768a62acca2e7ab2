"""Speed, as ratios in one run against the same interpreter: starting, a first answer, the chat's prompt, a turn, memory."""
from __future__ import annotations

import argparse
import compileall
import gc
import os
import pty
import random
import select
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from pathlib import Path

from guide.__main__ import COLLECT
from guide.starting import start
from tests.benchmarks.rubbish import bank_sentences
from tests.benchmarks.tables import show

ROOT = Path(__file__).resolve().parent.parent.parent
ROUNDS = 12
TURNS = 2000
_LIBRARIES = "import rapidfuzz, yaml"
_BYTES = ("import os\nfor at, _, names in os.walk('knowledge'):\n for name in names:\n  if 'phrases' not in at: open(os.path.join(at, name), 'rb').read()")
_YAML = ("from pathlib import Path\nfor path in Path('knowledge').rglob('*.yaml'):\n"
         " if 'phrases' not in path.parts: yaml.compose(path.read_text(), Loader=getattr(yaml, 'CBaseLoader', yaml.BaseLoader))")


def run(args: argparse.Namespace) -> bool:
    """Print the tables; whether every goal was met."""
    compileall.compile_dir(ROOT / "guide", quiet=1)  # as an installed package has it
    with tempfile.TemporaryDirectory() as home:
        environment = {**os.environ, "HOME": home, "XDG_CACHE_HOME": home, "XDG_DATA_HOME": home}
        best = _starts(environment)
        prompt, memory = _chat(environment)
    rows = [("guide --help", best["help"], "python -c pass", best["pass"], best["help"] / best["pass"], 3.0),
            ("guide ask", best["ask"], "rapidfuzz, yaml and the files' bytes", best["bytes"], best["ask"] / best["bytes"], 1.5),
            ("guide ask", best["ask"], "rapidfuzz, yaml and the YAML read", best["yaml"], best["ask"] / best["yaml"], 1.5),
            ("guide chat, ready", prompt, "import prompt_toolkit", best["prompt"], prompt / best["prompt"], 1.3)]
    show("Starting (wall clock, best of several)", ("what", "ms", "against", "ms", "ratio", "goal"), rows)
    turn = _turns(args.seed)
    show("A turn in process, phrases of the whole bank (processor time)", ("p50 ms", "p90 ms", "p99 ms", "goal p99"), [(*turn, 5.0)])
    show("Memory of the chat, ready to type", ("resident MB", "goal"), [(memory, 60.0)])
    return all(row[4] <= row[5] for row in rows) and turn[2] <= 5.0 and memory <= 60.0


def _starts(environment: Mapping[str, str]) -> dict[str, float]:
    """Milliseconds that each command takes, the best of several rounds in turn."""
    python = sys.executable
    commands: dict[str, Sequence[str]] = {
        "pass": (python, "-c", "pass"), "help": (python, "-m", "guide", "--help"), "bytes": (python, "-c", f"{_LIBRARIES}\n{_BYTES}"),
        "yaml": (python, "-c", f"{_LIBRARIES}\n{_YAML}"), "ask": (python, "-m", "guide", "ask", "how do i pump up the floor"),
        "prompt": (python, "-c", "import prompt_toolkit")}
    best = dict.fromkeys(commands, float("inf"))
    for _ in range(ROUNDS):
        for name, command in commands.items():
            best[name] = min(best[name], _ms(partial(subprocess.run, command, cwd=ROOT, env=environment, stdout=subprocess.DEVNULL, check=True)))
    return best


def _ms(work: Callable[[], object]) -> float:
    begun = time.perf_counter()
    work()
    return (time.perf_counter() - begun) * 1e3


def _chat(environment: Mapping[str, str]) -> tuple[float, float]:
    """Milliseconds until the chat has drawn its prompt in a terminal, the best of several; and its memory then in MB."""
    found = [_prompt(environment) for _ in range(ROUNDS)]
    return min(ms for ms, _ in found), min(memory for _, memory in found)


def _prompt(environment: Mapping[str, str]) -> tuple[float, float]:
    begun = time.perf_counter()
    child, terminal = pty.fork()
    if child == 0:
        os.chdir(ROOT)
        os.execve(sys.executable, [sys.executable, "-m", "guide", "chat", "--new"], {**environment, "TERM": "xterm-256color"})
    drawn, shown = begun, b""
    while select.select([terminal], [], [], 10)[0]:
        data = os.read(terminal, 65536)
        if b"\x1b[6n" in data:  # it asks where the cursor is
            os.write(terminal, b"\x1b[1;1R")
        shown += data
        if not data or b">" in shown.partition(b"\x1b[?2004h")[2]:  # its own line is set up, and the prompt drawn
            drawn = time.perf_counter()
            break
    pages = int(Path(f"/proc/{child}/statm").read_text(encoding="ascii").split()[1])
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    os.close(terminal)
    return (drawn - begun) * 1e3 if drawn > begun else float("inf"), pages * 4096 / 1e6


def _turns(seed: int) -> tuple[float, float, float]:
    """Median, 90th and 99th percentile of a turn in ms, in talks of fifteen turns."""
    gc.set_threshold(*COLLECT)  # as in the command
    started, times = start(), []
    started.warm()  # as the chat while the first line is typed
    bank = random.Random(seed).sample(bank_sentences(), TURNS + 100)
    session = started.session()
    for number, text in enumerate(bank):
        if number % 15 == 0:
            session = started.session()
        begun = time.process_time()
        session.answer(text)
        times.append((time.process_time() - begun) * 1e3)
    times = sorted(times[100:])
    return times[TURNS // 2], times[TURNS * 9 // 10], times[TURNS * 99 // 100]
