"""The licences of what others made and the site carries."""

from __future__ import annotations

from importlib.metadata import distribution

from sitegen.pages.standing_texts import LicensedPart


def licensed_parts() -> tuple[LicensedPart, ...]:
    """Return the parts made by others, with the text of their licence as installed."""
    return (
        LicensedPart(
            "Material for MkDocs",
            "The basic style sheet of every page, assets/stylesheets/main.*.min.css, without its source map.",
            _licence("mkdocs-material"),
        ),
    )


def _licence(name: str) -> str:
    installed = distribution(name)
    for place in ("licenses/LICENSE", "LICENSE", "LICENSE.txt", "LICENSE.md"):
        text = installed.read_text(place)
        if text:
            return text
    raise LookupError(f"the installed package {name} has no licence file")
