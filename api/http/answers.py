"""A skipper's answers: her form, what she answers, her link; and what of it the officer is to look at."""

from __future__ import annotations

import json
from typing import Final

from fastapi import APIRouter, Request
from sqlalchemy import select
from starlette.concurrency import run_in_threadpool
from starlette.responses import JSONResponse, Response

from api.http import boat_response_models as response_models
from api.http.context import BoatId, FleetId, Signed, body_of, idempotency_key
from api.http.describe import KEY_HEADER, problems, taking
from api.http.models import NewAnswers, NewLink
from api.http.pages import Cursor, Limit, page, place_of
from api.http.problems import Problem
from api.http.writing import Answer, perform
from api.season.acting import Acting
from api.season.answers import Choice, Given, Saved, price_agrees, save_answers
from api.season.doubts import doubts_of
from api.season.fleets import fleet_version
from api.season.forms import form_of
from api.season.invitations import Link, end_link, invite
from api.season.prices import price_of
from api.season.rejudging import the_boat
from api.storage.boats import kept_boat
from api.storage.schema import answers

router: Final = APIRouter(tags=["answers"])
_WRITE: Final = problems(404, 409, 412, 415, 428)
_BOAT: Final = "/v1/fleets/{fleet_id}/boats/{boat_id}"
_SHOWN: Final = (
    "number", "boat_id", "entry_no", "field", "state", "text", "until", "listed", "said_by", "source",
    "made_at", "made_by",
)  # fmt: skip


@router.get(_BOAT + "/form", response_model=response_models.Form, responses=problems(404))
async def get_form(caller: Signed, fleet_id: FleetId, boat_id: BoatId) -> Response:
    """What the boat's skipper is asked now: at most ten questions, what decides most first; and her price."""
    caller.must("answer.read", fleet_id, boat_id)
    server = caller.server
    made = run_in_threadpool(form_of, server.store, server.engine, server.settings, fleet_id, boat_id)
    return JSONResponse(await made)


@router.post(
    _BOAT + "/answers",
    status_code=201,
    response_model=response_models.AnswersSaved,
    responses=_WRITE,
    openapi_extra=taking(NewAnswers, KEY_HEADER),
)
async def answer(request: Request, caller: Signed, fleet_id: FleetId, boat_id: BoatId) -> Response:
    """Keep what the boat's skipper answers, all of it or nothing; her findings are worked out anew at once.

    It is her word: what was measured stands above it, and so does a list that says something else later. The
    same answer again changes nothing. Needs no If-Match: two phones of a boat are put together by column.
    """
    caller.must("answer.write", fleet_id, boat_id)
    key, body = idempotency_key(request), await body_of(request, NewAnswers)
    if not body.answers and body.supply is None:
        raise Problem("not-valid", "It holds no answer and no choice.")
    given = [Given(one.field, one.state, one.value or "", one.until, one.over) for one in body.answers]
    choice = Choice(body.supply, body.price or "") if body.supply else None

    def act(acting: Acting) -> Saved:
        if choice is not None and choice.price:
            with acting.store.read() as connection:
                entry = the_boat(kept_boat(connection, fleet_id, boat_id)).entry_no
                price_agrees(choice, price_of(connection, fleet_id, entry).amount)
        return save_answers(acting, fleet_id, boat_id, given, body.by, choice)

    return await perform(
        request, caller, key, body.model_dump_json(), act,
        lambda saved: Answer.of(
            201,
            {"numbers": dict(saved.numbers), "boat_etag": saved.etag, "site_job": saved.job},
            {},
        ),
    )  # fmt: skip


@router.get(
    "/v1/fleets/{fleet_id}/answers",
    response_model=response_models.Page[response_models.AnswerGiven],
    responses=problems(404),
)
def list_answers(caller: Signed, fleet_id: FleetId, cursor: Cursor = None, limit: Limit = 50) -> Response:
    """All that skippers answered, oldest first, with what of it does not count and why."""
    caller.must("answers.list", fleet_id)
    query = select(answers).where(answers.c.fleet_id == fleet_id, answers.c.number > place_of(cursor))
    with caller.server.store.read() as connection:
        fleet_version(connection, fleet_id)
        rows = connection.execute(query.order_by(answers.c.number).limit(limit + 1)).mappings().all()
        doubts = {
            one.number: one.sentence for one in doubts_of(connection, fleet_id, caller.server.settings.day())
        }
    items = [{name: row[name] for name in _SHOWN} | {"doubt": doubts.get(row["number"], "")} for row in rows]
    return page(items, limit, [row["number"] for row in rows])


@router.post(
    _BOAT + "/link",
    status_code=201,
    response_model=response_models.LinkMade,
    responses=_WRITE,
    openapi_extra=taking(NewLink, KEY_HEADER),
)
async def make_link(request: Request, caller: Signed, fleet_id: FleetId, boat_id: BoatId) -> Response:
    """Make the link of a boat's skipper; the one before ends. Its secret is told in this answer alone."""
    caller.must("link.write", fleet_id, boat_id)
    key, body = idempotency_key(request), await body_of(request, NewLink)

    def act(acting: Acting) -> Link:
        return acting.write(
            lambda connection: invite(connection, acting.actor, fleet_id, boat_id, days=body.days)
        )

    return await perform(request, caller, key, body.model_dump_json(), act, _link_made)


@router.post(
    _BOAT + "/link/end",
    response_model=response_models.LinksEnded,
    responses=_WRITE,
    openapi_extra=taking(None, KEY_HEADER),
)
async def end(request: Request, caller: Signed, fleet_id: FleetId, boat_id: BoatId) -> Response:
    """End the link of a boat's skipper at once. What was answered by it stays."""
    caller.must("link.write", fleet_id, boat_id)
    key = idempotency_key(request)

    def act(acting: Acting) -> list[str]:
        return acting.write(lambda connection: end_link(connection, acting.actor, fleet_id, boat_id))

    return await perform(
        request, caller, key, "", act, lambda ended: Answer.of(200, {"token_ids": ended}, {})
    )


def _link_made(link: Link) -> Answer:
    told: dict[str, object] = {
        "boat_id": link.boat.boat_id, "entry_no": link.boat.entry_no, "token_id": link.token_id,
        "expires_at": link.expires_at, "path": link.address(""),
    }  # fmt: skip
    kept = json.dumps(told | {"path": ""}, ensure_ascii=False)
    return Answer(201, json.dumps(told, ensure_ascii=False), {}, kept=kept)
