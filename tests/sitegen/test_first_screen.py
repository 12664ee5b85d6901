"""The first screen of a boat's page answers: what to do, by when, at what price, and how to say so."""

from __future__ import annotations

import csv
import html
import re
from collections import defaultdict
from decimal import Decimal
from email.message import EmailMessage
from pathlib import Path
from urllib.parse import parse_qs, unquote, urlsplit

import pytest
from playwright.sync_api import Browser, Page

from sitegen.answer_mail import LONGEST_ADDRESS, answer
from tests.calling import Done

BIDI = "\N{RIGHT-TO-LEFT OVERRIDE}"
HOSTILE = (
    "Plover?cc=all@x.example&bcc=b@x.example",
    "Plover\r\nBcc: all@x.example\r\n\r\nSink her",
    '"><script>alert(1)</script>',
    "100 % & \N{SNOWMAN} + 海鳥",
    f"Plover {BIDI}drowned",
    "Plover" * 200,
)


def pages(out: Path) -> list[Path]:
    return sorted((out / "site" / "boats").glob("*.html"))


def words_of(markup: str) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", markup)).split())


def answer_box(path: Path) -> str:
    """What is told before the first fold but one of a job: the box at the top."""
    found = re.search(r'<div class="dm-verdict.*?</div>\s*<details', path.read_text("utf-8"), re.DOTALL)
    assert found, path.name
    return found[0]


@pytest.fixture(scope="module")
def out(demo_run: tuple[Path, Done]) -> Path:
    return demo_run[0]


def test_it_never_says_that_she_is_ready_and_of_safe_only_that_she_is_not_said_to_be(out: Path) -> None:
    for path in pages(out):
        told = words_of(answer_box(path))
        assert not re.search(r"\bready\b(?! to run)", told, re.IGNORECASE), path.name
        assert re.findall(r"[^.]*\bsafe\b", told) in ([], [" That does not say that your boat is safe"])
        assert ("is safe" in told) == ("Nothing to do" in told), path.name
        assert not re.search(r"\b(shall|should)s?\b|\bopen (finding|point)", told), path.name


def test_her_price_is_her_share_of_what_is_bought(out: Path) -> None:
    """By allocation.csv, which adds up to the order; materials at unit prices are some other figure."""
    shares: defaultdict[str, Decimal] = defaultdict(Decimal)
    with (out / "order" / "allocation.csv").open(encoding="utf-8-sig", newline="") as stream:
        for row in csv.DictReader(stream):
            shares[row["entry_no"]] += Decimal(row["amount"])
    assert len(shares) > 20
    for path in pages(out):
        text = path.read_text("utf-8")
        entry = words_of(re.search(r"Entry (<bdi.*?</bdi>)", text)[1])  # type: ignore[index]
        told = re.findall(r"([\d,]+\.\d\d) EUR", words_of(answer_box(path)))
        wanted = [f"{shares[entry]:,.2f}"] if entry in shares else []
        assert told == wanted, path.name
        if not wanted:
            told_why = re.compile("no parts to buy|Price: not known yet|not worked out")
            assert told_why.search(text), path.name


def test_there_is_one_day_for_the_order_on_all_pages(out: Path) -> None:
    """Boats read 8 January, while the page of the order said “order by 10 March”."""
    days = {day for path in pages(out) for day in re.findall(r"order by ([^<]+)<", answer_box(path))}
    assert days == {"8 January"}
    order = words_of((out / "site" / "order.html").read_text("utf-8"))
    assert "The rally's order closes on 8 January 2027 (bulk order placed)" in order
    assert re.search(r"Supplier's last day: \d+ [A-Z][a-z]+ 2027, to have it by \d+ [A-Z]", order)
    assert not re.search(r"order by|Order by", order)


