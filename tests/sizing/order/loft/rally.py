"""A small rally with a finished order, and what poppler reads in a PDF."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from xml.etree import ElementTree as ET

import numpy as np

from sizing.catalogue import Catalogue
from sizing.model import IntakeResult, MusterResult
from sizing.order import build_order
from sizing.policy import Policy
from tests.sizing.order.fleet_builder import Boat, case

ADDRESS = "https://rally.example/2027/boats/"


@dataclass(frozen=True)
class Rally:
    """A result with the rules it was made by."""

    result: MusterResult
    policy: Policy
    catalogue: Catalogue


def rally(
    boats: Sequence[Boat], policy: Policy | None = None, mouths_m: Sequence[float] | None = None
) -> Rally:
    """These boats, with their order; cones of the policy's mouth unless each boat's is given."""
    c = case(boats, policy)
    needs = c.requirements if mouths_m is None else replace(c.requirements, cone_mouth_m=np.array(mouths_m))
    order = build_order(c.fleet, needs, c.plans, c.policy, c.catalogue, None, departure=None,
                        time_limit_s=2.0)  # fmt: skip
    intake = IntakeResult((), len(boats), c.fleet, (), (), "")
    result = MusterResult("0", date(2027, 1, 2), "", "", "", intake, needs, (), c.plans, order)
    return Rally(result, c.policy, c.catalogue)


def address(row: int) -> str:
    """The page of a boat."""
    return f"{ADDRESS}{row:03d}-9309f67f.html"


def page_texts(data: bytes) -> list[str]:
    """The text of each page, set out as on the page."""
    done = subprocess.run(["pdftotext", "-layout", "-", "-"], input=data, capture_output=True, check=True)
    return done.stdout.decode().split("\f")[:-1]


def page_sizes_pt(data: bytes) -> list[tuple[float, float]]:
    """Width and height of each page."""
    command = ["pdfinfo", "-f", "1", "-l", "9999", "-"]
    text = subprocess.run(command, input=data, capture_output=True, check=True).stdout.decode()
    return [(float(w), float(h)) for w, h in re.findall(r"Page +\d+ size: +([\d.]+) x ([\d.]+) pts", text)]


@dataclass(frozen=True)
class Word:
    """One word with its box on its page, pt from the upper left corner."""

    page: int
    text: str
    left: float
    top: float
    right: float
    foot: float


def words(data: bytes) -> list[Word]:
    """Every word of a PDF with its place."""
    done = subprocess.run(["pdftotext", "-bbox", "-", "-"], input=data, capture_output=True, check=True)
    root = ET.fromstring(done.stdout.decode())  # noqa: S314  poppler's own output
    space = "{http://www.w3.org/1999/xhtml}"
    return [
        Word(at, word.text or "", *(float(word.attrib[k]) for k in ("xMin", "yMin", "xMax", "yMax")))
        for at, page in enumerate(root.iter(f"{space}page"))
        for word in page.iter(f"{space}word")
    ]
