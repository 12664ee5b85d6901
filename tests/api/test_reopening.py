"""What a new list says of what was measured: sign-offs are open again, and disagreements are told, once."""

from __future__ import annotations

import json
from collections.abc import Iterator

import httpx
import pytest
from playwright.sync_api import Page, expect
from sqlalchemy import insert, select

from api.season.reopening import Reopened, covers_of, disagreements, reopen_changed
from api.storage.migrate import upgrade
from api.storage.schema import fleets, inspections, trail
from api.storage.store import Store, open_store
from api.trail import Actor, verify_trail
from sizing.model import HeaderUnit, Notation
from tests.api.phone import open_boat, picture, sign_in
from tests.api.running import TODAY, Running, key

OFFICER = Actor("Safety office", "officer", "t1")
LINE, CONES = "lead_line_length", "cone_count"
NOTATION = Notation({LINE: HeaderUnit("m")}, ".")


@pytest.fixture
def store(url: str) -> Iterator[Store]:
    """A fleet with no inspection yet."""
    opened = open_store(url)
    upgrade(opened)
    made = {"id": "f1", "name": "f1", "version": 0, "created_at": "2026-11-01T00:00:00.000000Z"}
    opened.write(lambda connection: connection.execute(insert(fleets).values(made)))
    yield opened
    opened.close()


def inspected(
    store: Store, number: int, state: str, listed: dict[str, str], boat: str = "b1", **found: str
) -> None:
    """Keep an inspection as the program does, when the list said `listed`."""
    measured = [
        {"field": name, "text": text, "decimal": ".", "si": None, "listed": listed.get(name, "")}
        for name, text in found.items()
    ]
    row = {
        "id": f"i{number}", "fleet_id": "f1", "boat_id": boat, "number": number, "state": state,
        "measured": json.dumps(measured), "photo": "", "note": "", "made_at": f"2026-11-0{number}",
        "made_by": f"Scrutineer {number}", "token_id": "t2", "reason": "", "signed_at": None,
        "signed_by": None,
    }  # fmt: skip
    if state == "signed off":
        row |= {"signed_at": "2026-11-09", "signed_by": "B. Vennor"}
    store.write(lambda connection: connection.execute(insert(inspections).values(row)))
    with store.read() as connection:
        kept = connection.execute(select(inspections).where(inspections.c.number == number)).mappings().one()
    if state == "signed off":
        covers = covers_of(kept, listed)
        store.write(
            lambda c: c.execute(
                inspections.update().where(inspections.c.number == number).values(covers=covers)
            )
        )


def new_list(store: Store, **cells: str) -> list[Reopened]:
    listed = {"b1": cells}
    return store.write(lambda connection: reopen_changed(connection, OFFICER, "f1", listed))


def state_of(store: Store, number: int) -> str:
    with store.read() as connection:
        query = select(inspections.c.state).where(inspections.c.number == number)
        return str(connection.execute(query).scalar_one())


def records(store: Store) -> list[dict[str, object]]:
    with store.read() as connection:
        rows = connection.execute(select(trail).order_by(trail.c.seq)).mappings().all()
        assert not verify_trail(connection).problems
    assert {row["action"] for row in rows} <= {"inspection.reopened"}
    return [{name: json.loads(row[name]) for name in ("before", "after")} for row in rows]


def test_a_list_that_changes_what_a_sign_off_covers_opens_it_again_and_tells_it_once(store: Store) -> None:
    inspected(store, 1, "signed off", {LINE: "24", CONES: "130"}, lead_line_length="24 m")
    inspected(store, 2, "signed off", {CONES: "130"}, cone_count="129")
    inspected(store, 3, "recorded", {LINE: "24"}, lead_line_length="24 m")
    inspected(store, 4, "withdrawn", {LINE: "24"}, lead_line_length="24 m")
    assert new_list(store, **{LINE: " 24 ", CONES: "130"}) == []
    (opened,) = new_list(store, **{LINE: "26", CONES: "130"})
    assert (opened.boat_id, opened.number) == ("b1", 1)
    assert [(one.field, one.listed, one.now) for one in opened.changed] == [(LINE, "24", "26")]
    assert [state_of(store, number) for number in (1, 2, 3, 4)] == [
        "reopened", "signed off", "recorded", "withdrawn",
    ]  # fmt: skip
    (told,) = records(store)
    assert told["before"] == {
        "state": "signed off", "signed_at": "2026-11-09", "signed_by": "B. Vennor",
        "listed": [{"field": LINE, "value": "24"}],
    }  # fmt: skip
    assert told["after"].items() >= {  # type: ignore[attr-defined]
        "state": "reopened", "listed": [{"field": LINE, "value": "26"}],
    }.items()  # fmt: skip
    assert new_list(store, **{LINE: "26", CONES: "130"}) == []
    assert len(records(store)) == 1


