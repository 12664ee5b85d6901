"""The site of one run, from its result to the published folder: gather, make, check, publish."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path, PurePosixPath
from typing import Final

from markupsafe import escape

from sitegen.answer_mail import mail_start
from sitegen.articles import Articles, read_articles
from sitegen.boat_facts import BoatFacts, Gatherer
from sitegen.dates import days_words, long_date
from sitegen.downloads import marks_csv, marks_of
from sitegen.fleet_drawings import fleet_drawings
from sitegen.licences import licensed_parts
from sitegen.page_workers import MadePage, Rules, boats_made, made
from sitegen.pages.blocks import blocks_of
from sitegen.pages.changes import ChangesPage, changes_page, since_notes
from sitegen.pages.cuts import cuts_pages
from sitegen.pages.frame import (
    MADE,
    Navigation,
    NavigationItem,
    NavigationSection,
    Page,
    SearchEntry,
    SiteFrame,
)
from sitegen.pages.order import order_page
from sitegen.pages.overview import counted_days, overview_page
from sitegen.pages.rejected import rejected_page
from sitegen.pages.sheets import sheets_page
from sitegen.pages.standing_texts import BoatsPage, LicencesPage
from sitegen.papers import paper_files, put_papers
from sitegen.plain_text import one_line, visible
from sitegen.publish import current_release, manifest_path, publish, working_folder
from sitegen.reuse import (
    CheckedFile,
    KeptPage,
    is_unaltered,
    manifest_of,
    program_key,
    read_manifest,
    sha256_of,
    take_over,
)
from sitegen.row_keys import row_keys
from sitegen.search_index import ADDRESS as SEARCH_ADDRESS
from sitegen.search_index import search_script, with_other_words
from sitegen.shared_files import shared_files
from sitegen.shell import CONTENT_SECURITY_POLICY, PlannedPage, Written, build_shell
from sitegen.texts import load_texts
from sitegen.verify import verify_site, words_sought
from sizing.catalogue import Catalogue
from sizing.entry_key import entry_key
from sizing.errors import OutputError
from sizing.model import MusterResult
from sizing.policy import Policy
from sizing.progress import Progress, silent
from sizing.redaction import occurring, private_values, redact
from sizing.revision import ChangeReport

DAY_ADDRESS: Final = "assets/muster/day.css"
IN_MENU: Final = ("help.md", "seamanship.md", "checks.md", "method.md", "glossary.md", "not-this.md")
"""Our pages in Markdown, in the order in which a reader needs them."""


@dataclass(frozen=True)
class SiteReport:
    """What became of a build. `release` is the hash of the site's contents."""

    release: str
    folder: Path
    boats: int
    pages_made: int
    pages_kept: int
    files: int


def build_site(
    result: MusterResult,
    policy: Policy,
    catalogue: Catalogue,
    site_dir: Path,
    *,
    base_url: str = "",
    changes: ChangeReport | None = None,
    downloads: Mapping[str, bytes] | None = None,
    pages: Mapping[str, bytes] | None = None,
    private_key: bytes = b"",
    papers: Callable[[], Path] | None = None,
    progress: Progress | None = None,
    before_publishing: Callable[[], None] = lambda: None,
) -> SiteReport:
    """Build the static site of `result` and publish it at `site_dir`, all or nothing.

    `base_url` is where the site will be served, if that is known; pages work from any folder without it.
    `changes` is what differs from an earlier run; without it no page of changes is made. `downloads` are
    files that are the same for every boat, by name. `pages` are the files of the rally's own pages, Markdown
    and pictures, by their path in their folder: see `articles`. `private_key` is the season's secret, from
    which the addresses of private pages are made: whoever does not know it cannot guess them. `papers` waits
    for the papers by role and returns their folder (see `sizing.papers`): what is about one boat alone is put
    beside her page; without it no page leads to one. `progress` is told how many pages are done. Pages of the
    release now published that would come out the same are taken over from it. `before_publishing` is called
    when the site is whole; what it raises keeps the site from being published.

    Raises OutputError where the folder cannot be written or a check of the finished site fails, InputError
    where a page of the rally cannot be taken; whatever was published before then still stands.
    """
    site = Path(site_dir).absolute()
    folder = working_folder(site)
    try:
        articles = read_articles(pages or {})
        maker = _Maker(
            result, policy, catalogue, base_url, folder, changes, downloads or {}, articles,
            private_key, papers,
        )  # fmt: skip
        release = current_release(site)
        kept = maker.kept_of(release) if release else {}
        search = maker.make(kept, progress or silent)
        known = take_over(kept.values(), release, folder) if release else {}
        files = verify_site(
            folder,
            maker.boats,
            maker.sought,
            maker.offered,
            known,
            maker.public,
            maker.of_rally,
            maker.mail_to,
        )
        manifest = manifest_of(maker.pages_to_keep(search, files))
        before_publishing()
        made = publish(folder, site, manifest, {name: file.sha256 for name, file in files.items()})
    except BaseException:
        shutil.rmtree(folder, ignore_errors=True)
        raise
    boats_kept = len(maker.boats.keys() & kept.keys())
    return SiteReport(made, site, len(maker.boats), len(search) - len(kept), boats_kept, len(files))


