"""What the jobs do: take an upload into force, and make order and site of the upload in force."""

from __future__ import annotations

import datetime as dt
import json
import logging
import secrets
from dataclasses import dataclass
from typing import Any, Final

from sqlalchemy import Connection

from api.jobs.queue import Job, add_site_job, fail, finish, is_owned
from api.jobs.reporting import Reporter
from api.judging.run import FleetRun
from api.output_folder import claimed
from api.season.engines import Engines
from api.season.lists import (
    FleetState,
    KeptList,
    MovedOn,
    has_ready_answers,
    kept_list,
    put_in_force,
    ready_answers,
    state_of,
)
from api.season.publishing import publish
from api.season.rules import number_in_force, rules_of
from api.season.working import basis_now, judged, work_on
from api.second_process import SecondProcess
from api.settings import Settings
from api.storage.boats import KeptResult
from api.storage.store import Store
from api.storage.unavailable import UNAVAILABLE, DatabaseUnavailable
from api.trail.chain import Actor
from sizing.errors import MusterError, OutputError
from sizing.intake import read_fleet
from sizing.model import IntakeResult
from sizing.revision import ManyWithdrawnError, refuse_many_withdrawn

MOST_ROUNDS: Final = 5
MOST_WITHDRAWN_NAMED: Final = 1_000
_log: Final = logging.getLogger(__name__)


class JobRefused(Exception):  # noqa: N818  the outcome of a job, reported to whoever asked for it
    """A job cannot be done, for a reason the reader can mend."""


class JobTaken(Exception):  # noqa: N818  as above
    """The worker was taken for dead, and another has the job: nothing of this one's may be kept."""


@dataclass(frozen=True)
class Tasks:
    """Everything a job needs."""

    store: Store
    engines: Engines
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
        except OutputError as problem:
            _log.exception("job %s failed", job.id)
            told = OutputError("the server's output folder", problem.found, problem.expected, problem.mend)
            fail(self.store, job, str(told))
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
        """Read a list, judge it with what was found aboard, and put it in force: all of it or nothing.

        Of the list in force, what the interface answers is made anew where it is not there, or not by the
        rules in force.
        """
        assert job.revision is not None
        day = self.settings.day()
        for _ in range(MOST_ROUNDS):
            in_force = self.engines.in_force()
            with self.store.read() as connection:
                state = state_of(connection, job.fleet_id)
                sent = kept_list(connection, job.fleet_id, job.revision)
                ready = has_ready_answers(connection, job.fleet_id)
            is_new = sent.state == "received"
            if not is_new and (state.in_force is None or state.in_force.number != sent.number):
                return  # it was in force and was to be judged anew; another list is in its place by now
            if state.in_force and state.in_force.number > sent.number:
                raise JobRefused("A later upload is in force already.")
            if not is_new and ready and sent.rules == in_force.number:
                return  # it was put in force before the worker, or the database, went away
            run = judged(in_force.engine, self._read(sent, day, report), state.scrutiny, day, report)
            if is_new and state.in_force and not sent.withdraw:
                self._ask_about_withdrawals(run, sent, state.in_force, report)
            answers = ready_answers(run)

            def write(
                connection: Connection,
                state: FleetState = state,
                run: FleetRun = run,
                answers: list[KeptResult] = answers,
                number: int = sent.number,
                rules: int = in_force.number,
            ) -> None:
                _refuse_taken(connection, job)
                asker = Actor(job.asked_by, "program")
                put_in_force(connection, asker, state, number, run, answers, rules=rules, day=day)
                add_site_job(connection, job.fleet_id, job.asked_by)

            try:
                self.store.write(write)
            except MovedOn:
                continue
            return
        raise JobRefused("Boats were inspected faster than the fleet was judged; upload the file again.")

    def _ask_about_withdrawals(
        self, run: FleetRun, sent: KeptList, before: KeptList, report: Reporter
    ) -> None:
        """Refuse a list that leaves out much of the one in force: it may be a part of the list."""
        earlier = self._read(before, self.settings.day(), report)
        refuse_many_withdrawn(
            earlier, run.intake, secrets.token_bytes(), sent.filename,
            f"upload {before.number}, which is in force",
            "upload it once more with withdraw=true; for another fleet, make that fleet first",
        )  # fmt: skip

    def _read(self, sent: KeptList, day: dt.date, report: Reporter) -> IntakeResult:
        """Read a list by the columns that were confirmed last."""
        limits = self.engines.in_force().engine.limits
        with self.store.read() as connection:
            profile = rules_of(connection, number_in_force(connection)).profile
        return read_fleet(
            sent.content, sent.filename, today=day, limits=limits, profile=profile, progress=report
        )

    def _site(self, job: Job, report: Reporter) -> None:
        """Make everything there is of the list in force: tables, order, papers, messages and the site."""
        for _ in range(MOST_ROUNDS):
            try:
                self._make_site(job, report)
            except MovedOn:
                continue
            return
        raise JobRefused("Lists and rules came faster than the site was made; record one more inspection.")

    def _make_site(self, job: Job, report: Reporter) -> None:
        in_force, day = self.engines.in_force(), self.settings.day()
        with self.store.read() as connection:
            state = state_of(connection, job.fleet_id)
            if state.in_force is None:
                raise JobRefused("There is no upload in force.")
            if state.rules != in_force.number:
                raise MovedOn
            number = state.in_force.number
            basis = basis_now(connection, job.fleet_id, in_force.rules, in_force.engine.rules, number)
        _, work = work_on(
            self._read(state.in_force, day, report), basis, day,
            cutting_seconds=self.settings.cutting_seconds, progress=report,
        )  # fmt: skip
        out = self.settings.folder / state.folder
        with claimed(self.settings.folder, wait=True):  # as a run of any fleet does
            publish(
                self.store, Actor(job.asked_by, "program"), state, work, out, self.settings.anchors,
                day=day, second=SecondProcess(wanted=False), progress=report,
                still_wanted=lambda connection: _refuse_taken(connection, job),
            )  # fmt: skip


def _no_file(problem: OSError) -> str:
    """The reason of a job that met a full disk, or a folder that cannot be written."""
    return (
        f"A file of the server could not be read or written ({problem.strerror or 'no reason was given'}). "
        "Expected: room on its disk, and a data folder that it may write. To mend it: make room or change "
        "the permissions on the server, then upload again, or record one more inspection."
    )


def told_of(problem: MusterError) -> dict[str, Any]:
    """What was wrong with a list as a whole: the code and the errors of a problem document."""
    if isinstance(problem, ManyWithdrawnError):
        left_out = {"code": "left-out", "expected": "her row on the list"}
        boats = problem.boats[:MOST_WITHDRAWN_NAMED]
        return {"code": "would-withdraw", "errors": [{"field": boat, **left_out} for boat in boats]}
    said = {"field": problem.where, "code": "not-valid", "expected": problem.expected, "mend": problem.mend}
    return {"code": "not-valid", "errors": [said]}


def _refuse_taken(connection: Connection, job: Job) -> None:
    if not is_owned(connection, job):
        raise JobTaken
