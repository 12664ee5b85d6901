"""Templates to HTML: everything is escaped, and a name the page does not declare is an error."""

from __future__ import annotations

import re
from dataclasses import fields
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final

from jinja2 import Environment, PackageLoader, StrictUndefined
from jinja2.ext import Extension
from markupsafe import Markup

from sizing.units import Shown

if TYPE_CHECKING:
    from sitegen.pages.frame import Made

_INDENT: Final = re.compile(r"^[ \t]+", re.MULTILINE)
_BLOCK: Final = (
    "article|caption|dd|details|div|dl|dt|figcaption|figure|footer|h[1-6]|header|li|main|nav|ol|p|section|summary"
    "|table|tbody|td|tfoot|th|thead|tr|ul"
)
_AFTER_BLOCK: Final = re.compile(rf"(</?(?:{_BLOCK})(?: [^<>{{}}]*)?>)\n+")
# Where one begins, or the table or list ends, a browser ends it by itself (HTML standard, “Optional tags”).
_NEEDLESS: Final = re.compile(r"</(?:td|th|tr|thead|tbody|li|dt|dd)>\s*")


class Lean(Extension):
    """Takes out of a template, when it is read, what every page would carry for nothing."""

    def preprocess(self, source: str, name: str | None, filename: str | None = None) -> str:
        """Return the template without blanks that nobody sees and end tags that HTML lets be left out."""
        return _AFTER_BLOCK.sub(r"\1", _NEEDLESS.sub("", _INDENT.sub("", source)))


@lru_cache(maxsize=1 << 15)
def shown(figure: Shown | None) -> Markup:
    """Return a figure in both systems, metric first: the reader's switch shows one, without scripts both.

    >>> shown(Shown("3 m", "9 ft 10 in"))
    Markup('<i class="q"><i>3 m</i> <i>9 ft 10 in</i></i>')
    """
    if figure is None:
        return Markup('<span class="dm-none">no figure</span>')
    if figure.metric == figure.us:
        return Markup('<i class="q">{}</i>').format(figure.metric)
    return Markup('<i class="q"><i>{}</i> <i>{}</i></i>').format(figure.metric, figure.us)


@lru_cache(maxsize=1)
def environment() -> Environment:
    """Return the templates' environment; made on first use."""
    made = Environment(
        loader=PackageLoader("sitegen", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        auto_reload=False,
        extensions=[Lean],
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters["shown"] = shown
    return made


def declared(page: Made) -> dict[str, Any]:
    """Return what the page's template may use: the fields of its dataclass and nothing else."""
    return {field.name: getattr(page, field.name) for field in fields(page)}


def render(page: Made) -> str:
    """Return the body of a page, or a part of one, as HTML."""
    return environment().get_template(page.template).render(declared(page))
