"""How boats get their parts, and what they paid: said and recorded one after the other, never changed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

from fastapi import APIRouter, Request
from sqlalchemy import Connection, Table, select
from starlette.responses import Response

from api.http import boat_response_models as response_models
from api.http.context import FleetId, Signed, body_of, idempotency_key
from api.http.describe import KEY_HEADER, problems, taking
from api.http.models import NewPayment, NewSupply
from api.http.pages import Cursor, Limit, page, place_of
from api.http.writing import Answer, perform
from api.jobs.queue import add_site_job
from api.season.acting import Acting
from api.season.fleets import fleet_version
from api.season.lists import MovedOn
from api.season.payments import payment_document, record_payment
from api.season.rules import number_in_force
from api.season.supplies import say_supply, supply_document
from api.storage.schema import payments, supplies

router: Final = APIRouter(tags=["money"])
_WRITE: Final = problems(404, 409, 415, 428)
_SUPPLIES: Final = "/v1/fleets/{fleet_id}/supplies"
_PAYMENTS: Final = "/v1/fleets/{fleet_id}/payments"


@router.get(
    _SUPPLIES, response_model=response_models.Page[response_models.SupplySaid], responses=problems(404)
)
def list_supplies(caller: Signed, fleet_id: FleetId, cursor: Cursor = None, limit: Limit = 50) -> Response:
    """All that was said of how boats get their parts, oldest first. What the list says is not among it."""
    caller.must("supply.read", fleet_id)
    return _listed(caller, fleet_id, supplies, supply_document, cursor, limit)


@router.post(
    _SUPPLIES,
    status_code=201,
    response_model=response_models.SupplySaid,
    responses=_WRITE,
    openapi_extra=taking(NewSupply, KEY_HEADER),
)
async def say(request: Request, caller: Signed, fleet_id: FleetId) -> Response:
    """Say how a boat gets her parts. Site and order follow; what was said before stays to be read."""
    caller.must("supply.write", fleet_id)
    key, body = idempotency_key(request), await body_of(request, NewSupply)

    def act(acting: Acting) -> dict[str, object]:
        def write(connection: Connection) -> dict[str, object]:
            refuse_other_rules(connection, acting)
            row = say_supply(
                connection, acting.actor, fleet_id, body.boat_id, word=body.supply, by=body.by, day=body.day,
                price=body.price or "", currency=currency_of(acting), today=acting.settings.day(),
            )  # fmt: skip
            add_site_job(connection, fleet_id, acting.actor.name, acting.settings.site_wait)
            return supply_document(row)

        return acting.write(write)

    return await perform(
        request, caller, key, body.model_dump_json(), act, lambda done: Answer.of(201, done, {})
    )


@router.get(_PAYMENTS, response_model=response_models.Page[response_models.Payment], responses=problems(404))
def list_payments(caller: Signed, fleet_id: FleetId, cursor: Cursor = None, limit: Limit = 50) -> Response:
    """All payments and refunds, oldest first."""
    caller.must("payment.read", fleet_id)
    return _listed(caller, fleet_id, payments, payment_document, cursor, limit)


@router.post(
    _PAYMENTS,
    status_code=201,
    response_model=response_models.Payment,
    responses=_WRITE,
    openapi_extra=taking(NewPayment, KEY_HEADER),
)
async def pay(request: Request, caller: Signed, fleet_id: FleetId) -> Response:
    """Record a payment or a refund. The same sum of the same boat and day needs a reference of its own."""
    caller.must("payment.write", fleet_id)
    key, body = idempotency_key(request), await body_of(request, NewPayment)

    def act(acting: Acting) -> dict[str, object]:
        def write(connection: Connection) -> dict[str, object]:
            refuse_other_rules(connection, acting)
            row = record_payment(
                connection, acting.actor, fleet_id, body.boat_id, kind=body.kind, amount=body.amount,
                by=body.by, day=body.day, currency=body.currency, reference=body.reference,
                in_force=currency_of(acting), today=acting.settings.day(),
            )  # fmt: skip
            add_site_job(connection, fleet_id, acting.actor.name, acting.settings.site_wait)
            return payment_document(row)

        return acting.write(write)

    return await perform(
        request, caller, key, body.model_dump_json(), act, lambda done: Answer.of(201, done, {})
    )


def _listed(
    caller: Signed, fleet_id: str, table: Table, document: Callable[[Any], Any], cursor: Cursor, limit: int
) -> Response:
    """One page of a fleet's rows of `table`, oldest first."""
    query = select(table).where(table.c.fleet_id == fleet_id, table.c.number > place_of(cursor))
    with caller.server.store.read() as connection:
        fleet_version(connection, fleet_id)
        rows = connection.execute(query.order_by(table.c.number).limit(limit + 1)).mappings().all()
    return page([document(row) for row in rows], limit, [row["number"] for row in rows])


def refuse_other_rules(connection: Connection, acting: Acting) -> None:
    """Raise MovedOn where the price book, and so the currency, may be another by now."""
    if number_in_force(connection) != acting.rules:
        raise MovedOn


def currency_of(acting: Acting) -> str:
    """The currency of the price book in force, "" without one."""
    prices = acting.engine.rules.prices
    return prices.currency if prices else ""
