"""The shape of the code: one home for each library, imports one way, small modules, no state in modules."""
from __future__ import annotations

import ast
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
MODULES: Mapping[str, ast.Module] = {
    path.relative_to(ROOT).as_posix(): ast.parse(path.read_text(encoding="utf-8"))
    for path in sorted((ROOT / "guide").rglob("*.py")) if "shipped" not in path.parts}
MOST_LINES, MOST_FUNCTION_LINES = 400, 60

HOMES = {
    "yaml": "guide/knowledge/nodes.py", "networkx": "guide/knowledge/graph.py", "rapidfuzz": "guide/language/matching.py",
    "prompt_toolkit": "guide/terminal/prompting.py", "sklearn": "guide/language/training.py", "geographiclib": "guide/figures/drift.py",
    "numpy": "guide/talk/fitting.py", "jinja2": "guide/pages.py", "matplotlib": "guide/pictures/drawing.py"}
LAZY = ("numpy", "networkx", "prompt_toolkit", "sklearn", "jinja2", "matplotlib")
"""Libraries that are imported inside the functions that use them."""

LAYERS: Mapping[str, frozenset[str]] = {layer: frozenset(below.split()) for layer, below in {
    "safe": "",
    "patterns": "",
    "nearest": "",
    "arguments": "safe",
    "pages": "arguments guide",
    "knowledge": "patterns nearest safe",
    "state": "",
    "figures": "arguments knowledge nearest",
    "pictures": "arguments figures",
    "language": "patterns safe knowledge",
    "planning": "patterns knowledge state",
    "stores": "safe arguments knowledge figures",
    "values": "knowledge",
    "asides": "patterns language",
    "recognising": "knowledge language",
    "talk": "patterns knowledge language",
    "quantities": "patterns knowledge language",
    "spoken": "knowledge figures",
    "computing": "knowledge language planning figures quantities spoken",
    "packing": "patterns knowledge language planning quantities stores",
    "counting": "patterns knowledge language",
    "whether": "patterns knowledge language",
    "answered": "patterns knowledge language whether",
    "turn": "patterns knowledge language planning quantities whether talk",
    "brief": "asides answered knowledge language patterns talk turn whether",
    "following": "patterns knowledge language planning talk quantities computing packing turn",
    "sofar": "knowledge state talk turn",
    "correcting": "patterns asides knowledge language state turn",
    "referring": "patterns knowledge language state turn",
    "understanding": "knowledge language state talk turn correcting referring",
    "reporting": "patterns knowledge language state talk",
    "signoff": "arguments knowledge",
    "pointing": "knowledge language",
    "guidance": "knowledge language planning pointing recognising signoff talk quantities computing packing turn",
    "whys": "patterns knowledge language planning talk",
    "log": "knowledge language planning state",
    "explaining": "knowledge language log talk guidance turn whys",
    "replying": "language planning state log talk quantities guidance turn",
    "undoing": "language log talk correcting replying turn",
    "answering": "asides brief sofar knowledge language planning state log talk quantities following packing counting correcting understanding reporting guidance turn whether explaining replying undoing",
    "session": "knowledge planning state log answering turn",
    "learning": "knowledge language talk answering session",
    "comparing": "arguments knowledge state planning stores computing",
    "starting": "knowledge language state log answering session values",
    "drills": "arguments knowledge state figures planning stores values session starting turn",
    "debriefs": "guide safe arguments pages knowledge drills",
    "terminal": "safe patterns asides pictures knowledge language talk planning state session starting turn",
    "audit": "arguments knowledge language planning state values starting terminal",
    "review": "arguments pages knowledge state planning values audit signoff",
    "commands": "talk safe arguments asides audit debriefs drills knowledge language planning state stores values session starting terminal turn comparing",
    "cli": "guide nearest safe",
    "manual": "arguments guide cli",
    "__main__": "cli"}.items()}
"""What each layer may import besides itself. The order of the rows is the order of the layers: none imports one below it."""

TERMINAL_READS = frozenset(("guide.language.reading", "guide.language.utterances", "guide.language.weighing", "guide.language.wording", "guide.planning.planner",
                            "guide.planning.readiness", "guide.state.facts", "guide.state.journal"))
"""All of the inner layers that the terminal sees: it shows readings, plans and journals, and decides nothing."""


def layer_of(module: str) -> str:
    """`guide.language.reading` belongs to `language`, `guide` itself to `guide`."""
    return module.split(".")[1] if "." in module else module


