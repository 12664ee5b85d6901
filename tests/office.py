"""LibreOffice as the judge of workbooks: it opens them, works them out and prints them."""

from __future__ import annotations

import io
import shutil
import subprocess
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook

SOFFICE = shutil.which("soffice")
needs_office = pytest.mark.skipif(SOFFICE is None, reason="LibreOffice is not on the path")


def converted(data: bytes, to: str, folder: Path) -> bytes:
    """A workbook as LibreOffice saves it in another format, or in its own hand as xlsx."""
    assert SOFFICE is not None
    source, made = folder / "book.xlsx", folder / "made"
    source.write_bytes(data)
    profile = f"-env:UserInstallation={(folder / 'profile').as_uri()}"
    command = [SOFFICE, profile, "--headless", "--convert-to", to, "--outdir", str(made), str(source)]
    subprocess.run(command, check=True, capture_output=True, timeout=300)
    return (made / f"book.{to}").read_bytes()


def recalculated(data: bytes, folder: Path) -> Workbook:
    """A workbook with the results of its formulas, as LibreOffice works them out."""
    return load_workbook(io.BytesIO(converted(data, "xlsx", folder)), data_only=True)
