"""Templates to HTML: everything is escaped, and a name the page does not declare is an error."""

from __future__ import annotations

from dataclasses import fields
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from jinja2 import Environment, PackageLoader, StrictUndefined

if TYPE_CHECKING:
    from sitegen.pages.frame import Page


@lru_cache(maxsize=1)
def environment() -> Environment:
    """Return the templates' environment; made on first use."""
    return Environment(
        loader=PackageLoader("sitegen", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        auto_reload=False,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def declared(page: Page) -> dict[str, Any]:
    """Return what the page's template may use: the fields of its dataclass and nothing else."""
    return {field.name: getattr(page, field.name) for field in fields(page)}


def render(page: Page) -> str:
    """Return the body of a page as HTML."""
    return environment().get_template(page.template).render(declared(page))
