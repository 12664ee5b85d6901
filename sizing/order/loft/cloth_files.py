"""Layout and pattern of every cloth of the order, and the tapes from their rolls."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final

from sizing.catalogue import Catalogue
from sizing.drogue.cone import ConePattern, cone_pattern
from sizing.model import FleetColumns, Order, RequirementColumns
from sizing.order.cloth.dxf import layout_dxf, pattern_dxf
from sizing.order.cloth.nesting import ClothLayout, nest
from sizing.order.cloth.pdf import layout_pdf, pattern_sheet_pdf
from sizing.order.cloth.svg import layout_svg
from sizing.order.consolidate import consolidate
from sizing.order.consumables import known_items
from sizing.order.cutting import cut_length_mm
from sizing.order.sheets import Column, Names, Sheet, cuts_sheet
from sizing.policy import Policy

MOST_DRAWN: Final = 200
"""Cones in one drawing; the layout repeats after them."""

_PATTERN: Final = "cone-pattern"

CLOTH: Final = (
    Column("item", "Item", "text", 14),
    Column("description", "Description", "text", 34),
    Column("cloth_width_m", "Cloth width (m)", "length", 12),
    Column("cone_mouth_mm", "Cone mouth (mm)", "quantity", 12),
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


@dataclass(frozen=True)
class ClothJob:
    """Cones of one mouth from one cloth: those for boats, and the fleet's spares among the policy's own."""

    item: str
    description: str
    width_m: float
    mouth_m: float
    cones: int
    spare: int
    pattern: ConePattern


def cloth_jobs(
    order: Order, requirements: RequirementColumns, policy: Policy, catalogue: Catalogue
) -> tuple[ClothJob, ...]:
    """Return what is cut from each cloth, as the order counts it; spares are of the policy's mouth."""
    sizing, jobs = policy.sizing, []
    for job in consolidate(order.pieces, requirements, policy, known_items(catalogue)):
        if job.item.kind != "cloth":
            continue
        counts: dict[float, int] = {}
        for piece in job.pieces:
            mouth_m = job.mouths_m[piece.row]
            counts[mouth_m] = counts.get(mouth_m, 0) + piece.quantity
        spares = {sizing.cone_mouth: int(job.spare)} if job.spare else {}
        width_m = float(catalogue.cloths.width_m[catalogue.cloths.id.index(job.item.id)])
        for mouth_m in sorted(counts | spares):
            scale = mouth_m / sizing.cone_mouth
            pattern = cone_pattern(
                mouth_m, sizing.cone_small_end * scale, sizing.cone_slant * scale, policy.order.seam_allowance
            )
            cones, spare = counts.get(mouth_m, 0), spares.get(mouth_m, 0)
            jobs.append(ClothJob(job.item.id, job.item.description, width_m, mouth_m, cones, spare, pattern))
    return tuple(jobs)


def cloth_files(
    order: Order,
    fleet: FleetColumns,
    requirements: RequirementColumns,
    policy: Policy,
    catalogue: Catalogue,
) -> Mapping[str, bytes]:
    """Return cloth.csv, tapes.csv, and for each cloth and mouth a layout, for each mouth a pattern.

    Layouts are PDF, SVG and DXF; patterns are DXF, and PDF on A4 and US Letter. At most some 200 cones are
    drawn, with a note how the layout goes on.
    """
    files: dict[str, bytes] = {}
    rows = []
    tapes = policy.order.tapes_per_cone
    for job in cloth_jobs(order, requirements, policy, catalogue):
        layout = nest(job.pattern, job.width_m, job.cones + job.spare, policy.order)
        stem = file_stem(job, files)
        files[f"{stem}-layout.pdf"] = layout_pdf(layout, tapes, MOST_DRAWN)
        files[f"{stem}-layout.svg"] = layout_svg(layout, tapes, MOST_DRAWN)
        files[f"{stem}-layout.dxf"] = layout_dxf(layout, tapes, MOST_DRAWN)
        pattern = pattern_stem(job.mouth_m)  # the same from every cloth
        files[f"{pattern}-A4.pdf"] = pattern_sheet_pdf(job.pattern, "A4", tapes)
        files[f"{pattern}-Letter.pdf"] = pattern_sheet_pdf(job.pattern, "Letter", tapes)
        files[f"{pattern}.dxf"] = pattern_dxf(job.pattern, tapes)
        rows.append(_row(job, layout, policy, stem))
    files["cloth.csv"] = Sheet("Cloth", CLOTH, tuple(rows)).csv()
    files["tapes.csv"] = _tape_cuts(order, fleet, catalogue.tapes.id).csv()
    return files


def _row(job: ClothJob, layout: ClothLayout, policy: Policy, stem: str) -> tuple[str | int | Decimal, ...]:
    return (
        job.item, job.description, _decimal(job.width_m, 3), _decimal(1000 * job.mouth_m, 1), job.cones,
        job.spare, _decimal(layout.length_m, 3), _decimal(layout.period_m, 4), layout.cones_per_period,
        _decimal(100 * layout.utilisation, 1), layout.count * policy.order.tapes_per_cone,
        cut_length_mm(policy.order.tape_length), f"{stem}-*, {pattern_stem(job.mouth_m)}*",
    )  # fmt: skip


def _decimal(value: float, places: int) -> Decimal:
    return Decimal(f"{value:.{places}f}")


def _tape_cuts(order: Order, fleet: FleetColumns, tapes: Sequence[str]) -> Sheet:
    """The order's own cuts of its tapes, roll by roll; a "spool" is a roll here."""
    rolls = tuple(spool for spool in order.spools if spool.item in tapes)
    return cuts_sheet(replace(order, spools=rolls), Names(fleet))


def patterns_of(files: Mapping[str, bytes]) -> dict[str, bytes]:
    """The cone patterns among the loft's files, for the boats' pages: those every sewing hand needs."""
    return {name: files[name] for name in sorted(files) if name.startswith(_PATTERN)}


def pattern_stem(mouth_m: float) -> str:
    """The start of the names of a cone's pattern files; a mouth is told to a tenth of a millimetre.

    >>> pattern_stem(0.127), pattern_stem(0.1524)
    ('cone-pattern-127-mm', 'cone-pattern-152-4-mm')
    """
    return f"{_PATTERN}-{1000 * mouth_m:.1f}-mm".replace(".0-mm", "-mm").replace(".", "-")


def file_stem(job: ClothJob, taken: Iterable[str]) -> str:
    """Return the start of a job's file names, one that any system takes.

    A catalogue's id that is no file name gets a short hash, and so does one like a name that is `taken`.
    """
    plain = re.sub(r"[^A-Za-z0-9.]+", "-", job.item).strip("-.")[:40]
    stem = f"cloth-{plain}-{1000 * job.mouth_m:.1f}mm".replace(".0mm", "mm")
    lower = {name.lower() for name in taken}
    if plain != job.item or f"{stem}-layout.pdf".lower() in lower:
        stem += "-" + hashlib.sha256(f"{job.item} {job.mouth_m!r}".encode()).hexdigest()[:8]
    return stem
