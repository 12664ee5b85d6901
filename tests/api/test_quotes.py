"""The command that compares replies, as somebody types it."""

from __future__ import annotations

from pathlib import Path

import pytest

from sizing.order.quotes.request import request_files
from tests.calling import call
from tests.sizing.order.quotes.rounds import asked_for, filled_in

APRIL = ("--today", "2027-04-01")


@pytest.fixture(scope="module")
def round_sent(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An output folder with what was asked, and replies at the price book's prices."""
    out, asked = tmp_path_factory.mktemp("out"), asked_for()
    (out / "order" / "quotes").mkdir(parents=True)
    (out / "replies").mkdir()
    for name, data in request_files(asked).items():
        (out / "order" / "quotes" / name).write_bytes(data)
        if name.endswith("xlsx"):
            own = {p.item: round(float((p.price or 1) / p.pack_size), 3) for p in asked.packs}
            (out / "replies" / name).write_bytes(filled_in(data, lambda _: None, own))
    return out


def test_replies_become_purchase_orders(round_sent: Path) -> None:
    replies = sorted((round_sent / "replies").iterdir())
    done = call("quotes", *replies, "--out", round_sent, *APRIL)
    assert done.returncode == 0, done.stderr
    assert "In all: " in done.stdout
    assert f"purchase orders: {round_sent / 'purchase'}" in done.stdout
    made = {path.name for path in (round_sent / "purchase").iterdir()}
    assert {
        "comparison.xlsx",
        "comparison.txt",
        "prices.csv",
        "order-quay-iron.xlsx",
        "order-quay-iron.txt",
    } <= made
    assert (round_sent / "purchase" / "comparison.txt").read_text(encoding="utf-8") in done.stdout


def test_a_reply_that_cannot_be_used_leaves_everything_as_it_was(round_sent: Path, tmp_path: Path) -> None:
    replies = sorted((round_sent / "replies").iterdir())
    before = {path.name: path.read_bytes() for path in (round_sent / "purchase").glob("*")}
    bad = tmp_path / "bad.csv"
    bad.write_text("Supplier,Quay Iron\nItem,Pack,Price of one pack\nSHB-1.5t,1,-3\n", encoding="utf-8")
    asked_amiss: list[tuple[list[str | Path], str]] = [
        ([*replies, bad], "bad.csv"), ([replies[0], replies[0]], "it is the same file as"),
        ([round_sent / "none.xlsx"], "it cannot be read"), ([*replies, "--accept", "NDB-99"], "“NDB-99”"),
        ([*replies, "--today", "soon"], "“soon” is no day"), ([*replies, "--out", tmp_path], "asked.json"),
    ]  # fmt: skip
    there: list[str | Path] = ["--out", round_sent]
    for given, said in asked_amiss:
        done = call("quotes", *given, *([] if "--out" in given else there))
        assert done.returncode == 2, given
        assert said in done.stderr
        assert "to mend:" in done.stderr
    assert {path.name: path.read_bytes() for path in (round_sent / "purchase").glob("*")} == before
