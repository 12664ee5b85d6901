"""Cut lists: one page for each rope, tape or chain, to take to the bench."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import groupby
from typing import ClassVar, Final

from sitegen.addresses import cuts_address, slugs
from sitegen.boat_facts import Gatherer
from sitegen.pages.frame import Frame, SearchEntry
from sitegen.pages.parts import plural, shown
from sitegen.plain_text import one_line, visible
from sizing.model import CutPiece, CutSpool, Order
from sizing.order.cone_pieces import cones_told
from sizing.units import Shown
from sizing.words import in_plain_words

UNNAMED: Final = "a boat with a private page"


@dataclass(frozen=True)
class CutView:
    """Pieces alike that are cut one after the other for one boat."""

    count: int
    length: Shown | None
    purpose: str
    boat: str
    href: str


@dataclass(frozen=True)
class SpoolView:
    """One spool and its cuts in order; `tag` is written on it, where it is in hand."""

    number: int
    tag: str
    length: Shown | None
    offcut: Shown | None
    cuts: tuple[CutView, ...]


@dataclass(frozen=True)
class CutsPage:
    """What the template of a cut list may use."""

    template: ClassVar[str] = "cuts.html.j2"

    address: str
    item: str
    description: str
    words: str
    spools: tuple[SpoolView, ...]

    @property
    def frame(self) -> Frame:
        """The page as the theme sees it."""
        return Frame(
            self.address, f"Cut list, {one_line(self.item)}", "How one item is cut", "cuts", "order.html"
        )

    def search_entries(self) -> tuple[SearchEntry, ...]:
        """The list by its item."""
        return (SearchEntry(self.address, self.frame.title, one_line(f"{self.description}, {self.words}")),)


def cut_addresses(order: Order) -> Mapping[str, str]:
    """Return item -> address of its cut list, for all that is cut."""
    items = sorted({spool.item for spool in order.spools})
    return {item: cuts_address(made) for item, made in slugs(items).items()}


def cuts_pages(gatherer: Gatherer) -> tuple[CutsPage, ...]:
    """Return the cut lists of the order."""
    order = gatherer.result.order
    names = [visible(str(name or "")) for name in gatherer.fleet.text["boat_name"]]
    descriptions = {line.item: visible(line.description) for line in order.lines}
    spools: Mapping[str, list[CutSpool]] = defaultdict(list)
    for spool in order.spools:
        spools[spool.item].append(spool)
    return tuple(
        CutsPage(
            address,
            visible(item),
            descriptions.get(item, ""),
            spools_words(spools[item]),
            tuple(
                SpoolView(
                    spool.spool_no,
                    spool.tag,
                    shown(spool.spool_length_m, "length"),
                    shown(spool.offcut_m, "length"),
                    _cuts(spool.pieces, gatherer, names),
                )
                for spool in spools[item]
            ),
        )
        for item, address in cut_addresses(order).items()
    )


def spools_words(spools: Iterable[CutSpool]) -> str:
    """Return how many spools and pieces there are."""
    counts = [len(spool.pieces) for spool in spools]
    return f"{plural(len(counts), 'spool')}, {plural(sum(counts), 'piece')}"


def _cuts(pieces: Iterable[CutPiece], gatherer: Gatherer, names: list[str]) -> tuple[CutView, ...]:
    """The cuts in order; pieces alike that follow each other are told once, with their number."""
    return tuple(
        CutView(
            sum(1 for _ in alike),
            shown(piece.length_m, "length"),
            _purpose(piece, gatherer),
            names[piece.row] if gatherer.is_public(piece.row) else UNNAMED,
            f"../{gatherer.address(piece.row)}" if gatherer.is_public(piece.row) else "",
        )
        for piece, alike in groupby(pieces)
    )


def _purpose(piece: CutPiece, gatherer: Gatherer) -> str:
    """What a piece is for, and which cones go on it, where they have a pattern of their own."""
    plan = gatherer.plan(piece.row)
    cones = ""
    if plan is not None:
        cones = cones_told(piece.purpose, plan, gatherer.result.made, gatherer.policy, gatherer.catalogue)
    return visible(in_plain_words(piece.purpose)) + (f" ({cones})" if cones else "")
