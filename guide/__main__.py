"""`python -m guide` is the command `guide`."""
import gc
import sys


def run() -> int:
    """The command `guide` in a process of its own; returns the exit status."""
    gc.set_threshold(50_000, 20, 50)  # before all else is imported: starting makes many records and no garbage
    from guide.cli import main
    return main()


if __name__ == "__main__":
    sys.exit(run())
