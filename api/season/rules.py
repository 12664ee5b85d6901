"""What a season's lists are judged and shown by: policy, prices, catalogue and pages as received."""

from __future__ import annotations

import hashlib
import json
import tempfile
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Final, Literal

from sqlalchemy import Connection, func, insert, select, update

from api.season.acts import CHANGED_RULES, record
from api.storage.clock import now
from api.storage.packing import packed, unpacked
from api.storage.schema import rule_files, rules, season
from api.trail.chain import Actor
from sitegen.articles import files_in, read_articles
from sizing.catalogue.columns import TABLES
from sizing.errors import InputError
from sizing.intake import Profile, profile_beside, read_profile
from sizing.samples import STRIKE_SAMPLES
from sizing.story import RallyRules, load_rules

Kind = Literal["policy", "prices", "catalogue", "pages", "columns"]
READ: Final[tuple[Kind, ...]] = ("policy", "prices", "catalogue")
"""Kinds that boats are judged by; the pages are only shown, the columns are how a list is read."""
KINDS: Final[tuple[Kind, ...]] = (*READ, "pages", "columns")
WORDS: Final[dict[Kind, str]] = {
    "policy": "policy", "prices": "price book", "catalogue": "catalogue", "pages": "pages",
    "columns": "columns as confirmed",
}  # fmt: skip


@dataclass(frozen=True)
class RuleFile:
    """One file as it was received."""

    kind: Kind
    name: str
    content: bytes

    @property
    def sha256(self) -> str:
        """Hash of its bytes."""
        return hashlib.sha256(self.content).hexdigest()


@dataclass(frozen=True)
class SeasonRules:
    """The files, how many strikes a boat are sampled (None: no strike), and the site's address on the web."""

    files: tuple[RuleFile, ...] = ()
    samples: int | None = STRIKE_SAMPLES
    base_url: str = ""

    @cached_property
    def sha256(self) -> str:
        """Hash of all of it: what is judged by equal rules is judged alike."""
        said = [[one.kind, one.name, one.sha256] for one in self.files]
        return hashlib.sha256(json.dumps([said, self.samples, self.base_url]).encode()).hexdigest()

    def of_kind(self, kind: Kind) -> tuple[RuleFile, ...]:
        """The files of one kind: of the catalogue there may be several."""
        return tuple(one for one in self.files if one.kind == kind)

    def with_files(self, given: Sequence[RuleFile], taken_away: Collection[Kind] = ()) -> SeasonRules:
        """The same with files given now in the place of those of their kind, and some kinds taken away."""
        kinds = {one.kind for one in given} | set(taken_away)
        kept = [one for one in self.files if one.kind not in kinds]
        return replace(self, files=_in_order([*kept, *given]))

    def load(self) -> RallyRules:
        """Read the files; PolicyError or CatalogueError as where they were given."""
        with tempfile.TemporaryDirectory(prefix="drogue-muster-") as folder:
            places: dict[Kind, Path] = {}
            for one in (one for one in self.files if one.kind in READ):
                there = Path(folder) / one.kind
                there.mkdir(exist_ok=True)
                path = there / Path(one.name).name
                path.write_bytes(one.content)
                places[one.kind] = there if one.kind == "catalogue" else path
            return load_rules(*(places.get(kind) for kind in READ))

    @cached_property
    def profile(self) -> Profile | None:
        """How the columns of lists are read, if that was confirmed."""
        kept = self.of_kind("columns")
        return read_profile(kept[0].content, kept[0].name) if kept else None

    @property
    def pages(self) -> dict[str, bytes]:
        """The rally's own pages and pictures, by their path in their folder."""
        return {one.name: one.content for one in self.of_kind("pages")}


def columns_of(sheet: Path) -> tuple[RuleFile, ...]:
    """The confirmed columns that stand beside a sheet, if they do; InputError where they cannot be used."""
    beside = profile_beside(sheet)
    if not beside.is_file():
        return ()
    content = beside.read_bytes()
    read_profile(content, beside.name)
    return (RuleFile("columns", beside.name, content),)


