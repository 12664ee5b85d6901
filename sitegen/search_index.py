"""The search index: a script that sets one list, so that it can be read from a folder too.

It is small enough for a phone: a boat takes some 150 bytes of it, and what is said of all boats stands in
it once. How words are found in it, without accents and with a slip of a letter:
`theme/assets/muster/search.js`.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Final

from sitegen.pages.frame import SearchEntry
from sitegen.texts import load_texts

ADDRESS: Final = "search/index.js"


def with_other_words(entries: Iterable[SearchEntry]) -> Iterator[SearchEntry]:
    """Yield the entries, with what people also type for some of ours behind their text.

    The words are those of `texts/search_words.toml`, by address and title.
    """
    others = load_texts().other_words
    for entry in entries:
        words = others.get((entry.address, entry.title))
        yield replace(entry, text=f"{entry.text} ({words})".strip()) if words else entry


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