def test_jobs_are_few_and_each_has_a_day(out: Path) -> None:
    for path in pages(out):
        box = answer_box(path)
        shown = box.partition('<details class="dm-more')[0].count('<li class="dm-job">')
        jobs = re.findall(r'dm-job__title">.*?</summary>', box, re.DOTALL)
        assert shown <= 5, path.name
        assert len(jobs) == box.count('<li class="dm-job">'), path.name
        assert bool(shown) == bool(jobs), path.name
        dated = r"by \d+ [A-Z]|before you sail|the order closed|was due"
        for job in jobs:
            assert re.search(dated, words_of(job)), path.name
        heading = words_of(re.search(r"<h2>(.*?)</h2>", box)[1])  # type: ignore[index]
        if jobs:
            assert re.search(rf"\b{shown} jobs?\b", heading), path.name
        else:
            assert heading == "Nothing to do", path.name


def test_her_message_counts_the_jobs_of_her_page(out: Path) -> None:
    """002 read “4 jobs” on her page and “6 to do” in her message."""
    for path in pages(out):
        entry = words_of(re.search(r"Entry (<bdi.*?</bdi>)", path.read_text("utf-8"))[1])  # type: ignore[index]
        written = out / "messages" / f"{entry}.txt"
        heading = words_of(re.search(r"<h2>(.*?)</h2>", answer_box(path))[1])  # type: ignore[index]
        if written.exists() and (count := re.search(r"To do: (\d+ jobs?)", heading)):
            assert f": {count[1]} to do" in " ".join(written.read_text("utf-8").split()), path.name


def test_every_page_opens_a_mail_to_the_office_filled_with_her_own_questions(out: Path) -> None:
    for path in pages(out):
        links = re.findall(r'href="(mailto:[^"]*)"', path.read_text("utf-8"))
        assert links, path.name
        for raw in links:
            assert len(html.unescape(raw)) <= LONGEST_ADDRESS, path.name
            link = urlsplit(html.unescape(raw))
            assert link.path == "safety@aldermoyle.example"
            fields = parse_qs(link.query, keep_blank_values=True)
            assert set(fields) == {"subject", "body"}
            assert "@" not in fields["subject"][0] + fields["body"][0]
    body = unquote(re.search(r'href="mailto:[^"]*', pages(out)[1].read_text("utf-8"))[0])  # type: ignore[index]
    assert "What the bridle is made fast to:" in body
    assert "How we get the parts (rally order, own purchase, hire or borrow, has it, declined):" in body


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_name_stays_in_the_subject_of_her_mail(name: str) -> None:
    told = answer(
        "office@rally.example", "Office", f"Entry 1, {name}: our answer", [[f"About {name}: "] * 45] * 2
    )
    for address in told.mails:
        assert len(address) <= LONGEST_ADDRESS
        assert re.fullmatch(r"mailto:office@rally\.example\?subject=[\w.%~-]*&body=[\w.%~-]*", address)
        link = urlsplit(address)
        fields = parse_qs(link.query, strict_parsing=True)
        assert link.path == "office@rally.example"
        assert set(fields) == {"subject", "body"}
        mail = EmailMessage()
        mail["Subject"] = fields["subject"][0]  # refused with a line break in it
        assert BIDI not in fields["subject"][0] + fields["body"][0]
        assert all("\r" not in line for line in fields["body"][0].split("\r\n"))


def test_what_is_too_long_for_one_mail_is_asked_in_several_and_nothing_is_lost() -> None:
    """Of 46 questions the mail had 19, and a line that the others stand on the page."""
    paragraphs = [
        [f"GEAR {part}", *(f"What {part} {n} is, as measured aboard: " for n in range(12))] for part in "abcd"
    ]
    told = answer("office@rally.example", "Office", "Entry 1, Plover: our answer", paragraphs)
    mails = [parse_qs(urlsplit(mail).query, keep_blank_values=True) for mail in told.mails]
    assert len(mails) > 1
    assert all(len(mail) <= LONGEST_ADDRESS for mail in told.mails)
    assert mails[0]["subject"] == [f"Entry 1, Plover: our answer (1 of {len(mails)})"]
    asked = [line.strip() for mail in mails for line in mail["body"][0].split("\r\n") if line.strip()]
    assert asked == [line.strip() for lines in paragraphs for line in lines]
    # A kind of gear that has room in one mail stands in one.
    assert all(
        sum(f"GEAR {part}" in mail["body"][0] or f"What {part} " in mail["body"][0] for mail in mails) == 1
        for part in "abcd"
    )


