"""The search index: a script that sets one list, so that it can be read from a folder too."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Final

from sitegen.pages.frame import SearchEntry

ADDRESS: Final = "search/index.js"


def search_script(entries: Iterable[SearchEntry]) -> str:
    """Return the index as a script. Text is written so that no reader can take it for markup or code.

    >>> print(search_script([SearchEntry("a.html", "</b>", "x")]), end="")
    window.drogueMusterIndex = [
    {"address":"a.html","title":"\\u003c/b\\u003e","text":"x"}
    ];
    """
    lines = (
        json.dumps(
            {"address": entry.address, "title": entry.title, "text": entry.text},
            ensure_ascii=True,
            separators=(",", ":"),
        )
        for entry in entries
    )
    text = ",\n".join(lines)
    for sign in "<>&":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return f"window.drogueMusterIndex = [\n{text}\n];\n"
