"""The site of one run, from its result to the published folder: gather, make, check, publish."""

from __future__ import annotations

import hashlib
import shutil
import tempfile
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path, PurePosixPath

from sitegen.boat_facts import BoatFacts, Gatherer, Pontoon, private_values
from sitegen.changed import Changed, changed
from sitegen.downloads import marks_address, marks_csv
from sitegen.fleet_drawings import departure_drawing, fleet_drawings
from sitegen.licences import licensed_parts
from sitegen.page_workers import MadePage, PageWorkers, Rules, made
from sitegen.pages.changes import changes_page, changes_summary
from sitegen.pages.checks import checks_page
from sitegen.pages.cuts import cuts_pages
from sitegen.pages.frame import Page, SiteFrame
from sitegen.pages.method import method_page
from sitegen.pages.order import order_page
from sitegen.pages.overview import overview_page
from sitegen.pages.parts import long_date
from sitegen.pages.rejected import rejected_page
from sitegen.pages.sheets import SheetBoat, sheet_boat, sheet_page, sheets_page
from sitegen.pages.standing_texts import GlossaryPage, LicencesPage, NotThisPage
from sitegen.plain_text import visible
from sitegen.publish import current_release, publish, releases_of, working_folder
from sitegen.reuse import (
    Checked,
    KeptPage,
    can_be_taken,
    manifest_text,
    program_key,
    read_manifest,
    take_over,
)
from sitegen.row_keys import RowKeys
from sitegen.search_index import ADDRESS as SEARCH_ADDRESS
from sitegen.search_index import search_script
from sitegen.shared_files import shared_files
from sitegen.shell import CONTENT_SECURITY_POLICY, PlannedPage, build_shell
from sitegen.texts import Texts, load_texts
from sitegen.verify import verify_site
from sizing.catalogue import Catalogue
from sizing.errors import OutputError
from sizing.model import MusterResult
from sizing.policy import Policy
from sizing.progress import Progress, silent
from sizing.revision import ChangeReport


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
    previous: Path | None = None,
    changes: ChangeReport | None = None,
    downloads: Mapping[str, bytes] | None = None,
    progress: Progress | None = None,
) -> SiteReport:
    """Build the static site of `result` and publish it at `site_dir`, all or nothing.

    `base_url` is where the site will be served, if that is known; pages work from any folder without it.
    `previous` is a release whose pages of unchanged boats may be taken over; the one now published, if none
    is given. `changes` is what differs from an earlier run; without it no page of changes is made.
    `downloads` are files that are the same for every boat, by name. `progress` is told how many pages are
    done.

    Raises OutputError where the folder cannot be written or a check of the finished site fails; whatever was
    published before then still stands.
    """
    site = Path(site_dir).absolute()
    folder = working_folder(site)
    try:
        shared = _Shared(changes, dict(downloads or {}))
        maker = _Maker(result, policy, catalogue, base_url, folder, progress or silent, shared)
        maker.choose(previous or current_release(site), releases_of(site))
        maker.make()
        offered = {file.address for file in maker.files}
        verified = verify_site(
            folder, maker.boat_addresses, maker.private_in, maker.public_names, offered, maker.checked_before
        )
        release = publish(folder, site, manifest_text(maker.kept, verified.checked))
    except BaseException:
        shutil.rmtree(folder, ignore_errors=True)
        raise
    return SiteReport(release, site, len(maker.facts), maker.made, maker.boats_taken, verified.files)


@dataclass(frozen=True)
class _Shared:
    """What is given beside the result."""

    changes: ChangeReport | None
    downloads: Mapping[str, bytes]