def files_of(policy: Path | None, prices: Path | None, catalogue: Path | None) -> tuple[RuleFile, ...]:
    """The files that were named; PolicyError or CatalogueError where one cannot be used."""
    if policy is None and prices is None and catalogue is None:
        return ()
    load_rules(policy, prices, catalogue)
    files: list[RuleFile] = []
    if policy is not None:
        files.append(RuleFile("policy", policy.name, policy.read_bytes()))
    if prices is not None:
        files.append(RuleFile("prices", prices.name, prices.read_bytes()))
    if catalogue is not None:
        tables = (catalogue / f"{name}.csv" for name in TABLES)
        files += [RuleFile("catalogue", one.name, one.read_bytes()) for one in tables if one.is_file()]
    return _in_order(files)


def pages_of(folder: Path) -> tuple[RuleFile, ...]:
    """The files of a folder of pages; InputError where one cannot be used, or there is no page."""
    given = files_in(folder)
    if not read_articles(given).of_folder:
        raise InputError(
            f"pages {folder}", "no page in it", "at least one file ending in .md",
            'add one; to take away the pages given before, write --pages ""',
        )  # fmt: skip
    return tuple(RuleFile("pages", name, content) for name, content in sorted(given.items()))


def number_in_force(connection: Connection) -> int:
    """The number of the rules in force, 0 before there were any."""
    return int(connection.execute(select(season.c.rules)).scalar_one())


def rules_of(connection: Connection, number: int) -> SeasonRules:
    """The rules of a number; those of the program itself for 0."""
    if not number:
        return SeasonRules()
    row = connection.execute(select(rules).where(rules.c.number == number)).one()
    files = connection.execute(select(rule_files).where(rule_files.c.number == number))
    kept = (RuleFile(one.kind, one.name, unpacked(bytes(one.content))) for one in files)
    return SeasonRules(_in_order(kept), row.samples, row.base_url)


def keep_rules(connection: Connection, actor: Actor, wanted: SeasonRules) -> int:
    """Put rules in force, in the transaction of what is judged by them; their number. Equal ones stay."""
    at = number_in_force(connection)
    if (
        at
        and connection.execute(select(rules.c.sha256).where(rules.c.number == at)).scalar() == wanted.sha256
    ):
        return at
    number = int(connection.execute(select(func.max(rules.c.number))).scalar() or 0) + 1
    connection.execute(
        insert(rules).values(
            number=number, sha256=wanted.sha256, samples=wanted.samples, base_url=wanted.base_url,
            received_at=now(), received_by=actor.name,
        )
    )  # fmt: skip
    if wanted.files:
        connection.execute(
            insert(rule_files),
            [
                {"number": number, "kind": one.kind, "name": one.name, "sha256": one.sha256,
                 "content": packed(one.content)}
                for one in wanted.files
            ],
        )  # fmt: skip
    after = {
        "files": [{"kind": one.kind, "name": one.name, "sha256": one.sha256} for one in wanted.files],
        "samples": wanted.samples, "base_url": wanted.base_url,
    }  # fmt: skip
    _put_in_force(connection, actor, at, number, after)
    return number


def go_back_to(connection: Connection, actor: Actor, number: int) -> None:
    """Put earlier rules in force again, with the list that was judged by them."""
    at = number_in_force(connection)
    if number and number != at:
        _put_in_force(connection, actor, at, number, {"number": number})


def _put_in_force(
    connection: Connection, actor: Actor, at: int, number: int, after: Mapping[str, object]
) -> None:
    connection.execute(update(season).values(rules=number))
    record(connection, actor, CHANGED_RULES, "", str(number), before={"number": at}, after=after)


def _in_order(files: Iterable[RuleFile]) -> tuple[RuleFile, ...]:
    return tuple(sorted(files, key=lambda one: (KINDS.index(one.kind), one.name)))
