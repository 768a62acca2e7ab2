"""`python -m guide` is the command `guide`."""
import gc
import sys

COLLECT = (50_000, 20, 50)
"""Garbage is looked for this seldom: starting makes many records, and a turn next to no garbage."""


def run() -> int:
    """The command `guide` in a process of its own; returns the exit status."""
    gc.set_threshold(*COLLECT)  # before all else is imported
    from guide.cli import main
    return main()


if __name__ == "__main__":
    sys.exit(run())
