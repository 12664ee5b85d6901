"""How far a job is."""

from __future__ import annotations

from typing import Annotated, Final

from fastapi import APIRouter, Path
from sqlalchemy import select

from api.http.context import Signed
from api.http.describe import problems
from api.http.problems import Problem
from api.http.response_models import Job
from api.storage.schema import jobs

router: Final = APIRouter(tags=["jobs"])
JobId = Annotated[str, Path(pattern=r"^j[0-9a-f]{16}$", max_length=17)]


@router.get("/v1/jobs/{job_id}", responses=problems(404))
def get_job(caller: Signed, job_id: JobId) -> Job:
    """How far a job is, or how it ended and why."""
    query = select(*(jobs.c[name] for name in Job.model_fields)).where(jobs.c.id == job_id)
    with caller.server.store.read() as connection:
        row = connection.execute(query).mappings().first()
    caller.must("job.read", row["fleet_id"] if row else caller.token.fleet_id)
    if row is None:
        raise Problem("not-found")
    return Job(**row)
