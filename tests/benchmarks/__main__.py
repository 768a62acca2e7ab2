"""The command line of the benchmarks."""
from __future__ import annotations

import argparse
import sys
from importlib import import_module
from pathlib import Path

SUBJECTS = ("speed", "load", "crash", "rubbish", "language", "doubted")


def main() -> int:
    """Run the subjects named, or all of them; 1 where a promise was not kept."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description="Measure the guide and print tables.")
    parser.add_argument("subjects", nargs="*", metavar="SUBJECT", help=f"{', '.join(SUBJECTS)}; all if left out")
    parser.add_argument("--count", type=int, default=0, help="how many kills (crash), sentences (rubbish), turns (load, doubted)")
    parser.add_argument("--files", type=int, default=0, help="how many damaged files (rubbish)")
    parser.add_argument("--minutes", type=float, default=0.0, help="stop after so long and say how much was tried (rubbish)")
    parser.add_argument("--seed", type=int, default=1, help="of what is made at random")
    parser.add_argument("--labelled", type=Path, metavar="DIR", help="language: a folder of labelled sentences (*.jsonl)")
    parser.add_argument("--voices", nargs="*", metavar="VOICE", help="language: which writers to leave out; all without names")
    args = parser.parse_args()
    wrong = [name for name in args.subjects if name not in SUBJECTS]
    if wrong:
        parser.error(f"unknown subject {wrong[0]}; one of {', '.join(SUBJECTS)}")
    kept = [import_module(f"tests.benchmarks.{name}").run(args) for name in args.subjects or SUBJECTS]
    return 0 if all(kept) else 1


if __name__ == "__main__":
    sys.exit(main())
