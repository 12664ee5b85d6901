"""Pages of a list: a cursor is the place after which the next page begins."""

from __future__ import annotations

from typing import Annotated, Any, Final

from fastapi import Query
from starlette.responses import JSONResponse, Response

MOST: Final = 200
Cursor = Annotated[
    str | None, Query(pattern=r"^c[0-9]{1,9}$", max_length=10, description="`next` of the page before")
]
Limit = Annotated[int, Query(ge=1, le=MOST, description="Most entries on a page")]


def place_of(cursor: str | None) -> int:
    """The place a cursor stands for; before everything without one.

    >>> place_of("c12"), place_of(None)
    (12, -1)
    """
    return int(cursor[1:]) if cursor else -1


def page(items: list[Any], limit: int, places: list[int], etag: str | None = None) -> Response:
    """A page of `items`, of which one more than `limit` was looked for; `places` of each."""
    headers = {"etag": etag} if etag else {}
    return JSONResponse({"items": items[:limit], "next": following(limit, places)}, headers=headers)


def following(limit: int, places: list[int]) -> str | None:
    """The cursor of the page after this one; None where this is the last.

    >>> following(2, [3, 4, 7]), following(2, [3, 4])
    ('c4', None)
    """
    return f"c{places[limit - 1]}" if len(places) > limit else None


def not_changed(etag: str) -> Response:
    """Say that it still stands as it was read."""
    return Response(status_code=304, headers={"etag": etag})
