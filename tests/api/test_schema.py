"""The whole description against the real server: examples, edges, invented requests, and their sequences.

Every check of Schemathesis is on, for every role and for nobody, on both kinds of database, for so
long as the budget of each allows. A precondition
that does not hold (401, 403, 404, 409, 412, 428) is a right answer to a request that fits the description;
so is 422 where a text has to be a quantity that the engine can read.
"""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from api.signin.roles import ROLES
from tests.api.running import Running

TAKEN = '["2xx", "304", "401", "403", "404", "409", "412", "422", "428"]'
REFUSED = '["400", "401", "403", "404", "412", "415", "422", "428"]'
HOOKS = """
import schemathesis
from schemathesis.core.parameters import ParameterLocation

KNOWN = {known}


@schemathesis.hook
def before_call(context, case, kwargs):
    # An address that fits the description is made one that is there; one meant to be wrong stays wrong.
    if case.meta is not None and case.meta.is_negative_at(ParameterLocation.PATH):
        return
    for name, value in KNOWN.items():
        if name in (case.path_parameters or {{}}):
            case.path_parameters[name] = value
"""
PHASES = "examples,coverage,fuzzing,stateful"


@pytest.mark.parametrize("role", [*ROLES, None])
def test_the_server_does_what_its_description_says(up: Running, role: str | None, tmp_path: Path) -> None:
    config = tmp_path / "schemathesis.toml"
    hooks = tmp_path / "hooks.py"
    hooks.write_text(HOOKS.format(known={"fleet_id": up.fleet, "boat_id": up.boats["004"]}))
    config.write_text(
        f'hooks = "{hooks}"\n[checks]\n'
        f"positive_data_acceptance.expected-statuses = {TAKEN}\n"
        f"missing_required_header.expected-statuses = {REFUSED}\n"
    )
    scope = {"fleet_id": up.fleet, "boat_id": up.boats["004"]} if role == "skipper" else {}
    signed = ["-H", f"Authorization: Bearer {up.token(role, **scope)}"] if role else []
    budget = "22" if role == "officer" else "7"  # the officer reaches everything, and gets through it all
    done = subprocess.run(
        [
            sys.executable, "-m", "schemathesis.cli", "--config-file", str(config),
            "run", f"{up.url}/openapi.json", *signed, "--phases", PHASES, "--checks", "all",
            "--max-examples", "4", "--max-time", budget, "--seed", "20270515", "--no-color",
            "--generation-database", "none", "--report-dir", str(tmp_path / "report"),
        ],
        cwd=tmp_path, capture_output=True, text=True, timeout=180, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout[-6000:] + done.stderr[-2000:]
    cases = re.search(r"(\d+) generated", done.stdout)
    assert cases, done.stdout[-3000:]
    assert int(cases.group(1)) > 30
    if role == "officer":
        with up.client(None) as nobody:
            paths = nobody.get("/openapi.json").json()["paths"]
        routes = sum(len(operations) for operations in paths.values())
        assert f"Tested: {routes}" in done.stdout, done.stdout[-3000:]
