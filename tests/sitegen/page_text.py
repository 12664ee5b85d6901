"""What a page says, read as text."""

from __future__ import annotations

import html
import re
from pathlib import Path

from tests.sitegen.result_builder import Run


def text_of(path: Path) -> str:
    body = path.read_text(encoding="utf-8").partition("<article")[2]
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", body)))


def boat_text(site: Path, run: Run, row: int) -> str:
    number = str(run.result.intake.fleet.text["entry_no"][row])
    return text_of(next((site / "boats").glob(f"{number}-*.html")))
