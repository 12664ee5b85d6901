"""Every route for every role: who gets in, and who is told that they may not."""

from __future__ import annotations

from typing import Any

import pytest

from api.signin.roles import PERMISSIONS, ROLES
from tests.api.running import Running

# What the rally means by its roles, told apart from the program's own table: o officer, s scrutineer,
# c chandlery, k skipper (of boat 001).
MATRIX = {
    ("GET", "/metrics"): "o",
    ("GET", "/v1/me"): "osck",
    ("GET", "/v1/fields"): "osck",
    ("GET", "/v1/fleets"): "osc",
    ("POST", "/v1/fleets"): "o",
    ("GET", "/v1/fleets/{fleet_id}"): "osc",
    ("POST", "/v1/fleets/{fleet_id}/revisions"): "o",
    ("GET", "/v1/fleets/{fleet_id}/revisions"): "os",
    ("GET", "/v1/fleets/{fleet_id}/revisions/{number}"): "os",
    ("GET", "/v1/fleets/{fleet_id}/revisions/{number}/rejected"): "o",
    ("GET", "/v1/fleets/{fleet_id}/revisions/{number}/changes"): "os",
    ("GET", "/v1/fleets/{fleet_id}/revisions/{number}/file"): "o",
    ("GET", "/v1/jobs/{job_id}"): "os",
    ("GET", "/v1/fleets/{fleet_id}/boats"): "osc",
    ("GET", "/v1/fleets/{fleet_id}/boats/{boat_id}"): "osk",
    ("GET", "/v1/fleets/{fleet_id}/boats/{boat_id}/requirement"): "osk",
    ("GET", "/v1/fleets/{fleet_id}/boats/{boat_id}/findings"): "osk",
    ("GET", "/v1/fleets/{fleet_id}/findings"): "os",
    ("POST", "/v1/fleets/{fleet_id}/boats/{boat_id}/what-if"): "osk",
    ("GET", "/v1/fleets/{fleet_id}/boats/{boat_id}/inspections"): "osk",
    ("POST", "/v1/fleets/{fleet_id}/boats/{boat_id}/inspections"): "os",
    ("GET", "/v1/fleets/{fleet_id}/inspections"): "os",
    ("POST", "/v1/fleets/{fleet_id}/boats/{boat_id}/inspections/{number}/sign-off"): "os",
    ("POST", "/v1/fleets/{fleet_id}/boats/{boat_id}/inspections/{number}/withdrawal"): "os",
    ("GET", "/v1/fleets/{fleet_id}/waivers"): "os",
    ("POST", "/v1/fleets/{fleet_id}/waivers"): "o",
    ("POST", "/v1/fleets/{fleet_id}/waivers/{number}/withdrawal"): "o",
    ("GET", "/v1/fleets/{fleet_id}/supplies"): "o",
    ("POST", "/v1/fleets/{fleet_id}/supplies"): "o",
    ("GET", "/v1/fleets/{fleet_id}/boats/{boat_id}/form"): "ok",
    ("POST", "/v1/fleets/{fleet_id}/boats/{boat_id}/answers"): "ok",
    ("GET", "/v1/fleets/{fleet_id}/answers"): "o",
    ("POST", "/v1/fleets/{fleet_id}/boats/{boat_id}/link"): "o",
    ("POST", "/v1/fleets/{fleet_id}/boats/{boat_id}/link/end"): "o",
    ("GET", "/v1/fleets/{fleet_id}/payments"): "oc",
    ("POST", "/v1/fleets/{fleet_id}/payments"): "oc",
    ("GET", "/v1/fleets/{fleet_id}/order"): "oc",
    ("GET", "/v1/fleets/{fleet_id}/order/files"): "oc",
    ("GET", "/v1/fleets/{fleet_id}/order/files/{name}"): "oc",
    ("GET", "/v1/trail"): "o",
    ("GET", "/v1/trail/verification"): "o",
}
LETTERS = {"o": "officer", "s": "scrutineer", "c": "chandlery", "k": "skipper"}
OPEN = {("GET", "/health"), ("GET", "/ready")}


def address(up: Running, path: str, boat: str = "001") -> str:
    named = {"fleet_id": up.fleet, "boat_id": up.boats[boat], "number": "1", "name": "order.csv",
             "job_id": "j" + "0" * 16}  # fmt: skip
    return path.format(**named)


def test_the_matrix_has_every_route(on_file: Running) -> None:
    with on_file.client(None) as nobody:
        paths: dict[str, Any] = nobody.get("/openapi.json").json()["paths"]
    routes = {(method.upper(), path) for path, operations in paths.items() for method in operations}
    assert routes == set(MATRIX) | OPEN


@pytest.mark.parametrize("role", ROLES)
def test_every_route_lets_in_whom_it_should(up: Running, role: str) -> None:
    """A write is sent without its headers: who may write is told 428 or 415, who may not 403."""
    with up.client(role) as client:
        for (method, path), letters in MATRIX.items():
            status = client.request(method, address(up, path)).status_code
            allowed = role in {LETTERS[letter] for letter in letters}
            assert (status != 403) is allowed, (role, method, path, status)
            assert status not in (401, 500), (role, method, path, status)


def test_a_skipper_sees_no_other_boat(up: Running) -> None:
    with up.client("skipper") as skipper:
        for (method, path), letters in MATRIX.items():
            if "k" in letters and "{boat_id}" in path:
                assert skipper.request(method, address(up, path, "002")).status_code == 403, path


@pytest.mark.parametrize("role", ["officer", "scrutineer", "chandlery"])
def test_a_token_of_one_fleet_reaches_no_other(up: Running, role: str) -> None:
    with up.client(role, fleet_id=up.fleet) as client:
        for (method, path), letters in MATRIX.items():
            inside = client.request(method, address(up, path)).status_code
            allowed = role in {LETTERS[letter] for letter in letters}
            about_all = path in ("/metrics", "/v1/trail", "/v1/trail/verification") or (method, path) == (
                "POST", "/v1/fleets",
            )  # fmt: skip
            assert (inside != 403) is (allowed and not about_all), (role, method, path, inside)
            if "{fleet_id}" in path:
                other = address(up, path).replace(up.fleet, "f" + "0" * 12)
                assert client.request(method, other).status_code == 403, path


def test_permissions_name_known_roles() -> None:
    assert all(roles <= set(ROLES) and "officer" in roles for roles in PERMISSIONS.values())


def test_contact_details_reach_the_officer_alone(up: Running) -> None:
    """The upload itself and nothing else that any role can read."""
    from tests.api.running import SECRET_MAIL  # noqa: PLC0415

    for role in ROLES:
        with up.client(role) as client:
            for method, path in MATRIX:
                if method == "GET" and not path.endswith(("/file", "/rejected")):
                    answer = client.get(address(up, path))
                    assert SECRET_MAIL not in answer.text, path
                    assert "Ida Morvelle" not in answer.text, path
    with up.client() as officer:
        kept = officer.get(address(up, "/v1/fleets/{fleet_id}/revisions/{number}/file"))
        assert SECRET_MAIL in kept.text
