"""Several servers on one PostgreSQL: they share the jobs, and each job is done once."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

from sqlalchemy import select

from api.jobs.shared import SharedWorker
from api.jobs.worker import ThreadWorker
from api.storage.schema import jobs, trail
from tests.api.conftest import POSTGRES, new_database
from tests.api.running import BOATS, Running, key, quiet, running, settings, sheet, wait_for

if POSTGRES:

    def test_two_servers_on_one_database_do_each_job_once(tmp_path: Path) -> None:
        for url in new_database("postgresql", tmp_path):
            config = settings(tmp_path, url)
            with running(config, loaded=False) as one, running(config, loaded=False) as other:
                assert isinstance(one.server.worker, SharedWorker)
                with one.client() as officer:
                    here, there = officer, other.client(None)
                    there.headers.update(here.headers)
                    asked = []
                    for number in range(4):
                        client = (here, there)[number % 2]
                        made = client.post(
                            "/v1/fleets", json={"name": f"Fleet {number}"}, headers=key()
                        ).json()
                        headers = {**key(), "if-match": '"0"', "content-type": "text/csv"}
                        at = f"/v1/fleets/{made['id']}/revisions"
                        answer = client.post(at, content=sheet(BOATS[:2]), headers=headers)
                        asked.append(answer.json()["job"])
                    for job in asked:
                        wait_for(Ended(officer, job), 60)
                    quiet(officer)
                    there.close()
                with one.server.store.read() as connection:
                    rows = connection.execute(select(jobs.c.kind, jobs.c.state, jobs.c.attempts)).all()
                    told = connection.execute(select(trail.c.action)).scalars().all()
                assert Counter(rows) == {("assess", "done", 1): 4, ("site", "done", 1): 4}
                assert Counter(told)["upload.in-force"] == 4


class Ended:
    """Whether a job is done."""

    def __init__(self, client: object, job: str) -> None:
        self.client, self.job = client, job

    def __call__(self) -> bool:
        return bool(self.client.get(f"/v1/jobs/{self.job}").json()["state"] == "done")  # type: ignore[attr-defined]


def test_a_file_is_worked_off_by_the_one_process(on_file: Running) -> None:
    assert isinstance(on_file.server.worker, ThreadWorker)
