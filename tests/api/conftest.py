"""Databases of both kinds, and a server on each for the whole run.

By default the storage is tried on both, and all that is built on it on a file. PostgreSQL's part runs where
one answers: at DROGUE_MUSTER_TEST_POSTGRES, or on this machine. Where CI is "true" it has to. Elsewhere the
run says that it was left out.
"""

from __future__ import annotations

import multiprocessing
import os
import secrets
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import create_engine, make_url, text
from sqlalchemy.exc import OperationalError

import tests.api.running
from api.jobs import worker_process
from api.settings import Wait
from tests.api.phone import browser_phone, browser_tab, page, phone
from tests.api.running import Running, running, settings

__all__ = ["browser_phone", "browser_tab", "page", "phone"]  # fixtures, found by their names here

SERVER = os.environ.get("DROGUE_MUSTER_TEST_POSTGRES") or "postgresql://root@127.0.0.1:5432/postgres"
HOW = (
    f"the PostgreSQL part of tests/api was left out: no server at {make_url(SERVER).render_as_string()}. "
    "To include it, start one and set DROGUE_MUSTER_TEST_POSTGRES=postgresql://user@host/database."
)


def _answers() -> bool:
    engine = create_engine(
        make_url(SERVER).set(drivername="postgresql+psycopg"), connect_args={"connect_timeout": 3}
    )
    try:
        with engine.connect():
            return True
    except OperationalError:
        return False
    finally:
        engine.dispose()


POSTGRES = os.environ.get("CI") == "true" or _answers()
KINDS = ["sqlite", "postgresql"] if POSTGRES else ["sqlite"]


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    if not POSTGRES:
        terminalreporter.write_line(HOW, yellow=True)


@pytest.fixture(scope="session", autouse=True)
def quick_servers(shared_folder: Path) -> Iterator[None]:
    """A process for jobs starts at once, from one that has read the engine; data are made once for all."""
    multiprocessing.set_forkserver_preload(["tests.api.prefork"])
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(tests.api.running, "SHARED", shared_folder)
        patched.setattr(worker_process, "START_METHOD", "forkserver")
        yield


def new_database(kind: str, folder: Path) -> Iterator[str]:
    """Address of a database that is not there yet; it is gone afterwards."""
    if kind == "sqlite":
        yield f"sqlite:///{folder / 'data.sqlite'}"
        return
    name = f"drogue_muster_test_{secrets.token_hex(6)}"
    at = make_url(SERVER)
    engine = create_engine(at.set(drivername="postgresql+psycopg"), isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        connection.execute(text(f"CREATE DATABASE {name}"))
    try:
        yield at.set(database=name).render_as_string(hide_password=False)
    finally:
        with engine.connect() as connection:
            connection.execute(text(f"DROP DATABASE {name} WITH (FORCE)"))
        engine.dispose()


@pytest.fixture(params=KINDS)
def either_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """An empty database of either kind."""
    yield from new_database(request.param, tmp_path)


AS_IT_IS = Wait(3600.0, 3600.0)
"""A site that does not follow inspections by itself: made after each, it would take a core from the tests."""

FILE_BY_DEFAULT = [
    pytest.param(kind, marks=pytest.mark.thorough if kind != "sqlite" else ()) for kind in KINDS
]


@pytest.fixture(params=FILE_BY_DEFAULT)
def url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """An empty database, with --thorough of either kind."""
    yield from new_database(request.param, tmp_path)


@pytest.fixture(scope="session", params=FILE_BY_DEFAULT)
def up(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    """A server with the small fleet, with --thorough on either kind; shared by the tests of a run."""
    folder = tmp_path_factory.mktemp(request.param)
    for address in new_database(request.param, folder):
        with running(settings(folder, address, site_wait=AS_IT_IS)) as server:
            yield server


@pytest.fixture(scope="session")
def on_file(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    """A server with the small fleet on a file, where the kind of database does not matter."""
    with running(settings(tmp_path_factory.mktemp("file"), site_wait=AS_IT_IS)) as server:
        yield server
