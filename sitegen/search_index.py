"""The search index: a script that sets one list, so that it can be read from a folder too.

It is small enough for a phone: a boat takes some 150 bytes of it, and what is said of all boats stands in
it once. How words are found in it, without accents and with a slip of a letter:
`theme/assets/muster/search.js`.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Final

from sitegen.pages.frame import SearchEntry

ADDRESS: Final = "search/index.js"


def search_script(entries: Iterable[SearchEntry]) -> str:
    """Return the index as a script. Text is written so that no reader can take it for markup or code.

    >>> print(search_script([SearchEntry("a.html", "</b>", "x", ("17",))]), end="")
    window.drogueMusterIndex = [
    ["a.html","\\u003c/b\\u003e","x",["17"]]
    ];
    """
    lines = (
        json.dumps(
            [entry.address, entry.title, entry.text, *([entry.keys] if entry.keys else [])],
            ensure_ascii=True,
            separators=(",", ":"),
        )
        for entry in entries
    )
    text = ",\n".join(lines)
    for sign in "<>&":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return f"window.drogueMusterIndex = [\n{text}\n];\n"
