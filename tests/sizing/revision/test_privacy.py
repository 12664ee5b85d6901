"""Contact details are in no snapshot and no report, and a change of them is still told."""

from __future__ import annotations

import pytest

from sizing.revision import change_report_text, changes_csv, compare, snapshot_bytes
from sizing.revision.secret import NOT_KEPT, Sealer, may_tell_contact
from tests.sizing.revision.runs import KEY, boat, demo, demo_record, snapshot

OTHER_KEY = b"another key for tests, of 32 byt"


def test_no_contact_detail_of_the_demo_is_in_its_record() -> None:
    data = snapshot_bytes(demo_record(second=True)).decode("utf-8")
    fleet = demo(second=True).intake.fleet
    for column in ("skipper", "email", "phone"):
        for value in fleet.text[column]:
            assert not value or value not in data
    assert "T-shirt" in data  # a column that is not ours is named, its cells are sealed
    assert "a small one for the dog" not in data


def test_contact_details_in_free_text_are_sealed() -> None:
    hidden = boat(design="Ring +00 000 0999 after six.", berth="c/o orla@plover.example")
    data = snapshot_bytes(snapshot([hidden])).decode("utf-8")
    assert "0999" not in data
    assert "orla@" not in data
    report = compare(
        snapshot([hidden]), snapshot([boat(design="Ring +00 000 0998 after six.", berth=hidden["berth"])])
    )
    assert [(a.field, a.kind, a.before, a.after) for a in report.boats[0].amendments] == [
        ("design", "private", "", "")
    ]


def test_a_text_that_comes_to_hold_a_contact_is_amended_once() -> None:
    hidden = boat(design="Ring +00 000 0999 after six.")
    for key in (KEY, b""):
        report = compare(snapshot([boat()], key=key), snapshot([hidden], key=key))
        assert [(a.field, a.kind, a.before, a.after) for a in report.boats[0].amendments] == [
            ("design", "amended", "", NOT_KEPT)
        ]


def test_a_rejected_row_keeps_no_contact_either() -> None:
    row = boat(loa="long", entry_no="orla@plover.example", boat_name="Orla Fennimere-Vask's boat")
    data = snapshot_bytes(snapshot([row, boat()])).decode("utf-8")
    assert "orla" not in data.casefold()


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("skipper", "Bran Fennimere-Vask"),
        ("email", "bran@plover.example"),
        ("phone", "+00 000 0201"),
        ("notes", "Ask Bran at 12 Quay Road."),
        ("Crew", "3"),
    ],
)
def test_a_private_change_says_only_that_it_changed(column: str, value: str) -> None:
    before, after = boat(Crew="2"), boat(Crew="2") | {column: value}
    report = compare(snapshot([before]), snapshot([after]))
    (changed,) = report.boats
    assert [(a.field, a.kind, a.before, a.after) for a in changed.amendments] == [(column, "private", "", "")]
    assert not changed.findings
    for text in (change_report_text(report), changes_csv(report).decode("utf-8")):
        assert before[column] not in text or column == "Crew"
        assert value not in text or column == "Crew"


def test_without_a_key_nothing_private_is_kept_and_the_report_says_so() -> None:
    before, after = snapshot([boat()], key=b""), snapshot([boat(phone="+00 000 0201")], key=b"")
    assert not before.sealed
    assert set(before.row_digests) == {""}
    report = compare(before, after)
    assert report.is_empty
    assert "not compared" in report.notes[0]


def test_records_under_two_keys_are_not_compared_where_keys_matter() -> None:
    report = compare(snapshot([boat()]), snapshot([boat()], key=OTHER_KEY))
    assert report.is_empty
    assert "different keys" in report.notes[0]


def test_a_digest_depends_on_key_boat_and_column() -> None:
    one = Sealer(KEY)
    assert one.seal("phone", "01", "5") != Sealer(OTHER_KEY).seal("phone", "01", "5")
    assert (
        len({one.seal("phone", "01", "5"), one.seal("phone", "02", "5"), one.seal("email", "01", "5")}) == 3
    )
    assert one.seal("ab", "c") != one.seal("a", "bc")


@pytest.mark.parametrize(
    "text", ["a@b", "tel 0123 456 789", "+00-000-0101", "ask ORLA fennimere-vask", "(0)12/34.56 78"]
)
def test_free_text_that_may_tell_a_contact_is_noticed(text: str) -> None:
    assert may_tell_contact(text, ["Orla Fennimere-Vask", "", "Al"])


@pytest.mark.parametrize("text", ["B12", "Bow roller bent.", "Al is nice", "Weighed 2026, 25,400 lb"])
def test_plain_text_is_kept(text: str) -> None:
    assert not may_tell_contact(text, ["Orla Fennimere-Vask", "", "Al"])
