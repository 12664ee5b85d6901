"""The register of acts: what stands in a trail is told in its words, and each act is done in one place."""

from __future__ import annotations

import ast
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest
from sqlalchemy import select

from api.season import acts
from api.season.acts import ACTS, Act
from api.season.errors import NotFound
from api.season.tokens import make_token, revoke_token
from api.signin.tokens import list_tokens
from api.storage.schema import trail
from tests.api.running import Running, key, sheet, upload
from tests.api.test_commands import run

PACKAGE = Path(acts.__file__).resolve().parents[1]
CONSTANTS = {name: value for name, value in vars(acts).items() if isinstance(value, Act)}


def users() -> dict[str, set[str]]:
    """Functions of the package that name an act, by the act."""
    found: dict[str, set[str]] = defaultdict(set)
    for path in PACKAGE.rglob("*.py"):
        for name, where in named(ast.parse(path.read_text(encoding="utf-8"))):
            if name in CONSTANTS and path != Path(acts.__file__).resolve():
                found[name].add(f"{path.relative_to(PACKAGE)} {where}")
    return found


def named(tree: ast.Module) -> Iterator[tuple[str, str]]:
    """Every name that is used, and the outermost function or class it is used in."""
    for top in tree.body:
        where = getattr(top, "name", "the module")
        for method in top.body if isinstance(top, ast.ClassDef) else [top]:
            inside = f"{where}.{getattr(method, 'name', '')}" if method is not top else where
            for node in ast.walk(method):
                if isinstance(node, ast.Name):
                    yield node.id, inside
                elif isinstance(node, ast.Attribute):
                    yield node.attr, inside


def test_every_act_is_done_by_one_function() -> None:
    found = users()
    assert {name: where for name, where in found.items() if len(where) > 1} == {}
    assert set(CONSTANTS) == set(found)


def test_the_register_has_every_act_once_under_a_name_that_the_trail_holds() -> None:
    assert list(ACTS) == [act.name for act in CONSTANTS.values()]
    assert len({act.words for act in ACTS.values()}) == len(ACTS)
    assert all(len(act.name) <= trail.c.action.type.length for act in ACTS.values())  # type: ignore[attr-defined]


@pytest.fixture(scope="module")
def lived(up: Running) -> Iterator[tuple[Running, httpx.Client]]:
    """A fleet with one of each thing that can be done over the interface, and a list that was refused."""
    with up.client() as officer:
        whole_scenario(up, officer)
        yield up, officer


def whole_scenario(up: Running, officer: httpx.Client) -> None:
    def send(place: str, body: dict[str, str]) -> dict[str, dict[str, int]]:
        headers = {**key(), "if-match": up.etag(officer, "004")}
        answer = officer.post(f"/v1/fleets/{up.fleet}{place}", json=body, headers=headers)
        assert answer.is_success, answer.text
        told: dict[str, dict[str, int]] = answer.json()
        return told

    assert upload(officer, up.fleet, b"no list at all")["state"] == "failed"
    number = up.inspect(officer, "004", ("cone_count", "128")).json()["inspection"]["number"]
    at = f"/boats/{up.boats['004']}/inspections/{number}"
    send(f"{at}/sign-off", {"statement": "Seen and agreed."})
    send(f"{at}/withdrawal", {"reason": "Another boat."})
    waiver = {"boat_id": up.boats["004"], "check": "line.lead-length", "reason": "Accepted.",
              "officer": "Safety office", "until": "2027-06-30"}  # fmt: skip
    given = send("/waivers", waiver)["waiver"]["number"]
    send(f"/waivers/{given}/withdrawal", {"reason": "Mended."})
    make_token(up.server.store, label="B. Vennor", role="scrutineer", days=2, fleet_id=up.fleet)
    revoke_token(up.server.store, str(list_tokens(up.server.store)[0]["id"]))
    assert upload(officer, up.fleet, sheet())["state"] == "done"
    up.settle(officer)


def log_of(up: Running, *options: str) -> list[str]:
    where = ("--out", up.server.settings.folder, "--database", up.server.settings.url)
    return run("log", *options, *where).splitlines()


def test_all_that_stands_in_a_trail_is_in_the_register_and_told_in_its_words(
    lived: tuple[Running, httpx.Client],
) -> None:
    """In the interface, in its description, and in the officer's log, newest last."""
    up, officer = lived
    told: dict[int, dict[str, str]] = {}
    cursor: str | None = "c0"
    while cursor:
        page = officer.get(f"/v1/trail?limit=200&cursor={cursor}").json()
        told |= {one["seq"]: one for one in page["items"]}
        cursor = page["next"]
    described = officer.get("/openapi.json").json()["components"]["schemas"]["TrailRecord"]["properties"]
    assert {one["said"] for one in told.values()} <= {act.words for act in ACTS.values()}
    assert all(one["said"] == ACTS[one["action"]].words for one in told.values())
    done = {acts.MADE_FLEET, acts.RECEIVED_LIST, acts.LIST_IN_FORCE, acts.RECORDED, acts.SIGNED,
            acts.WITHDREW_INSPECTION, acts.WAIVED, acts.WITHDREW_WAIVER, acts.PUBLISHED, acts.FAILED_LIST,
            acts.MADE_TOKEN, acts.REVOKED_TOKEN}  # fmt: skip
    assert {act.name for act in done} <= {one["action"] for one in told.values()}
    for act in ACTS.values():
        assert act.name in described["action"]["description"]
        assert act.words in described["action"]["description"]
    lines = log_of(up, "--last", "100000")
    assert len(lines) == len(told)
    for line, (_, one) in zip(lines, sorted(told.items()), strict=True):
        assert line.startswith(f"{one['at'][:10]} {one['at'][11:16]} UTC  {one['who']}, {one['role']}, ")
        assert one["said"] in line
    assert log_of(up, "--last", "3") == lines[-3:]


def test_the_log_names_boats_lists_and_people_and_no_ids(lived: tuple[Running, httpx.Client]) -> None:
    up, officer = lived
    fleet = officer.get(f"/v1/fleets/{up.fleet}").json()
    number = fleet["revision"]
    lines = log_of(up, "--last", "100000", "--fleet", up.fleet)
    said = [line.partition("UTC  ")[2] for line in lines]
    assert said[0] == f"A officer, officer, made a fleet: {fleet['name']}"
    with up.server.store.read() as connection:
        of_fleet = connection.execute(select(trail.c.seq).where(trail.c.fleet_id == up.fleet)).all()
    assert len(said) == len(of_fleet)
    for expected in (
        "A officer, officer, waived a check: 004 Orange Peel, line.lead-length",
        f"A officer, program, put a list in force: list {number}, fleet.csv",
    ):
        assert expected in said
    for begin in (
        "A officer, officer, signed an inspection off: 004 Orange Peel, inspection ",
        "drogue-muster, program, made a token: B. Vennor (t",
        f"drogue-muster, program, gave up a list: it is not in force: list {number - 1}, fleet.csv. ",
    ):
        assert any(line.startswith(begin) for line in said), begin
    assert not any(up.boats["004"] in line for line in said)
    with pytest.raises(NotFound, match="no such fleet"):
        log_of(up, "--fleet", "f000000000000")
