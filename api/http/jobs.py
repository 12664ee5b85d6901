"""How far a job is."""

from __future__ import annotations

from typing import Annotated, Final

from fastapi import APIRouter, Path
from sqlalchemy import select
from starlette.responses import JSONResponse, Response

from api.http import response_models
from api.http.context import Signed
from api.http.describe import problems
from api.http.problems import Problem
from api.storage.schema import jobs

router: Final = APIRouter(tags=["jobs"])
JobId = Annotated[str, Path(pattern=r"^j[0-9a-f]{16}$", max_length=17)]


@router.get("/v1/jobs/{job_id}", response_model=response_models.Job, responses=problems(404))
def get_job(caller: Signed, job_id: JobId) -> Response:
    """How far a job is, or how it ended and why."""
    shown_columns = [column for column in jobs.c if column.name not in ("beat_at", "due_at")]
    with caller.server.store.read() as connection:
        row = connection.execute(select(*shown_columns).where(jobs.c.id == job_id)).mappings().first()
    caller.must("job.read", row["fleet_id"] if row else caller.token.fleet_id)
    if row is None:
        raise Problem("not-found")
    return JSONResponse(dict(row))
