"""The whole description against the real server: examples, edges, invented requests, and their sequences.

Every phase and every check of Schemathesis, for every role and for nobody, on both kinds of database, each
to its own end; from its command line, which learns links from Location headers, and from pytest. A
precondition that does not hold (401, 403, 404, 409, 412, 428) is a right answer to a request that fits the
description; so is 422 where a text has to be a quantity that the engine can read.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import httpx
import hypothesis
import pytest
import requests
import schemathesis
from hypothesis import HealthCheck
from schemathesis import Case
from schemathesis.checks import CHECKS, load_all_checks
from schemathesis.config import SchemathesisConfig

from api.http.app import make_app
from api.http.links import LINKS, Link
from api.signin.roles import ROLES
from tests.api.running import Running, ended, key, quiet, settings, sheet, upload
from tests.api.schema_scene import FIGURES, Known, Scene

ROOT = Path(__file__).resolve().parents[2]
TAKEN = ["2xx", "304", "401", "403", "404", "409", "412", "422", "428"]
REFUSED = ["400", "401", "403", "404", "412", "415", "422", "428"]
STATUSES = {
    "positive_data_acceptance": {"expected-statuses": TAKEN},
    "missing_required_header": {"expected-statuses": REFUSED},
}
PHASES = ("examples", "coverage", "fuzzing", "stateful")
SEED = 20270515
# Of an operation, and sequences. The officer reaches everything and goes along the links of the description
# and of Location headers alone; the others also along the hundreds that Schemathesis guesses from names.
EXAMPLES = {"officer": (10, 20)}
FEWER = (4, 5)
LEARNT = '["location-headers"]'
GUESSED = '["location-headers", "dependency-analysis"]'
HOOKS = """
from pathlib import Path
import schemathesis
from tests.api.schema_scene import Known, Scene

scene = Scene(Known.read(Path({known!r})))

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
    """What a run of the command line reports: its summary, checks passed by name, links walked by status."""

    summary: dict[str, Any]
    checks: Counter[str]
    links: Counter[tuple[str, int]]

    @classmethod
    def read(cls, folder: Path) -> Told:
        """Read its two reports: the summary, and the record of every request."""
        summary = json.loads(next(folder.glob("json-*.json")).read_text())
        checks: Counter[str] = Counter()
        links: Counter[tuple[str, int]] = Counter()
        with next(folder.glob("ndjson-*.ndjson")).open() as lines:
            for line in lines:
                record = json.loads(line).get("ScenarioFinished", {}).get("recorder", {})
                for made in record.get("checks", {}).values():
                    checks.update(one["name"] for one in made if one["status"] == "success")
                for name, case in record.get("cases", {}).items():
                    answer = record.get("interactions", {}).get(name, {}).get("response")
                    if case.get("is_transition_applied") and answer:
                        links[case["transition"]["id"], answer["status_code"]] += 1
        return cls(summary, checks, links)


def run(up: Running, role: str | None, folder: Path) -> Told:
    """Run the command line to its end."""
    known_to(up, role, folder).write(folder / "known.json")
    (folder / "hooks.py").write_text(HOOKS.format(known=str(folder / "known.json")))
    examples, sequences = EXAMPLES.get(role or "", FEWER)
    config = [f'hooks = "{folder / "hooks.py"}"', "[phases.stateful]", "max-steps = 12"]
    config += ["[phases.stateful.generation]", f"max-examples = {sequences}"]
    config += ["[phases.stateful.inference]", f"algorithms = {LEARNT if role == 'officer' else GUESSED}"]
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


def named(link: Link) -> str:
    """A link as the report names it."""
    (method, path, status), (aimed, there) = link.source, link.target
    return f"{method.upper()} {path} -> [{status}] {link.name} -> {aimed.upper()} {there}"


