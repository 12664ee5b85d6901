"""The form of one boat, with what stands in the store: for the page, and for a file that needs no network."""

from __future__ import annotations

from typing import Any

from api.judging.form import form_document
from api.judging.run import Engine
from api.judging.sheet import BoatCells, notation_of
from api.season.answer_text import form_code
from api.season.answers import seen_of
from api.season.open_season import secret_of
from api.season.prices import price_of
from api.season.supplies import supplies_said
from api.settings import Settings
from api.storage.store import Store


def form_of(store: Store, engine: Engine, settings: Settings, fleet_id: str, boat: str) -> dict[str, Any]:
    """What her skipper is asked now, with her price; NotFound where the list in force has no such boat."""
    seen = seen_of(store, fleet_id, boat)
    with store.read() as connection:
        said = supplies_said(connection, fleet_id)
        price = price_of(connection, fleet_id, seen.boat.entry_no)
    form = form_document(
        engine, notation_of(seen.boat.sheet), BoatCells.of(seen.boat.cells), seen.scrutiny, said,
        settings.day(),
    )  # fmt: skip
    return {"form": form, "price": price.amount, "price_whole": price.whole, "currency": price.currency}


def form_to_send(
    store: Store, engine: Engine, settings: Settings, fleet_id: str, boat: str
) -> dict[str, Any]:
    """The same with the code by which answers to it are known again."""
    last = max((one.number for one in seen_of(store, fleet_id, boat).scrutiny.answers.values()), default=0)
    with store.read() as connection:
        code = form_code(secret_of(connection), fleet_id, boat, last)
    return form_of(store, engine, settings, fleet_id, boat) | {"code": code}
