"""A skipper's form as one HTML file: opened without a network, it gives her answers as text to send."""

from __future__ import annotations

import html
import json
from collections.abc import Mapping
from typing import Any, Final

from api.dock.files import ANSWER_PAGE, PAGE, STYLE

FILE_POLICY: Final = (
    "default-src 'none'; script-src 'unsafe-inline'; style-src 'unsafe-inline'; img-src data:; "
    "form-action 'none'; base-uri 'none'"
)
"""What the file may do: run what is in it, and load nothing."""


def form_file(told: Mapping[str, Any]) -> bytes:
    """The file of one boat, of what `form_to_send` gives."""
    form = told["form"]
    title = html.escape(f"{form['entry_no']} {form['boat_name']}")
    style = "\n".join(path.read_text(encoding="utf-8") for path in (PAGE / STYLE, ANSWER_PAGE / "answer.css"))
    script = (ANSWER_PAGE / "answer.js").read_text(encoding="utf-8")
    # A text in it that ends the element would be read as markup: no sign < stays in what is embedded.
    given = json.dumps(told, ensure_ascii=False).replace("<", "\\u003c")
    page = f"""<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="{FILE_POLICY}">
<title>{title}: your boat's gear</title>
<style>
{style}</style>
</head>
<body>
<header>
<h1>Your boat's gear</h1>
<p id="signal" role="status"></p>
</header>
<main id="view" tabindex="-1"></main>
<noscript><p class="bad">This form needs JavaScript. Open it in a web browser.</p></noscript>
<script type="application/json" id="given">{given}</script>
<script>
{script}</script>
</body>
</html>
"""
    return page.encode()
