"""The whole description against the real server: examples, edges, invented requests, and their sequences.

Every phase and every check of Schemathesis, each to its own end: from its command line, which learns from
answers where to go on, and from pytest. A precondition that does not hold (401, 403, 404, 409, 412, 428) is a
right answer to a request that fits the description; so is 422 where a text has to be a quantity that the
engine can read.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import hypothesis
import pytest
import requests
import schemathesis
from hypothesis import HealthCheck
from schemathesis import Case
from schemathesis.checks import CHECKS, load_all_checks
from schemathesis.config import SchemathesisConfig

from api.http.app import make_app
from api.signin.roles import ROLES
from tests.api.conftest import KINDS
from tests.api.running import Running, settings, sheet, upload
from tests.api.schema_scene import Known, Scene

ROOT = Path(__file__).resolve().parents[2]
TAKEN = ["2xx", "304", "401", "403", "404", "409", "412", "422", "428"]
REFUSED = ["400", "401", "403", "404", "412", "415", "422", "428"]
STATUSES = {
    "positive_data_acceptance": {"expected-statuses": TAKEN},
    "missing_required_header": {"expected-statuses": REFUSED},
}
PHASES = ("examples", "coverage", "fuzzing", "stateful")
SEED = 20270515
# Of an operation, and sequences.
EXAMPLES = (1, 2)
MORE = (10, 20)
FEWEST = 1000  # requests of a run with all edges
HOOKS = """
from pathlib import Path
import schemathesis
from tests.api.schema_scene import Known, Sample, Scene

scene = Scene(Known.read(Path({known!r})))
sample = Sample()

@schemathesis.hook
def filter_case(context, case):
    return {all_edges!r} or sample.takes(case)

@schemathesis.hook
def before_call(context, case, kwargs):
    scene.fill(case)

@schemathesis.hook
def after_call(context, case, response):
    scene.learn(case, response)
