from __future__ import annotations

from pathlib import Path

import pytest

from sitegen.reuse import CheckedFile, sha256_of
from sitegen.verify import verify_site, words_sought
from sizing.errors import OutputError

PAGE = '<!doctype html><html><head><title>x</title></head><body><a href="b.html#there">b</a>{}</body></html>'
OTHER = '<!doctype html><html><body><p id="there">y</p></body></html>'


def folder(tmp_path: Path, body: str = "", **files: str) -> Path:
    (tmp_path / "a.html").write_text(PAGE.format(body))
    (tmp_path / "b.html").write_text(OTHER)
    for name, text in files.items():
        (tmp_path / name.replace("_", ".")).write_text(text)
    return tmp_path


def check(path: Path, *private: str, public: str = "") -> int:
    return len(verify_site(path, ["a.html"], lambda _: words_sought(private, {public.casefold()})))


def test_a_sound_folder_passes(tmp_path: Path) -> None:
    assert (
        check(folder(tmp_path, "plain text with onload=1 and http://words.example", s_css="a{color:red}"))
        == 3
    )


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ('<a href="c.html">c</a>', "not there"),
        ('<a href="b.html#nowhere">c</a>', "not there"),
        ('<a href="../outside.html">c</a>', "not there"),
        ('<a href="/b.html">c</a>', "inside the folder only"),
        ('<a href="https://outside.example/">c</a>', "inside the folder only"),
        ('<a href="//outside.example/">c</a>', "inside the folder only"),
        ('<a href="javascript:alert(1)">c</a>', "inside the folder only"),
        ('<link rel="stylesheet" href="http://outside.example/x.css">', "inside the folder only"),
        ("<script>1</script>", "run or style"),
        ('<p onclick="x()">c</p>', "run or style"),
        ('<p style="color:red">c</p>', "run or style"),
        ("<style>p{}</style>", "run or style"),
        ('<iframe src="b.html"></iframe>', "run or style"),
        ("<p>ask ann@boat.example</p>", "e-mail"),
    ],
)
def test_what_may_not_be_published_stops_it(tmp_path: Path, body: str, words: str) -> None:
    with pytest.raises(OutputError, match=words):
        check(folder(tmp_path, body))


def test_the_offices_own_address_is_passed_over_in_its_own_place_alone(tmp_path: Path) -> None:
    public = "<bdi>a@office.example</bdi>"

    def looked_at(body: str) -> None:
        verify_site(folder(tmp_path, body), [], lambda _: {"a@office.example"}, public=public)

    looked_at(f"<p>Questions go to {public}.</p>")
    for body in ("<p>a@office.example</p>", f"<p>{public}</p><p>anna@office.example</p>"):
        with pytest.raises(OutputError, match="e-mail"):
            looked_at(body)


def test_a_boat_without_a_page_stops_it(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="no page"):
        verify_site(folder(tmp_path), ["boats/gone.html"], lambda _: ())


def test_a_style_sheet_may_load_nothing(tmp_path: Path) -> None:
    for text in ("@import 'x.css';", "a{background:url(http://o.example/x.png)}", "a{background:url(x.png)}"):
        with pytest.raises(OutputError, match="outside"):
            check(folder(tmp_path, s_css=text))


def test_a_script_may_name_no_address(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="outside"):
        check(folder(tmp_path, s_js="fetch('https://o.example/x')"))


def test_a_file_of_an_unknown_kind_stops_it(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="cannot be checked"):
        check(folder(tmp_path, s_exe="x"))


@pytest.mark.parametrize(
    "body", ["<p>Alma TESSIER</p>", "<p>Alma &#84;essier</p>", '<p title="alma tessier">x</p>']
)
def test_a_private_name_is_found_however_it_is_written(tmp_path: Path, body: str) -> None:
    with pytest.raises(OutputError, match="skipper"):
        check(folder(tmp_path, body), "Alma Tessier")


def test_a_boat_may_be_called_like_her_skipper(tmp_path: Path) -> None:
    assert check(folder(tmp_path, "<p>Mary Ann</p>"), "Mary Ann", public="Mary Ann") == 2


BAD = "<p>ask ann@boat.example</p>"


def again(path: Path, *leads_to: str) -> dict[str, CheckedFile]:
    """Check a folder whose first page was taken over from an earlier release."""
    return verify_site(path, ["a.html"], lambda _: (), known={"a.html": CheckedFile("as it was", leads_to)})


def test_what_was_found_of_each_file_is_its_hash_and_where_it_leads(tmp_path: Path) -> None:
    path = folder(tmp_path, '<a href="a.html">a</a>', s_txt="b.html")
    found = verify_site(path, ["a.html"], lambda _: ())
    assert {name: file.leads_to for name, file in found.items()} == {
        "a.html": ("b.html#there",), "b.html": (), "s.txt": (),
    }  # fmt: skip
    assert all(file.sha256 == sha256_of((path / name).read_bytes()) for name, file in found.items())


def test_a_file_taken_over_is_not_searched_again(tmp_path: Path) -> None:
    # No honest run can have passed this page: that it passes now shows that it was not looked at.
    assert again(folder(tmp_path, BAD))["a.html"].sha256 == "as it was"


def test_links_of_a_page_taken_over_are_followed_again(tmp_path: Path) -> None:
    path = folder(tmp_path)
    again(path, "b.html#there")
    with pytest.raises(OutputError, match=r"b\.html#elsewhere”, which is not there"):
        again(path, "b.html#elsewhere")
    (path / "b.html").unlink()
    with pytest.raises(OutputError, match=r"b\.html”, which is not there"):
        again(path, "b.html#there")


def test_an_anchor_of_the_page_itself_has_to_be_there(tmp_path: Path) -> None:
    assert check(folder(tmp_path, '<a href="#here" id="here">c</a>')) == 2
    with pytest.raises(OutputError, match=r"a\.html#away"):
        check(folder(tmp_path, '<a href="#away">c</a>'))
