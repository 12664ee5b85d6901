"""Putting the site published before the present one back in its place."""

from __future__ import annotations

from pathlib import Path

from rich.text import Text

from api.console import output
from api.exit_codes import DONE
from api.output_folder import claimed
from sitegen import rollback
from sizing.errors import OutputError


def put_site_back(folder: Path) -> int:
    """Publish the earlier site of an output folder again; returns the exit code.

    Raises OutputError where there is no site, or no earlier one that is whole.
    """
    site = folder / "site"
    if not site.exists():
        raise OutputError(
            str(folder),
            "there is no site in it",
            "the output folder of a run, with a site",
            "give the folder that was given as --out",
        )
    with claimed(folder):
        rollback(site)
    console = output()
    console.print(Text(f"site:   {site / 'index.html'} is the one published before"))
    console.print(
        "Order, tables and messages are still those of the last run. The same command once more puts the "
        "newer site back."
    )
    return DONE
