"""One rule of rounding on every page of the demo: exact figures stand in the workings alone."""

from __future__ import annotations

import html
import re
from pathlib import Path

from tests.calling import Done

FORCE = re.compile(r"(\d[\d,.]*) (?:kN|lbf)\b")
EXACT = re.compile(r'<section id="workings".*?</section>', re.DOTALL)
NEED = re.compile(r"<dt>(?:Each leg of the bridle|Lead line)<dd>(.*?)<(?:dt|/div)", re.DOTALL)
IN_DRAWING = re.compile(r"(?:each leg |finished |lead line |2 × )(<tspan.*?)</text>")


def digits(figure: str) -> int:
    return len(figure.rstrip(".").replace(",", "").replace(".", "").lstrip("0").rstrip("0"))


def words(markup: str) -> tuple[str, ...]:
    return tuple(re.findall(r"\d[^<]*", html.unescape(re.sub(r"<[^>]+>", "<", markup))))


def test_no_load_has_more_than_three_digits_outside_the_workings(demo_run: tuple[Path, Done]) -> None:
    """“11,369 lbf” stood in a drawing under “11.4 kN” in its caption."""
    pages = sorted((demo_run[0] / "site" / "boats").glob("*.html"))
    found = {}
    for path in pages:
        text = html.unescape(re.sub(r"<[^>]+>", "", EXACT.sub("", path.read_text(encoding="utf-8"))))
        exact = {force[0] for force in FORCE.finditer(text) if digits(force[1]) > 3}
        if exact:
            found[path.name] = exact
    assert len(pages) > 50
    assert found == {}


def test_drawings_say_what_is_needed_as_the_figures_above_them_do(demo_run: tuple[Path, Done]) -> None:
    for path in sorted((demo_run[0] / "site" / "boats").glob("*.html")):
        text = path.read_text(encoding="utf-8")
        needed = {words(found[1]) for found in NEED.finditer(text)}
        drawn = [words(found[1]) for found in IN_DRAWING.finditer(text)]
        assert set(drawn) <= needed, path.name
        assert bool(drawn) == bool(needed), path.name
