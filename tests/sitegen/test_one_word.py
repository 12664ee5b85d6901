"""One word for one thing: what people read calls the strong points aft by the vocabulary's word."""

from __future__ import annotations

import re
from pathlib import Path

from tests.calling import Done
from tests.sitegen.page_text import text_of


def test_no_page_of_the_demo_calls_a_strong_point_otherwise(demo_run: tuple[Path, Done]) -> None:
    site = demo_run[0] / "site"
    found = {}
    for path in (*sorted(site.glob("boats/*.html"))[:12], *site.glob("*.html")):
        if path.name not in {"glossary.html"}:
            # Ids of checks are for files and keys.
            words = re.findall(r"[^.]{0,40}\b[Aa]ttachments?\b(?!\.[a-z])[^.]{0,30}", text_of(path))
            if words:
                found[path.name] = words[:3]
    assert found == {}