"""


def known_to(up: Running, role: str | None, folder: Path) -> Known:
    """What a role comes upon: a skipper her own boat, the others all of them."""
    (folder / "fleet.csv").write_bytes(sheet())
    with up.client() as officer:
        job = upload(officer, up.fleet, sheet())
        files = officer.get(f"/v1/fleets/{up.fleet}/order/files").json()["items"]
    boats = (up.boats["004"],) if role == "skipper" else tuple(up.boats.values())
    names = tuple(file["name"] for file in files)
    return Known(
        up.url, up.token("officer"), up.fleet, boats, job["id"], names, str(folder / "fleet.csv")
    )  # fmt: skip


@dataclass(frozen=True)
class Told:
    """What a run of the command line reports: its summary, checks passed, answers to steps of sequences."""

    summary: dict[str, Any]
    checks: Counter[str]
    steps: Counter[tuple[str, int]]

    @classmethod
    def read(cls, folder: Path) -> Told:
        """Read its two reports: the summary, and the record of every request."""
        summary = json.loads(next(folder.glob("json-*.json")).read_text())
        checks: Counter[str] = Counter()
        steps: Counter[tuple[str, int]] = Counter()
        with next(folder.glob("ndjson-*.ndjson")).open() as lines:
            for line in lines:
                record = json.loads(line).get("ScenarioFinished", {}).get("recorder", {})
                for made in record.get("checks", {}).values():
                    checks.update(one["name"] for one in made if one["status"] == "success")
                for name, case in record.get("cases", {}).items():
                    answer = record.get("interactions", {}).get(name, {}).get("response")
                    if case.get("is_transition_applied") and answer:
                        steps[case["transition"]["id"], answer["status_code"]] += 1
        return cls(summary, checks, steps)


def run(up: Running, role: str | None, folder: Path, most: tuple[int, int], *, all_edges: bool) -> Told:
    """Run the command line to its end."""
    known_to(up, role, folder).write(folder / "known.json")
    (folder / "hooks.py").write_text(HOOKS.format(known=str(folder / "known.json"), all_edges=all_edges))
    examples, sequences = most
    config = [f'hooks = "{folder / "hooks.py"}"', "[phases.stateful]", "max-steps = 12"]
    config += ["[phases.stateful.generation]", f"max-examples = {sequences}"]
    config += ["[checks]"]
    config += [f"{name}.expected-statuses = {told['expected-statuses']}" for name, told in STATUSES.items()]
    (folder / "schemathesis.toml").write_text("\n".join(config))
    scope = {"fleet_id": up.fleet, "boat_id": up.boats["004"]} if role == "skipper" else {}
    signed = ["-H", f"Authorization: Bearer {up.token(role, **scope)}"] if role else []
    done = subprocess.run(
        [
            sys.executable, "-m", "schemathesis.cli", "--config-file", "schemathesis.toml",
            "run", f"{up.url}/openapi.json", *signed, "--phases", ",".join(PHASES), "--checks", "all",
            "--max-examples", str(examples), "--seed", str(SEED), "--no-color",
            "--suppress-health-check", "all",  # how fast cases are invented is up to the machine's other work
            "--generation-database", "none", "--report", "json,ndjson", "--report-dir", "report",
        ],
        cwd=folder, env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout[-6000:] + done.stderr[-2000:]
    return Told.read(folder / "report")


def does_what_its_description_says(
    up: Running, role: str | None, folder: Path, most: tuple[int, int], *, all_edges: bool = True
) -> Counter[tuple[str, int]]:
    """Every operation tried, every phase ended, every check on, no failure; the steps of its sequences."""
    told = run(up, role, folder, most, all_edges=all_edges)
    summary, operations = told.summary, told.summary["operations"]
    with up.client(None) as nobody:
        paths = nobody.get("/openapi.json").json()["paths"]
    every = sum(len(operations) for operations in paths.values())
    assert operations | {"skip_reasons": []} == {
        "total": every, "selected": every, "tested": every, "errored": 0, "skipped": 0, "skip_reasons": [],
    }  # fmt: skip
    assert summary["phases"] == {phase: {"status": "success", "skip_reason": None} for phase in PHASES}
    assert (summary["complete"], summary["stop_reason"], summary["exit_code"]) == (True, "completed", 0)
    assert (summary["failures"], summary["errors"], summary["baseline"]) == ([], [], None)
    cases = summary["test_cases"]
    assert (cases["with_failures"], cases["unique_failures"], cases["errored"]) == (0, 0, 0)
    assert cases["generated"] > (FEWEST if all_edges else FEWEST / 2)
    load_all_checks()
    assert set(CHECKS.get_all_names()) <= set(told.checks), "every check was on"
    return told.steps


def test_the_server_does_what_its_description_says(on_file: Running, tmp_path: Path) -> None:
    """As the officer, who reaches everything; the steps of a sequence go on from what an answer gave out.

    Of the edges each kind once at each place: --thorough tries them all.
    """
    steps = does_what_its_description_says(on_file, "officer", tmp_path, EXAMPLES, all_edges=False)
    assert any(status < 300 for _, status in steps)


EVERY_ROLE: tuple[str | None, ...] = (*ROLES, None)
OTHERS = [("sqlite", role) for role in EVERY_ROLE]
OTHERS += [(kind, "officer") for kind in KINDS if kind != "sqlite"]


@pytest.mark.parametrize(
    ("up", "role", "most"),
    [pytest.param(*other, EXAMPLES, marks=pytest.mark.thorough) for other in OTHERS]
    + [pytest.param(kind, role, MORE, marks=pytest.mark.endurance) for kind in KINDS for role in EVERY_ROLE],
    indirect=["up"],
)
def test_it_does_for_every_role_and_on_either_kind_of_database(
    up: Running, role: str | None, most: tuple[int, int], tmp_path: Path
) -> None:
    does_what_its_description_says(up, role, tmp_path, most)


described = schemathesis.openapi.from_dict(
    make_app(settings(Path("nowhere"))).openapi(),
    config=SchemathesisConfig.from_dict(
        {"checks": STATUSES, "seed": SEED, "phases": {"coverage": {"enabled": False}}}
    ),
)


@pytest.fixture(scope="module")
def scene(up: Running, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Scene]:
    """What the officer comes upon."""
    scene = Scene(known_to(up, "officer", tmp_path_factory.mktemp("scene")))
    with scene.officer:
        yield scene


@pytest.fixture(scope="module")
def connections() -> Iterator[requests.Session]:
    """Connections that are kept and closed; each request carries its own token, or none."""
    with requests.Session() as session:
        session.trust_env = False
        yield session


@pytest.mark.thorough
@described.parametrize()
@hypothesis.settings(max_examples=5, deadline=None, database=None, suppress_health_check=list(HealthCheck))
def test_every_operation_from_pytest(case: Case[Any], scene: Scene, connections: requests.Session) -> None:
    scene.fill(case)
    token = {"Authorization": f"Bearer {scene.known.token}"}
    answer = case.call_and_validate(base_url=scene.known.url, session=connections, headers=token)
    scene.learn(case, answer)
