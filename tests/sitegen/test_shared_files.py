"""Files offered beside every boat's page."""

from __future__ import annotations

from pathlib import Path

import pytest

from sitegen import build_site
from sitegen.shared_files import MOST_BYTES, files_for, shared_files
from sizing.drogue.cone import usual_cone
from sizing.errors import OutputError
from sizing.model import ConeSize
from sizing.policy import SizingRules
from tests.sitegen.result_builder import Run


def test_files_are_linked_from_every_boat_and_from_the_order(struck_site: Path) -> None:
    assert (struck_site / "downloads" / "cone-pattern-A4.pdf").read_bytes().startswith(b"%PDF-")
    for path in (struck_site / "boats").glob("*.html"):
        assert 'href="../downloads/cone-pattern-A4.pdf"' in path.read_text(encoding="utf-8")
    order = (struck_site / "order.html").read_text(encoding="utf-8")
    assert 'href="downloads/cone-pattern.dxf" download>Cone pattern (DXF, 1 kB)' in order


@pytest.mark.parametrize(
    ("name", "body"),
    [
        ("../evil.pdf", b"%PDF-1.7"),
        ("evil.html", b"<p>"),
        (".hidden.pdf", b"%PDF-1.7"),
        ("a b.pdf", b"%PDF-1.7"),
        ("empty.pdf", b""),
        ("large.csv", b"a" * (MOST_BYTES + 1)),
        ("other.pdf", b"GIF89a"),
        ("leads-outside.pdf", b"%PDF-1.7 /A << /S /URI /URI (http://outside.example) >>"),
        ("runs.pdf", b"%PDF-1.7 /OpenAction << /S /JavaScript >>"),
        ("broken.dxf", b"0\n\xff\xfe"),
        ("control.txt", b"a\x1b[31m"),
    ],
)
def test_what_may_not_be_offered_stops_the_build(run: Run, tmp_path: Path, name: str, body: bytes) -> None:
    with pytest.raises(OutputError, match="download"):
        build_site(run.result, run.policy, run.catalogue, tmp_path / "site", downloads={name: body})
    assert not (tmp_path / "site").exists()


def test_private_words_in_a_text_file_stop_the_build(run: Run, tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="contact details"):
        build_site(
            run.result,
            run.policy,
            run.catalogue,
            tmp_path / "site",
            downloads={"list.csv": b"skipper\nAlma Tessier\n"},
        )


def test_titles_are_words_with_kind_and_size() -> None:
    files = shared_files({"cone-pattern-letter.pdf": b"%PDF-" + b"x" * 41_999, "a.csv": b"x"})
    assert [file.title for file in files] == ["A (CSV, 1 kB)", "Cone pattern letter (PDF, 42 kB)"]


def test_a_boat_is_offered_the_pattern_of_her_own_cones() -> None:
    """Cut to another mouth, every cone would hold more or less than was worked out for her."""
    names = [
        "cone-pattern-127-mm-A4.pdf", "cone-pattern-127-5-mm-A4.pdf", "cone-pattern-152-4-mm.dxf",
        "cone-pattern-127-mm-small-end-45-mm-A4.pdf",
    ]  # fmt: skip
    files = shared_files(dict.fromkeys([*names, "rigging-notes.pdf"], b"%PDF-1.7"))

    rules = SizingRules()
    usual, wide = ConeSize(0.127, 0.0381), ConeSize(0.127, 0.045)

    def offered(*cones: ConeSize) -> list[str]:
        return [Path(file.address).name for file in files_for(files, cones, rules)]

    assert offered(usual) == ["cone-pattern-127-mm-A4.pdf", "rigging-notes.pdf"]
    assert offered(usual_cone(0.1524, rules)) == ["cone-pattern-152-4-mm.dxf", "rigging-notes.pdf"]
    assert offered() == ["rigging-notes.pdf"]
    wide_name = "cone-pattern-127-mm-small-end-45-mm-A4.pdf"
    assert offered(wide) == [wide_name, "rigging-notes.pdf"]
    assert offered(usual, wide) == ["cone-pattern-127-mm-A4.pdf", wide_name, "rigging-notes.pdf"]
