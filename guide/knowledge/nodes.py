"""YAML read as nodes, so that every value keeps its line and column and stays text.

The one home of the yaml library. A plain loader would turn `no` into False, drop the first of two
equal keys and forget where anything stood; here each of those is a problem with a place. Nothing is
ever constructed but text, lists and mappings, so a file cannot run code.
"""
from __future__ import annotations

import gc
import re
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from guide.knowledge.problems import Place, Problem, did_you_mean
from guide.safe import read_file

if TYPE_CHECKING:
    import yaml

_SIZE_LIMIT = 8_000_000
_UNSEEN = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\xad\u061c\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb\U000e0000-\U000e007f]")
"""Characters that act on a terminal or on the direction of a line."""
_PLAIN_TAGS = frozenset(f"tag:yaml.org,2002:{kind}" for kind in ("str", "seq", "map"))


class Node:
    """A value with its place, and typed readers that note a problem instead of raising."""

    __slots__ = ("_file", "_node", "_problems")

    def __init__(self, node: yaml.Node, file: str, problems: list[Problem]) -> None:
        self._node, self._file, self._problems = node, file, problems

    @property
    def place(self) -> Place:
        """Where it begins in its file."""
        mark = self._node.start_mark
        return Place(self._file, mark.line + 1, mark.column + 1)

    @property
    def is_text(self) -> bool:
        """Whether it is a scalar."""
        return bool(self._node.id == "scalar")

    @property
    def is_empty(self) -> bool:
        """Whether it is a scalar of blanks, or of nothing."""
        return self.is_text and not self._node.value.strip()

    def is_a(self, what: str, kind: str) -> bool:
        """Whether a file says that it is of its `kind`. Where it does not, that is all there is to say: in a file of another kind
        each field would be a problem."""
        pairs = self._node.value if self._node.id == "mapping" else ()
        said = next((Node(value, self._file, self._problems) for key, value in pairs if key.value == "kind" and value.id == "scalar"), None)
        if said is None:
            self.problem("K006", f"{what} begins with `kind: {kind}`")
        elif said.text() != kind:
            said.problem("K011", f'this is of kind "{said.text()}"; {what} has `kind: {kind}`')
        return said is not None and said.text() == kind

    def problem(self, code: str, message: str, level: str = "error") -> None:
        """Note a problem at this node."""
        self._problems.append(Problem(self.place, level, code, message))

    def text(self, default: str = "") -> str:
        """The scalar as text, line breaks folded to blanks."""
        if self._node.id == "scalar":
            return " ".join(self._node.value.split())
        self.problem("K010", f"expected text, found a {self._node.id}")
        return default

    def raw(self) -> str:
        """The scalar as text with its line breaks."""
        if self._node.id == "scalar":
            return str(self._node.value)
        return self.text()

    def lines(self) -> list[tuple[int, str]]:
        """The lines of a block of text, each with its line number in the file; blank lines left out."""
        if self._node.id != "scalar":
            self.problem("K010", f"expected a block of lines, found a {self._node.id}")
            return []
        first = self._node.start_mark.line + (2 if self._node.style in ("|", ">") else 1)
        return [(first + n, line.strip()) for n, line in enumerate(self._node.value.split("\n")) if line.strip()]

    def choice(self, allowed: Iterable[str], default: str) -> str:
        """The scalar, which must be one of `allowed`."""
        value, options = self.text(default), list(allowed)
        if value in options:
            return value
        self.problem("K011", f'"{value}" is not one of {", ".join(options)}{did_you_mean(value, options)}')
        return default

    def number(self, default: float = 0.0) -> float:
        """The scalar as a number."""
        value = self.text()
        if re.fullmatch(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?", value):
            return float(value)
        self.problem("K012", f'"{value}" is not a number')
        return default

    def whole(self, default: int = 0) -> int:
        """The scalar as a whole number."""
        value = self.text()
        if re.fullmatch(r"[+-]?\d{1,9}", value):
            return int(value)
        self.problem("K012", f'"{value}" is not a whole number')
        return default

    def items(self) -> list[Node]:
        """The members of a list."""
        if self._node.id == "sequence":
            return [Node(n, self._file, self._problems) for n in self._node.value]
        self.problem("K010", f"expected a list, found {'text' if self._node.id == 'scalar' else 'a ' + self._node.id}")
        return []

    def texts(self) -> tuple[str, ...]:
        """A list of texts."""
        return tuple(item.text() for item in self.items())

    def pairs(self) -> Iterator[tuple[Node, Node]]:
        """Key and value of a mapping, in order; a key written twice is a problem and its second value is left out."""
        if self._node.id != "mapping":
            self.problem("K010", f"expected a mapping, found {'text' if self._node.id == 'scalar' else 'a ' + self._node.id}")
            return
        seen: dict[str, int] = {}
        for key_node, value_node in self._node.value:
            key = Node(key_node, self._file, self._problems)
            name = key.text()
            if name in seen:
                key.problem("K013", f'"{name}" stands twice; first on line {seen[name]}')
                continue
            seen[name] = key.place.line
            yield key, Node(value_node, self._file, self._problems)

    def fields(self, required: Iterable[str], optional: Iterable[str] = ()) -> dict[str, Node]:
        """The mapping as name → node; unknown and missing names are problems, the rest is still returned."""
        required = tuple(required)
        known = {*required, *optional}
        found: dict[str, Node] = {}
        for key, value in self.pairs():
            name = key.text()
            if name in known:
                found[name] = value
            else:
                key.problem("K014", f'unknown field "{name}"{did_you_mean(name, known)}')
        for name in required:
            if name not in found:
                self.problem("K015", f'field "{name}" is missing')
            elif found[name].is_empty:
                found[name].problem("K015", f'field "{name}" is empty')
        return found


def _ban(root: yaml.Node, file: str, problems: list[Problem]) -> None:
    """Aliases and tags are refused: an alias carries another place's line, a tag asks for construction."""
    seen: set[int] = set()
    stack = [root]
    while stack:
        node = stack.pop()
        place = Place(file, node.start_mark.line + 1, node.start_mark.column + 1)
        if id(node) in seen:
            problems.append(Problem(place, "error", "K003", "anchors and aliases are not allowed: write the value out"))
            continue
        seen.add(id(node))
        if node.id == "scalar" and not node.value.isprintable() and (odd := _UNSEEN.search(node.value)):
            problems.append(Problem(place, "error", "K016", f"the text holds a character that cannot be seen: U+{ord(odd[0]):04X}"))
        if node.tag not in _PLAIN_TAGS:
            problems.append(Problem(place, "error", "K004", f"tag {node.tag} is not allowed"))
        if node.id == "sequence":
            stack.extend(node.value)
        elif node.id == "mapping":
            stack.extend(part for pair in node.value for part in pair)


def _syntax(error: Exception, text: str, file: str) -> Problem:
    """What the YAML library says, with a line even where it gives only a position."""
    import yaml
    if isinstance(error, yaml.MarkedYAMLError):
        mark = error.context_mark if "quoted scalar" in str(error.context) else error.problem_mark
        mark = mark or error.problem_mark or error.context_mark
        place = Place(file, mark.line + 1, mark.column + 1) if mark else Place(file, 1, 1)
        hint = "; quote the text if it holds a colon" if "mapping values" in str(error.problem) else ""
        return Problem(place, "error", "K002", f"{error.context or ''} {error.problem or ''}".strip() + hint)
    position = getattr(error, "position", 0)
    before = text.encode("utf-8")[:position].decode("utf-8", "ignore")
    place = Place(file, before.count("\n") + 1, len(before) - before.rfind("\n"))
    return Problem(place, "error", "K002", f"a character that YAML does not allow: {getattr(error, 'reason', error)}")


def text_of(path: Path, shown: str, problems: list[Problem], most: int = _SIZE_LIMIT) -> str | None:
    """The text of a file of at most so many bytes, or None with the reason among `problems`."""
    try:
        return read_file(path, most).decode("utf-8")
    except UnicodeDecodeError as error:
        problems.append(Problem(Place(shown, 1, 1), "error", "K001", f"not UTF-8 text at byte {error.start}"))
    except OSError as error:
        problems.append(Problem(Place(shown, 1, 1), "error", "K001", f"cannot be read: {error.strerror}"))
    return None


def read(path: Path, shown: str, problems: list[Problem]) -> Node | None:
    """The root node of a YAML file, or None with the reason among `problems`."""
    text = text_of(path, shown, problems)
    return None if text is None else parse(text, shown, problems)


def parse(text: str, shown: str, problems: list[Problem]) -> Node | None:
    """As `read`, from text."""
    import yaml
    loader: Any = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
    collecting = gc.isenabled()
    gc.disable()  # composing makes many small objects and no garbage: halves the time on a large file
    try:
        root = yaml.compose(text, Loader=loader)
    except (yaml.YAMLError, RecursionError, ValueError) as error:
        problems.append(_syntax(error, text, shown) if isinstance(error, yaml.YAMLError)
                        else Problem(Place(shown, 1, 1), "error", "K002", "nested too deeply to read"))
        return None
    finally:
        if collecting:
            gc.enable()
    if root is None:
        problems.append(Problem(Place(shown, 1, 1), "error", "K005", "the file is empty"))
        return None
    _ban(root, shown, problems)
    return Node(root, shown, problems)
