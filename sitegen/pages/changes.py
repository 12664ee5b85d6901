"""What changed since the last list: rules, boats, order."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar, Final

from sitegen.addresses import slug
from sitegen.changed import Changed, ChangedBoat
from sitegen.pages.frame import Frame, SearchEntry
from sitegen.pages.parts import plural
from sitegen.plain_text import visible
from sizing.revision.changes import BoatKind

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

    words: str
    count: str
    boats: tuple[BoatLink, ...]


@dataclass(frozen=True)
class ChangedView:
    """One boat's changes as shown."""

    anchor: str
    href: str
    changed: ChangedBoat
    entry_no: str


@dataclass(frozen=True)
class ChangeGroup:
    """The boats of one kind."""

    anchor: str
    title: str
    boats: tuple[ChangedView, ...]


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
    order: tuple[str, ...]

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
                one.words,
                plural(len(one.entry_nos), "boat"),
                tuple(BoatLink(addresses.get(entry, ""), visible(entry)) for entry in one.entry_nos),
            )
            for one in changed.alike
        ),
        groups=tuple(_groups(changed, addresses)),
        order=changed.order,
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
    return ChangedView(anchor, href, boat, visible(boat.entry_no))
