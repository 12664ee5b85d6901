"""Options that all commands of a season take: where it lies, and which of its fleets is meant."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

OutFolder = Annotated[
    Path, typer.Option("--out", metavar="DIR", help="The season's folder: its store, and what is made of it.")
]
Database = Annotated[
    str,
    typer.Option(
        "--database",
        metavar="URL",
        envvar="DROGUE_MUSTER_DATABASE",
        help="The season in PostgreSQL, in place of a file in --out: postgresql://user@host/name",
    ),
]
FleetName = Annotated[
    str,
    typer.Option("--fleet", metavar="NAME", help="Which fleet of the season, where there is more than one."),
]
