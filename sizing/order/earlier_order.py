"""The order.json of an earlier run, as much of it as a later order needs."""

from __future__ import annotations

import json
from collections.abc import Mapping
from decimal import Decimal
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from sizing.entry_key import entry_key
from sizing.errors import CatalogueError

Amount = Annotated[Decimal, Field(ge=0, le=10**9)]
"""A decimal number of an earlier order."""


class _Read(BaseModel):
    model_config = ConfigDict(frozen=True, extra="ignore", allow_inf_nan=False)


class PreviousPiece(_Read):
    """Equal pieces on one spool of an earlier order."""

    entry_no: str
    purpose: str
    length_m: Amount
    quantity: int = Field(ge=1, le=1_000_000)


class PreviousNeed(_Read):
    """Equal pieces that a boat of an earlier order needs."""

    entry_no: str
    item: str
    kind: str
    purpose: str
    quantity: int = Field(ge=1, le=1_000_000)
    length_m: Amount | None


class PreviousSpool(_Read):
    """One spool of an earlier order as it was to be cut."""

    item: str
    spool_no: int
    from_stock: bool
    length_m: Amount
    offcut_m: Amount
    pieces: tuple[PreviousPiece, ...]
    tag: str = ""

    @property
    def cut_before(self) -> bool:
        """Whether it was listed as a piece cut already: in hand, and the whole of it one piece."""
        whole = len(self.pieces) == 1 and self.pieces[0].quantity == 1 and self.offcut_m == 0
        return self.from_stock and whole and self.pieces[0].length_m == self.length_m


class PreviousLine(_Read):
    """One line of an earlier order: what was to be bought."""

    item: str
    pack_size: Amount | None
    packs: int | None
    supplier: str = ""
    pack_price: Amount | None = None
    boats: Mapping[str, Amount] = {}


class PreviousOrder(_Read):
    """As much of an earlier order's JSON as a later one needs.

    `entries` are the boats whose needs it knows, `not_ordered` what boats needed that nothing was bought for.
    """

    schema_no: int = Field(alias="schema", ge=1, le=1)
    currency: str = ""
    lines: tuple[PreviousLine, ...]
    spools: tuple[PreviousSpool, ...]
    pieces: tuple[PreviousNeed, ...] = ()
    not_ordered: tuple[PreviousNeed, ...] = ()
    entries: tuple[str, ...] | None = None

    @property
    def listed(self) -> frozenset[str] | None:
        """Its boats as entry numbers are compared; None where it does not say."""
        return None if self.entries is None else frozenset(map(entry_key, self.entries))


def parse_previous(data: bytes, name: str) -> PreviousOrder:
    """Read the bytes of an earlier order.json called `name`."""
    try:
        return PreviousOrder.model_validate(json.loads(data))
    except (ValueError, RecursionError) as problem:
        found = "it is not JSON"
        if isinstance(problem, ValidationError):
            first = problem.errors(include_url=False, include_context=False, include_input=False)[0]
            found = f"{'.'.join(str(part) for part in first['loc'])}: {first['msg']}"
        raise CatalogueError(
            name, found, "the order.json of an earlier run", "give that file as the program wrote it"
        ) from problem
