"""What follows from an answer: links of the description (OpenAPI 3.1) from a response to the next requests.

Readable clients offer them as next steps; testers walk along them. Each is checked when the description is
made: a link to an operation, a parameter or a response that is not there is an error.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final

_FLEETS: Final = "/v1/fleets"
_FLEET: Final = _FLEETS + "/{fleet_id}"
_BOAT: Final = _FLEET + "/boats/{boat_id}"
_JOB: Final = "/v1/jobs/{job_id}"
_HERE: Final = {"path.fleet_id": "$request.path.fleet_id"}
_HER: Final = {**_HERE, "path.boat_id": "$request.path.boat_id"}
_READ: Final = {"header.If-Match": "$response.header.etag"}
_KEPT: Final = {"header.If-Match": "$response.body#/boat_etag"}
_INSPECTION: Final = {**_HER, "path.number": "$response.body#/inspection/number", **_KEPT}
_WAIVER: Final = {**_HERE, "path.number": "$response.body#/waiver/number", **_KEPT}
_SITE: Final = {"path.job_id": "$response.body#/site_job"}


@dataclass(frozen=True)
class Link:
    """From one answer of an operation to a request of another, with what it takes over."""

    source: tuple[str, str, int]
    name: str
    target: tuple[str, str]
    parameters: Mapping[str, str] = field(default_factory=dict)
    body: Mapping[str, str] | None = None


def _of_a_fleet(source: tuple[str, str, int], place: Mapping[str, str]) -> tuple[Link, ...]:
    """The lists of a fleet, from an answer that names her."""
    lists = ("boats", "findings", "inspections", "order", "order/files", "revisions", "waivers")
    return tuple(
        Link(source, name.replace("/", "-"), ("get", f"{_FLEET}/{name}"), {**place}) for name in lists
    )


_MADE: Final = ("post", _FLEETS, 201)
_UPLOADED: Final = ("post", _FLEET + "/revisions", 202)
_FOUND: Final = ("get", _BOAT, 200)
_RECORDED: Final = ("post", _BOAT + "/inspections", 201)
_SIGNED: Final = ("post", _BOAT + "/inspections/{number}/sign-off", 200)
_WITHDRAWN: Final = ("post", _BOAT + "/inspections/{number}/withdrawal", 200)
_WAIVED: Final = ("post", _FLEET + "/waivers", 201)
_UNWAIVED: Final = ("post", _FLEET + "/waivers/{number}/withdrawal", 200)
_NEW: Final = {"path.fleet_id": "$response.body#/id"}
_FIRST: Final = {"path.fleet_id": "$response.body#/items/0/id"}
_REVISION: Final = {"path.fleet_id": "$response.body#/fleet_id", "path.number": "$response.body#/revision"}

LINKS: Final = (
    Link(_MADE, "fleet", ("get", _FLEET), _NEW),
    Link(_MADE, "upload", ("post", _FLEET + "/revisions"), {**_NEW, **_READ}),
    Link(("get", _FLEETS, 200), "first-fleet", ("get", _FLEET), _FIRST),
    Link(("get", _FLEET, 200), "upload", ("post", _FLEET + "/revisions"), {**_HERE, **_READ}),
    *_of_a_fleet(("get", _FLEET, 200), _HERE),
    Link(_UPLOADED, "job", ("get", _JOB), {"path.job_id": "$response.body#/job"}),
    Link(
        _UPLOADED, "revision", ("get", _FLEET + "/revisions/{number}"),
        {**_HERE, "path.number": "$response.body#/revision"},
    ),
    Link(("get", _JOB, 200), "boats", ("get", _FLEET + "/boats"), {
        "path.fleet_id": "$response.body#/fleet_id"
    }),
    *(
        Link(("get", _JOB, 200), name, ("get", f"{_FLEET}/revisions/{{number}}/{name}"), _REVISION)
        for name in ("rejected", "changes", "file")
    ),
    Link(("get", _FLEET + "/boats", 200), "first-boat", ("get", _BOAT), {
        **_HERE, "path.boat_id": "$response.body#/items/0/id"
    }),
    Link(("get", _FLEET + "/order/files", 200), "first-file", ("get", _FLEET + "/order/files/{name}"), {
        **_HERE, "path.name": "$response.body#/items/0/name"
    }),
    *(
        Link(_FOUND, name, ("get", f"{_BOAT}/{name}"), _HER)
        for name in ("requirement", "findings", "inspections")
    ),
    Link(_FOUND, "what-if", ("post", _BOAT + "/what-if"), _HER),
    Link(_FOUND, "inspect", ("post", _BOAT + "/inspections"), {**_HER, **_READ}),
    Link(_FOUND, "waive", ("post", _FLEET + "/waivers"), {**_HERE, **_READ}, {
        "boat_id": "$response.body#/id"
    }),
    Link(_RECORDED, "boat", ("get", _BOAT), _HER),
    Link(_RECORDED, "sign-off", ("post", _SIGNED[1]), _INSPECTION),
    Link(_RECORDED, "withdrawal", ("post", _WITHDRAWN[1]), _INSPECTION),
    Link(_SIGNED, "withdrawal", ("post", _WITHDRAWN[1]), _INSPECTION),
    Link(_WITHDRAWN, "boat", ("get", _BOAT), _HER),
    Link(_WAIVED, "withdrawal", ("post", _UNWAIVED[1]), _WAIVER),
    Link(_UNWAIVED, "waivers", ("get", _FLEET + "/waivers"), _HERE),
    *(Link(source, "site-job", ("get", _JOB), _SITE) for source in (_RECORDED, _SIGNED, _WAIVED)),
)  # fmt: skip


def add_links(paths: dict[str, Any]) -> None:
    """Write every link into the response it belongs to; KeyError where one leads nowhere."""
    for link in LINKS:
        method, path, status = link.source
        aimed, there = link.target
        target = paths[there][aimed]
        taken = {f"{one['in']}.{one['name']}" for one in target["parameters"]}
        if lost := set(link.parameters) - taken:
            raise KeyError(f"{link.name} of {path}: {there} does not take {sorted(lost)}")
        told: dict[str, Any] = {"operationId": target["operationId"], "parameters": dict(link.parameters)}
        if link.body is not None:
            told["requestBody"] = dict(link.body)
        paths[path][method]["responses"][str(status)].setdefault("links", {})[link.name] = told
