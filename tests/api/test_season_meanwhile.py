"""Two who work on a season at once: nothing of an earlier list or of earlier rules replaces what counts."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

import api.jobs.tasks
import api.running
import api.season.again
import api.season.inspections
from api.jobs.queue import Job, add_job, add_site_job, claim, fail
from api.jobs.tasks import Tasks
from api.running import OFFICER
from api.season.acting import Acting
from api.season.engines import Engines
from api.season.fleets import fleet_named
from api.season.lists import FleetState, MovedOn, state_of
from api.season.open_season import open_season
from api.season.rules import keep_rules, number_in_force, rules_of
from api.storage.schema import jobs, published, revisions
from api.storage.store import Store
from sizing.errors import OutputError
from tests.api.conftest import AS_IT_IS
from tests.api.running import BOATS, look_around, quiet, running, sheet
from tests.api.test_season import WEEK_1, amended, made, measured, run, same, served, two_weeks, undo
from tests.calling import DAY, call


@contextmanager
def season(out: Path) -> Iterator[tuple[Store, str]]:
    """The store of a season, and its first fleet."""
    with open_season(served(out)) as store:
        with store.read() as connection:
            fleet = fleet_named(connection, "")
        assert fleet
        yield store, fleet


def state_in(store: Store, fleet: str) -> FleetState:
    with store.read() as connection:
        return state_of(connection, fleet)


def states(store: Store) -> list[str]:
    with store.read() as connection:
        return list(connection.execute(select(revisions.c.state).order_by(revisions.c.number)).scalars())


def change_rules(store: Store) -> int:
    """Other rules come into force; what any boat needs is not changed by them."""

    def write(connection: Any) -> int:
        rules = rules_of(connection, number_in_force(connection))
        return keep_rules(connection, OFFICER, replace(rules, base_url="https://rally.example"))

    return store.write(write)


def once_before(
    monkeypatch: pytest.MonkeyPatch, module: Any, name: str, happens: Callable[[], object]
) -> list[tuple[Any, ...]]:
    """Let something happen in the midst of a work, once; the calls of that work."""
    whole, calls = getattr(module, name), []

    def meanwhile(*given: Any, **named: Any) -> Any:
        calls.append(given)
        if len(calls) == 1:
            happens()
        return whole(*given, **named)

    monkeypatch.setattr(module, name, meanwhile)
    return calls


def job_of(store: Store) -> Job:
    job = claim(store)
    assert job is not None
    return job


def tasks(store: Store, out: Path) -> Tasks:
    config = served(out)
    return Tasks(store, Engines(store, config), config)


def test_a_site_begun_before_a_run_does_not_replace_what_the_run_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The site of the list before stood in the place of the new one, noted as of the new one."""
    out = run(tmp_path, WEEK_1)
    with season(out) as (store, fleet):
        store.write(lambda connection: add_site_job(connection, fleet, "A test"))
        calls = once_before(monkeypatch, api.jobs.tasks, "work_on", lambda: run(tmp_path, BOATS, amended))
        tasks(store, out).run(job_of(store))
        assert len(calls) == 2
        with store.read() as connection:
            assert connection.execute(select(jobs.c.state)).scalar() == "done"
    followed = made(out)
    assert b"006" in followed["tables/sizing.csv"]
    same(followed, made(run(tmp_path, BOATS, amended)))


@pytest.mark.thorough
def test_publish_begun_before_a_run_is_refused_and_replaces_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = run(tmp_path, WEEK_1)
    with season(out) as (store, fleet):
        once_before(monkeypatch, api.season.again, "work_on", lambda: run(tmp_path, BOATS, amended))
        with pytest.raises(MovedOn):
            api.season.again.publish_now(store, served(out), state_in(store, fleet), OFFICER)
    followed = made(out)
    same(followed, made(run(tmp_path, BOATS, amended)))