def test_a_blank_is_a_change_too_and_an_open_one_says_what_the_last_list_says(store: Store) -> None:
    inspected(store, 1, "signed off", {LINE: "24"}, lead_line_length="24 m")
    assert [one.now for one in new_list(store)[0].changed] == [""]
    assert [one.now for one in new_list(store, **{LINE: "24"})[0].changed] == ["24"]
    assert state_of(store, 1) == "reopened", "nobody has looked again"
    assert [told["before"]["state"] for told in records(store)] == ["signed off", "reopened"]  # type: ignore[index]


def test_a_boat_that_a_list_leaves_out_keeps_her_sign_off_until_she_is_back_otherwise(store: Store) -> None:
    inspected(store, 1, "signed off", {LINE: "24"}, boat="b2", lead_line_length="24 m")
    assert new_list(store, **{LINE: "99"}) == []
    assert state_of(store, 1) == "signed off"
    back = {"b2": {LINE: "25"}}
    assert len(store.write(lambda c: reopen_changed(c, OFFICER, "f1", back))) == 1


def told_of(store: Store, cell: str, before: str | None = None, field: str = LINE) -> list[tuple[str, ...]]:
    earlier = None if before is None else {"b1": {field: before}}
    with store.read() as connection:
        found = disagreements(
            connection, "f1", {"b1": {field: cell}}, notation=NOTATION, day=TODAY, before=earlier
        )
    return [(one.boat_id, one.field, one.measured, one.made_by, one.made_at, one.listed) for one in found]


def test_a_list_that_says_otherwise_than_was_measured_is_told_with_who_measured_and_when(
    store: Store,
) -> None:
    inspected(store, 1, "recorded", {LINE: "24"}, lead_line_length="21 m")
    inspected(store, 2, "signed off", {LINE: "24"}, lead_line_length="22 m")
    inspected(store, 3, "withdrawn", {LINE: "24"}, lead_line_length="23 m")
    assert told_of(store, "26") == [("b1", LINE, "22 m", "Scrutineer 2", "2026-11-02", "26")]


@pytest.mark.parametrize(
    "cell",
    ["24", " 24 ", "", "  ", "22", "22.0", "22 m", "22.00 m", "2200 cm"],
    ids=["as when it was measured", "spaces", "blank", "spaces alone", "unit of the header", "decimals",
         "word for word", "more decimals", "another unit"],
)  # fmt: skip
def test_what_says_nothing_new_is_no_disagreement(store: Store, cell: str) -> None:
    inspected(store, 1, "recorded", {LINE: "24"}, lead_line_length="22 m")
    assert told_of(store, cell) == []


def test_a_disagreement_is_told_once(store: Store) -> None:
    inspected(store, 1, "reopened", {LINE: "24"}, lead_line_length="22 m")
    assert len(told_of(store, "26", before="24")) == 1
    assert told_of(store, "26", before="26") == []
    assert len(told_of(store, "27", before="26")) == 1
    assert told_of(store, "24", before="26") == [], "the officer was there when it was measured"


def test_a_cell_that_cannot_be_read_and_one_measured_where_nothing_was_listed_are_told(store: Store) -> None:
    inspected(store, 1, "recorded", {}, lead_line_length="22 m", condition="good")
    assert len(told_of(store, "long")) == 1
    assert len(told_of(store, "23")) == 1
    assert told_of(store, "Good", field="condition") == []
    assert len(told_of(store, "poor", field="condition")) == 1


