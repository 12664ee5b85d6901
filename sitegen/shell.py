"""The theme's shell round every page: MkDocs with Material as base, our pages inside.

Nothing of a boat passes through Markdown: each page is an empty stub outside the navigation, and what our
templates made takes its place in the finished page.
"""

from __future__ import annotations

import logging
import os
import re
import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from datetime import UTC, date, datetime
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any, Final, TypeAlias

from jinja2 import Environment
from mkdocs.commands.build import build
from mkdocs.config.base import Config
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.plugins import BasePlugin
from mkdocs.structure.files import File, Files, InclusionLevel
from mkdocs.structure.pages import Page as ShellPage

from sitegen.page_workers import MadePage
from sitegen.pages.frame import SearchEntry, SiteFrame
from sitegen.rendering import NoIndent
from sizing.errors import OutputError

_ONE_AT_A_TIME: Final = threading.Lock()
BODY: Final = "<!--body-->"
BASE_STYLE: Final = re.compile(r"main\.[0-9a-f]+\.min\.css")
BASE_STYLES: Final = "templates/assets/stylesheets"
SOURCE_MAP: Final = re.compile(r"/\*# sourceMappingURL=[^*]*\*/\s*")
CONTENT_SECURITY_POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; base-uri 'none'; "
    "form-action 'none'"
)


Planned: TypeAlias = Mapping[str, Callable[[], MadePage]]
"""Pages by address, each made when its turn comes, so that only one is in memory."""


class NoSettings(Config):  # type: ignore[no-untyped-call]
    """The plug-in is made in code and takes no settings."""


class PagesPlugin(BasePlugin[NoSettings]):  # type: ignore[no-untyped-call]
    """Puts our pages into the shell."""

    def __init__(self, planned: Planned, site: SiteFrame, progress: Callable[[int, int], None]) -> None:
        self.planned = planned
        self.site = site
        self.progress = progress
        self.search: dict[str, tuple[SearchEntry, ...]] = {}
        self._stylesheet = ""
        self._body = ""

    def on_files(self, found: Files, *, config: MkDocsConfig) -> Files:
        """Keep our own assets, and add the base theme's style sheet and a stub for every page."""
        kept = [file for file in found if file.src_uri.startswith("assets/")]
        for sheet in (files("material") / BASE_STYLES).iterdir():
            if BASE_STYLE.fullmatch(sheet.name):
                self._stylesheet = f"assets/stylesheets/{sheet.name}"
                css = SOURCE_MAP.sub("", sheet.read_text(encoding="utf-8"))
                kept.append(File.generated(config, self._stylesheet, content=css))
        for address in self.planned:
            stub = address.removesuffix(".html") + ".md"
            kept.append(File.generated(config, stub, content="", inclusion=InclusionLevel.NOT_IN_NAV))
        return Files(kept)

    def on_env(self, env: Environment, **_: Any) -> Environment:
        """Write the shell without its indentation."""
        env.add_extension(NoIndent)
        return env

    def on_page_content(self, _html: str, **_: Any) -> str:
        """Mark the place of the body."""
        return BODY

    def on_page_context(self, context: Any, *, page: ShellPage, **_: Any) -> Any:
        """Make the page, and tell the theme its title."""
        made = self.planned[page.url]()
        self._body = made.body
        self.search[page.url] = made.search
        context["frame"] = made.frame
        context["site"] = self.site
        context["theme_stylesheet"] = self._stylesheet
        return context

    def on_post_page(self, output: str, **_: Any) -> str:
        """Put the body into its place."""
        self.progress(len(self.search), len(self.planned))
        before, mark, after = output.partition(BODY)
        if not mark:
            raise OutputError(
                "theme", "the page has no place for its body", "one place", "reinstall the program"
            )
        return before + self._body + after


def build_shell(
    planned: Planned,
    site: SiteFrame,
    folder: Path,
    work: Path,
    today: date,
    progress: Callable[[int, int], None],
) -> Mapping[str, tuple[SearchEntry, ...]]:
    """Write all planned pages and the theme's files into `folder`; return what search can find of each page.

    `work` is an empty folder that stands for the Markdown sources.
    """
    plugin = PagesPlugin(planned, site, progress)
    with as_file(files("sitegen") / "theme") as theme, _ONE_AT_A_TIME, _settings(today):
        config = MkDocsConfig(config_file_path=str(work.parent / "mkdocs.yml"))
        config.load_dict(
            {
                "site_name": "Drogue Muster",
                "docs_dir": str(work),
                "site_dir": str(folder),
                "use_directory_urls": False,
                "nav": [],
                "plugins": [],
                "markdown_extensions": [],
                "theme": {"name": None, "custom_dir": str(theme)},
            }
        )
        errors, _ = config.validate()
        if errors:
            raise OutputError("theme", f"{errors[0]}", "settings the theme takes", "reinstall the program")
        config.theme.static_templates = set()
        config.plugins["drogue-muster"] = plugin
        build(config)
    return plugin.search


@contextmanager
def _settings(today: date) -> Iterator[None]:
    """Quieten the builder and fix its clock, so that two builds give the same bytes."""
    midnight = datetime(today.year, today.month, today.day, tzinfo=UTC)
    wanted = {"SOURCE_DATE_EPOCH": str(int(midnight.timestamp())), "NO_MKDOCS_2_WARNING": "1"}
    before = {name: os.environ.get(name) for name in wanted}
    log = logging.getLogger("mkdocs")
    level = log.level
    os.environ.update(wanted)
    log.setLevel(logging.ERROR)
    try:
        yield
    finally:
        log.setLevel(level)
        for name, value in before.items():
            if value is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = value
