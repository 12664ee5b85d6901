"""The theme's shell round every page: MkDocs with Material as base.

Pages in Markdown go the way MkDocs has for them; what stands in them as `{{ name }}` is put in afterwards. Of
a boat nothing passes through Markdown: her page is an empty stub outside the navigation, and what our
templates made takes its place in the finished page. So do the other pages that are made.
"""

from __future__ import annotations

import logging
import os
import re
import threading
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime
from html import escape, unescape
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any, Final

from jinja2 import Environment
from mkdocs.commands.build import build
from mkdocs.config.base import Config
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.contrib.search.search_index import ContentParser
from mkdocs.plugins import BasePlugin
from mkdocs.structure.files import File, Files, InclusionLevel
from mkdocs.structure.pages import Page as ShellPage
from mkdocs.structure.toc import AnchorLink

from sitegen.articles import PAGE, Article, Articles
from sitegen.markdown_rules import EXTENSIONS, PLACEHOLDER, PageRules
from sitegen.page_workers import MadePage
from sitegen.pages.frame import Block, Frame, Navigation, NavigationItem, SearchEntry, SiteFrame
from sitegen.rendering import Lean, render
from sizing.errors import OutputError

_ONE_AT_A_TIME: Final = threading.Lock()
SECOND: Final = re.compile(r'<h2 id="([^"]+)"[^>]*>(.*?)</h2>', re.DOTALL)
"""Headings of this level make the contents of a page."""
TAG: Final = re.compile(r"<[^>]*>")
BODY: Final = "<!--body-->"
PARAGRAPH: Final = re.compile(rf"<p>\s*{PLACEHOLDER.pattern}\s*</p>")
BETWEEN_TAGS: Final = re.compile(r">[^<]*")
BASE_STYLE: Final = re.compile(r"main\.[0-9a-f]+\.min\.css")
BASE_STYLES: Final = "templates/assets/stylesheets"
SOURCE_MAP: Final = re.compile(r"/\*# sourceMappingURL=[^*]*\*/\s*")
CONTENT_SECURITY_POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; base-uri 'none'; "
    "form-action 'none'"
)


@dataclass(frozen=True)
class PlannedPage:
    """A page that is made when its turn comes, so that only one is in memory."""

    address: str
    make: Callable[[], MadePage]


@dataclass(frozen=True)
class Written:
    """Pages in Markdown, the blocks that stand in them by name, and the boats they may lead to.

    `boats` gives the address of a boat's page by the key of her entry number.
    """

    articles: Articles
    blocks: Mapping[str, Block]
    boats: Mapping[str, str]


class NoSettings(Config):  # type: ignore[no-untyped-call]
    """The plug-in is made in code and takes no settings."""


