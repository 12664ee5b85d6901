"""What changed since an earlier run, on its own page, without contact details."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import ClassVar, Final, TypeAlias

from sitegen.addresses import slug
from sitegen.changed import (
    CLOSED,
    Block,
    Line,
    Mark,
    blocks_of,
    figures_of,
    line_of,
    shalls_words,
    summary_of,
)
from sitegen.dates import long_date
from sitegen.pages.frame import Frame, SearchEntry
from sitegen.pages.parts import plural
from sitegen.plain_text import visible
from sizing.entry_key import entry_key
from sizing.redaction import occurring, redact
from sizing.revision import BoatChange, ChangeReport, FindingChange, ItemChange
from sizing.revision.change_text import MANY, finding_words, item_words
from sizing.revision.changes import BoatKind, FindingKind
from sizing.units import Shown, show

ADDRESS: Final = "changes.html"
GROUPS: Final[tuple[tuple[BoatKind, str], ...]] = (
    ("entered", "Entered"),
    ("put right", "Rejected before, taken now"),
    ("now rejected", "Taken before, rejected now"),
    ("rejected", "New rows, rejected"),
    ("still rejected", "Still rejected, for other reasons"),
    ("amended", "Amended"),
    ("judged anew", "Not amended, but judged anew"),
)
GONE: Final[frozenset[BoatKind]] = frozenset({"withdrawn", "rejected row gone"})
ON_THE_LIST: Final[frozenset[BoatKind]] = frozenset({"entered", "put right", "amended", "judged anew"})
STILL_REJECTED: Final[frozenset[BoatKind]] = frozenset({"now rejected", "rejected", "still rejected"})


Clean: TypeAlias = Callable[[str], str]


@dataclass(frozen=True)
class BoatLink:
    """A boat by her entry number, and her page where she has one."""

    href: str
    entry_no: str


@dataclass(frozen=True)
class AlikeView:
    """One change that the rules alone made on many boats, word for word the same."""

    words: Line
    count: str
    boats: tuple[BoatLink, ...]


@dataclass(frozen=True)
class BlockView:
    """Some changes of one kind as shown; `mark` is the sign of a standing or blank."""

    title: str
    mark: Mark
    lines: tuple[Line, ...]


@dataclass(frozen=True)
class ChangedView:
    """One boat, or one rejected row, that is not what it was."""

    anchor: str
    href: str
    boat_name: str
    entry_no: str
    summary: str
    blocks: tuple[BlockView, ...]


@dataclass(frozen=True)
class ChangeGroup:
    """The boats of one kind."""

    anchor: str
    title: str
    boats: tuple[ChangedView, ...]


@dataclass(frozen=True)
class ItemView:
    """How much of one item is needed, then and now; None where the order has none of it."""

    id: str
    description: str
    before: Shown | None
    after: Shown | None
    difference: Shown | None


@dataclass(frozen=True)
class SinceNote:
    """What a boat's own page says of her changes, and where more stands."""

    since: str
    summary: str
    href: str


@dataclass(frozen=True)
class ChangesPage:
    """What the template of changes may use."""

    template: ClassVar[str] = "changes.html.j2"

    since: str
    until: str
    counts: tuple[str, ...]
    remarks: tuple[str, ...]
    rules: tuple[str, ...]
    alike: tuple[AlikeView, ...]
    groups: tuple[ChangeGroup, ...]
    order: tuple[ItemView, ...]

    @property
    def frame(self) -> Frame:
        """The page as the theme sees it."""
        return Frame(ADDRESS, "Changes", f"What changed since {self.since}", "changes", "index.html")

    def search_entries(self) -> tuple[SearchEntry, ...]:
        """The page as a whole."""
        text = f"since {self.since}: entered, withdrawn, amended, findings closed and opened, order"
        return (SearchEntry(ADDRESS, "Changes since the last list", text),)


def changes_page(
    report: ChangeReport,
    addresses: Mapping[str, str],
    sentences: Mapping[str, str],
    private: Iterable[str],
    public: Collection[str],
    hidden: Collection[str] = (),
) -> ChangesPage:
    """Return the page of changes.

    `addresses` are the boats' pages by entry number, `sentences` the checks by id. `private` are the contact
    details of everybody, `public` the names that may stand even where they are spelt like one. `hidden` are
    the entry numbers, as they are compared, of boats that no page names. Boats that left the list are
    counted, and not named.
    """
    report = _with_sentences(report, sentences)
    counts = tuple(_counts(report))
    report = _named(report, hidden)
    secret = [value for value in occurring(private, "\n".join(_all_words(report))) if value not in public]

    def clean(words: str) -> str:
        return visible(redact(words, secret))

    alike = _alike(report.boats)
    return ChangesPage(
        since=long_date(report.previous.today),
        until=long_date(report.current.today),
        counts=counts,
        remarks=tuple(map(clean, report.notes)),
        rules=tuple(clean(f"{rule.words}: {rule.before} -> {rule.after}") for rule in report.rules),
        alike=tuple(
            AlikeView(
                line_of(clean(words), figures_of([found[0][1]])),
                plural(len(found), "boat"),
                tuple(BoatLink(addresses.get(entry, ""), visible(entry)) for entry, _ in found),
            )
            for words, found in alike.items()
        ),
        groups=tuple(_groups(report.boats, addresses, alike, clean)),
        order=tuple(_item(item, clean) for item in report.order),
    )


