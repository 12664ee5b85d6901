"""Sites built once for all tests."""

from __future__ import annotations

from pathlib import Path

import pytest

from sitegen import build_site
from sitegen.articles import files_in
from tests.calling import ROOT
from tests.sitegen import hostile_builder
from tests.sitegen.reader import watched
from tests.sitegen.result_builder import FLEET, Run, changes_between, make_run, with_strike

__all__ = ["watched"]  # a fixture, found by its name here


PAGES = ROOT / "fleet_demo" / "pages"


@pytest.fixture(scope="session")
def run() -> Run:
    return make_run()


@pytest.fixture(scope="session")
def site(run: Run, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("plain") / "site"
    build_site(run.result, run.policy, run.catalogue, folder)
    return folder


@pytest.fixture(scope="session")
def struck_site(run: Run, tmp_path_factory: pytest.TempPathFactory) -> Path:
    struck = with_strike(run)
    earlier = [dict(boat) for boat in FLEET[1:]]
    earlier[0] |= {"berth": "B9", "notes": "Bridle to be made.", "displacement": "3,000 kg"}
    folder = tmp_path_factory.mktemp("struck") / "site"
    build_site(
        struck.result,
        struck.policy,
        struck.catalogue,
        folder,
        changes=changes_between(make_run(earlier), run),
        downloads={"cone-pattern-A4.pdf": b"%PDF-1.7\n%%EOF\n", "cone-pattern.dxf": b"0\nEOF\n"},
        pages=files_in(PAGES),
    )
    return folder


@pytest.fixture(scope="session")
def hostile_run() -> Run:
    return hostile_builder.hostile_run()


@pytest.fixture(scope="session")
def hostile_site(hostile_run: Run, tmp_path_factory: pytest.TempPathFactory) -> Path:
    run, folder = hostile_run, tmp_path_factory.mktemp("hostile") / "site"
    changes = hostile_builder.hostile_changes(run)
    pages = files_in(PAGES) | {"rules.md": hostile_builder.PAGE.encode()}
    report = build_site(run.result, run.policy, run.catalogue, folder, changes=changes, pages=pages)
    assert report.boats == len(run.result.intake.fleet)
    return folder
