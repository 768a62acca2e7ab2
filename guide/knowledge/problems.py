"""A problem in the knowledge, with the place it stands at, and how it is printed."""
from collections.abc import Iterable
from typing import TYPE_CHECKING, NamedTuple

from guide.safe import safe

if TYPE_CHECKING:
    from pathlib import Path


class Place(NamedTuple):
    """Where something stands: a file as shown to the user, line and column from 1."""

    file: str
    line: int
    col: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.col}"


NOWHERE = Place("", 0, 0)


class Problem(NamedTuple):
    """One finding. `code` is stable, so that a test, an editor or a person can look it up."""

    place: Place
    level: str
    code: str
    message: str

    def line(self) -> str:
        """`file:line:col: level: message [code]`."""
        return safe(f"{self.place}: {self.level}: {self.message} [{self.code}]")


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """`; did you mean "drogue"?` for a near miss, else nothing."""
    from difflib import get_close_matches
    near = get_close_matches(word, list(known), n=1, cutoff=0.6)
    return f'; did you mean "{near[0]}"?' if near else ""


def unknown(place: Place, what: str, name: str, known: Iterable[str]) -> Problem:
    """An id that is named and does not exist."""
    return Problem(place, "error", "K031", f'{what}: unknown "{name}"{did_you_mean(name, known)}')


def render(problem: Problem, root: "Path") -> str:
    """The problem with its source line and a caret under the column, where the file can be read."""
    if not problem.place.file.endswith(".yaml"):
        return problem.line()
    try:
        text = (root / problem.place.file).read_text(encoding="utf-8", errors="replace")
        source = safe(text.split("\n")[problem.place.line - 1].rstrip().expandtabs(1))
    except (OSError, IndexError):
        return problem.line()
    margin = f"{problem.place.line:>5} | "
    return f"{problem.line()}\n{margin}{source}\n{' ' * (len(margin) + problem.place.col - 1)}^"