def imported(tree: ast.AST) -> Iterator[tuple[str, ast.Import | ast.ImportFrom]]:
    """Each module that is imported, anywhere; `from guide.knowledge import graph` is guide.knowledge.graph."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((alias.name, node) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            for alias in node.names:
                inner = f"{base}.{alias.name}"
                file = inner.replace(".", "/")
                yield (inner if f"{file}.py" in MODULES or f"{file}/__init__.py" in MODULES else base), node


def top_level(tree: ast.Module) -> set[int]:
    """The nodes that run when the module is imported: outside functions and `if TYPE_CHECKING`."""
    found: set[int] = set()
    stack: list[ast.AST] = list(tree.body)
    while stack:
        node = stack.pop()
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef, ast.Lambda)):
            continue
        if isinstance(node, ast.If) and isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING":
            continue
        found.add(id(node))
        stack += ast.iter_child_nodes(node)
    return found


def test_there_is_code() -> None:
    assert len(MODULES) > 40


# ---- imports

def test_each_library_has_one_home() -> None:
    seen: dict[str, set[str]] = {}
    for file, tree in MODULES.items():
        for module, _ in imported(tree):
            name = module.partition(".")[0]
            if name not in sys.stdlib_module_names and name != "guide":
                seen.setdefault(name, set()).add(file)
    assert seen == {name: {file} for name, file in HOMES.items()}


@pytest.mark.parametrize("name", LAZY)
def test_a_heavy_library_is_imported_inside_functions(name: str) -> None:
    tree = MODULES[HOMES[name]]
    at_once = top_level(tree)
    assert [node.lineno for module, node in imported(tree)
            if module.partition(".")[0] == name and id(node) in at_once] == []


def test_every_layer_stands_in_the_table() -> None:
    layers = {layer_of(file.removesuffix(".py").replace("/", ".")) for file in MODULES} - {"__init__"}
    assert layers == LAYERS.keys()


def test_the_table_goes_one_way() -> None:
    order = ["guide", *LAYERS]
    assert [(layer, other) for layer, below in LAYERS.items() for other in below if order.index(other) >= order.index(layer)] == []


@pytest.mark.parametrize("file", MODULES)
def test_imports_go_one_way(file: str) -> None:
    layer = layer_of(file.removesuffix(".py").replace("/", "."))
    allowed = {layer, *LAYERS.get(layer, ())}
    wrong = sorted({module for module, _ in imported(MODULES[file])
                    if module.partition(".")[0] == "guide" and layer_of(module) not in allowed})
    assert wrong == []


@pytest.mark.parametrize("file", [file for file in MODULES if file.startswith("guide/terminal/")])
def test_the_terminal_shows_and_does_not_decide(file: str) -> None:
    inner = ("language", "planning", "state")
    wrong = {module for module, _ in imported(MODULES[file]) if module.startswith("guide.") and layer_of(module) in inner}
    assert wrong <= TERMINAL_READS


@pytest.mark.parametrize("file", [file for file in MODULES if file.startswith("guide/figures/") and not file.endswith("/command.py")])
def test_what_computes_figures_imports_nothing_that_the_guide_knows(file: str) -> None:
    assert {layer_of(module) for module, _ in imported(MODULES[file]) if module.startswith("guide.")} <= {"figures", "nearest"}


def test_no_import_is_relative() -> None:
    assert [file for file, tree in MODULES.items() for node in ast.walk(tree) if isinstance(node, ast.ImportFrom) and node.level] == []


def test_only_the_commands_print() -> None:
    """What computes returns; printing is for commands, the terminal and the learning of weights."""
    printing = {file for file, tree in MODULES.items() for node in ast.walk(tree)
                if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "print"}
    commands = {file for file in MODULES if file.endswith("/command.py") or file.startswith(("guide/commands/", "guide/terminal/"))}
    assert printing <= commands | {"guide/cli.py", "guide/arguments.py", "guide/learning.py"}


# ---- size and words

@pytest.mark.parametrize("file", MODULES)
def test_a_module_is_short(file: str) -> None:
    assert len((ROOT / file).read_text(encoding="utf-8").splitlines()) < MOST_LINES


@pytest.mark.parametrize("file", MODULES)
def test_a_function_is_short(file: str) -> None:
    long = {node.name: (node.end_lineno or 0) - node.lineno + 1 for node in ast.walk(MODULES[file])
            if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef))}
    assert {name: lines for name, lines in long.items() if lines >= MOST_FUNCTION_LINES} == {}


def public(tree: ast.Module | ast.ClassDef, within: str) -> Iterator[tuple[str, ast.FunctionDef | ast.ClassDef]]:
    """Functions, classes and their methods that others may use. A setter says what its property says."""
    for node in tree.body:
        if not isinstance(node, (ast.FunctionDef, ast.ClassDef)) or node.name.startswith("_"):
            continue
        if not any(isinstance(mark, ast.Attribute) and mark.attr == "setter" for mark in node.decorator_list):
            yield within + node.name, node
        if isinstance(node, ast.ClassDef):
            yield from public(node, f"{node.name}.")


@pytest.mark.parametrize("file", MODULES)
def test_what_is_public_says_what_it_is(file: str) -> None:
    tree = MODULES[file]
    assert ast.get_docstring(tree) or file.endswith("__main__.py")
    assert [name for name, node in public(tree, "") if not ast.get_docstring(node)] == []


# ---- state

MUTATING = frozenset(("append", "extend", "insert", "remove", "pop", "popitem", "clear", "update", "setdefault", "add", "discard", "sort",
                      "reverse", "__setitem__", "appendleft", "difference_update", "intersection_update"))


def module_names(tree: ast.Module) -> dict[str, ast.expr]:
    """Names that the module binds to a value when it is imported."""
    found: dict[str, ast.expr] = {}
    for node in tree.body:
        if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name) and node.value is not None:
            found[node.target.id] = node.value
        elif isinstance(node, ast.Assign):
            found.update({target.id: node.value for target in node.targets if isinstance(target, ast.Name)})
    return found


def constant(node: ast.expr, names: Mapping[str, ast.expr]) -> str | None:
    """The module-level or upper-case name that an expression reaches into, through subscripts and attributes."""
    while isinstance(node, ast.Subscript):
        node = node.value
    if isinstance(node, ast.Name) and node.id in names:
        return node.id
    if isinstance(node, ast.Attribute) and node.attr.isupper():
        return node.attr
    return None


def local_names(function: ast.AST) -> set[str]:
    """Names that a function binds itself, so that they hide the module's."""
    found: set[str] = set()
    for node in ast.walk(function):
        if isinstance(node, ast.arg):
            found.add(node.arg)
        elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
            found.add(node.id)
    return found


