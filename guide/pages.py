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


def _file(name: str) -> str:
    return resources.files("guide").joinpath("templates", name).read_text(encoding="utf-8")


def _digest(name: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(_file(name).encode()).digest()).decode("ascii")
