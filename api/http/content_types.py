"""The content type of every kind of file that is given."""

from __future__ import annotations

import mimetypes
from collections.abc import Mapping
from pathlib import PurePosixPath
from types import MappingProxyType
from typing import Final

# Named here, since what a machine knows of kinds of files differs: with `nosniff` a wrong one stops a page.
KINDS: Final[Mapping[str, str]] = MappingProxyType(
    {
        ".html": "text/html; charset=utf-8",
        ".css": "text/css; charset=utf-8",
        ".js": "text/javascript; charset=utf-8",
        ".json": "application/json",
        ".svg": "image/svg+xml",
        ".png": "image/png",
        ".woff2": "font/woff2",
        ".txt": "text/plain; charset=utf-8",
        ".csv": "text/csv; charset=utf-8",
        ".pdf": "application/pdf",
        ".dxf": "image/vnd.dxf",
        ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
        ".zip": "application/zip",
    }
)


def kind_of(name: str) -> str:
    """The content type of a file, by the end of its name.

    >>> kind_of("cones.dxf"), kind_of("order.xlsx")[:15]
    ('image/vnd.dxf', 'application/vnd')
    """
    suffix = PurePosixPath(name).suffix.lower()
    return KINDS.get(suffix) or mimetypes.guess_type(name)[0] or "application/octet-stream"
