"""What Schemathesis is told of the fleet it meets, so that most of its requests come through to the work.

It invents ids, versions and files that nobody gave out: every write would end at 404 or 412. Four in five
requests that fit the description are therefore given addresses that are there, the present version, a fresh
key and figures that can be read; the rest, and all that is meant to be wrong, stay as invented. What an
earlier answer gave out stays too, so that chains of requests go on with what they began.
"""

from __future__ import annotations

import datetime as dt
import json
import secrets
import time
from dataclasses import asdict, dataclass, field
from pathlib import Path
from random import Random
from typing import Any, Final

import httpx
from schemathesis import Case, Response
from schemathesis.core.parameters import ParameterLocation
from schemathesis.generation.meta import CoveragePhaseData
from schemathesis.transport.serialization import Binary

from tests.api.running import LONGEST_S

UNKNOWN_SHARE: Final = 0.2
FIGURES: Final = {
    "displacement": "9.2 t", "loa": "11.6 m", "cone_count": "120", "end_weight": "14 kg",
    "lead_line_diameter": "22 mm", "lead_line_length": "24 m", "bridle_diameter": "20 mm",
    "attachment_rating": "70 kN", "line_state": "good", "stowed_ready": "yes", "made_year": "2022",
    "last_inspected": "2026-09-12", "condition": "fair", "section_diameters": "24 mm; 20 mm",
}  # fmt: skip
CHECKS: Final = ("line.lead-length", "drag.cone-count", "bridle.leg-length", "condition.age")
KINDS: Final = ("revisions", "inspections", "waivers")


@dataclass(frozen=True)
class Known:
    """What is there before the first request: a fleet, her boats, a job, files; and an officer's token."""

    url: str
    token: str
    fleet: str
    boats: tuple[str, ...]
    job: str
    files: tuple[str, ...]
    sheet: str

    def write(self, path: Path) -> None:
        """Keep it for another process."""
        path.write_text(json.dumps(asdict(self)))

    @classmethod
    def read(cls, path: Path) -> Known:
        """What another process kept."""
        told = json.loads(path.read_text())
        return cls(**{**told, "boats": tuple(told["boats"]), "files": tuple(told["files"])})


class Sample:
    """Of the edges of an operation each kind once at each place: one thing that is no number, not all."""

    def __init__(self) -> None:
        self._seen: set[tuple[object, ...]] = set()

    def takes(self, case: Case[Any]) -> bool:
        """Whether this is the first of its kind; whatever is no edge is always taken."""
        edge = case.meta.phase.data if case.meta is not None else None
        if not isinstance(edge, CoveragePhaseData):
            return True
        place = edge.parameter_location, edge.parameter, edge.location
        kind = (case.path, case.operation.method, edge.scenario, *place)
        if kind in self._seen:
            return False
        self._seen.add(kind)
        return True


