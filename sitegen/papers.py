"""The papers of each boat beside her page: which files they are, and how they come into the site."""

from __future__ import annotations

import shutil
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from sitegen.boat_facts import BoatFacts, Gatherer
from sizing.errors import OutputError
from sizing.papers.names import BOAT_PAPERS, BOATS, files_of

FOLDER: Final = "boats"
"""Where the papers of a boat lie in the site: beside her page."""


@dataclass(frozen=True)
class PaperLink:
    """One paper to take away: what it is called, and its files with the size of sheet each is for."""

    title: str
    files: tuple[tuple[str, str], ...]


def boat_papers(facts: BoatFacts) -> tuple[PaperLink, ...]:
    """Return the papers that lie beside a boat's page; none where none were made."""
    return tuple(
        PaperLink(
            BOAT_PAPERS[kind], tuple((file.name, file.paper) for file in files_of(f"{facts.slug}-{kind}"))
        )
        for kind in facts.papers
    )


def paper_files(gatherer: Gatherer) -> Mapping[str, str]:
    """Return every paper by its address in the site, with its place in the folder of papers.

    Papers of the fleet are not among them: they name boats whose pages are private.
    """
    return {
        f"{FOLDER}/{file.name}": f"{BOATS}/{file.name}"
        for row in range(len(gatherer))
        for kind in gatherer.papers(row)
        for file in files_of(f"{gatherer.slug(row)}-{kind}")
    }


def put_papers(files: Mapping[str, str], source: Path, folder: Path) -> None:
    """Put the papers from `source` into the site's `folder`; OutputError where one cannot be put there."""
    try:
        (folder / FOLDER).mkdir(parents=True, exist_ok=True)
        for address, place in files.items():
            shutil.copyfile(source / place, folder / address)
    except OSError as error:
        raise OutputError(
            str(folder), error.strerror or str(error), "a folder that can be written",
            "check its permissions and the free space, then run again",
        ) from error  # fmt: skip
