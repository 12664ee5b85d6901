"""What anybody may open: the public site, the dock page's files, and what is said where there is nothing.

Sources: RFC 9110 (conditional requests, 15.5.5), RFC 9111 (caching), IANA's register of media types.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import httpx
import pytest

from api.http.content_types import kind_of
from tests.api.running import Running, ended, wait_for

BROWSER = {"accept": "text/html,application/xhtml+xml,*/*;q=0.8"}


@pytest.fixture
def anybody(on_file: Running) -> Iterator[httpx.Client]:
    """A client without a token."""
    with on_file.client(None) as client:
        yield client


def test_short_addresses_lead_to_the_pages(anybody: httpx.Client, on_file: Running) -> None:
    for address, place in (
        ("/", "/dock/"), ("/dock", "/dock/"), ("/docs", "/docs/"),
        (f"/site/{on_file.fleet}", f"/site/{on_file.fleet}/"),
    ):  # fmt: skip
        answer = anybody.get(address)
        assert (answer.status_code, answer.headers["location"]) == (307, place)


def test_a_page_of_the_site_is_checked_and_not_sent_again(anybody: httpx.Client, on_file: Running) -> None:
    first = anybody.get(f"/site/{on_file.fleet}/")
    assert first.status_code == 200
    assert first.headers["content-type"] == "text/html; charset=utf-8"
    assert first.headers["cache-control"] == "no-cache"
    assert first.headers["content-encoding"] == "gzip"
    policy = first.headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "unsafe" not in policy
    again = anybody.get(f"/site/{on_file.fleet}/", headers={"if-none-match": first.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")


def test_files_of_the_dock_page_last_as_long_as_their_version(anybody: httpx.Client) -> None:
    page = anybody.get("/dock/")
    assert page.headers["cache-control"] == "no-cache"
    names = re.findall(r'(?:href|src)="([^"]+)"', page.text)
    assert len(names) == 3
    for name in names:
        file = anybody.get(f"/dock/{name}")
        assert file.status_code == 200
        assert "immutable" in file.headers["cache-control"]
    assert anybody.get("/dock/worker.js").headers["cache-control"] == "no-cache"
    version, _, last = names[-1].partition("/")
    assert anybody.get(f"/dock/{'0' * len(version)}/{last}").status_code == 404
    etag = page.headers["etag"]
    assert anybody.get("/dock/", headers={"if-none-match": etag}).status_code == 304


@pytest.mark.parametrize(
    "address", ["/site/{fleet}/no-such.html", "/site/f000000000000/", "/dock/no", "/docs/no"]
)
def test_people_are_told_in_a_page_where_there_is_nothing(
    anybody: httpx.Client, on_file: Running, address: str
) -> None:
    answer = anybody.get(address.format(fleet=on_file.fleet))
    assert answer.status_code == 404
    assert answer.headers["content-type"].startswith("text/html")
    assert "There is no such page" in answer.text
    [link] = re.findall(r'<a href="([^"]+)"', answer.text)
    assert anybody.get(link).status_code == 200
    assert "default-src 'none'" in answer.headers["content-security-policy"]


def test_a_browser_at_an_unknown_address_gets_a_page_and_a_program_a_problem(anybody: httpx.Client) -> None:
    assert "There is no such page" in anybody.get("/sight", headers=BROWSER).text
    for address, headers in (("/sight", {}), ("/v1/sight", {}), ("/v1/sight", BROWSER)):
        answer = anybody.get(address, headers=headers)
        assert answer.status_code == 404
        assert answer.headers["content-type"] == "application/problem+json"


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("sheet.pdf", "application/pdf"),
        ("cone.dxf", "image/vnd.dxf"),
        ("marks.csv", "text/csv; charset=utf-8"),
        ("order.xlsx", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"),
        ("drawing.svg", "image/svg+xml"),
        ("start.js", "text/javascript; charset=utf-8"),
    ],
)
def test_kinds_do_not_hang_on_the_machine(name: str, kind: str) -> None:
    assert kind_of(name) == kind


def test_the_site_gives_downloads_their_kind(anybody: httpx.Client, on_file: Running) -> None:
    page = anybody.get(f"/site/{on_file.fleet}/").text
    boat = re.findall(r'href="(boats/[^"#]+\.html)"', page)[0]
    marks = anybody.get(f"/site/{on_file.fleet}/{boat.removesuffix('.html')}-marks.csv")
    assert marks.status_code == 200
    assert marks.headers["content-type"] == "text/csv; charset=utf-8"


def test_the_site_follows_an_inspection_and_keeps_apart_what_was_entered(
    anybody: httpx.Client, on_file: Running
) -> None:
    with on_file.client("officer") as officer:
        assert on_file.inspect(officer, "006", ("end_weight", "44 lb")).status_code == 201
        assert ended(officer, on_file.ask_for_site())["state"] == "done"
    site = f"/site/{on_file.fleet}/"
    [address] = set(re.findall(r'href="(boats/006-[^"#]+\.html)"', anybody.get(site).text))

    def text() -> str:
        return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", anybody.get(site + address).text))

    wait_for(lambda: "44 lb" in text())
    assert "end_weight: “44 lb” as found aboard by a scrutineer, in place of “14 kg” in the entry" in text()
    assert re.search(r"end weight 14 kg", text())  # every answer as written by the entrant
