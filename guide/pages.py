"""HTML pages from templates: one self-contained file each, everything escaped, nothing fetched."""
from __future__ import annotations

import base64
import hashlib
from importlib import resources
from typing import TYPE_CHECKING

from guide import SAFETY
from guide.arguments import Misuse

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path


def page(template: str, values: Mapping[str, object]) -> str:
    """The template of `guide/templates/` filled with `values`, all text escaped.

    In a template `safety` is the sentence of every page, `script(FILE)` is a script of that folder as it stands and `digest(FILE)` the hash by which the page's
    policy allows it and no other.
    Raises Misuse where Jinja2 is not installed; an undefined name in a template is an error, never an empty place.
    """
    try:
        from jinja2 import Environment, PackageLoader, StrictUndefined
    except ImportError as error:
        raise Misuse("pages need Jinja2; install it with: pip install 'liferaft-guide[report]'") from error
    pages = Environment(loader=PackageLoader("guide", "templates"), autoescape=True, undefined=StrictUndefined,
                        trim_blocks=True, lstrip_blocks=True)
    pages.globals.update(script=_file, digest=_digest)
    return pages.get_template(template).render({"safety": SAFETY, **values})


def check_name(path: Path) -> None:
    """Raise Misuse where a page would be written over something that is no page, such as the log that it is about."""
    if path.suffix.lower() not in (".html", ".htm"):
        raise Misuse(f"{path}: a page is written to a file that ends in .html")


def write_page(path: Path, text: str) -> None:
    """Write a page, whole or not at all. Raises Misuse where the name is no page's or the disk refuses."""
    check_name(path)
    part = path.with_name(path.name + ".part")
    try:
        part.write_text(text, encoding="utf-8", errors="replace")
        part.replace(path)
    except OSError as error:
        raise Misuse(f"{path}: cannot be written: {error.strerror or error}") from error


def _file(name: str) -> str:
    return resources.files("guide").joinpath("templates", name).read_text(encoding="utf-8")


def _digest(name: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(_file(name).encode()).digest()).decode("ascii")