class _Maker:
    """One build: what is gathered once, and the pages made from it."""

    def __init__(
        self,
        result: MusterResult,
        policy: Policy,
        catalogue: Catalogue,
        base_url: str,
        folder: Path,
        progress: Progress,
        shared: _Shared,
    ) -> None:
        self.result, self.policy, self.catalogue = result, policy, catalogue
        self.folder, self.progress = folder, progress
        self.texts: Texts = load_texts()
        self.downloads, self.files = shared.downloads, shared_files(shared.downloads)
        self.site = SiteFrame(
            rally=visible(policy.rally.name),
            officer=visible(policy.rally.officer),
            base_url=base_url if not base_url or base_url.endswith("/") else f"{base_url}/",
            made_on=long_date(result.today),
            program_version=result.program_version,
            headline_caution=self.texts.headline_caution,
            content_security_policy=CONTENT_SECURITY_POLICY,
        )
        fleet = result.intake.fleet
        self.private = [private_values(fleet, row) for row in range(len(fleet))]
        self.all_private = tuple({value for values in self.private for value in values})
        self.public_names = {str(name or "") for name in fleet.text["boat_name"]} | {policy.rally.officer}
        self.changed: Changed | None = None
        if shared.changes is not None:
            self.public_names |= {boat.boat_name for boat in shared.changes.boats}
            sentences = {column.check.id: column.check.sentence for column in result.checks}
            self.changed = changed(shared.changes, sentences, self.all_private, self.public_names)
        self.gatherer = Gatherer(result, policy, catalogue, self.changed)
        self.facts: dict[str, int] = {self.gatherer.address(row): row for row in range(len(fleet))}
        self.site_key = hashlib.sha256(
            f"{program_key()}\0{self.site!r}\0{policy!r}\0{catalogue.sha256}\0{self.files!r}".encode()
        ).hexdigest()
        self.keys = RowKeys(self.gatherer, self.site_key)
        self.pontoons = {pontoon.address: pontoon for pontoon in self.gatherer.pontoons()}
        self.sheet_boats: dict[int, SheetBoat] = {}
        self.kept: dict[str, KeptPage] = {
            address: KeptPage(self.keys.of(row), (address,), ()) for address, row in self.facts.items()
        }
        for address, pontoon in self.pontoons.items():
            self.kept[address] = KeptPage(self._sheet_key(pontoon), (address,), ())
        self.release: Path | None = None
        self.checked_before: Mapping[str, Checked] = {}
        self.taken: list[str] = []
        self.made = 0

    @property
    def boat_addresses(self) -> Collection[str]:
        """The pages of all accepted boats."""
        return self.facts.keys()

    @property
    def boats_taken(self) -> int:
        """How many boats' pages are taken over."""
        return len(self.facts.keys() & set(self.taken))

    def private_in(self, address: str) -> Iterable[str]:
        """What may not stand in one file: her own contact details on a boat's page, everybody's elsewhere."""
        row = self.facts.get(address.replace("-marks.csv", ".html"))
        if address.startswith("assets/"):
            return ()
        return self.all_private if row is None else self.private[row]

    def choose(self, release: Path | None, releases: Path) -> None:
        """Find the boats and pontoons that are as they were in `release`: their pages are taken over."""
        if release is None:
            return
        earlier = read_manifest(releases / f"{release.name}.json")
        for address, made_now in self.kept.items():
            page = earlier.pages.get(address)
            if page is not None and page.key == made_now.key and can_be_taken(page, release, earlier.checked):
                self.kept[address] = page
                self.taken.append(address)
        names = {name for address in self.taken for name in self.kept[address].files}
        self.checked_before = {name: earlier.checked[name] for name in names & earlier.checked.keys()}
        self.release = release

    def make(self) -> None:
        """Write everything that is not taken over, then take over the rest."""
        taken = set(self.taken)
        rows = [row for address, row in self.facts.items() if address not in taken]
        rules = Rules(self.policy, self.catalogue, self.result.today, self.files)
        with (
            PageWorkers(rows, self._gather_and_write, rules) as workers,
            tempfile.TemporaryDirectory(prefix="drogue-muster-") as outer,
        ):
            planned = self._planned(rows, workers)
            self.made = len(planned)
            work = Path(outer) / "stubs"
            work.mkdir()
            search = build_shell(
                planned,
                self.site,
                self.folder,
                work,
                self.result.today,
                lambda done, total: self.progress("Making pages", done, total),
            )
        for address in self.taken:
            assert self.release is not None
            take_over(self.kept[address], self.release, self.folder)
        for address in self.kept.keys() & search.keys():
            self.kept[address] = replace(self.kept[address], search=search[address])
        entries = [entry for page in planned if page not in self.kept for entry in search[page]]
        entries += [entry for page in self.kept.values() for entry in page.search]
        self._write(SEARCH_ADDRESS, search_script(entries))
        for file in self.files:
            self._write(file.address, self.downloads[PurePosixPath(file.address).name])

    def _planned(self, rows: Iterable[int], workers: PageWorkers) -> Mapping[str, PlannedPage]:
        """All pages to be made; sheets last, for they show what was gathered for the boats' pages."""
        shared: list[Page] = [
            overview_page(
                self.gatherer,
                self.policy,
                self.result.today,
                self.all_private,
                fleet_drawings(self.gatherer, self.policy),
                departure_drawing(self.gatherer, self.policy),
                changes_summary(self.changed) if self.changed else None,
            ),
            order_page(self.gatherer, self.files),
            *cuts_pages(self.gatherer),
            method_page(self.result, self.policy, self.catalogue, self.texts, self.all_private),
            checks_page(self.result),
            GlossaryPage(self.texts.terms),
            NotThisPage(self.texts.headline_caution, self.texts.not_this, self.texts.cautions),
            rejected_page(self.result.intake, self.all_private),
            LicencesPage(licensed_parts()),
        ]
        if self.changed:
            entries = map(str, self.gatherer.fleet.text["entry_no"])
            addresses = dict(zip(entries, self.facts, strict=True))
            shared.append(changes_page(self.changed, addresses))
        shared.append(sheets_page(self.pontoons.values()))
        planned = [PlannedPage(page.frame.address, partial(made, page)) for page in shared]
        planned += [PlannedPage(self.gatherer.address(row), partial(workers.take, row)) for row in rows]
        planned += [
            PlannedPage(address, partial(self._sheet, pontoon))
            for address, pontoon in self.pontoons.items()
            if address not in self.taken
        ]
        return {page.address: page for page in planned}

    def _gather_and_write(self, row: int) -> BoatFacts:
        facts = self.gatherer.facts(row)
        self.sheet_boats[row] = sheet_boat(facts)
        if facts.marks:
            marks = marks_address(facts)
            self.kept[facts.address] = replace(self.kept[facts.address], files=(facts.address, marks))
            self._write(marks, marks_csv(facts))
        return facts

    def _sheet(self, pontoon: Pontoon) -> MadePage:
        return made(sheet_page(pontoon, map(self._sheet_boat, pontoon.rows)))

    def _sheet_boat(self, row: int) -> SheetBoat:
        """Her part of a sheet; gathered here where her own page was taken over."""
        made_before = self.sheet_boats.get(row)
        return made_before or sheet_boat(self.gatherer.facts(row))

    def _sheet_key(self, pontoon: Pontoon) -> str:
        boats = (self.kept[self.gatherer.address(row)].key for row in pontoon.rows)
        return hashlib.sha256(f"{self.site_key}\0{pontoon!r}\0{' '.join(boats)}".encode()).hexdigest()

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