class PagesPlugin(BasePlugin[NoSettings]):  # type: ignore[no-untyped-call]
    """Puts our pages into the shell, and blocks into pages of Markdown."""

    def __init__(
        self,
        planned: Mapping[str, PlannedPage],
        written: Written,
        site: SiteFrame,
        progress: Callable[[int, int], None],
    ) -> None:
        self.planned = planned
        self.written = written
        self.site = site
        self.progress = progress
        self.search: dict[str, tuple[SearchEntry, ...]] = {}
        self.rules = PageRules(written.articles.around(written.boats))
        self._stylesheet = ""
        self._body = ""

    def on_files(self, found: Files, *, config: MkDocsConfig) -> Files:
        """Keep our own assets; add the theme's style sheet, Markdown, pictures, a stub for each page made."""
        kept = [file for file in found if file.src_uri.startswith("assets/")]
        for sheet in (files("material") / BASE_STYLES).iterdir():
            if BASE_STYLE.fullmatch(sheet.name):
                self._stylesheet = f"assets/stylesheets/{sheet.name}"
                css = SOURCE_MAP.sub("", sheet.read_text(encoding="utf-8"))
                kept.append(File.generated(config, self._stylesheet, content=css))
        articles = self.written.articles
        texts = {name: article.source for name, article in articles.pages.items()}
        contents: dict[str, str | bytes] = {**texts, **articles.pictures}
        for name, content in contents.items():
            kept.append(File.generated(config, name, content=content, inclusion=InclusionLevel.NOT_IN_NAV))
        for address in self.planned:
            stub = address.removesuffix(".html") + PAGE
            kept.append(File.generated(config, stub, content="", inclusion=InclusionLevel.NOT_IN_NAV))
        return Files(kept)

    def on_env(self, env: Environment, **_: Any) -> Environment:
        """Write the shell without its indentation."""
        env.add_extension(Lean)
        return env

    def on_page_markdown(self, markdown: str, *, page: ShellPage, config: MkDocsConfig, **_: Any) -> str:
        """Have the page read by our rules, and the stubs of a thousand boats by none, which takes no time."""
        article = self.written.articles.pages.get(page.file.src_uri)
        if article is None:
            config.markdown_extensions = []
        else:
            config.markdown_extensions = [*EXTENSIONS, self.rules]  # type: ignore[list-item]
            self.rules.begin(article.name, article.text, article.first_line)
        return markdown

    def on_page_content(self, html: str, *, page: ShellPage, **_: Any) -> str:
        """Put its blocks into a page of Markdown, for search too; mark the place of another's body."""
        article = self.written.articles.pages.get(page.file.src_uri)
        if article is None:
            return BODY
        self.rules.looked.raise_fault()
        text = BETWEEN_TAGS.sub(lambda piece: piece.group().replace('"', "&quot;"), html)
        blocks = [self.written.blocks[found[1]] for found in PARAGRAPH.finditer(text)]
        told = [entry for block in blocks for entry in block.search_entries(article.address)]
        titles = {link.id: unescape(link.title) for link in _all(page.toc)}
        self.search[article.address] = (*sections_of(article, PARAGRAPH.sub("", text), titles), *told)
        return PARAGRAPH.sub(lambda found: render(self.written.blocks[found[1]]), text)

    def on_page_context(self, context: Any, *, page: ShellPage, **_: Any) -> Any:
        """Tell the theme what page it is, and make its body where it is one that is made."""
        article = self.written.articles.pages.get(page.file.src_uri)
        if article is None:
            made = self.planned[page.url].make()
            self._body = made.body
            self.search[page.url] = made.search
            context["frame"] = made.frame
        else:
            address = article.address
            context["frame"] = Frame(address, article.title, article.description, "guide", address)
            context["heading"], context["rest"] = _parted(page.content or "", article.title)
            context["contents"] = [
                NavigationItem(f"#{found[1]}", unescape(TAG.sub("", found[2])))
                for found in SECOND.finditer(context["rest"])
            ]
        context["site"] = self.site
        context["theme_stylesheet"] = self._stylesheet
        return context

    def on_post_page(self, output: str, *, page: ShellPage, **_: Any) -> str:
        """Put the body into its place."""
        self.progress(len(self.search), len(self.planned) + len(self.written.articles.pages))
        if page.file.src_uri in self.written.articles.pages:
            return output
        before, mark, after = output.partition(BODY)
        if not mark:
            raise OutputError(
                "theme", "the page has no place for its body", "one place", "reinstall the program"
            )
        return before + self._body + after


def _parted(content: str, title: str) -> tuple[str, str]:
    """The heading of a page and the rest of it; a page without one gets its title as heading."""
    if not content.startswith("<h1"):
        return f"<h1>{escape(title)}</h1>", content
    heading, mark, rest = content.partition("</h1>")
    return heading + mark, rest


def _all(links: Iterable[AnchorLink]) -> Iterator[AnchorLink]:
    for link in links:
        yield link
        yield from _all(link.children)


def sections_of(article: Article, content: str, titles: Mapping[str, str]) -> tuple[SearchEntry, ...]:
    """What search finds of a page of Markdown: the page, and each of its headings with what follows it.

    `titles` are those of the headings by their place in the page.
    """
    parser = ContentParser()
    parser.feed(content)
    parser.close()
    entries: list[SearchEntry] = []
    for section in parser.data:
        text = " ".join(" ".join(section.text).split())
        if not entries:
            description = "" if article.description == article.title else f"{article.description}. "
            entries.append(SearchEntry(article.address, article.title, description + text))
        else:
            title = titles.get(section.id or "", article.title)
            entries.append(SearchEntry(f"{article.address}#{section.id}", title, text))
    return tuple(entries) or (SearchEntry(article.address, article.title, article.description),)


def nav_of(navigation: Navigation) -> list[dict[str, Any]]:
    """The navigation as MkDocs takes it: titles with the source of a page, or with a list of such."""

    def one(item: NavigationItem) -> dict[str, Any]:
        return {item.title: item.address.removesuffix(".html") + PAGE}

    return [
        one(item) if isinstance(item, NavigationItem) else {item.title: [one(inner) for inner in item.items]}
        for item in navigation
    ]


def build_shell(
    planned: Mapping[str, PlannedPage],
    written: Written,
    site: SiteFrame,
    folder: Path,
    work: Path,
    today: date,
    progress: Callable[[int, int], None],
) -> Mapping[str, tuple[SearchEntry, ...]]:
    """Write all pages and the theme's files into `folder`; return what search can find of each page.

    `work` is an empty folder: the sources are in memory. Raises InputError for a fault in a page of Markdown.
    """
    plugin = PagesPlugin(planned, written, site, progress)
    with as_file(files("sitegen") / "theme") as theme, _ONE_AT_A_TIME, _settings(today):
        config = MkDocsConfig(config_file_path=str(work.parent / "mkdocs.yml"))
        config.load_dict(
            {
                "site_name": "Drogue Muster",
                "docs_dir": str(work),
                "site_dir": str(folder),
                "use_directory_urls": False,
                "nav": nav_of(site.navigation),
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
