"""Uploads: kept whole, read by a job, reported on row by row; a bad one changes nothing."""

from __future__ import annotations

import csv
import gzip
import hashlib
import io
import struct
import zipfile
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest
from sqlalchemy import update

from api.jobs.queue import add_site_job, claim
from api.season.receiving import XLSX
from api.storage.schema import jobs
from api.storage.store import open_store
from tests.api.running import BOATS, NAMES, Running, ended, key, quiet, running, settings, sheet, upload
from tests.api.test_problems import is_problem


@pytest.fixture
def fleet(up: Running) -> str:
    """A fleet of this test alone."""
    with up.client() as officer:
        return str(officer.post("/v1/fleets", json={"name": "Another"}, headers=key()).json()["id"])


def test_an_upload_is_kept_whole_and_its_bad_row_is_told(up: Running, fleet: str) -> None:
    content = sheet()
    with up.client() as officer:
        assert upload(officer, fleet, content)["state"] == "done"
        told = officer.get(f"/v1/fleets/{fleet}/revisions/1").json()
        assert (told["rows_in"], told["accepted"], told["rejected"]) == (7, 6, 1)
        assert told["state"] == "in force"
        assert told["sha256"] == hashlib.sha256(content).hexdigest()
        kept = officer.get(f"/v1/fleets/{fleet}/revisions/1/file")
        assert kept.content == content
        rejected = officer.get(f"/v1/fleets/{fleet}/revisions/1/rejected").json()
        assert rejected["items"][0]["row_no"] == 8
        assert {e["code"] for e in rejected["items"][0]["errors"]} == {"blank"}
        assert len(officer.get(f"/v1/fleets/{fleet}/boats").json()["items"]) == 6


def test_a_workbook_is_taken_like_a_table(up: Running, fleet: str) -> None:
    with up.client() as officer:
        assert upload(officer, fleet, workbook(), XLSX)["state"] == "done"
        assert officer.get(f"/v1/fleets/{fleet}/revisions/1").json()["accepted"] == 6


@pytest.mark.parametrize(
    "encoding",
    [
        "utf-16",
        *(pytest.param(name, marks=pytest.mark.thorough) for name in ("utf-16-be", "utf-32", "utf-8-sig")),
    ],
)
def test_a_table_in_another_encoding_is_read_all_the_same(on_file: Running, encoding: str) -> None:
    with on_file.client() as officer:
        fleet = officer.post("/v1/fleets", json={"name": "Encoded"}, headers=key()).json()["id"]
        assert upload(officer, fleet, sheet().decode().encode(encoding))["state"] == "done"
        names = [b["boat_name"] for b in officer.get(f"/v1/fleets/{fleet}/boats").json()["items"]]
        assert names == list(NAMES)


@pytest.mark.parametrize(
    ("content", "headers", "query", "status"),
    [
        (b"", {}, "", 422),
        (gzip.compress(sheet()), {"content-encoding": "gzip"}, "", 415),
        (sheet(), {"content-type": "multipart/form-data; boundary=x"}, "", 415),
        (sheet(), {"content-type": "application/vnd.ms-excel"}, "", 415),
        (sheet(), {}, "?filename=%ff.csv", 422),
        (sheet(), {}, "?filename=a%2fb.csv", 422),
        (sheet(), {}, "?filename=a%00b.csv", 422),
        (sheet(), {}, "?filename=a.csv&filename=b.csv", 422),
        (sheet(), {}, "?filename=" + "n" * 121, 422),
    ],
)
def test_what_is_no_upload_is_refused_and_leaves_nothing(
    on_file: Running, content: bytes, headers: dict[str, str], query: str, status: int
) -> None:
    with on_file.client() as officer:
        at = f"/v1/fleets/{on_file.fleet}/revisions"
        before = officer.get(at).json()
        etag = officer.get(f"/v1/fleets/{on_file.fleet}").headers["etag"]
        sent = {**key(), "if-match": etag, "content-type": "text/csv", **headers}
        is_problem(officer.post(at + query, content=content, headers=sent), status)
        assert officer.get(at).json() == before


def test_a_second_upload_tells_what_changed_and_keeps_versions_of_what_did_not(
    up: Running, fleet: str
) -> None:
    def heavier(cells: dict[str, str]) -> None:
        if cells["Entry No"] == "002":
            cells["Displacement (lb)"] = "16,000"

    with up.client() as officer:
        upload(officer, fleet, sheet(BOATS[:4]))
        before = {b["entry_no"]: b for b in officer.get(f"/v1/fleets/{fleet}/boats").json()["items"]}
        upload(officer, fleet, sheet(("001", "002", "003", "005"), heavier), query="?withdraw=true")
        after = {b["entry_no"]: b for b in officer.get(f"/v1/fleets/{fleet}/boats").json()["items"]}
        changes = officer.get(f"/v1/fleets/{fleet}/revisions/2/changes").json()
        assert [b["entry_no"] for b in changes["added"]] == ["005"]
        assert [b["entry_no"] for b in changes["removed"]] == ["004"]
        told = [(c["entry_no"], c["field"], c["before"], c["after"]) for c in changes["cells"]]
        assert told == [("002", "displacement", "14,000", "16,000")]
        assert after["001"]["version"] == before["001"]["version"]
        assert after["002"]["version"] > before["002"]["version"]
        states = [r["state"] for r in officer.get(f"/v1/fleets/{fleet}/revisions").json()["items"]]
        assert states == ["in force", "superseded"]


