"""The catalogue from its folder of CSV tables.

A club replaces a single table, or all, by files of the same names in a folder of its own: a table that is not
there is the program's. Every row carries its source.
"""

from __future__ import annotations

import hashlib
from dataclasses import fields
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any, Final

import numpy as np

from sizing.catalogue.columns import TABLES
from sizing.catalogue.reader import read_table
from sizing.catalogue.tables import (
    Bags,
    BoltGrades,
    Bolts,
    Catalogue,
    ChafeSleeves,
    Cloths,
    EndWeights,
    Ropes,
    Shackles,
    Tapes,
    Thimbles,
)
from sizing.errors import CatalogueError
from sizing.fields import CHOICES

_CLASSES: Final[dict[str, type[Any]]] = {
    "ropes": Ropes,
    "shackles": Shackles,
    "bolts": Bolts,
    "bolt_grades": BoltGrades,
    "cloths": Cloths,
    "tapes": Tapes,
    "thimbles": Thimbles,
    "end_weights": EndWeights,
    "chafe_sleeves": ChafeSleeves,
    "bags": Bags,
}


def load_catalogue(folder: Path | None = None) -> Catalogue:
    """Return the catalogue; tables found in `folder` take the place of the program's own.

    Raises CatalogueError naming file, row and column for any value that cannot be used.

    >>> load_catalogue().ropes.id[2]
    'NDB-10'
    """
    return _own() if folder is None else _read(folder)


@cache
def _own() -> Catalogue:
    """The program's own tables, read once."""
    return _read(None)


def _read(folder: Path | None) -> Catalogue:
    contents = {name: _content(name, folder) for name in TABLES}
    tables = {
        name: _CLASSES[name](**read_table(content, f"{name}.csv", TABLES[name]))
        for name, content in contents.items()
    }
    digest = hashlib.sha256()
    for name, content in contents.items():
        digest.update(f"{name} {len(content)}\n".encode())
        digest.update(content)
    catalogue = Catalogue(**tables, sha256=digest.hexdigest())
    _check_between_tables(catalogue)
    return catalogue


def _content(name: str, folder: Path | None) -> bytes:
    file_name = f"{name}.csv"
    if folder is not None:
        if not folder.is_dir():
            raise CatalogueError(
                str(folder),
                "there is no such folder",
                "a folder with catalogue tables",
                "correct the path, or leave it out to use the program's own",
            )
        own = folder / file_name
        if own.exists():
            try:
                return own.read_bytes()
            except OSError as error:
                raise CatalogueError(
                    str(own),
                    f"the file cannot be read ({error.strerror})",
                    "a readable CSV file",
                    "close it elsewhere and check its permissions",
                ) from None
        known = {f"{table}.csv" for table in TABLES}
        strange = sorted(path.name for path in folder.glob("*.csv") if path.name not in known)
        if strange:
            raise CatalogueError(
                f"{folder}",
                f"{strange[0]} is no catalogue table",
                ", ".join(sorted(known)),
                "rename the file, or take it out of the folder",
            )
    return resources.files("sizing.catalogue").joinpath(file_name).read_bytes()


def _check_between_tables(catalogue: Catalogue) -> None:
    ropes = catalogue.ropes
    over = np.flatnonzero(ropes.minimum_strength_n > ropes.average_strength_n)
    if over.size:
        row = int(over[0])
        raise CatalogueError(
            f"ropes.csv, row {row + 2} ({ropes.id[row]}), column minimum_strength",
            "it is above the average strength",
            "a minimum not above the average",
            "correct one of the two",
        )
    for name, table in (("thimbles", catalogue.thimbles), ("chafe_sleeves", catalogue.chafe_sleeves)):
        if table.rope_diameter_m[-1] < ropes.diameter_m[-1]:
            raise CatalogueError(
                f"{name}.csv, last row",
                f"the largest takes rope to "
                f"{table.rope_diameter_m[-1] * 1e3:g} mm, and ropes.csv goes to "
                f"{ropes.diameter_m[-1] * 1e3:g} mm",
                "a size for every rope",
                f"add larger sizes to {name}.csv, or remove ropes",
            )
    tight = np.flatnonzero(catalogue.thimbles.groove_m < catalogue.thimbles.rope_diameter_m)
    if tight.size:
        row = int(tight[0])
        raise CatalogueError(
            f"thimbles.csv, row {row + 2} ({catalogue.thimbles.id[row]}), column groove",
            f"{catalogue.thimbles.groove_m[row] * 1e3:g} mm",
            f"at least the rope it is for, {catalogue.thimbles.rope_diameter_m[row] * 1e3:g} mm",
            "correct one of the two",
        )
    for word in CHOICES["cone_cloth"]:
        if word != "unknown" and catalogue.cloths.cone_cloth.count(word) != 1:
            raise CatalogueError(
                "cloths.csv, column cone_cloth",
                f"“{word}” stands {catalogue.cloths.cone_cloth.count(word)} times",
                "each word of the entry sheet's cone_cloth once",
                "add or remove a row",
            )
    seen: dict[str, str] = {}
    for table_field in fields(catalogue):
        table_name = table_field.name
        for part in getattr(getattr(catalogue, table_name), "id", ()):
            if part in seen:
                raise CatalogueError(
                    f"{table_name}.csv, column id",
                    f"“{part}” is also in {seen[part]}.csv",
                    "an id of its own for every part",
                    "rename one of them",
                )
            seen[part] = table_name
