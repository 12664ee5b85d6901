"""Layout and pattern of every cloth of the order, and the tapes from their rolls."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Final

from sizing.catalogue import Catalogue
from sizing.model import FleetColumns, Order
from sizing.order.cloth.dxf import layout_dxf, pattern_dxf
from sizing.order.cloth.nesting import ClothLayout, nest
from sizing.order.cloth.pdf import layout_pdf, pattern_sheet_pdf
from sizing.order.cloth.svg import layout_svg
from sizing.order.cutting import cut_length_mm
from sizing.order.loft.cloth_jobs import ClothJob, cloth_jobs
from sizing.order.sheets import Column, Names, Sheet, cuts_sheet
from sizing.policy import Policy

MOST_DRAWN: Final = 200
"""Cones in one drawing; the layout repeats after them."""

CLOTH: Final = (
    Column("item", "Item", "text", 14),
    Column("description", "Description", "text", 34),
    Column("cloth_width_m", "Cloth width (m)", "length", 12),
    Column("cone_mouth_mm", "Cone mouth (mm)", "quantity", 12),
    Column("small_end_mm", "Small end (mm)", "quantity", 12),
    Column("cones", "Cones", "count", 8),
    Column("spare_cones", "Spare cones", "count", 8),
    Column("cloth_m", "Cloth (m)", "length", 10),
    Column("repeat_m", "Repeat (m)", "length", 10),
    Column("cones_per_repeat", "Cones a repeat", "count", 10),
    Column("used_percent", "Cloth used (%)", "quantity", 10),
    Column("tapes", "Tapes", "count", 8),
    Column("tape_length_mm", "Tape length (mm)", "count", 10),
    Column("files", "Files", "text", 40),
)


def pattern_files(jobs: Sequence[ClothJob], tapes: int, told: str) -> dict[str, bytes]:
    """Return the patterns of the jobs' cones, each size once: DXF, and PDF on A4 and US Letter.

    `told` stands on each: whose pattern it is, and of when.
    """
    files: dict[str, bytes] = {}
    for job in jobs:
        name = job.pattern_name  # the same from every cloth
        files[f"{name}-A4.pdf"] = pattern_sheet_pdf(job.pattern, "A4", tapes, told)
        files[f"{name}-Letter.pdf"] = pattern_sheet_pdf(job.pattern, "Letter", tapes, told)
        files[f"{name}.dxf"] = pattern_dxf(job.pattern, tapes, told)
    return files


def cloth_files(
    order: Order,
    fleet: FleetColumns,
    policy: Policy,
    catalogue: Catalogue,
    told: str = "",
) -> Mapping[str, bytes]:
    """Return cloth.csv, tapes.csv, and for each cloth and size of cone a layout, for each size a pattern.

    Layouts are PDF, SVG and DXF; patterns are DXF, and PDF on A4 and US Letter. At most some 200 cones are
    drawn, with a note how the layout goes on.
    """
    rows = []
    tapes = policy.order.tapes_per_cone
    jobs = cloth_jobs(order, policy, catalogue)
    files = pattern_files(jobs, tapes, told)
    for job in jobs:
        layout = nest(job.pattern, job.width_m, job.cones + job.spare, policy.order)
        stem = file_stem(job, files)
        files[f"{stem}-layout.pdf"] = layout_pdf(layout, tapes, MOST_DRAWN)
        files[f"{stem}-layout.svg"] = layout_svg(layout, tapes, MOST_DRAWN)
        files[f"{stem}-layout.dxf"] = layout_dxf(layout, tapes, MOST_DRAWN)
        rows.append(_row(job, layout, policy, stem))
    files["cloth.csv"] = Sheet("Cloth", CLOTH, tuple(rows)).csv()
    files["tapes.csv"] = _tape_cuts(order, fleet, catalogue.tapes.id).csv()
    return files


def _row(job: ClothJob, layout: ClothLayout, policy: Policy, stem: str) -> tuple[str | int | Decimal, ...]:
    return (
        job.item, job.description, _decimal(job.width_m, 3), _decimal(1000 * job.size.mouth_m, 1),
        _decimal(1000 * job.size.small_end_m, 1), job.cones, job.spare, _decimal(layout.length_m, 3),
        _decimal(layout.period_m, 4), layout.cones_per_period, _decimal(100 * layout.utilisation, 1),
        layout.count * policy.order.tapes_per_cone, cut_length_mm(policy.order.tape_length),
        f"{stem}-*, {job.pattern_name}*",
    )  # fmt: skip


def _decimal(value: float, places: int) -> Decimal:
    return Decimal(f"{value:.{places}f}")


def _tape_cuts(order: Order, fleet: FleetColumns, tapes: Sequence[str]) -> Sheet:
    """The order's own cuts of its tapes, roll by roll; a "spool" is a roll here."""
    rolls = tuple(spool for spool in order.spools if spool.item in tapes)
    return cuts_sheet(replace(order, spools=rolls), Names(fleet))


def file_stem(job: ClothJob, taken: Iterable[str]) -> str:
    """Return the start of a job's file names, one that any system takes.

    A catalogue's id that is no file name gets a short hash, and so does one like a name that is `taken`.
    """
    plain = re.sub(r"[^A-Za-z0-9.]+", "-", job.item).strip("-.")[:40]
    ends = [job.size.mouth_m, job.size.small_end_m][: 2 if job.own_small_end else 1]
    stem = "-".join([f"cloth-{plain}", *(f"{1000 * end:.1f}mm".replace(".0mm", "mm") for end in ends)])
    lower = {name.lower() for name in taken}
    if plain != job.item or f"{stem}-layout.pdf".lower() in lower:
        stem += "-" + hashlib.sha256(f"{job.item} {job.size!r}".encode()).hexdigest()[:8]
    return stem
