"""What the jobs do: take an upload into force, and make order and site of the upload in force."""

from __future__ import annotations

import hashlib
import json
import logging
import secrets
from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields
from typing import Any, Final

from sqlalchemy import Connection, delete, insert, select, update

from api.jobs.queue import Job, add_site_job, fail, finish, is_owned
from api.jobs.reporting import Reporter
from api.judging.changes import changes_between, entries_before
from api.judging.measured import MeasurementError
from api.judging.run import Engine, FleetRun, Scrutiny
from api.settings import Settings
from api.storage.boats import KeptResult, keep_fleet
from api.storage.clock import now
from api.storage.schema import fleets, order_files, revisions
from api.storage.scrutiny import next_version, scrutiny_of
from api.storage.store import Store
from api.storage.unavailable import UNAVAILABLE, DatabaseUnavailable
from api.trail import Head, append, head_of, write_anchor
from api.trail.chain import Actor
from sitegen import build_site
from sizing.errors import MusterError
from sizing.intake import read_fleet
from sizing.model import MusterResult
from sizing.order import kits_for
from sizing.order.files import order_files as files_of
from sizing.order.loft.files import loft_files
from sizing.order.loft.pattern_names import patterns_of
from sizing.revision import ManyWithdrawnError, refuse_many_withdrawn
from sizing.waivers import needless_waivers

MOST_ROUNDS: Final = 5
MOST_REJECTED_KEPT: Final = 10_000
MOST_WITHDRAWN_NAMED: Final = 1_000
_log: Final = logging.getLogger(__name__)


class JobRefused(Exception):  # noqa: N818  the outcome of a job, reported to whoever asked for it
    """A job cannot be done, for a reason the reader can mend."""


class JobTaken(Exception):  # noqa: N818  as above
    """The worker was taken for dead, and another has the job: nothing of this one's may be kept."""


@dataclass(frozen=True)
class Upload:
    """A list as it was received; with `withdraw`, the boats that it leaves out have withdrawn."""

    number: int
    content: bytes
    filename: str
    withdraw: int


