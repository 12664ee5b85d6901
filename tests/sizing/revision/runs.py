"""Runs of the demo fleets and of small fleets of one's own, through the whole engine without strikes."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from datetime import date
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from fleet_demo import fleet_csv, policy_toml, prices_csv, second_fleet_csv
from sizing.model import MusterResult
from sizing.revision import Snapshot, snapshot_of
from sizing.story import RallyRules, load_rules, muster

KEY = b"a key for tests, of thirty-two b"
TODAY = date(2026, 11, 20)
LATER = date(2026, 11, 27)

BOAT: Mapping[str, str] = {
    "entry_no": "01", "boat_name": "Grey Plover", "skipper": "Orla Fennimere-Vask",
    "email": "orla@plover.example", "phone": "+00 000 0200", "berth": "A2", "boat_type": "sailing monohull",
    "loa": "11 m", "beam": "3.6 m", "transom_width": "2.8 m", "displacement": "8,200 kg",
    "displacement_basis": "loaded", "device_type": "series drogue", "cone_count": "130",
    "cone_mouth": "127 mm", "cone_pitch": "508 mm", "lead_line_length": "23 m", "lead_line_diameter": "24 mm",
    "section_diameters": "24 mm; 22 mm", "line_material": "nylon double braid", "line_state": "good",
    "line_ends": "spliced", "bridle_leg_length": "7 m", "bridle_diameter": "24 mm", "end_weight": "15 kg",
    "attachment_type": "dedicated plate", "attachment_rating": "60 kN", "thimble_type": "reinforced",
    "shackle_rating": "90 kN", "chafe_gear": "fitted", "stowed_ready": "yes", "made_year": "2024",
    "last_inspected": "2026-11-01", "condition": "good", "device_from": "stern", "swivel": "none",
    "evidence": "certificate", "evidence_date": "2026-11-01", "notes": "Bow roller bent.",
}  # fmt: skip
"""A boat whose gear meets every shall."""


@cache
def demo_rules() -> RallyRules:
    """The demo's policy, the built-in catalogue and the demo's prices."""
    return load_rules(policy_toml(), prices_csv())


@cache
def demo(*, second: bool = False) -> MusterResult:
    """The demo's run, of the first list or of the list a week later."""
    return muster(second_fleet_csv() if second else fleet_csv(), demo_rules(), today=TODAY)


@cache
def demo_record(*, second: bool = False) -> Snapshot:
    """The snapshot of the demo's run; the second remembers the first."""
    rules = demo_rules()
    previous = demo_record() if second else None
    return snapshot_of(demo(second=second), rules.policy, rules.catalogue, key=KEY, previous=previous)


def boat(**cells: str) -> dict[str, str]:
    """A whole boat with some cells of one's own."""
    return {**BOAT, **cells}


def fleet_bytes(boats: Sequence[Mapping[str, str]], headers: Mapping[str, str] | None = None) -> bytes:
    """A fleet sheet; `headers` gives another header to a column."""
    names = list(dict.fromkeys(name for one in boats for name in one))
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow([(headers or {}).get(name, name) for name in names])
    writer.writerows([[one.get(name, "") for name in names] for one in boats])
    return out.getvalue().encode("utf-8")


def run(
    boats: Sequence[Mapping[str, str]],
    policy: str = "",
    *,
    today: date = TODAY,
    headers: Mapping[str, str] | None = None,
) -> tuple[MusterResult, RallyRules]:
    """The run of a small fleet under a policy of one's own (TOML)."""
    with TemporaryDirectory() as folder:
        sheet, rally = Path(folder) / "fleet.csv", Path(folder) / "rally.toml"
        sheet.write_bytes(fleet_bytes(boats, headers))
        rally.write_text(policy, encoding="utf-8")
        rules = load_rules(rally)
        return muster(sheet, rules, today=today), rules


def snapshot(
    boats: Sequence[Mapping[str, str]],
    policy: str = "",
    *,
    today: date = TODAY,
    headers: Mapping[str, str] | None = None,
    key: bytes = KEY,
    previous: Snapshot | None = None,
) -> Snapshot:
    """The snapshot of a small fleet's run."""
    result, rules = run(boats, policy, today=today, headers=headers)
    return snapshot_of(result, rules.policy, rules.catalogue, key=key, previous=previous)