@pytest.mark.parametrize("role", [*ROLES, None])
def test_the_server_does_what_its_description_says(
    up: Running, role: str | None, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = run(up, role, tmp_path)
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
    assert cases["generated"] > 1400
    load_all_checks()
    assert set(CHECKS.get_all_names()) <= set(told.checks), "every check was on"
    walked = {link for link, status in told.links if status < 300}
    if role == "officer":
        ours = walked & {named(link) for link in LINKS}
        changing = {link.partition(" -> ")[0] for link in ours if link.startswith("POST ")}
        assert len(ours) >= len(LINKS) / 3, ours
        assert len(changing) >= 3, f"chains went on from {changing} only"
    with capsys.disabled():
        print(
            f"\n  Schemathesis as {role or 'nobody'}: {cases['generated']} cases, {len(walked)} links walked"
        )


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


@described.parametrize()
@hypothesis.settings(max_examples=5, deadline=None, database=None, suppress_health_check=list(HealthCheck))
def test_every_operation_from_pytest(case: Case[Any], scene: Scene, connections: requests.Session) -> None:
    scene.fill(case)
    token = {"Authorization": f"Bearer {scene.known.token}"}
    answer = case.call_and_validate(base_url=scene.known.url, session=connections, headers=token)
    scene.learn(case, answer)


WALK = """
upload
  revision
  job
    rejected
    changes
    file
    boats
      first-boat
        requirement
        findings
        inspections
        what-if
        inspect
          site-job
          boat
          sign-off
            site-job
            withdrawal
              boat
                waive
                  site-job
                  withdrawal
                    waivers
fleet
  boats
    first-boat
      inspect
        withdrawal
  findings
  inspections
  order
  order-files
    first-file
  revisions
  waivers
fleet
  upload
"""
BODIES: Mapping[str, dict[str, Any]] = {
    "inspections": {"measurements": [{"field": "end_weight", "value": FIGURES["end_weight"]}]},
    "waivers": {"check": "line.lead-length", "reason": "A test.", "officer": "Office", "until": "2027-06-30"},
    "sign-off": {"statement": "Seen aboard."},
    "withdrawal": {"reason": "Wrong boat."},
    "what-if": {"changes": [{"field": "displacement", "value": FIGURES["displacement"]}]},
}


@dataclass(frozen=True)
class Step:
    """An answer along the walk: of which operation, with which parts of its address."""

    method: str
    path: str
    parts: Mapping[str, str]
    answer: httpx.Response

    def value(self, told: str) -> str:
        """What a runtime expression stands for here."""
        kind, _, rest = told.removeprefix("$").partition(".")
        if kind == "request":
            return self.parts[rest.removeprefix("path.")]
        if rest.startswith("header."):
            return self.answer.headers[rest.removeprefix("header.")]
        value: Any = self.answer.json()
        for part in rest.removeprefix("body#/").split("/"):
            value = value[int(part) if isinstance(value, list) else part]
        return str(value)


def follow(officer: httpx.Client, paths: Mapping[str, Any], step: Step, name: str) -> Step:
    """Send the request that a link of an answer describes."""
    link = paths[step.path][step.method]["responses"][str(step.answer.status_code)]["links"][name]
    [(method, path)] = [
        (method, path)
        for path, ways in paths.items()
        for method, one in ways.items()
        if one["operationId"] == link["operationId"]
    ]
    places: dict[str, dict[str, str]] = {"path": {}, "header": {}}
    for place, told in link["parameters"].items():
        kind, _, key_of = place.partition(".")
        places[kind][key_of] = step.value(told)
    headers = {**key(), **places["header"]}
    sent: dict[str, Any] = {}
    if method == "post" and path.endswith("/revisions"):
        sent, headers["content-type"] = {"content": sheet()}, "text/csv"
    elif method == "post":
        added = {field: step.value(told) for field, told in link.get("requestBody", {}).items()}
        sent = {"json": {**BODIES[path.rpartition("/")[2]], **added}}
    answer = officer.request(method, path.format(**places["path"]), headers=headers, **sent)
    assert answer.status_code < 300, (step.path, name, answer.text)
    if path.startswith("/v1/jobs/"):
        ended(officer, answer.json()["id"])
    return Step(method, path, places["path"], answer)


def test_every_link_leads_on(up: Running) -> None:
    """Read as OpenAPI 3.1 says (Link Object, with its Runtime Expressions), from a fleet's first day."""
    walked: set[tuple[str, str, int, str]] = set()
    with up.client() as officer:
        paths = officer.get("/openapi.json").json()["paths"]

        def go(step: Step, name: str) -> Step:
            walked.add((step.method, step.path, step.answer.status_code, name))
            return follow(officer, paths, step, name)

        made = officer.post("/v1/fleets", json={"name": "Walked"}, headers=key())
        trail = [Step("post", "/v1/fleets", {}, made)]
        for line in WALK.strip().splitlines():
            deep = (len(line) - len(line.lstrip())) // 2
            if line == "fleet":
                quiet(officer)  # the order is made by then
            trail = [*trail[: deep + 1], go(trail[deep], line.strip())]
        go(Step("get", "/v1/fleets", {}, officer.get("/v1/fleets")), "first-fleet")
    assert walked == {(*link.source, link.name) for link in LINKS}
