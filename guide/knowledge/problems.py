"""A problem in the knowledge, with the place it stands at, and how it is printed."""
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, NamedTuple

from guide.nearest import nearest
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


def in_one_line(problems: Sequence[Problem], command: str) -> str:
    """The first problem, how many there are, and the command that prints all of them, for a call that cannot go on."""
    many = f"{len(problems)} errors in all: " if len(problems) > 1 else ""
    return f"{problems[0].line()}; {many}run `{command}`"


def check_command(folder: object = None, overlay: object = None) -> str:
    """The call of `guide check` that reads the same files: a folder, where it is not the shipped one, and a vessel's overlay."""
    from shlex import quote
    named = [] if folder is None else [quote(str(folder))]
    return " ".join(["guide check", *named, *([] if overlay is None else ["--overlay", quote(str(overlay))])])


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """`; did you mean "drogue"?` for a near miss, else nothing."""
    near = nearest(word, known)
    return f'; did you mean "{near}"?' if near else ""


def unknown(place: Place, what: str, name: str, known: Iterable[str]) -> Problem:
    """An id that is named and does not exist."""
    return Problem(place, "error", "K031", f'{what}: unknown "{name}"{did_you_mean(name, known)}')


def render(problem: Problem, root: "Path") -> str:
    """The problem with its source line and a caret under the column, where the file can be read."""
    if not problem.place.file.lower().endswith((".yaml", ".csv")):
        return problem.line()
    try:
        text = (root / problem.place.file).read_text(encoding="utf-8", errors="replace")
        source = safe(text.split("\n")[problem.place.line - 1].rstrip().expandtabs(1))
    except (OSError, IndexError):
        return problem.line()
    margin = f"{problem.place.line:>5} | "
    return f"{problem.line()}\n{margin}{source}\n{' ' * (len(margin) + problem.place.col - 1)}^"
