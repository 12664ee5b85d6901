"""Links, forms as files and answers by mail, from the command line; what comes by mail is hostile."""

from __future__ import annotations

import csv
import json
import re
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from api.command_line import app
from api.season.answer_text import MOST_BYTES, form_code, read_answers
from api.season.answers import Given
from api.storage.scrutiny import answers_of
from sizing.errors import MusterError
from tests.api.running import SECRET_MAIL, TODAY, copy_loaded, settings

KEY = b"a season's secret"
FORM = f"form: {form_code(KEY, 'f' + '0' * 12, '017-abcdef012345', 4)}"
TEXT = f"""--- answers for entry 017 ---
{FORM}
by: Ada Quill
cone_count: is 120
line_state: not known
end_weight: later 2026-12-20
gear_supply: is rally order
price: is 312.50
--- end ---
"""


def wrong_in(text: str, name: str = "mail.txt") -> list[str]:
    blocks, wrong = read_answers(name, text.encode(), KEY)
    assert wrong or blocks
    return [f"{one.where}: {one.found}" for one in wrong]


def test_a_text_is_read_as_the_form_wrote_it_also_out_of_a_quoted_mail() -> None:
    quoted = (
        "Hello,\r\nhere it is.\r\n\r\n" + "".join(f"> {line}\r\n" for line in TEXT.splitlines()) + "Ada\r\n"
    )
    for text in (TEXT, quoted):
        (block,), wrong = read_answers("mail.txt", text.encode(), KEY)
        assert wrong == []
        assert (block.boat_id, block.by, block.seen) == ("017-abcdef012345", "Ada Quill", 4)
        assert [(one.field, one.state, one.text) for one in block.given] == [
            ("cone_count", "said", "120"), ("line_state", "unknown", ""), ("end_weight", "later", ""),
        ]  # fmt: skip
        assert isinstance(block.given[0], Given)
        assert (block.word, block.price) == ("rally order", "312.50")


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (("4.", "5."), "line 2, form: it is not of a form of this season"),
        (("017-abc", "018-abc"), "line 2, form: it is not of a form of this season"),
        (("is 120", "120"), "line 4, cone_count: “120” is no answer"),
        (("cone_count: is", "evidence: is"), "line 4, evidence: it is no column that a skipper answers"),
        (("line_state: not known", "cone_count: is 9"), "line 5, cone_count: it stands there twice"),
        (("later 2026-12-20", "later tomorrow"), "line 6, end_weight: “later tomorrow” has no day"),
        (("is rally order", "is yes please"), "line 7, gear_supply: “yes please” is not a word known here"),
        (("--- end ---\n", ""), "line 1: the answers have no end"),
        (("by: Ada Quill\n", ""), "line 1: the line “by:” is missing"),
        (("cone_count: is 120", "<b>cones</b>"), "line 4: “<b>cones</b>” is no answer"),
    ],
)
def test_what_is_wrong_is_named_by_file_line_and_column(change: tuple[str, str], told: str) -> None:
    assert wrong_in(TEXT.replace(*change)) == [f"mail.txt, {told}"]


def test_a_file_is_bounded_and_has_to_be_text_with_answers() -> None:
    assert wrong_in("x" * (MOST_BYTES + 1)) == [f"mail.txt: it is {MOST_BYTES + 1:,} bytes long"]
    assert read_answers("mail.txt", b"\xff\xfe", KEY)[1][0].found == "it is no text in UTF-8"
    assert wrong_in("Dear office, all is well.") == ["mail.txt: it holds no answers"]
    assert wrong_in(TEXT.replace("cone_count: is 120", "\n".join(["x"] * 300))) == [
        "mail.txt, line 1: it has 306 lines"
    ]


def typed(folder: Path, *arguments: str) -> str:
    line = [*arguments, "--out", str(folder), "--today", TODAY.isoformat()]
    result = CliRunner().invoke(app, line, catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return " ".join(result.output.split())


def test_from_form_to_answer_without_a_server(tmp_path: Path) -> None:
    """Forms are written, their texts taken in, all or none; links are told once, for the officer alone."""
    config = settings(tmp_path / "out")
    copy_loaded(config)
    assert "forms: 2" in typed(config.folder, "forms", "002", "003")
    texts = {}
    for entry in ("002", "003"):
        page = (config.folder / "forms" / f"form-{entry}.html").read_text(encoding="utf-8")
        assert "http://" not in page.replace("http://www.w3.org", "")
        assert SECRET_MAIL not in page
        found = re.search(r'id="given">(.*?)</script>', page)
        assert found
        told: dict[str, Any] = json.loads(found[1])
        assert told["form"]["entry_no"] == entry
        texts[entry] = TEXT.replace(FORM, f"form: {told['code']}").replace("price: is 312.50\n", "")
    bad = texts["003"].replace("is 120", "is a lot")
    for name, text in (("a.txt", texts["002"]), ("b.txt", bad), ("c.txt", texts["003"])):
        (tmp_path / name).write_text(text, encoding="utf-8")
    with pytest.raises(MusterError, match="see above"):
        typed(config.folder, "answers", str(tmp_path / "a.txt"), str(tmp_path / "b.txt"))
    assert kept(config) == {}, "nothing is half taken in"
    said = typed(config.folder, "answers", str(tmp_path / "a.txt"), str(tmp_path / "c.txt"))
    assert "taken in: 6 answers of 2 boats" in said
    assert {name: one.text for name, one in kept(config)["002"].items()} == {
        "cone_count": "120", "line_state": "", "end_weight": "",
    }  # fmt: skip
    assert "Every answer counts" in typed(config.folder, "answers")
    links(config.folder)


def kept(config: Any) -> dict[str, Any]:
    from api.storage.store import open_store  # noqa: PLC0415

    store = open_store(config.url)
    with store.read() as connection:
        fleet = connection.exec_driver_sql("SELECT id FROM fleets").scalar_one()
        found = answers_of(connection, str(fleet))
    store.close()
    return {boat.split("-")[0]: told for boat, told in found.items()}


def links(folder: Path) -> None:
    """The merge file has each boat once; who has a link keeps it."""
    assert "made: 6 links" in typed(folder, "invite", "--address", "https://rally.example")
    with (folder / "invitations" / "invitations.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len({row["link"] for row in rows}) == 6
    assert all(row["link"].startswith("https://rally.example/answer/#dm_") for row in rows)
    assert {row["email"] for row in rows} == {SECRET_MAIL}
    assert (folder / "invitations" / "link-002.svg").read_bytes().startswith(b"<?xml")
    assert "made: 0 links; 6 boats keep theirs" in typed(
        folder, "invite", "--address", "https://rally.example"
    )
    assert "ended: 1 link" in typed(folder, "invite", "002", "--end")
    with pytest.raises(MusterError, match="no link that counts"):
        typed(folder, "invite", "002", "--end")
