"""HTML pages from templates: one self-contained file each, everything escaped, nothing fetched."""
from __future__ import annotations

from typing import TYPE_CHECKING

from guide.arguments import Misuse

if TYPE_CHECKING:
    from collections.abc import Mapping


def page(template: str, values: Mapping[str, object]) -> str:
    """The template of `guide/templates/` filled with `values`, all text escaped.

    Raises Misuse where Jinja2 is not installed; an undefined name in a template is an error, never an empty place.
    """
    try:
        from jinja2 import Environment, PackageLoader, StrictUndefined
    except ImportError as error:
        raise Misuse("pages need Jinja2; install it with: pip install 'liferaft-guide[report]'") from error
    pages = Environment(loader=PackageLoader("guide", "templates"), autoescape=True, undefined=StrictUndefined,
                        trim_blocks=True, lstrip_blocks=True)
    return pages.get_template(template).render(values)