class _Maker:
    """One build: what is gathered once, and the pages made from it."""

    def __init__(
        self,
        result: MusterResult,
        policy: Policy,
        catalogue: Catalogue,
        base_url: str,
        folder: Path,
        changes: ChangeReport | None,
        downloads: Mapping[str, bytes],
        articles: Articles,
        private_key: bytes,
        papers: Callable[[], Path] | None,
    ) -> None:
        self.result, self.policy, self.catalogue, self.folder = result, policy, catalogue, folder
        self.texts = load_texts()
        self.files = shared_files(downloads)
        self.downloads = {file.address: downloads[PurePosixPath(file.address).name] for file in self.files}
        self.papers = papers
        self.articles = articles
        self.site = SiteFrame(
            rally=visible(policy.rally.name),
            officer=visible(policy.rally.officer),
            contact=visible(policy.rally.contact),
            base_url=base_url if not base_url or base_url.endswith("/") else f"{base_url}/",
            program_version=result.program_version,
            headline_caution=self.texts.headline_caution,
            content_security_policy=CONTENT_SECURITY_POLICY,
        )
        self.public = f"<bdi>{escape(self.site.contact)}</bdi>" if self.site.contact else ""
        self.mail_to = mail_start(self.site.contact)
        fleet = result.intake.fleet
        private = [private_values(fleet, row) for row in range(len(fleet))]
        self.all_private = tuple({value for values in private for value in values})
        public = {str(name or "") for name in fleet.text["boat_name"]} | {policy.rally.officer}
        entries = [str(entry or "") for entry in fleet.text["entry_no"]]
        self.gatherer = Gatherer(result, policy, catalogue, key=private_key, papers=papers is not None)
        self.paper_files = paper_files(self.gatherer) if papers else {}
        self.offered = {*self.downloads, *self.paper_files}
        hidden = self.gatherer.hidden.entries
        private_pages = {self.gatherer.address(row) for row in self.gatherer.hidden.rows}
        self.changes: ChangesPage | None = None
        self.left_out = (*self.all_private, *self.gatherer.hidden.names)
        public -= set(self.gatherer.hidden.names)
        if changes is not None:
            public |= {boat.boat_name for boat in changes.boats} - set(self.gatherer.hidden.names)
            sentences = {column.check.id: column.check.sentence for column in result.checks}
            addresses = {entry: self.gatherer.address(row) for row, entry in enumerate(entries)}
            listed = {entry: page for entry, page in addresses.items() if page not in private_pages}
            self.changes = changes_page(changes, listed, sentences, self.left_out, public, hidden)
            self.gatherer.notes = since_notes(changes, self.changes, hidden)
        self.boats = {self.gatherer.address(row): row for row in range(len(fleet))}
        self.boats_by_key = {
            entry_key(entry): self.gatherer.address(row)
            for row, entry in enumerate(entries)
            if self.gatherer.is_public(row)
        }
        allowed = {name.casefold() for name in public}
        self.site = replace(self.site, navigation=navigation_of(articles, self.left_out))
        # An address that somebody could read elsewhere would be no longer private.
        self._sought_of_all = words_sought(self.all_private, allowed) | {
            PurePosixPath(address).stem for address in private_pages
        }
        self._sought_of_boats = [words_sought(values, allowed) for values in private]
        self.keys = self._keys()

    def _keys(self) -> dict[str, str]:
        """The keys of the pages that may be taken over by a later build."""
        same_for_all = (repr(thing) for thing in (self.site, self.policy, self.files))
        site_key = sha256_of(program_key(), self.catalogue.sha256, *same_for_all)
        of_rows = row_keys(self.gatherer, site_key)
        return {
            address: sha256_of(of_rows[row], *sorted(self.sought(address)))
            for address, row in self.boats.items()
        }

    @property
    def of_rally(self) -> Mapping[str, str]:
        """What the rally wrote itself: the file of each address."""
        mine = {page.address: page.name for page in self.articles.pages.values() if page.of_rally}
        return mine | {name: name for name in self.articles.pictures}

    def sought(self, address: str) -> Collection[str]:
        """What may not stand in one file: her own contact details on a boat's page, everybody's elsewhere."""
        if address.startswith("assets/") or address in self.of_rally:
            return ()
        row = self.boats.get(address.replace("-marks.csv", ".html"))
        return self._sought_of_all if row is None else self._sought_of_boats[row]

    def kept_of(self, release: Path) -> dict[str, KeptPage]:
        """The pages of an earlier release that would come out the same and that nobody altered."""
        pages = read_manifest(manifest_path(release)).items()
        same = {address: page for address, page in pages if page.key == self.keys.get(address)}
        return {address: page for address, page in same.items() if is_unaltered(page, release)}

    def make(self, kept: Mapping[str, KeptPage], progress: Progress) -> dict[str, tuple[SearchEntry, ...]]:
        """Write everything that was not taken over; return what search finds of every page."""
        rows = [row for address, row in self.boats.items() if address not in kept]
        rules = Rules(self.policy, self.catalogue, self.result.today, self.files)
        with (
            closing(boats_made(rows, self._gather, rules)) as boats,
            tempfile.TemporaryDirectory(prefix="drogue-muster-") as work,
        ):
            planned = {page.address: page for page in self._planned(rows, boats)}
            made_parts = blocks_of(
                self.result, self.policy, self.catalogue, self.texts, self.left_out,
                self.gatherer.hidden.entries,
            )  # fmt: skip
            search = build_shell(
                planned,
                Written(self.articles, made_parts, self.boats_by_key),
                self.site,
                self.folder,
                Path(work),
                self.result.today,
                lambda done, total: progress("Making pages", done, total),
            )
        written = [page.address for page in self.articles.pages.values()]
        in_order = [*written, *(address for address in planned if address not in self.keys), *self.keys]
        found = {
            address: kept[address].search if address in kept else search[address] for address in in_order
        }
        shown = (self._searched(address, entry) for address, all_ in found.items() for entry in all_)
        self._write(SEARCH_ADDRESS, search_script(with_other_words(shown)))
        # The one place of the day, so that pages stay as they are from day to day.
        self._write(DAY_ADDRESS, self._day_style())
        for address, body in self.downloads.items():
            self._write(address, body)
        if self.papers:
            put_papers(self.paper_files, self.papers(), self.folder)
        return found

    def _searched(self, address: str, entry: SearchEntry) -> SearchEntry:
        """What search has of an entry: of a page of the rally no people's names and addresses."""
        if address not in self.of_rally:
            return entry
        title, text = (
            redact(words, occurring(self.all_private, words)) for words in (entry.title, entry.text)
        )
        return replace(entry, title=title, text=text)

    def pages_to_keep(
        self, search: Mapping[str, tuple[SearchEntry, ...]], files: Mapping[str, CheckedFile]
    ) -> dict[str, KeptPage]:
        """What a later build may take over, with what was found of its files."""
        return {
            address: KeptPage(
                key,
                search[address],
                {name: files[name] for name in (address, marks_of(address)) if name in files},
            )
            for address, key in self.keys.items()
        }

    def _planned(self, rows: Collection[int], boats: Iterator[MadePage]) -> Iterator[PlannedPage]:
        """All pages to be made."""
        for page in self._shared():
            yield PlannedPage(page.frame.address, partial(made, page))
        for row in rows:
            yield PlannedPage(self.gatherer.address(row), partial(next, boats))

    def _shared(self) -> Iterator[Page]:
        """The pages that are made anew each time."""
        hidden = self.gatherer.hidden.refused
        refused = rejected_page(self.result.intake, self.left_out, hidden)
        yield overview_page(
            self.gatherer,
            self.policy,
            self.left_out,
            refused.rows,
            fleet_drawings(self.gatherer, self.policy),
            self.changes,
        )
        yield order_page(self.gatherer, self.files)
        yield from cuts_pages(self.gatherer)
        yield refused
        yield LicencesPage(licensed_parts())
        if self.gatherer.hidden.rows:
            yield BoatsPage()
        if self.changes:
            yield self.changes
        yield sheets_page(self.gatherer)

    def _gather(self, row: int) -> BoatFacts:
        """The facts of one boat; what else is made of them is made now, while they are at hand."""
        facts = self.gatherer.facts(row)
        if facts.marks:
            self._write(marks_of(facts.address), marks_csv(facts))
        return facts

    def _day_style(self) -> str:
        """The day the site was worked out, and how far off the days of the rally were then."""
        today = self.result.today
        lines = [f':root {{ --day: "{long_date(today)}"; }}']
        lines += [
            f'[data-day="{day.isoformat()}"]::after {{ content: "{days_words(day, today)}"; }}'
            for day in counted_days(self.gatherer, self.policy)
        ]
        return "".join(f"{line}\n" for line in lines)

    def _write(self, address: str, body: str | bytes) -> None:
        path = self.folder / address
        path.parent.mkdir(parents=True, exist_ok=True)
        try:
            path.write_bytes(body.encode("utf-8") if isinstance(body, str) else body)
        except OSError as error:
            raise OutputError(
                str(path),
                error.strerror or str(error),
                "a folder that can be written",
                "check its permissions and the free space, then run again",
            ) from error


def navigation_of(articles: Articles, private: Sequence[str] = ()) -> Navigation:
    """Return the main navigation: what is made, the rally's own pages, and the guide.

    It stands on every page: `private` are contact details that are left out of the titles.
    """

    def section(title: str, names: Iterable[str]) -> tuple[NavigationSection, ...]:
        pages = [articles.pages[name] for name in names]
        items = tuple(
            NavigationItem(page.address, one_line(redact(page.title, occurring(private, page.title)), 40))
            for page in pages
        )
        return (NavigationSection(title, items),) if items else ()

    own = (page.name for page in articles.of_rally)
    return (*MADE, *section("The rally", own), *section("Guide", IN_MENU))