@dataclass
class Scene:
    """The fleet as the requests so far have left it."""

    known: Known
    given_out: set[object] = field(default_factory=set)
    numbers: set[tuple[str, str, int]] = field(default_factory=set)

    def __post_init__(self) -> None:
        known = self.known
        self.given_out |= {known.fleet, known.job, *known.boats, *known.files}
        self.numbers.add(("revisions", known.fleet, 1))
        self.officer = httpx.Client(
            base_url=known.url,
            headers={"authorization": f"Bearer {known.token}"},
            timeout=LONGEST_S,
            trust_env=False,
        )

    def fill(self, case: Case[Any]) -> None:
        """Make most of what is invented something that is there."""
        dice = self._dice(case)
        if dice.random() < UNKNOWN_SHARE:
            return
        if not _negative(case, ParameterLocation.PATH):
            self._address(case, dice)
        if not _negative(case, ParameterLocation.BODY):
            self._body(case, dice)
        if not _negative(case, ParameterLocation.HEADER):
            self._headers(case)

    def learn(self, case: Case[Any], response: Response) -> None:
        """Remember what is given out; wait for an upload's job, so that its boats are there next."""
        self.given_out.update(response.headers.get("etag", ()))
        kind = response.headers.get("content-type", [""])[0]
        if response.status_code not in (200, 201, 202) or kind != "application/json":
            return
        told = response.json()
        self._remember(told)
        if response.status_code == 202:
            self.numbers.add(("revisions", case.path_parameters["fleet_id"], told["revision"]))
            until = time.monotonic() + LONGEST_S
            while self.officer.get(f"/v1/jobs/{told['job']}").json()["state"] not in ("done", "failed"):
                assert time.monotonic() < until, "the job of an upload does not end"
                time.sleep(0.02)

    def _remember(self, told: Any) -> None:
        for one in told if isinstance(told, list) else [told]:
            if not isinstance(one, dict):
                continue
            ids = (one.get(name) for name in ("id", "job", "site_job", "boat_id", "boat_etag"))
            self.given_out.update(value for value in ids if value)
            if "number" in one and "fleet_id" in one:
                kind = "waivers" if "check" in one else "inspections"
                self.numbers.add((kind, one["fleet_id"], one["number"]))
            for value in one.values():
                if isinstance(value, dict | list):
                    self._remember(value)

    def _dice(self, case: Case[Any]) -> Random:
        """Chance that falls alike for requests invented alike: a chain that is replayed has to go alike."""
        new = {name: value for name, value in case.path_parameters.items() if value not in self.given_out}
        told = (case.method, case.path, new, case.query, case.body, case.headers.get("Idempotency-Key"))
        return Random(repr(told))  # noqa: S311  nothing secret

    def _address(self, case: Case[Any], dice: Random) -> None:
        """Ids and numbers that are there, in place of those that nobody gave out."""
        parts, known = case.path_parameters, self.known
        here = {
            "fleet_id": (known.fleet,), "boat_id": known.boats, "job_id": (known.job,), "name": known.files
        }  # fmt: skip
        kind = next((kind for kind in KINDS if f"/{kind}/" in case.path), "")
        new = {name for name in here if name in parts and parts[name] not in self.given_out}
        numbered = "number" in parts and (kind, parts["fleet_id"], parts["number"]) not in self.numbers
        if "fleet_id" in parts and (new or numbered):
            new |= {"fleet_id", "boat_id"} & set(parts)  # what was not given out is of no new fleet either
        for name in sorted(new):
            parts[name] = dice.choice(here[name])
        if numbered:
            parts["number"] = self._number(kind, parts, dice)

    def _number(self, kind: str, parts: dict[str, Any], dice: Random) -> int:
        """The number of an upload, or of an inspection or waiver made now; 1 where it cannot be."""
        if kind == "revisions":
            return 1
        boat_id, place = parts.get("boat_id") or dice.choice(self.known.boats), f"/{kind}"
        body: dict[str, Any] = {"measurements": [], "note": "seen"}
        if kind == "waivers":
            body = {
                "boat_id": boat_id, "check": dice.choice(CHECKS), "reason": "A test of it.",
                "officer": "Office", "until": "2027-06-30",
            }  # fmt: skip
        else:
            place = f"/boats/{boat_id}/{kind}"
        headers = {
            "if-match": self._version(f"/boats/{boat_id}"), "idempotency-key": secrets.token_hex(8)
        }  # fmt: skip
        answer = self.officer.post(f"/v1/fleets/{self.known.fleet}{place}", json=body, headers=headers)
        return int(answer.json()[kind[:-1]]["number"]) if answer.status_code == 201 else 1

    def _version(self, place: str, fleet_id: str = "") -> str:
        """The present ETag of a boat or of a fleet; one that never was where there is none."""
        answer = self.officer.get(f"/v1/fleets/{fleet_id or self.known.fleet}{place}")
        return str(answer.headers.get("etag", '"none"'))

    def _body(self, case: Case[Any], dice: Random) -> None:
        """A known boat, figures that can be read, and a real entry list."""
        if case.path.endswith("/revisions") and case.method == "POST":
            # As text: the bytes that are invented for a table never leave Schemathesis 4.32.
            invented = case.body.data.decode("latin-1") if isinstance(case.body, Binary) else ""
            real = Path(self.known.sheet).read_text()
            case.body, case.media_type = (invented if dice.random() < 0.3 else "") or real, "text/csv"
        if not isinstance(case.body, dict):
            return
        body = dict(case.body)
        if "boat_id" in body and body["boat_id"] not in self.given_out:
            body["boat_id"] = dice.choice(self.known.boats)
        for name in ("measurements", "changes"):
            if isinstance(asked := body.get(name), list) and asked:
                fields = dice.sample(sorted(FIGURES), min(len(asked), len(FIGURES)))
                body[name] = [{"field": field, "value": FIGURES[field]} for field in fields]
        if isinstance(body.get("observed_at_phone_clock"), str):
            body["observed_at_phone_clock"] = dt.datetime.now(dt.UTC).isoformat(timespec="seconds")
        case.body = body

    def _headers(self, case: Case[Any]) -> None:
        """A key not used before, and the present version, where they are sent at all."""
        headers = case.headers
        if "Idempotency-Key" in headers:
            headers["Idempotency-Key"] = secrets.token_hex(8)
        if "If-Match" in headers and headers["If-Match"] not in self.given_out:
            place = self._subject(case)
            headers["If-Match"] = self._version(place, case.path_parameters["fleet_id"])

    def _subject(self, case: Case[Any]) -> str:
        """What a write is about, below the fleet's address."""
        parts, body = case.path_parameters, case.body
        if "boat_id" in parts:
            return f"/boats/{parts['boat_id']}"
        if case.path.endswith("/waivers") and isinstance(body, dict):
            return f"/boats/{body.get('boat_id')}"
        if "/waivers/" in case.path:
            page = self.officer.get(f"/v1/fleets/{parts['fleet_id']}/waivers?limit=200").json()
            boats = (one["boat_id"] for one in page.get("items", ()) if one["number"] == parts["number"])
            return f"/boats/{next(boats, 'none')}"
        return ""


def _negative(case: Case[Any], place: ParameterLocation) -> bool:
    """Whether this part of a request is meant to be wrong."""
    return case.meta is not None and case.meta.is_negative_at(place)
