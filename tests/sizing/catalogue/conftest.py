"""The catalogue that comes with the program, read once."""

from __future__ import annotations

import pytest

from sizing.catalogue import Catalogue, load_catalogue


@pytest.fixture(scope="package")
def catalogue() -> Catalogue:
    return load_catalogue()