def test_what_was_delivered_in_the_midst_of_publishing_is_not_told_of_as_published(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The season said that site and order were of the delivery too."""
    out = run(tmp_path, WEEK_1)
    (tmp_path / "delivery.csv").write_text(
        "item,quantity,unit,extra\nTWINE-WHIP,100,m,yes\n", encoding="utf-8"
    )
    with season(out) as (store, fleet):
        once_before(
            monkeypatch, api.season.again, "work_on",
            lambda: call("receive", tmp_path / "delivery.csv", "--out", out),
        )  # fmt: skip
        api.season.again.publish_now(store, served(out), state_in(store, fleet), OFFICER)
        with store.read() as connection:
            of = connection.execute(select(published.c.version)).scalar()
        assert of == state_in(store, fleet).version - 1
    done = call("verify", "--made", "--out", out)
    assert "more was recorded since it was made" in " ".join(done.stdout.split()), done.stderr


@pytest.mark.thorough
def test_who_inspects_while_the_rules_change_is_judged_by_the_new_ones(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Her boat was kept as judged by the rules of before, for good: nothing about her had changed by then."""
    out = run(tmp_path, BOATS)
    with running(served(out), loaded=False) as up, up.client() as officer:
        look_around(up)
        quiet(officer)
        number: list[int] = []
        calls = once_before(
            monkeypatch, api.season.inspections, "judge_again",
            lambda: number.append(change_rules(up.server.store)),
        )  # fmt: skip
        measured(up, "001", ("cone_count", "97"))
    by = [given[0].rules for given in calls if isinstance(given[0], Acting)]
    assert len(by) == 2
    assert by[1] == number[0] != by[0]


@pytest.mark.thorough
def test_rules_that_change_while_a_list_is_judged_are_not_taken_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = run(tmp_path, WEEK_1)
    before = made(out)
    with season(out) as (store, _):
        once_before(monkeypatch, api.running, "work_on", lambda: change_rules(store))
        with pytest.raises(OutputError, match="were changed while the list was judged"):
            run(tmp_path, BOATS)
        with store.read() as connection:
            assert rules_of(connection, number_in_force(connection)).base_url == "https://rally.example"
        assert states(store) == ["in force"]
    same(made(out), before)


@pytest.mark.thorough
def test_a_run_for_tables_alone_takes_no_boat_from_an_open_server(tmp_path: Path) -> None:
    """The dock had no boats until the server was started again."""
    out = run(tmp_path, WEEK_1)
    with running(served(out), loaded=False) as up, up.client() as officer:
        quiet(officer)
        (tmp_path / "next.csv").write_bytes(sheet(BOATS))
        done = call("run", tmp_path / "next.csv", "--make", "tables", "--out", out, *DAY)
        assert done.returncode == 3, done.stderr
        up.server.worker.wake()
        quiet(officer)
        fleet = officer.get("/v1/fleets").json()["items"][0]
        assert (fleet["boats"], fleet["revision"]) == (len(BOATS), 2)


def test_a_list_in_force_stays_in_force_where_it_cannot_be_judged_anew(tmp_path: Path) -> None:
    """It was called refused, and the next list was held against the one before it."""
    out = run(tmp_path, WEEK_1)
    with season(out) as (store, fleet):
        store.write(lambda connection: add_job(connection, fleet, "assess", "A test", 1))
        fail(store, job_of(store), "The program ended.")
        assert states(store) == ["in force"]


@pytest.mark.thorough
def test_a_list_taken_back_is_not_put_in_force_by_a_job_that_waited(tmp_path: Path) -> None:
    out = two_weeks(tmp_path)
    with season(out) as (store, fleet):
        store.write(lambda connection: add_job(connection, fleet, "assess", "A test", 2))
        assert undo(out).returncode == 0
        tasks(store, out).run(job_of(store))
        at = state_in(store, fleet).in_force
        assert at is not None
        assert at.number == 1
        assert states(store) == ["in force", "taken back"]


@pytest.mark.thorough
def test_a_list_run_once_more_is_not_undone_from_under_a_measurement(tmp_path: Path) -> None:
    """The boat that was measured is on the last list alone: undone, nobody saw her any more."""
    run(tmp_path, WEEK_1)
    out = run(tmp_path, BOATS)
    with running(served(out, site_wait=AS_IT_IS), loaded=False) as up:
        look_around(up)
        measured(up, "006", ("cone_count", "97"))
    run(tmp_path, BOATS)
    done = undo(out)
    assert done.returncode == 2
    assert "inspection 1 of entry 006" in " ".join(done.stderr.split())


@pytest.mark.thorough
def test_other_fleets_are_judged_anew_where_an_undo_brings_rules_back(tmp_path: Path) -> None:
    out = run(tmp_path, WEEK_1)
    with season(out) as (_, first):
        fleet: list[str | Path] = [out, "--fleet", first]
    (tmp_path / "other.csv").write_bytes(sheet(BOATS[:2]))
    tall_ships: list[str] = ["--fleet", "Tall ships", "--new-fleet", *DAY]
    other: list[str | Path] = ["run", tmp_path / "other.csv", "--out", out, *tall_ships]
    assert call(*other).returncode == 3
    (tmp_path / "next.csv").write_bytes(sheet(BOATS, amended))
    done = call("run", tmp_path / "next.csv", "--base-url", "https://rally.example", "--out", *fleet, *DAY)
    assert done.returncode == 3, done.stderr
    with open_season(served(out)) as store:
        with store.read() as connection:
            tall = fleet_named(connection, "Tall ships")
        assert tall
        tasks(store, out).run(job_of(store))
        assert call("undo", "--out", *fleet, *DAY).returncode == 0
        with store.read() as connection:
            waits = select(jobs.c.fleet_id).where(jobs.c.state == "queued", jobs.c.kind == "assess")
            assert connection.execute(waits).scalars().all() == [tall]


@pytest.mark.thorough
def test_a_server_and_a_run_write_into_a_further_fleets_folder_by_turns(tmp_path: Path) -> None:
    """Each held another lock: the folder of the fleet, and that of the season."""
    out = run(tmp_path, WEEK_1)
    (tmp_path / "other.csv").write_bytes(sheet(BOATS[:2]))
    tall_ships: list[str] = ["--fleet", "Tall ships", "--new-fleet", *DAY]
    done = call("run", tmp_path / "other.csv", "--out", out, *tall_ships)
    assert done.returncode == 3, done.stderr
    with open_season(served(out)) as store:
        with store.read() as connection:
            tall = fleet_named(connection, "Tall ships")
        assert tall
        store.write(lambda connection: add_site_job(connection, tall, "A test"))
        tasks(store, out).run(job_of(store))
    assert (out / ".in-use-by").read_text(encoding="ascii") == "server"


@pytest.mark.thorough
def test_as_of_a_day_is_the_list_in_force_at_its_end(tmp_path: Path) -> None:
    """After an undo it was the list that had been taken back; of no day at all it was the last one."""
    out = two_weeks(tmp_path)
    assert undo(out).returncode == 0
    first = made(out)
    done = call("publish", "--as-of", "2026-11-25", "--to", tmp_path / "then", "--out", out)
    assert done.returncode == 0, done.stderr
    same(made(tmp_path / "then"), first)
    for asked in ("tomorrow", "2026-13-01", "3"):
        done = call("publish", "--as-of", asked, "--to", tmp_path / "none", "--out", out)
        assert done.returncode == 2
        assert "no list of this season" in done.stderr
    assert not (tmp_path / "none").exists()


@pytest.mark.thorough
def test_an_earlier_list_made_again_replaces_nothing(tmp_path: Path) -> None:
    """`--to` the season's own folder put the figures of an earlier list in the place of those that count."""
    out = two_weeks(tmp_path)
    before = made(out)
    done = call("publish", "--as-of", "1", "--to", out, "--out", out)
    assert done.returncode == 2
    assert "holds something already" in done.stderr
    same(made(out), before)


def test_a_delivery_of_nothing_is_not_recorded(tmp_path: Path) -> None:
    """A file saved empty counted as received: the officer took it for recorded."""
    out = run(tmp_path, WEEK_1)
    for content in ("", "item,packs\n", "item,packs,pack_size\nTWINE-WHIP,0,100 m\n"):
        (tmp_path / "delivery.csv").write_text(content, encoding="utf-8")
        done = call("receive", tmp_path / "delivery.csv", "--out", out)
        assert done.returncode == 0, done.stderr
        assert "nothing was recorded" in " ".join(done.stdout.split())
    assert "received a delivery" not in call("log", "--out", out).stdout


def test_a_mistyped_fleet_is_called_so(tmp_path: Path) -> None:
    """It said that there was no season in the folder."""
    out = run(tmp_path, WEEK_1)
    done = call("undo", "--fleet", "Tal ships", "--out", out)
    assert done.returncode == 2
    assert "no fleet of this season is called “Tal ships”" in done.stderr
