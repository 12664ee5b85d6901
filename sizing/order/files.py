"""All files of one order, by name, as bytes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from sizing.catalogue import Catalogue
from sizing.entry_key import entry_key
from sizing.model import FleetColumns, MusterResult, Order
from sizing.order.consent_sheet import consent_sheet, consent_words
from sizing.order.consumables import known_items
from sizing.order.heading import heading
from sizing.order.kits import Kit, kits_for
from sizing.order.prices import PriceBook
from sizing.order.quotes.asked import round_of
from sizing.order.quotes.request import request_files
from sizing.order.sheets import (
    Names,
    Sheet,
    allocation_sheet,
    cuts_sheet,
    kits_sheet,
    left_over_sheet,
    order_sheet,
    prices_sheet,
    problems_sheet,
)
from sizing.order.stock_sheet import came_sheet, stock_sheet
from sizing.order.together_words import thicker_said, thicker_sheet
from sizing.order.write_json import json_bytes
from sizing.order.write_xlsx import xlsx_bytes
from sizing.policy import Policy
from sizing.spreadsheet import Cell
from sizing.writing import write_files

QUOTES = "quotes"
"""The folder of what is asked of suppliers, in that of the order."""


def order_files(
    order: Order,
    fleet: FleetColumns,
    kits: Sequence[Kit],
    prices: PriceBook | None,
    catalogue: Catalogue,
    policy: Policy,
) -> Mapping[str, bytes]:
    """Return the tables as CSV, order.json, and order.xlsx, which has the tables as sheets.

    The same order gives the same bytes. Of a boat her entry number and her name appear, nothing else.
    """
    names = Names(fleet)
    descriptions = {item.id: item.description for item in known_items(catalogue).values()}
    descriptions |= {one.item: one.description for one in order.tags}
    rows = {entry_key(str(entry)): row for row, entry in enumerate(fleet.text["entry_no"])}
    stock = stock_sheet(order, names, rows)
    lines = order_sheet(order)
    cuts, made = cuts_sheet(order, names), kits_sheet(kits, descriptions)
    allocation, problems = allocation_sheet(order, names), problems_sheet(order, names)
    said = thicker_said(order)
    ropes = (("Ropes", said),) if said else ()
    total = replace(
        _with_total(lines, order),
        above=(*heading(policy, order.currency), ("Bought for", consent_words(order)), *ropes),
    )
    consent = consent_sheet(order, names)
    sheets = [total, cuts, made, allocation, consent, prices_sheet(prices), *([stock] if order.tags else [])]
    thicker, came = thicker_sheet(order, names), came_sheet(order, names)
    sheets += [sheet for sheet in (thicker, came, problems, left_over_sheet(order)) if sheet.rows]
    return {
        "order.csv": lines.csv(),
        "cuts.csv": cuts.csv(),
        "kits.csv": made.csv(),
        "allocation.csv": allocation.csv(),
        "consent.csv": consent.csv(),
        "stock.csv": stock.csv(),
        "order.json": json_bytes(order, fleet),
        "order.xlsx": xlsx_bytes(sheets, f"Order of {policy.rally.name}"),
    }


def _with_total(sheet: Sheet, order: Order) -> Sheet:
    """The order sheet with the invoice total under it, for the spreadsheet."""
    cells: dict[str, Cell] = {"item": "Total", "amount": order.total, "currency": order.currency}
    notes = []
    if order.total is None:
        notes.append("No price book was given, so there is no cost.")
    elif any(line.amount is None for line in order.lines):
        notes.append("Without the lines that have no price.")
    cells["note"] = " ".join(notes)
    last = tuple(cells.get(column.key) for column in sheet.columns)
    return replace(sheet, rows=(*sheet.rows, last))


def write_order(
    result: MusterResult, policy: Policy, catalogue: Catalogue, prices: PriceBook | None, folder: Path
) -> None:
    """Write the order's files into `folder`, which exists; OutputError if one cannot be written."""
    fleet = result.intake.fleet
    kits = kits_for(result.order, fleet, result.made, result.plans, policy)
    write_files(folder, order_files(result.order, fleet, kits, prices, catalogue, policy))
    requests = request_files(round_of(result.order, prices, policy, catalogue))
    if requests:
        (folder / QUOTES).mkdir()
        write_files(folder / QUOTES, requests)
