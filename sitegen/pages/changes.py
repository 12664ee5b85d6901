"""What changed since the last list: rules, boats, order."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import ClassVar, Final

from sitegen.addresses import slug
from sitegen.changed import Changed, ChangedBoat
from sitegen.pages.frame import Frame, SearchEntry
from sitegen.pages.parts import plural
from sitegen.plain_text import visible
from sitegen.told_figures import Told, told
from sizing.revision.changes import BoatKind, ItemChange
from sizing.units import Shown, show

ADDRESS: Final = "changes.html"
GROUPS: Final[tuple[tuple[BoatKind, str], ...]] = (
    ("entered", "Entered"),
    ("withdrawn", "Withdrawn"),
    ("put right", "Rejected before, taken now"),
    ("now rejected", "Taken before, rejected now"),
    ("rejected", "New rows, rejected"),
    ("still rejected", "Still rejected, for other reasons"),
    ("rejected row gone", "Rejected before, no longer in the sheet"),
    ("amended", "Amended"),
    ("judged anew", "Not amended, but judged anew"),
)
ON_THE_LIST: Final[frozenset[BoatKind]] = frozenset({"entered", "put right", "amended", "judged anew"})
STILL_REJECTED: Final[frozenset[BoatKind]] = frozenset({"now rejected", "rejected", "still rejected"})


@dataclass(frozen=True)
class BoatLink:
    """A boat by her entry number, and her page where she has one."""

    href: str
    entry_no: str


@dataclass(frozen=True)
class AlikeView:
    """One change on many boats."""

    words: Told
    count: str
    boats: tuple[BoatLink, ...]


@dataclass(frozen=True)
class BlockView:
    """Some changes of one kind as shown; `mark` is the sign of a standing or blank."""

    title: str
    mark: str
    lines: tuple[Told, ...]


@dataclass(frozen=True)
class ChangedView:
    """One boat's changes as shown."""

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
class ChangesSummary:
    """What the overview says of the changes."""

    since: str
    counts: tuple[str, ...]
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


def changes_page(changed: Changed, addresses: Mapping[str, str]) -> ChangesPage:
    """Return the page of changes. `addresses` are the boats' pages by entry number."""
    return ChangesPage(
        since=changed.since,
        until=changed.until,
        counts=changed.counts,
        remarks=changed.remarks,
        rules=changed.rules,
        alike=tuple(
            AlikeView(
                told(one.words, one.figures),
                plural(len(one.entry_nos), "boat"),
                tuple(BoatLink(addresses.get(entry, ""), visible(entry)) for entry in one.entry_nos),
            )
            for one in changed.alike
        ),
        groups=tuple(_groups(changed, addresses)),
        order=tuple(map(_item, changed.order)),
    )


def changes_summary(changed: Changed) -> ChangesSummary:
    """Return what the overview says."""
    return ChangesSummary(changed.since, changed.counts, ADDRESS)


def anchor_of_boat(entry_no: str) -> str:
    """Return the address of a boat of the list inside the page."""
    return f"change-{slug(entry_no)}"


def told_one_by_one(changed: Changed) -> frozenset[str]:
    """Return the entry numbers of the boats of the list that have a place of their own on the page."""
    return frozenset(boat.entry_no for boat in changed.boats if boat.kind in ON_THE_LIST)


def _groups(changed: Changed, addresses: Mapping[str, str]) -> list[ChangeGroup]:
    groups = []
    for kind, title in GROUPS:
        boats = tuple(_view(boat, addresses) for boat in changed.boats if boat.kind == kind)
        if boats:
            groups.append(ChangeGroup(kind.replace(" ", "-"), f"{title} ({len(boats):,})", boats))
    return groups


def _view(boat: ChangedBoat, addresses: Mapping[str, str]) -> ChangedView:
    listed = boat.kind in ON_THE_LIST
    href = addresses.get(boat.entry_no, "") if listed else ""
    if boat.kind in STILL_REJECTED:
        href = "rejected.html"
    anchor = anchor_of_boat(boat.entry_no) if listed else ""
    blocks = tuple(
        BlockView(block.title, block.mark, tuple(told(line, block.figures) for line in block.lines))
        for block in boat.blocks
    )
    return ChangedView(anchor, href, boat.boat_name, visible(boat.entry_no), boat.summary, blocks)


def _item(item: ItemChange) -> ItemView:
    return ItemView(
        item.id,
        item.description,
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
