"""Addresses that the program's own pages and files have, found from the pages themselves."""

from __future__ import annotations

import importlib
import pkgutil
from functools import lru_cache

import sitegen.pages
from sitegen.addresses import boat_address, cuts_address
from sitegen.pages.frame import Frame
from sitegen.search_index import ADDRESS as SEARCH
from sitegen.shared_files import FOLDER as DOWNLOADS


@lru_cache(maxsize=1)
def made_addresses() -> frozenset[str]:
    """Addresses of the pages there is one of."""
    modules = (
        importlib.import_module(m.name)
        for m in pkgutil.iter_modules(sitegen.pages.__path__, "sitegen.pages.")
    )
    frames = (getattr(thing, "frame", None) for module in modules for thing in vars(module).values())
    return frozenset(frame.address for frame in frames if isinstance(frame, Frame))


@lru_cache(maxsize=1)
def made_folders() -> frozenset[str]:
    """Folders of the site that are the program's own."""
    examples = (
        boat_address("x"),
        cuts_address("x"),
        SEARCH,
        f"{DOWNLOADS}/x",
        "assets/x",
    )
    return frozenset(example.partition("/")[0] for example in examples)