def mutations(tree: ast.Module) -> list[str]:
    """Each place where what the module holds could change after its import."""
    names, found = module_names(tree), []
    functions = [node for node in ast.walk(tree) if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef, ast.Lambda))]
    for function in functions:
        hidden = local_names(function)
        seen = {name: value for name, value in names.items() if name not in hidden}
        for node in ast.walk(function):
            if isinstance(node, (ast.Global, ast.Delete)):
                targets = node.names if isinstance(node, ast.Global) else [constant(t, seen) for t in node.targets]
                found += [f"{node.lineno}: {name}" for name in targets if name]
            elif isinstance(node, (ast.Assign, ast.AugAssign)):
                places: list[ast.expr] = node.targets if isinstance(node, ast.Assign) else [node.target]
                found += [f"{node.lineno}: {name}" for target in places
                          if isinstance(target, (ast.Subscript, ast.Attribute)) and (name := constant(target, seen))]
            elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in MUTATING:
                name = constant(node.func.value, seen)
                found += [f"{node.lineno}: {name}"] if name else []
    return sorted(set(found))


def loose(tree: ast.Module) -> list[str]:
    """Lists, mappings and sets of a module that do not go by a constant's name."""
    mutable = (ast.List, ast.Dict, ast.Set, ast.ListComp, ast.DictComp, ast.SetComp)
    makers = ("list", "dict", "set", "defaultdict", "deque", "Counter")
    return [name for name, value in module_names(tree).items() if not name.isupper() and not name.startswith("__")
            and (isinstance(value, mutable) or isinstance(value, ast.Call) and isinstance(value.func, ast.Name) and value.func.id in makers)]


@pytest.mark.parametrize("file", MODULES)
def test_a_module_holds_no_state(file: str) -> None:
    assert mutations(MODULES[file]) == []
    assert loose(MODULES[file]) == []


@pytest.mark.parametrize("code", [
    "N = 0\ndef f():\n    global N\n    N = 1", "ALL = []\ndef f():\n    ALL.append(1)", "ALL = {}\ndef f():\n    ALL['a'] = 1",
    "ALL = {}\ndef f():\n    ALL['a'].append(1)", "ALL = {}\ndef f():\n    del ALL['a']", "ALL = {}\ndef f():\n    ALL['a'] += 1",
    "import other\ndef f():\n    other.ALL['a'] = 1", "import other\ndef f():\n    other.ALL.clear()", "import other\ndef f():\n    other.ALL = 1"])
def test_state_would_be_seen(code: str) -> None:
    assert mutations(ast.parse(code))


@pytest.mark.parametrize("code", ["seen = []", "seen = dict()", "seen: dict[str, int] = {}"])
def test_a_loose_list_would_be_seen(code: str) -> None:
    assert loose(ast.parse(code)) == ["seen"]


def test_what_is_local_is_no_state() -> None:
    assert mutations(ast.parse("ALL = {}\ndef f(x):\n    ALL = {}\n    ALL['a'] = x\n    x.append(ALL)")) == []


def test_nothing_else_stands_at_the_top() -> None:
    there = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")} - {"build", "dist", "__pycache__"}
    assert there <= {"README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", "guide", "knowledge", "tests", "transcripts_demo"}
