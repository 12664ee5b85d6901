"""Tags: every length and box of a season has one, and what is cut of it has that tag and a number behind it.

A tag follows from what was received, in the order in which it was: the same deliveries, cuts and counts give
the same tags, week after week, so that they can be written on the goods with a marker.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Final, NamedTuple

from sizing.entry_key import entry_key
from sizing.model import CutSpool
from sizing.model.tags import IN_HAND, State, Tagged
from sizing.order.items import CUT_KINDS, STEP, Item

LETTERS: Final = {"rope": "R", "tape": "T", "chain": "C", "sleeve": "S", "cloth": "K"}
BOX: Final = "B"
"""First letter of a tag, by the kind of item; all else lies in boxes."""


class Given(NamedTuple):
    """Something that a boat was given: cut from a length in hand so long, or a piece cut before (None)."""

    item: str
    entry: str
    purpose: str
    length_mm: int
    out_of_mm: int | None


@dataclass
class TagBook:
    """All tags of a season so far, in the order in which they were given."""

    by_tag: dict[str, Tagged] = field(default_factory=dict)
    given: Counter[str] = field(default_factory=Counter)

    @classmethod
    def of(cls, tags: Sequence[Tagged]) -> TagBook:
        """The book of these tags."""
        heads = Counter[str]()
        for one in tags:
            heads[one.tag.rpartition("-")[0] or one.tag[0]] += 1
        return cls({one.tag: one for one in tags}, heads)

    @property
    def tags(self) -> tuple[Tagged, ...]:
        """All of them."""
        return tuple(self.by_tag.values())

    def add(self, item: Item, amount: Decimal, state: State, origin: str, *, counted: bool = False) -> Tagged:
        """Give something that came, or that a stocktake found, the next tag of its kind."""
        letter = LETTERS.get(item.kind, BOX)
        self.given[letter] += 1
        single = item.kind in CUT_KINDS
        left = Decimal(0) if single else amount
        made = Tagged(
            f"{letter}{self.given[letter]}", item.id, item.description, item.unit, amount, state, origin,
            single, left, counted=counted,
        )  # fmt: skip
        return self._keep(made)

    def find(self, item: str, length_mm: int, *states: State) -> Tagged | None:
        """The first length of an item that is so long, in the first of these states that has one."""
        there = [one for one in self.by_tag.values() if one.item == item and one.single]
        for state in states:
            for one in there:
                if one.state == state and one.length_mm == length_mm:
                    return one
        return None

    def cut(self, whole: Tagged, pieces: Iterable[tuple[str, str, int, State]], rest_mm: int) -> None:
        """Cut a length into pieces (entry, purpose, mm, state) and what is left; all else its ends lose."""
        made = 0
        for entry_no, purpose, mm, state in pieces:
            made += mm
            child = self._child(whole, mm, state)
            self._keep(replace(child, entry_no=entry_no, purpose=purpose))
        if rest_mm:
            self._keep(self._child(whole, rest_mm, "offcut"))
        self._keep(replace(whole, state="cut up", ends_m=(whole.length_mm - made - rest_mm) * STEP["m"]))

    def put(self, one: Tagged, state: State, entry_no: str = "", purpose: str = "") -> None:
        """Write down where a length is now, and whose it is."""
        self._keep(replace(one, state=state, entry_no=entry_no, purpose=purpose, counted=False))

    def give(self, given: Iterable[Given], sums: Iterable[tuple[str, Decimal]]) -> None:
        """Write down what boats were given: it is aboard. Of boxes the first are emptied first."""
        for one in given:
            if one.out_of_mm is None:
                pieces = [p for p in self.by_tag.values() if _is_hers(p, one)]
                self.put(min(pieces, key=lambda p: p.state != "issued"), "aboard", one.entry, one.purpose)
                continue
            mm = one.out_of_mm
            loose = (
                p for p in self.by_tag.values() if (p.item, p.state, p.length_mm) == (one.item, "offcut", mm)
            )
            whole = next((p for p in loose if not p.counted), None) or self.find(
                one.item, mm, "whole", "offcut"
            )
            if whole is not None:
                self.cut(whole, [(one.entry, one.purpose, one.length_mm, "aboard")], mm - one.length_mm)
        for item, amount in sums:
            left = amount
            for box in [b for b in self.by_tag.values() if b.item == item and not b.single and b.left]:
                taken = min(left, box.left)
                left -= taken
                self._keep(replace(box, left=box.left - taken))

    def _child(self, whole: Tagged, mm: int, state: State) -> Tagged:
        self.given[whole.tag] += 1
        tag = f"{whole.tag}-{self.given[whole.tag]}"
        return Tagged(tag, whole.item, whole.description, whole.unit, mm * STEP["m"], state, whole.tag)

    def _keep(self, one: Tagged) -> Tagged:
        self.by_tag[one.tag] = one
        return one


def _is_hers(piece: Tagged, given: Given) -> bool:
    return piece.state in ("piece", "issued") and (
        piece.item, entry_key(piece.entry_no), piece.purpose, piece.length_mm
    ) == (given.item, given.entry, given.purpose, given.length_mm)  # fmt: skip


def with_tags(
    spools: Sequence[CutSpool], in_hand: dict[str, int], tags: Sequence[Tagged], entries: Sequence[str]
) -> tuple[CutSpool, ...]:
    """The cut list with the tag of every length in hand; what is still to come has none.

    A piece cut already is the one that was cut for her, where there is one. Of lengths as long, offcuts go
    before whole packs, as they are taken out when they are cut.
    """
    pool: dict[tuple[str, int], list[Tagged]] = {}
    for one in tags:
        if one.single and one.state in (*IN_HAND, "issued"):
            pool.setdefault((one.item, one.length_mm), []).append(one)
    return tuple(_tagged(spool, in_hand, pool, entries) for spool in spools)


def _tagged(
    spool: CutSpool,
    in_hand: dict[str, int],
    pool: dict[tuple[str, int], list[Tagged]],
    entries: Sequence[str],
) -> CutSpool:
    there = pool.get((spool.item, round(spool.spool_length_m * 1000)), [])
    if spool.spool_no > in_hand.get(spool.item, 0) or not there:
        return spool
    hers = _cut_for(spool, entries)

    def rank(one: Tagged) -> tuple[int, int]:
        state = ("offcut", "whole", "piece", "issued").index(one.state)
        if hers is None:
            return state, 0
        own = (entry_key(one.entry_no), one.purpose) == hers
        return (0 if own else 1), -state

    found = min(there, key=rank)
    there.remove(found)
    return replace(spool, tag=found.tag)


def _cut_for(spool: CutSpool, entries: Sequence[str]) -> tuple[str, str] | None:
    """Whose piece a spool is that is one piece and nothing else."""
    if len(spool.pieces) != 1 or spool.offcut_m or spool.pieces[0].length_m != spool.spool_length_m:
        return None
    row = spool.pieces[0].row
    return (entry_key(entries[row]) if row >= 0 else "", spool.pieces[0].purpose)


def metres_of(tags: Iterable[Tagged], item: str) -> Iterator[tuple[str, Decimal]]:
    """The account of an item that is cut: what came, and where every metre of it is. It adds up to nothing.

    What came counts once, by its own tag; what was cut up counts by its pieces, its offcut and its ends.
    """
    for one in tags:
        if one.item == item and one.single:
            if "-" not in one.tag:
                yield "came", one.amount
            if one.state == "cut up":
                yield "ends", -one.ends_m
            else:
                yield one.state, -one.amount