# ---------------------------------------------------------------- on a server


def measured_and_signed(up: Running, client: httpx.Client, entry: str, *found: tuple[str, str]) -> int:
    told = up.inspect(client, entry, *found).json()
    number = int(told["inspection"]["number"])
    assert told["inspection"]["changed"] == []
    assert act(up, client, entry, number, "sign-off").status_code == 200
    return number


def act(up: Running, client: httpx.Client, entry: str, number: int, what: str) -> httpx.Response:
    body = {"statement": "Seen and agreed."} if what == "sign-off" else {"reason": "Another boat."}
    headers = {**key(), "if-match": up.etag(client, entry)}
    return client.post(f"{up.boat(entry)}/inspections/{number}/{what}", json=body, headers=headers)


def change(up: Running, entry: str, **cells: str) -> None:
    """As the act that puts a list in force does, where only these cells are not as they were."""
    listed = {up.boats[entry]: cells}
    up.server.store.write(lambda c: reopen_changed(c, OFFICER, up.fleet, listed))


def inspection(up: Running, client: httpx.Client, entry: str, number: int) -> dict[str, object]:
    items = client.get(f"{up.boat(entry)}/inspections?limit=200").json()["items"]
    found: dict[str, object] = next(one for one in items if one["number"] == number)
    return found


def test_a_sign_off_covers_what_was_seen_and_a_reopened_inspection_counts_and_is_signed_again(
    up: Running,
) -> None:
    with up.client("scrutineer") as scrutineer, up.client("scrutineer") as other:
        number = measured_and_signed(up, scrutineer, "005", (CONES, "128"), ("end_weight", "15 kg"))
        with up.server.store.read() as connection:
            here = inspections.c.fleet_id == up.fleet, inspections.c.number == number
            row = connection.execute(select(inspections).where(*here)).mappings().one()
        assert json.loads(row["covers"]) == {
            CONES: {"measured": "128", "listed": "130"},
            "end_weight": {"measured": "15 kg", "listed": "14 kg"},
        }
        assert [one["listed"] for one in json.loads(row["measured"])] == ["130", "14 kg"]
        boat = scrutineer.get(up.boat("005")).json()
        change(up, "005", cone_count="131", end_weight="14 kg")
        opened = inspection(up, other, "005", number)
        assert (opened["state"], opened["signed_at"], opened["signed_by"]) == ("reopened", None, None)
        assert opened["changed"] == [{"field": CONES, "listed": "130", "now": "131"}]
        assert scrutineer.get(up.boat("005")).json() == boat, "it counts as before"
        assert act(up, other, "005", number, "withdrawal").status_code == 403
        signed = act(up, other, "005", number, "sign-off").json()["inspection"]
        assert (signed["state"], signed["changed"]) == ("signed off", [])
        change(up, "005", cone_count="132", end_weight="14 kg")
        assert inspection(up, other, "005", number)["state"] == "reopened"
        withdrawn = act(up, scrutineer, "005", number, "withdrawal")
        assert (withdrawn.status_code, withdrawn.json()["inspection"]["state"]) == (200, "withdrawn")


def test_the_dock_says_what_the_new_list_says_and_offers_to_sign_again(page: Page, on_file: Running) -> None:
    with on_file.client("scrutineer") as scrutineer:
        number = measured_and_signed(on_file, scrutineer, "005", (CONES, "128"))
    change(on_file, "005", cone_count="131")
    sign_in(page, on_file)
    open_boat(page, "005")
    page.locator("#inspections > summary").click()
    told = page.locator(f"#inspections section[data-number='{number}']")
    expect(told.get_by_role("heading")).to_have_text(
        f"No {number}, reopened: the new list says Number of cones 131"
    )
    expect(told).to_contain_text("It was signed off when the list said Number of cones 130.")
    picture(page, "dock-14-reopened")
    told.get_by_text("Sign off", exact=True).click()
    told.get_by_role("button", name=f"Sign off No {number}").click()
    page.locator("#inspections > summary").click()
    expect(told).to_contain_text("Signed off by A scrutineer")