def test_what_was_found_outlives_the_next_upload(up: Running, fleet: str) -> None:
    with up.client() as officer:
        upload(officer, fleet, sheet(BOATS[:2]))
        boat = officer.get(f"/v1/fleets/{fleet}/boats").json()["items"][0]["id"]
        at = f"/v1/fleets/{fleet}/boats/{boat}"
        body = {"measurements": [{"field": "end_weight", "value": "21 kg"}]}
        headers = {**key(), "if-match": officer.get(at).headers["etag"]}
        assert officer.post(f"{at}/inspections", json=body, headers=headers).status_code == 201
        upload(officer, fleet, sheet(BOATS[:3]))
        found = next(m for m in officer.get(at).json()["measures"] if m["field"] == "end_weight")
        assert (found["entered"], found["found"]["text"]) == ("14 kg", "21 kg")


HEADER = sheet().partition(b"\n")[0]
CELLS = "xl/worksheets/sheet1.xml"
ENTITIES = b"".join(
    b'<!ENTITY e%d "%s">' % (n, (b"&e%d;" % (n - 1) if n else b"lol") * 10) for n in range(10)
)


def workbook() -> bytes:
    """The small entry list as a workbook."""
    book = openpyxl.Workbook()
    for cells in csv.reader(io.StringIO(sheet().decode())):
        book.worksheets[0].append(cells)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def changed(name: str, change: Callable[[bytes], bytes] | None) -> bytes:
    """The workbook with one of its parts changed, or left out."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(workbook())) as before, zipfile.ZipFile(out, "w") as after:
        for part in before.namelist():
            content = before.read(part)
            if part == name:
                was, content = content, change(content) if change else b""
                assert content != was
            if content:
                after.writestr(part, content)
    return out.getvalue()


def huge() -> bytes:
    """The workbook with a directory that tells of a sheet of 3 GB, as an archive bomb does."""
    content = bytearray(workbook())
    place = content.rfind(CELLS.encode()) - 46  # the directory's record of it [APPNOTE.TXT, 4.3.12]
    assert content[place : place + 4] == b"PK\x01\x02"
    struct.pack_into("<I", content, place + 24, 3_000_000_000)
    return bytes(content)


def bloated() -> bytes:
    """The workbook with a comment of 300 MB in its sheet, packed into less than half a megabyte."""
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(workbook())) as before,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as after,
    ):
        for part in before.namelist():
            with after.open(part, "w") as handle:
                handle.write(before.read(part))
                for _ in range(300 if part == CELLS else 0):
                    handle.write(b"<!--" + b" " * (1_000_000 - 7) + b"-->")
    assert len(out.getvalue()) < 500_000
    return out.getvalue()


REFUSED: dict[str, Callable[[], bytes]] = {
    "zero bytes": lambda: b"\x00" * 100,
    "a broken archive": lambda: b"PK\x03\x04 not a workbook",
    "another table": lambda: b"a,b\n1,2\n",
    "two headers alone": lambda: b"Entry No,Yacht name\n",
    "a mark alone": lambda: b"\xff\xfe",
    "an open quote": lambda: b'"open',
    "a header alone": lambda: HEADER + b"\n",
    "10,000 columns": lambda: HEADER + b",x" * 10_000 + b"\n" + sheet().partition(b"\n")[2],
    "one line of 30 MB": lambda: b"x" * 30_000_000,
    "one cell of 30 MB": lambda: HEADER + b"\n" + b"9" * 30_000_000 + b"\n",
    "30 MB of empty lines": lambda: b"\n" * 30_000_000,
    "a zero byte inside": lambda: sheet().replace(b"Almanac", b"Alm\x00anac"),
    "half a workbook": lambda: workbook()[: len(workbook()) // 2],
    "an archive without a workbook": lambda: changed("xl/workbook.xml", None),
    "a workbook without sheets": lambda: changed(CELLS, None),
    "a workbook of 3 GB": huge,
    "an entity from outside": lambda: changed(
        CELLS,
        lambda xml: (
            b'<!DOCTYPE w [<!ENTITY e SYSTEM "file:///etc/hostname">]>'
            + xml.replace(b"Pocket Almanac", b"&e;")
        ),
    ),
    "entities of entities": lambda: changed(
        CELLS,
        lambda xml: b"<!DOCTYPE w [" + ENTITIES + b"]>" + xml.replace(b"Pocket Almanac", b"&e9;"),
    ),
    "a sheet that stands elsewhere": lambda: changed(
        "xl/_rels/workbook.xml.rels",
        lambda xml: xml.replace(
            b'Target="/xl/worksheets/sheet1.xml"', b'TargetMode="External" Target="file:///etc/hostname"'
        ),
    ),
}


@pytest.fixture(scope="module")
def in_force(up: Running) -> str:
    """A fleet with a list in force, which no file that cannot be used changes."""
    with up.client() as officer:
        made = officer.post("/v1/fleets", json={"name": "In force"}, headers=key()).json()
        assert upload(officer, made["id"], sheet(BOATS[:1]))["state"] == "done"
        up.settle(officer)
    return str(made["id"])


@pytest.mark.parametrize("content", REFUSED.values(), ids=REFUSED)
def test_a_file_that_cannot_be_used_fails_with_a_reason_and_changes_nothing(
    up: Running, in_force: str, content: Callable[[], bytes]
) -> None:
    fleet = in_force
    with up.client() as officer:
        before = officer.get(f"/v1/fleets/{fleet}/boats").json()
        job = upload(officer, fleet, content())
        assert job["state"] == "failed"
        assert job["attempts"] == 1
        assert "To mend it" in job["reason"]
        assert len(job["reason"]) < 600
        assert officer.get(f"/v1/fleets/{fleet}/boats").json() == before
        told = officer.get(f"/v1/fleets/{fleet}/revisions").json()["items"][0]
        assert told["state"] == "refused"
        assert (
            officer.get(f"/v1/fleets/{fleet}/revisions/{told['number']}/changes").json()["code"] == "conflict"
        )


def test_a_workbook_that_unpacks_to_too_much_is_refused_by_its_size_alone(up: Running, fleet: str) -> None:
    with up.client() as officer:
        job = upload(officer, fleet, bloated(), XLSX)
        assert job["state"] == "failed"
        assert "the workbook unpacks to 300 MB. Expected: at most 128 MB" in job["reason"]
        assert "save the entry list as CSV" in job["reason"]
        assert job["done"] == 0, "no step of the reading is done by then"


def test_an_upload_on_top_of_an_older_version_is_refused(up: Running) -> None:
    with up.client() as officer:
        headers = {**key(), "if-match": '"0"', "content-type": "text/csv"}
        answer = officer.post(f"/v1/fleets/{up.fleet}/revisions", content=sheet(), headers=headers)
        assert (answer.status_code, answer.json()["code"]) == (412, "changed-meanwhile")


def test_the_order_is_made_and_its_files_are_what_they_say(up: Running) -> None:
    with up.client() as officer:
        quiet(officer)  # jobs of other tests make it anew
    with up.client("chandlery") as chandler:
        files = chandler.get(f"/v1/fleets/{up.fleet}/order/files").json()["items"]
        assert {f["name"] for f in files} >= {"order.csv", "order.xlsx", "cuts.csv", "kits.csv", "order.json"}
        for file in files:
            got = chandler.get(f"/v1/fleets/{up.fleet}/order/files/{file['name']}")
            assert hashlib.sha256(got.content).hexdigest() == file["sha256"]
            assert len(got.content) == file["size"]
            assert got.headers["content-disposition"] == f'attachment; filename="{file["name"]}"'
        assert chandler.get(f"/v1/fleets/{up.fleet}/order").json()["schema"] == 1


def test_the_public_site_answers_without_a_token(up: Running) -> None:
    with up.client(None) as nobody:
        page = nobody.get(f"/site/{up.fleet}/")
        assert page.status_code == 200
        assert "Pocket Almanac" in page.text
        assert "frame-ancestors 'none'" in page.headers["content-security-policy"]
        moved = nobody.get(f"/site/{up.fleet}", follow_redirects=False)
        assert moved.headers["location"] == f"/site/{up.fleet}/"
        for hidden in ("../releases/", "../../server.lock", "%2e%2e/releases"):
            assert nobody.get(f"/site/{up.fleet}/{hidden}").status_code == 404


def test_jobs_left_running_are_done_when_the_server_starts_again(url: str, tmp_path: Path) -> None:
    config = settings(tmp_path, url)
    with running(config) as first, first.client() as officer:
        fleet, token = first.fleet, officer.headers["authorization"]
        quiet(officer)
    store = open_store(url)
    job_id = store.write(lambda connection: add_site_job(connection, fleet, "A test"))
    assert claim(store) is not None, "as a process would that dies now"
    store.write(lambda c: c.execute(update(jobs).where(jobs.c.id == job_id).values(beat_at=0.0)))
    store.close()
    with running(config, loaded=False) as again, again.client(None) as client:
        client.headers["authorization"] = token
        assert ended(client, job_id)["state"] == "done"