@dataclass(frozen=True)
class Tasks:
    """Everything a job needs."""

    store: Store
    engine: Engine
    settings: Settings

    def run(self, job: Job) -> None:
        """Do one job to its end; whatever happens is written down.

        Only a database that went away is raised: it may be back at once, and the job be done again.
        """
        report = Reporter(self.store, job)
        try:
            with report.beating():
                {"assess": self._assess, "site": self._site}[job.kind](job, report)
            finish(self.store, job)
        except JobTaken:
            _log.warning("job %s went to another worker", job.id)
        except (*UNAVAILABLE, DatabaseUnavailable):
            raise
        except MusterError as problem:
            fail(self.store, job, str(problem), json.dumps(told_of(problem), ensure_ascii=False))
        except JobRefused as problem:
            fail(self.store, job, str(problem))
        except OSError as problem:
            _log.exception("job %s failed", job.id)
            fail(self.store, job, _no_file(problem))
        except Exception:
            _log.exception("job %s failed", job.id)
            fail(self.store, job, "The program met something it does not foresee; its log says more.")

    def _assess(self, job: Job, report: Reporter) -> None:
        """Read an upload, judge it with what was found aboard, and put it in force: all of it or nothing."""
        assert job.revision is not None
        for _ in range(MOST_ROUNDS):
            with self.store.read() as connection:
                upload = _upload(connection, job.fleet_id, job.revision)
                version, in_force = _version(connection, job.fleet_id)
                scrutiny = scrutiny_of(connection, job.fleet_id)
                before = _upload(connection, job.fleet_id, in_force) if in_force else None
            if in_force == job.revision:
                return  # it was put in force before the worker, or the database, went away
            if in_force is not None and in_force > job.revision:
                raise JobRefused("A later upload is in force already.")
            run = self._run(upload, scrutiny, report)
            if before and not upload.withdraw:
                self._ask_about_withdrawals(run, upload, before)
            if self._keep(job, run, version):
                return
        raise JobRefused("Boats were inspected faster than the fleet was judged; upload the file again.")

    def _ask_about_withdrawals(self, run: FleetRun, upload: Upload, before: Upload) -> None:
        """Refuse a list that leaves out much of the one in force: it may be a part of the list."""
        limits = self.engine.limits
        earlier = read_fleet(before.content, before.filename, today=self.settings.day(), limits=limits)
        refuse_many_withdrawn(
            earlier, run.intake, secrets.token_bytes(), upload.filename,
            f"upload {before.number}, which is in force",
            "upload it once more with withdraw=true; for another fleet, make that fleet first",
        )  # fmt: skip

    def _run(self, upload: Upload, scrutiny: Mapping[str, Scrutiny], report: Reporter) -> FleetRun:
        try:
            day = self.settings.day()
            return self.engine.fleet(upload.content, upload.filename, scrutiny, day, report)
        except MeasurementError as problem:
            wanted = "; ".join(f"{field}: expected {expected}" for field, _, expected, _ in problem.problems)
            raise JobRefused(
                "What was found aboard a boat does not go with her new entry "
                f"({wanted}). Correct the entry, or withdraw the inspection."
            ) from problem

    def _keep(self, job: Job, run: FleetRun, version: int) -> bool:
        """Put the run in force, unless something was recorded since the fleet was at `version`."""
        kept = kept_results(run)
        report = revision_report(run)

        def write(connection: Connection) -> bool:
            _refuse_taken(connection, job)
            if _version(connection, job.fleet_id)[0] != version:
                return False
            before = entries_before(connection, job.fleet_id)
            new_version = next_version(connection, job.fleet_id)
            changed = keep_fleet(connection, job.fleet_id, new_version, kept)
            report["changes"] = changes_between(before, entries_before(connection, job.fleet_id))
            here = revisions.c.fleet_id == job.fleet_id
            connection.execute(
                update(revisions).where(here, revisions.c.state == "in force").values(state="superseded")
            )
            connection.execute(
                update(revisions)
                .where(here, revisions.c.number == job.revision)
                .values(state="in force", reason="", report=json.dumps(report, ensure_ascii=False))
            )
            connection.execute(
                update(fleets).where(fleets.c.id == job.fleet_id).values(revision=job.revision)
            )
            asker = Actor(job.asked_by, "program")
            append(
                connection, asker, "upload.in-force", job.fleet_id, str(job.revision),
                after={"accepted": len(kept), "rejected": report["rejected_rows"], "changed": len(changed)},
            )  # fmt: skip
            add_site_job(connection, job.fleet_id, job.asked_by)
            return True

        return self.store.write(write)

    def _site(self, job: Job, report: Reporter) -> None:
        """Make the order and the public site of the upload in force."""
        with self.store.read() as connection:
            _, in_force = _version(connection, job.fleet_id)
            if in_force is None:
                raise JobRefused("There is no upload in force.")
            upload = _upload(connection, job.fleet_id, in_force)
            scrutiny = scrutiny_of(connection, job.fleet_id)
        run = self._run(upload, scrutiny, report)
        result = self.engine.finish(run, self.settings.day(), report)
        files = order_content(result, run)
        patterns = patterns_of({name: data for name, (_, data) in files.items()})
        site = self.settings.site_of(job.fleet_id)
        site.parent.mkdir(parents=True, exist_ok=True)
        build_site(result, run.rules.policy, run.rules.catalogue, site, downloads=patterns, progress=report)

        def write(connection: Connection) -> Head:
            _refuse_taken(connection, job)
            connection.execute(delete(order_files).where(order_files.c.fleet_id == job.fleet_id))
            made = now()
            connection.execute(
                insert(order_files),
                [
                    {
                        "fleet_id": job.fleet_id,
                        "name": name,
                        "sha256": digest,
                        "made_at": made,
                        "content": data,
                    }
                    for name, (digest, data) in files.items()
                ],
            )
            hashes = {name: digest for name, (digest, _) in files.items()}
            asker = Actor(job.asked_by, "program")
            append(connection, asker, "site.published", job.fleet_id, job.id, after=hashes)
            return head_of(connection)

        write_anchor(self.settings.anchors, self.store.write(write))