def since_notes(
    report: ChangeReport, page: ChangesPage, hidden: Collection[str] = ()
) -> dict[str, SinceNote]:
    """Return what each boat's own page says of her changes, by entry number; nothing on a `hidden` one's."""
    shown = {boat.anchor for group in page.groups for boat in group.boats}
    notes = {}
    for boat in report.boats:
        if boat.kind in ON_THE_LIST and entry_key(boat.entry_no) not in hidden:
            anchor = anchor_of_boat(boat.entry_no)
            href = f"../{ADDRESS}#{anchor}" if anchor in shown else f"../{ADDRESS}"
            notes[boat.entry_no] = SinceNote(page.since, summary_of(boat), href)
    return notes


def anchor_of_boat(entry_no: str) -> str:
    """Return the address of a boat of the list inside the page."""
    return f"change-{slug(entry_no)}"


def _named(report: ChangeReport, hidden: Collection[str]) -> ChangeReport:
    """The report without the boats that may not be named: those that are gone, and private ones."""
    return replace(
        report,
        boats=tuple(
            boat for boat in report.boats if boat.kind not in GONE and entry_key(boat.entry_no) not in hidden
        ),
        rules=tuple(
            rule
            for rule in report.rules
            if not any(
                rule.id.casefold().endswith(f"waivers.{entry}/{rule.id.rpartition('/')[2]}")
                for entry in hidden
            )
        ),
    )


def _with_sentences(report: ChangeReport, sentences: Mapping[str, str]) -> ChangeReport:
    """The report with every check named by its sentence in the place of its id."""

    def named(finding: FindingChange) -> FindingChange:
        return replace(finding, check=sentences.get(finding.check, finding.check).rstrip("."))

    return replace(
        report,
        boats=tuple(replace(boat, findings=tuple(map(named, boat.findings))) for boat in report.boats),
    )


def _all_words(report: ChangeReport) -> Iterator[str]:
    yield from report.notes
    for rule in report.rules:
        yield from (rule.words, rule.before, rule.after)
    for boat in report.boats:
        yield from (line for block in blocks_of(boat) for line in block.lines)
    yield from map(item_words, report.order)


def _counts(report: ChangeReport) -> Iterator[str]:
    kinds: tuple[BoatKind, ...] = (
        "entered",
        "withdrawn",
        "put right",
        "now rejected",
        "amended",
        "judged anew",
    )
    for kind in kinds:
        if boats := report.of_kind(kind):
            yield f"{plural(len(boats), 'boat')} {kind}"
    findings: tuple[tuple[str, tuple[FindingKind, ...]], ...] = (
        ("closed", CLOSED), ("opened again", ("reopened",)), ("opened", ("opened",)),
    )  # fmt: skip
    for words, which in findings:
        if count := sum(len(boat.of_kind(*which)) for boat in report.boats):
            yield f"{plural(count, 'finding')} {words}"
    if report.order:
        yield f"{plural(len(report.order), 'item')} of the order in another quantity"


def _alike(boats: Iterable[BoatChange]) -> dict[str, list[tuple[str, FindingChange]]]:
    """What the rules alone changed on many boats word for word the same, with their entry numbers."""
    alike: dict[str, list[tuple[str, FindingChange]]] = defaultdict(list)
    for boat in boats:
        for finding in boat.findings:
            if finding.causes == ("rules",) and finding.kind != "no longer applies":
                alike[finding_words(finding)].append((boat.entry_no, finding))
    return {words: found for words, found in alike.items() if len(found) >= MANY}


def _groups(
    boats: Iterable[BoatChange], addresses: Mapping[str, str], alike: Collection[str], clean: Clean
) -> Iterator[ChangeGroup]:
    views: dict[BoatKind, list[ChangedView]] = defaultdict(list)
    for boat in boats:
        blocks = tuple(_block(block, clean) for block in blocks_of(boat, alike))
        if blocks or boat.kind != "judged anew":
            views[boat.kind].append(_view(boat, addresses, blocks))
    for kind, title in GROUPS:
        if kind in views:
            words = f"{title} ({len(views[kind]):,})"
            yield ChangeGroup(kind.replace(" ", "-"), words, tuple(views[kind]))


def _block(block: Block, clean: Clean) -> BlockView:
    return BlockView(
        block.title, block.mark, tuple(line_of(clean(line), block.figures) for line in block.lines)
    )


def _view(boat: BoatChange, addresses: Mapping[str, str], blocks: tuple[BlockView, ...]) -> ChangedView:
    listed = boat.kind in ON_THE_LIST
    href = addresses.get(boat.entry_no, "") if listed else ""
    if boat.kind in STILL_REJECTED:
        href = "rejected.html"
    anchor = anchor_of_boat(boat.entry_no) if listed else ""
    name = visible(redact(boat.boat_name))
    return ChangedView(anchor, href, name, visible(boat.entry_no), shalls_words(boat), blocks)


def _item(item: ItemChange, clean: Clean) -> ItemView:
    return ItemView(
        item.id,
        clean(item.description),
        _amount(item.before, item.unit_before),
        _amount(item.after, item.unit),
        _amount(item.difference, item.unit, signed=True),
    )


def _amount(value: Decimal | None, unit: str, *, signed: bool = False) -> Shown | None:
    """An amount of the order in both systems, with a sign where it is a difference."""
    if value is None:
        return None
    sign = "" if not signed or not value else "+" if value > 0 else "\N{MINUS SIGN}"
    size = abs(value) if signed else value
    amount = show(float(size), "length") if unit == "m" else None
    if amount is None:
        words = f"{size.normalize():,f}" + ("" if unit == "piece" else f" {unit}")
        amount = Shown(words, words)
    return Shown(f"{sign}{amount.metric}", f"{sign}{amount.us}")
