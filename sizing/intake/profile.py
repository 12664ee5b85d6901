"""How the columns of one club's sheet are read, as its officer confirmed it: a file beside the sheet.

With it nothing is guessed any more: a header that it does not name is left out, and that is said.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from sizing.errors import InputError, QuantityError
from sizing.fields import CHOICES, FIELD_BY_NAME
from sizing.intake.header_words import normal_header
from sizing.model import HeaderUnit
from sizing.units import clip, normal_unit, unit_factor

ENDING: Final = ".columns.toml"
_MOST_BYTES: Final = 1_000_000
_EXPECTED: Final = "a file of confirmed columns, as drogue-muster intake writes it"
_MEND: Final = "make it again with drogue-muster intake, or correct the line"
_HEAD: Final = """\
# How the columns of {sheet} are read, as confirmed on {day}. Made by drogue-muster intake; it may be changed.
# use: the column of the entry sheet, or "" for one that is not used. unit: of figures that have none.
# basis: what the header says of displacement, loaded or light. A header not named here is asked about.
"""


@dataclass(frozen=True)
class Chosen:
    """What one header stands for: `use` is a column of the entry sheet or "", `unit` as in a header."""

    header: str
    use: str
    unit: str = ""
    basis: str = ""

    @property
    def header_unit(self) -> HeaderUnit | None:
        """The unit as the readers of cells take it."""
        if not self.unit:
            return None
        word = normal_unit(self.unit)
        bare = re.sub(r"\bwll\b", "", word).strip()
        return HeaderUnit(bare, bare != word)


@dataclass(frozen=True)
class Profile:
    """The confirmed columns, and what holds for every boat of the sheet though no column says it."""

    columns: tuple[Chosen, ...] = ()
    given: Mapping[str, str] = field(default_factory=dict)

    def of(self, header: str) -> Chosen | None:
        """What was confirmed of a header, None where nothing was; case and spaces make no other header."""
        key = header_key(header)
        return next((one for one in self.columns if header_key(one.header) == key), None)


def header_key(header: str) -> str:
    """Return what makes two headers one."""
    return normal_header(header) or header.strip()


def of_this_sheet(profile: Profile | None, header: Sequence[str]) -> tuple[Profile | None, tuple[str, ...]]:
    """Return a profile if it is of a sheet with these headers, or None and a note.

    A season has one profile, and may have fleets with sheets of their own.
    """
    if profile is None:
        return None, ()
    there = {header_key(cell.strip()) for cell in header}
    used = [one for one in profile.columns if one.use]
    known = sum(header_key(one.header) in there for one in used)
    if 2 * known >= len(used):
        return profile, ()
    said = f"{len(used) - known} of its {len(used)} columns are not there"
    return None, (
        f"The columns as confirmed are those of another sheet ({said}), so this one is read without.",
    )


def profile_beside(sheet: Path) -> Path:
    """Return where the profile of a sheet stands.

    >>> profile_beside(Path("lists/fleet.xlsx")).name
    'fleet.columns.toml'
    """
    return sheet.with_name(sheet.stem + ENDING)


def read_profile(data: bytes, name: str) -> Profile:
    """Return the profile in `data`; InputError says what is wrong with it and where."""
    if len(data) > _MOST_BYTES:
        raise InputError(name, f"the file has {len(data) / 1e6:.1f} MB", _EXPECTED, _MEND)
    try:
        document = tomllib.loads(data.decode("utf-8-sig"))
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise InputError(name, f"it is not TOML ({clip(str(error))})", _EXPECTED, _MEND) from None
    strange = sorted(set(document) - {"column", "given"})
    if strange:
        raise InputError(name, f"“{clip(strange[0])}” is not known here", "column and given", _MEND)
    tables, given = document.get("column", []), document.get("given", {})
    if not isinstance(tables, list) or not isinstance(given, dict):
        raise InputError(name, "[[column]] and [given] are not as they should be", _EXPECTED, _MEND)
    chosen = [_chosen(one, f"{name}, column {at}") for at, one in enumerate(tables, start=1)]
    keys = [header_key(one.header) for one in chosen]
    twice = next((one.header for at, one in enumerate(chosen) if keys[at] in keys[:at]), None)
    if twice is not None:
        found = f"the header “{clip(twice)}” stands there twice"
        raise InputError(name, found, "each header once", "delete one of the two")
    return Profile(tuple(chosen), {key: _given(key, value, name) for key, value in given.items()})


def _chosen(table: Any, where: str) -> Chosen:
    known = {"header", "use", "unit", "basis"}
    if not isinstance(table, dict) or set(table) - known or not isinstance(table.get("header"), str):
        raise InputError(
            where, "it has no header, or a key not known here", "header, use, unit and basis", _MEND
        )
    if not all(isinstance(value, str) for value in table.values()):
        raise InputError(where, "a value is not written in quotes", "text in quotes", _MEND)
    one = Chosen(**{"use": "", **table})
    check_choice(one, where)
    return one


def check_choice(one: Chosen, where: str) -> None:
    """Raise InputError where a header cannot stand for what was chosen, or not in that unit."""
    if not one.use:
        return
    known = FIELD_BY_NAME.get(one.use)
    if known is None:
        raise InputError(where, f"“{clip(one.use)}” is no column of the entry sheet",
                         "the name of a column as in the blank entry sheet", "correct use")  # fmt: skip
    if one.basis and (one.basis not in CHOICES["displacement_basis"] or one.use != "displacement"):
        raise InputError(where, f"basis “{clip(one.basis)}” does not go with {one.use}",
                         "loaded or light, with displacement alone", "correct basis")  # fmt: skip
    unit = one.header_unit
    if unit is None:
        return
    if known.dimension is None:
        raise InputError(where, f"{one.use} has no unit", 'unit = ""', "take the unit away")
    try:
        unit_factor(unit.word, "mass" if unit.wll and unit.word in ("t", "kg", "lb") else known.dimension)
    except QuantityError as error:
        raise InputError(where, error.found, error.expected, error.mend) from None


def _given(name: str, value: Any, where: str) -> str:
    if name not in FIELD_BY_NAME or FIELD_BY_NAME[name].kind != "choice" or not isinstance(value, str):
        raise InputError(where, f"“{clip(name)}” cannot be given for a whole sheet",
                         "a column of words, and one of its words", "correct [given]")  # fmt: skip
    if value not in CHOICES[name]:
        raise InputError(where, f"“{clip(value)}” is no word of {name}",
                         f"one of: {', '.join(CHOICES[name])}", "correct [given]")  # fmt: skip
    return value


def profile_text(profile: Profile, sheet: str, day: str) -> str:
    """Return a profile as the file that `read_profile` reads."""
    lines = [_HEAD.format(sheet=clip(sheet), day=day)]
    if profile.given:
        lines.append("[given]")
        lines.extend(f"{name} = {_quoted(value)}" for name, value in profile.given.items())
        lines.append("")
    for one in profile.columns:
        lines += ["[[column]]", f"header = {_quoted(one.header)}", f"use = {_quoted(one.use)}"]
        lines += [
            f"{key} = {_quoted(said)}" for key, said in (("unit", one.unit), ("basis", one.basis)) if said
        ]
        lines.append("")
    return "\n".join(lines)


def _quoted(text: str) -> str:
    """Return a string of TOML: what is no plain sign is written by its code."""
    plain = text.replace("\\", "\\\\").replace('"', '\\"')
    signs = (sign if sign >= " " and sign != "\x7f" else f"\\u{ord(sign):04x}" for sign in plain)
    return f'"{"".join(signs)}"'
