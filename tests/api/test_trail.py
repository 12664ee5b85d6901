"""The audit trail: any edit shows, a cut end shows, and the database itself refuses to change it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import Connection, select, text
from sqlalchemy.exc import DBAPIError

from api.storage.migrate import upgrade
from api.storage.schema import trail
from api.storage.store import Store, open_store
from api.trail import Head, TrailReport, append, head_of, read_anchors, verify_trail, write_anchor
from api.trail.chain import START, Actor, record_hash
from sizing.errors import MusterError
from tests.api.running import Running

OFFICER = Actor("An officer", "officer")
RECORDS = 6
OLD = (
    ("inspection.recorded", '[{"field": "end_weight", "value": "14 kg"}]',
     '[{"field": "end_weight", "value": "15 kg"}]',
     "38a6baf4f979fd0f4267bd6550e75a5805829d5e4c105cf3f8cbde3a703aafd6"),
    ("inspection.withdrawn", '{"measured": [], "state": "recorded"}',
     '{"reason": "Wrong boat – ½", "state": "withdrawn"}',
     "2dd177f67685be7afed60f6a359dba997d68bec080bc738f51b0667bb5a4e208"),
)  # fmt: skip


def test_a_hash_is_that_of_the_record_as_it_always_was() -> None:
    """The hashes were worked out by an earlier version of the program: its trails go on being whole."""
    previous = START
    for number, (action, before, after, digest) in enumerate(OLD, start=1):
        record = {
            "seq": number, "at": f"2026-11-0{number}T10:00:00.000000Z", "who": "A scrutineer",
            "role": "scrutineer", "action": action, "fleet_id": "f0123456789ab",
            "subject": "e0017a3c i0123456789abcdef", "before": before, "after": after, "previous": previous,
        }  # fmt: skip
        previous = record_hash(record)
        assert previous == digest


def tell(store: Store, what: str, number: int) -> None:
    def write(connection: Connection) -> None:
        append(connection, OFFICER, what, "f1", str(number), before=number, after="Grüße ½")

    store.write(write)


@pytest.fixture
def store(url: str) -> Iterator[Store]:
    opened = open_store(url)
    upgrade(opened)
    for number in range(RECORDS):
        tell(opened, "told", number)
    yield opened
    opened.close()


def verified(store: Store, *anchors: Head) -> TrailReport:
    with store.read() as connection:
        return verify_trail(connection, anchors)


def without_guards(store: Store, *statements: str) -> None:
    """As somebody would do who can write to the database itself."""
    drops = (
        ("DROP TRIGGER trail_no_update", "DROP TRIGGER trail_no_delete")
        if store.is_sqlite
        else ("DROP TRIGGER trail_append_only ON trail",)
    )

    def write(connection: Connection) -> None:
        for statement in (*drops, *statements):
            connection.execute(text(statement))

    store.write(write)


def test_a_trail_left_alone_is_whole(store: Store) -> None:
    with store.read() as connection:
        head = head_of(connection)
    report = verified(store, head)
    assert (report.records, report.head, report.problems) == (RECORDS, head, ())


@pytest.mark.parametrize("statement", ["UPDATE trail SET who = 'x'", "DELETE FROM trail WHERE seq = 6"])
def test_the_database_refuses_to_change_it(store: Store, statement: str) -> None:
    with pytest.raises(DBAPIError, match="append-only"):
        store.write(lambda connection: connection.execute(text(statement)))
    assert not verified(store).problems


@pytest.mark.parametrize("column", [c.name for c in trail.c if c.name not in ("seq",)])
def test_an_edit_of_any_column_shows(store: Store, column: str) -> None:
    without_guards(store, f"UPDATE trail SET {column} = 'other' WHERE seq = 3")  # noqa: S608
    assert any("record 3" in problem or "record 4" in problem for problem in verified(store).problems)


@pytest.mark.parametrize("seq", range(1, RECORDS + 1))
def test_a_record_taken_out_shows(store: Store, seq: int) -> None:
    without_guards(store, f"DELETE FROM trail WHERE seq = {seq}")  # noqa: S608
    assert verified(store).problems


def test_an_end_cut_off_with_its_head_shows_by_the_anchor(store: Store) -> None:
    with store.read() as connection:
        anchor = head_of(connection)
        third = connection.execute(select(trail.c.hash).where(trail.c.seq == 3)).scalar_one()
    without_guards(
        store, "DELETE FROM trail WHERE seq > 3",
        f"UPDATE trail_head SET seq = 3, hash = '{third}'",  # noqa: S608
    )  # fmt: skip
    assert not verified(store).problems, "the chain alone cannot know"
    assert "end was cut" in verified(store, anchor).problems[0]


def test_a_trail_written_anew_shows_by_the_anchor(store: Store) -> None:
    with store.read() as connection:
        anchor = head_of(connection)
    zero = "0" * 64
    without_guards(store, "DELETE FROM trail", f"UPDATE trail_head SET seq = 0, hash = '{zero}'")  # noqa: S608
    for number in range(RECORDS + 2):
        tell(store, "forged", number)
    assert not verified(store).problems
    assert any("not the one an anchor tells of" in problem for problem in verified(store, anchor).problems)


def test_anchors_are_read_back_and_a_half_written_one_is_passed_over(tmp_path: Path) -> None:
    path = tmp_path / "anchors.jsonl"
    write_anchor(path, Head(1, "a" * 64))
    write_anchor(path, Head(2, "b" * 64))
    with path.open("a") as handle:
        handle.write('{"seq": 3, "ha')
    assert read_anchors(path) == (Head(1, "a" * 64), Head(2, "b" * 64))
    path.write_text("nonsense\n")
    with pytest.raises(MusterError, match="line 1"):
        read_anchors(path)
    assert read_anchors(tmp_path / "none") == ()


def test_what_was_done_is_told_with_before_and_after(up: Running) -> None:
    with up.client() as officer:
        up.inspect(officer, "001", ("chafe_gear", "partial"))
        up.inspect(officer, "001", ("chafe_gear", "fitted"))
        up.settle(officer)
        records, cursor = [], ""
        while True:
            page = officer.get(f"/v1/trail?fleet_id={up.fleet}&limit=50{cursor}").json()
            records += page["items"]
            if page["next"] is None:
                break
            cursor = f"&cursor={page['next']}"
        told = [
            r for r in records if r["action"] == "inspection.recorded" and "chafe_gear" in str(r["after"])
        ]
        assert told[-1]["before"] == [{"field": "chafe_gear", "value": "partial"}]
        assert told[-1]["after"]["measured"] == [{"field": "chafe_gear", "value": "fitted"}]
        assert (told[-1]["who"], told[-1]["role"]) == ("A officer", "officer")
        whole = officer.get("/v1/trail/verification").json()
        assert whole["whole"]
        assert whole["anchors"] > 0
        file = officer.get(f"/v1/fleets/{up.fleet}/order/files/order.csv")
        seq, _, digest = file.headers["trail-head"].partition(":")
        assert {"seq": int(seq), "hash": digest}.items() <= max(records, key=lambda r: r["seq"]).items()


def test_an_anchor_cut_by_a_full_disk_does_not_spoil_the_one_after_it(tmp_path: Path) -> None:
    """The next line was written onto it, and then the season could not be opened."""
    path = tmp_path / "anchors.jsonl"
    write_anchor(path, Head(1, "a" * 64))
    with path.open("a", encoding="utf-8") as stream:
        stream.write('{"seq": 2, "ha')
    write_anchor(path, Head(3, "c" * 64))
    assert read_anchors(path) == (Head(1, "a" * 64), Head(3, "c" * 64))