def _no_file(problem: OSError) -> str:
    """The reason of a job that met a full disk, or a folder that cannot be written."""
    return (
        f"A file of the server could not be read or written ({problem.strerror or 'no reason was given'}). "
        "Expected: room on its disk, and a data folder that it may write. To mend it: make room or change "
        "the permissions on the server, then upload again, or record one more inspection."
    )


def kept_results(run: FleetRun) -> list[KeptResult]:
    """Every boat of a run, on its way into the tables."""
    kept = []
    for row, key in enumerate(run.keys):
        docs = run.documents(row)
        cells = run.cells[row].as_json()
        kept.append(KeptResult(key, row, docs.document, docs.requirement, docs.findings, cells))
    return kept


def revision_report(run: FleetRun) -> dict[str, Any]:
    """What became of the rows of an upload."""
    intake = run.intake
    needless = needless_waivers(run.rules.policy.waivers, intake.fleet, run.judged.checks)
    return {
        "sheet": asdict(run.intake.notation),
        "rows_in": intake.rows_in,
        "accepted": len(intake.fleet),
        "rejected_rows": len(intake.rejected),
        "notes": [*intake.file_notes, *needless],
        "rejected": [
            {
                "row_no": row.row_no,
                "line_no": row.line_no,
                "errors": [
                    {
                        "column": e.column, "column_letter": e.column_letter, "code": e.code,
                        "found": e.found, "expected": e.expected, "mend": e.mend,
                    }
                    for e in row.errors
                ],
            }
            for row in intake.rejected[:MOST_REJECTED_KEPT]
        ],
    }  # fmt: skip


def order_content(result: MusterResult, run: FleetRun) -> dict[str, tuple[str, bytes]]:
    """The files of the order and the papers of the loft, as the command line makes them, with SHA-256."""
    policy, catalogue = run.rules.policy, run.rules.catalogue
    fleet = run.intake.fleet
    kits = kits_for(result.order, fleet, result.requirements, result.plans, policy)
    title = f"Order of {policy.rally.name}"
    files = {
        **files_of(result.order, fleet, kits, run.rules.prices, catalogue, title),
        **loft_files(result, policy, catalogue),
    }
    return {name: (hashlib.sha256(data).hexdigest(), data) for name, data in files.items()}


def told_of(problem: MusterError) -> dict[str, Any]:
    """What was wrong with a list as a whole: the code and the errors of a problem document."""
    if isinstance(problem, ManyWithdrawnError):
        left_out = {"code": "left-out", "expected": "her row on the list"}
        boats = problem.boats[:MOST_WITHDRAWN_NAMED]
        return {"code": "would-withdraw", "errors": [{"field": boat, **left_out} for boat in boats]}
    said = {"field": problem.where, "code": "not-valid", "expected": problem.expected, "mend": problem.mend}
    return {"code": "not-valid", "errors": [said]}


def _upload(connection: Connection, fleet_id: str, number: int) -> Upload:
    columns = (revisions.c[one.name] for one in fields(Upload))
    here = revisions.c.fleet_id == fleet_id, revisions.c.number == number
    return Upload(**connection.execute(select(*columns).where(*here)).mappings().one())


def _version(connection: Connection, fleet_id: str) -> tuple[int, int | None]:
    row = connection.execute(select(fleets.c.version, fleets.c.revision).where(fleets.c.id == fleet_id)).one()
    return row.version, row.revision


def _refuse_taken(connection: Connection, job: Job) -> None:
    if not is_owned(connection, job):
        raise JobTaken