@pytest.mark.parametrize("contact", ["VHF 72", "", "a@x.example or b@x.example", "+00 555 0100"])
def test_without_one_mail_address_there_are_words_and_no_mail(contact: str) -> None:
    told = answer(contact, "Gear officer", "Entry 1, Plover: our answer", [["What changed: "]])
    assert told.mails == ()
    assert told.words == "Entry 1, Plover: our answer\n\nWhat changed:"


def phone_words(page: Page) -> int:
    """Words on her first screen: her name, and the box as it stands, what is folded left out."""
    texts = page.locator("h1, .dm-verdict").all_inner_texts()
    return len(re.findall(r"[^\s·]+", " ".join(texts)))


@pytest.mark.parametrize("one_of", [6, pytest.param(1, marks=pytest.mark.thorough)])
def test_on_a_phone_a_page_answers_first_and_is_short(browser: Browser, out: Path, one_of: int) -> None:
    """The answer within a screen of 360 x 640 under the header; the page within 12 screens of 375 x 812."""
    page = browser.new_page(viewport={"width": 360, "height": 740})
    for path in pages(out)[::one_of]:
        page.goto(path.as_uri())
        page.set_viewport_size({"width": 360, "height": 740})
        header = page.locator(".dm-header").bounding_box()
        first = page.locator(".dm-jobs .dm-job__facts, .dm-verdict p").first.bounding_box()
        button = page.locator(".dm-button--main").bounding_box()
        assert header, path.name
        assert first, path.name
        assert button, path.name
        long_name = len(page.locator("h1").inner_text()) > 100
        for box in (first, button):
            assert long_name or box["y"] + box["height"] <= header["height"] + 640, path.name
        most = 67 + (len(page.locator("h1").inner_text().split()) if long_name else 0)
        assert phone_words(page) <= most, (path.name, phone_words(page))
        page.set_viewport_size({"width": 375, "height": 812})
        assert page.evaluate("document.documentElement.scrollHeight") <= 12 * 812, path.name
    page.close()


@pytest.mark.parametrize("scripts", [True, False])
def test_a_link_into_a_fold_opens_it(browser: Browser, out: Path, scripts: bool) -> None:
    """Without scripts the browser itself does [HTML: ancestor details revealing algorithm]."""
    context = browser.new_context(viewport={"width": 360, "height": 740}, java_script_enabled=scripts)
    page = context.new_page()
    for place in ("check-attachment-structure", "joined", "check-drag-device-aboard"):
        page.goto(f"{pages(out)[1].as_uri()}#{place}")
        page.locator(f"#{place}").wait_for(state="visible", timeout=300_000)
    context.close()


@pytest.mark.parametrize("width", [360, 1280])
def test_the_contents_stay_at_hand(browser: Browser, out: Path, width: int) -> None:
    page = browser.new_page(viewport={"width": width, "height": 740})
    page.goto(pages(out)[1].as_uri())
    contents = page.locator(".dm-contents a").first
    page.evaluate("scrollTo({top: document.body.scrollHeight / 2, behavior: 'instant'})")
    box = contents.bounding_box()
    assert box is not None
    assert 0 <= box["y"] <= 740
    page.close()


def test_a_caption_says_what_a_drawing_means_for_this_boat(out: Path) -> None:
    """In her own numbers: those of two boats differ; drift stands under use and not under loads."""
    told = []
    for path in pages(out)[1:3]:
        text = path.read_text("utf-8")
        sections = {part.partition('"')[0]: part for part in text.split('<section id="')[1:]}
        captions = {
            name: [words_of(one) for one in re.findall(r"<figcaption>(.*?)</figcaption>", part, re.DOTALL)]
            for name, part in sections.items()
        }
        assert all(re.search(r"[.?]$", one) for found in captions.values() for one in found)
        whole = captions["drogue"][0]
        assert re.search(r"lies [\d.]+ m \([\d,]+ ft( \d+ in)?\) behind your boat: \d+ cones", whole)
        assert any("plan room with the high figure" in one for one in captions["use"])
        assert "drift" not in " ".join(captions["feel"]).casefold()
        assert any("The sleeve covers the first 1 m (3 ft 4 in)" in one for one in captions["build"])
        told.append(whole)
    assert told[0] != told[1]
