"""What a command loads: nobody waits for a library that the command does not use. Modules are counted, no clock is read."""
from __future__ import annotations

import json
import re
import subprocess
import sys
import threading
from importlib import import_module
from pathlib import Path

import pytest

from guide.patterns import pattern
from guide.starting import start

ROOT = Path(__file__).resolve().parent.parent
UNUSED = {"guide.knowledge.compiling", "guide.knowledge.nodes", "guide.knowledge.reading", "guide.figures.catalogue", "guide.figures.model", "guide.stores.packs"}
"""Modules that an answer without a figure has no use for once the knowledge was read."""
SLOW = {"dataclasses", "datetime", "hashlib", "inspect", "pathlib", "shutil", "textwrap"}
"""Parts of Python that together take as long as all of the guide's own modules, and that an answer needs nothing of."""
HEAVY = {"yaml", "networkx", "rapidfuzz", "prompt_toolkit", "geographiclib", "sklearn", "numpy"}
RUN = """
import json, sys
from guide.cli import main
try:
    status = main(sys.argv[1:])
except SystemExit as stop:
    status = stop.code
print("\\n" + json.dumps([status or 0, sorted(name for name in sys.modules if "." not in name or name.startswith("guide."))]))
"""


def loaded(*words: str) -> set[str]:
    """The libraries and the guide's modules that a fresh process has loaded when the command has ended well."""
    done = subprocess.run([sys.executable, "-c", RUN, *words], cwd=ROOT, capture_output=True, text=True, input="", timeout=60, check=True)
    status, modules = json.loads(done.stdout.splitlines()[-1])
    assert status == 0, done.stderr
    return set(modules)


@pytest.mark.parametrize("words", [("--help",), ("--version",), ("ask", "--help"), ("chat", "--help"), ("help", "keys"), ("help", "--man"), ("completion", "bash"), ("figure", "--list")])
def test_help_and_lists_load_no_library(words: tuple[str, ...]) -> None:
    assert loaded(*words) & HEAVY == set()


def test_a_first_answer_reads_yaml_and_the_next_needs_no_library(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert loaded("ask", "the floor is flat") & HEAVY == {"yaml"}
    for words in (("ask", "the floor is flat"), ("ask", "--json", "what if the drogue parted"), ("chat", "--json")):
        assert loaded(*words) & (HEAVY | UNUSED) == set()
    assert loaded("figure", "horizon_distance", "eye_height_m=4") & HEAVY == set()


def unavoidable() -> set[str]:
    """The slow parts that an installation, or reading arguments in this Python, loads by itself."""
    run = "import argparse, json, sys; argparse.ArgumentParser().parse_args([]); print(json.dumps(sorted(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", run], cwd=ROOT, capture_output=True, text=True, timeout=60, check=True)
    return set(json.loads(done.stdout)) & SLOW


def test_an_answer_loads_no_slow_part_of_python(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    loaded("ask", "the floor is flat")
    assert loaded("ask", "the floor is flat") & SLOW <= unavoidable()


def test_the_chat_loads_of_them_what_a_terminal_needs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    loaded("ask", "the floor is flat")
    assert loaded("chat", "--plain") & SLOW <= unavoidable() | {"datetime", "shutil", "textwrap"}


def test_a_prompt_is_drawn_without_what_answers(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    loaded("ask", "the floor is flat")
    later = {"guide.answering", "guide.language.reading", "guide.talk.deciding", "guide.guidance"}
    assert loaded("chat", "--plain") & later == set()
    assert loaded("ask", "the floor is flat") >= later


def test_a_misspelt_word_loads_what_mends_it() -> None:
    assert loaded("ask", "the droguue is out") & HEAVY <= {"yaml", "rapidfuzz"}


def test_the_check_loads_the_graph_and_no_prompt() -> None:
    done = subprocess.run([sys.executable, "-c", RUN, "check"], cwd=ROOT, capture_output=True, text=True, timeout=60, check=True)
    _, modules = json.loads(done.stdout.splitlines()[-1])
    assert {"yaml", "networkx"} <= set(modules)
    assert {"prompt_toolkit", "sklearn"} & set(modules) == set()


def test_every_pattern_that_is_compiled_late_is_a_good_one() -> None:
    later = type(pattern(""))
    names = [name.removesuffix(".py").replace("/", ".") for name in (p.relative_to(ROOT).as_posix() for p in (ROOT / "guide").glob("**/*.py"))]
    found = [value for name in names if "pattern(" in (ROOT / f"{name.replace('.', '/')}.py").read_text(encoding="utf-8")
             for value in vars(import_module(name)).values() if isinstance(value, later)]
    assert len(found) > 40 and all(value.pattern is not None for value in found)


def test_once_warm_no_sentence_waits_for_a_pattern(monkeypatch: pytest.MonkeyPatch) -> None:
    started = start()
    before = set(threading.enumerate())
    started.warm()
    for thread in set(threading.enumerate()) - before:
        thread.join()

    def compiles(text: str, flags: int = 0) -> re.Pattern[str]:
        raise AssertionError(text)

    monkeypatch.setattr("guide.patterns.re.compile", compiles)
    session = started.session()
    for text in ("the drogue is out but the floor is soft", "no wait, it was the other raft", "two of us are seasick, what do we take"):
        assert session.answer(text).topic
    assert session.state.known()
