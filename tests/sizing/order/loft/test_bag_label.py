"""The label: who, what, and a code that a phone reads; whatever the boat is called."""

from __future__ import annotations

import io
import subprocess

import pytest
import zxingcpp
from PIL import Image

from sizing.errors import OutputError
from sizing.order.kits import kits_for
from sizing.order.loft.address_code import code_rows
from sizing.order.loft.bag_label import contents_in_words
from sizing.order.loft.files import kit_files
from sizing.policy import Policy
from tests.sizing.order.fleet_builder import Boat
from tests.sizing.order.loft.rally import address, page_texts, rally, words

MARGIN_PT = 40.0
LONG = "The Very Long Name That Runs Right Round The Hull " * 6
HOSTILE = {
    "long": LONG[:300],
    "one word": "W" * 300,
    "very long": "Grey Plover " * 400,
    "markup": "<b>Bold</b> & <font size=99>Big</font> {braces} %s %(x)s",
    "hebrew": "\u05e9\u05d7\u05e3 \u05d0\u05e4\u05d5\u05e8",
    "arabic": "\u0646\u0648\u0631\u0633 \u0627\u0644\u0628\u062d\u0631",
    "greek": "Κοχύλι",
    "polish": "Żółta Łódka",
    "cjk": "\u6d77\u9ce5",
    "emoji": "Rubber Duck \U0001f986\U0001f30a",
    "override": "Grey\u202eplover\u2066\u2069",
    "marks": "Z" + "\u0301\u0302\u0303" * 60,
    "controls": "Grey\x00\x07\r\n\tPlover\x1b[31m",
    "private": "\ue000\uf8ff",
    "formula": "=cmd|' /C calc'!A0",
    "blank": "   ",
    "empty": "",
}


def label(name: str, entry_no: str = "017") -> bytes:
    made = rally([Boat(entry_no=entry_no, boat_name=name, groups=("thimbles",), cones_to_make=0)])
    return kit_files(made.result, made.policy, made.catalogue, address)["kits.pdf"]


@pytest.mark.parametrize("name", HOSTILE.values(), ids=HOSTILE)
def test_no_name_breaks_the_page(name: str) -> None:
    data = label(name)
    pages = page_texts(data)
    assert "Entry 017" in pages[1]
    assert "Pick list" in pages[1]
    for word in words(data):
        assert word.left >= MARGIN_PT, word
        assert word.right <= 595.28 - MARGIN_PT, word
        assert 30.0 <= word.top < word.foot <= 841.89 - 30.0, word


@pytest.mark.parametrize("name", HOSTILE.values(), ids=HOSTILE)
def test_no_entry_number_breaks_the_page(name: str) -> None:
    data = label("Grey Plover", entry_no=name)
    assert "Grey Plover" in page_texts(data)[1]
    assert max(word.right for word in words(data)) <= 595.28 - MARGIN_PT


def test_letters_of_the_label_do_not_run_into_the_code() -> None:
    """The code's left edge is a code's width from the right margin."""
    for name in ("long", "one word", "very long"):
        big = [word for word in words(label(HOSTILE[name])) if word.page == 1 and 75 < word.top < 180]
        letters = [word for word in big if word.right < 595.28 - 42.6 - 118.0]
        assert letters
        assert all(word.left > 595.28 - 42.6 - 118.1 for word in big if word not in letters)


def test_a_long_name_is_printed_whole_and_a_very_long_one_says_that_it_is_cut() -> None:
    whole = " ".join(page_texts(label(HOSTILE["long"]))[1].split())
    assert whole.count("Round The Hull") >= 5
    assert "Her name is cut" not in whole
    cut = " ".join(page_texts(label(HOSTILE["very long"]))[1].split())
    assert f"Her name is cut; the entry list has {len(HOSTILE['very long'])} characters." in cut


@pytest.mark.parametrize("kind", ["markup", "greek", "polish", "cjk", "formula"])
def test_a_name_is_printed_as_it_is_written(kind: str) -> None:
    assert HOSTILE[kind] in " ".join(page_texts(label(HOSTILE[kind]))[1].split())


@pytest.mark.parametrize("kind", ["hebrew", "arabic"])
def test_a_name_from_right_to_left_is_read_back_in_its_order(kind: str) -> None:
    """Poppler turns what stands on the page back to reading order, and joined letters to plain ones."""
    import unicodedata  # noqa: PLC0415  beside its one use

    done = subprocess.run(
        ["pdftotext", "-", "-"], input=label(HOSTILE[kind]), capture_output=True, check=True
    )
    text = unicodedata.normalize("NFKC", done.stdout.decode())
    bare = "".join(char for char in text if unicodedata.category(char) != "Cf")
    assert HOSTILE[kind] in bare


@pytest.mark.parametrize("kind", ["override", "private"])
def test_what_cannot_be_printed_is_said(kind: str) -> None:
    text = page_texts(label(HOSTILE[kind]))[1]
    assert "Some of her name cannot be printed here; the entry number tells which boat it is." in text


def test_a_name_of_pictures_is_printed() -> None:
    assert "cannot be printed" not in page_texts(label(HOSTILE["emoji"]))[1]


def test_a_boat_without_a_name_is_said() -> None:
    assert "The entry list gives her no name." in page_texts(label(""))[1]


def test_every_code_leads_to_its_boat() -> None:
    """Rendered by poppler and read by zxing, neither of which made it."""
    made = rally([Boat(entry_no=f"{n}", groups=("bridle",), cones_to_make=0) for n in range(4)])
    for name in ("kits.pdf", "kits-letter.pdf"):
        data = kit_files(made.result, made.policy, made.catalogue, address)[name]
        found = []
        for number in range(1, len(page_texts(data)) + 1):
            command = ["pdftoppm", "-r", "100", "-gray", "-f", str(number), "-l", str(number), "-"]
            image = subprocess.run(command, input=data, capture_output=True, check=True).stdout
            found += [code.text for code in zxingcpp.read_barcodes(Image.open(io.BytesIO(image)))]
        assert found == [address(row) for row in range(4)]


def test_without_an_address_the_label_says_so() -> None:
    made = rally([Boat(groups=("bridle",), cones_to_make=0)])
    text = " ".join(page_texts(kit_files(made.result, made.policy, made.catalogue)["kits.pdf"])[1].split())
    assert "No address of the site was" in text


def test_an_address_that_no_code_holds_is_refused() -> None:
    with pytest.raises(OutputError, match="shorter address"):
        code_rows("https://rally.example/" + "x" * 3000)


def test_contents_are_counted_by_kind() -> None:
    made = rally([Boat()])
    result = made.result
    (kit,) = kits_for(result.order, result.intake.fleet, result.requirements, result.plans, Policy())
    text = contents_in_words(kit)
    assert "101 cones" in text
    assert "303 tapes" in text
    assert "10 thimbles" in text
    assert "1 bag," in text
