"""What the method page shows of a run: tags, comparison with published values, policy, catalogue, the run."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, fields
from typing import Any, ClassVar, Final

import numpy as np

from sitegen.boat_drawings import Drawing
from sitegen.dates import long_date
from sitegen.fleet_drawings import design_load_drawing
from sitegen.pages.frame import SearchEntry
from sitegen.pages.parts import shown
from sitegen.pages.strike_method import StrikeMethod
from sitegen.pages.validation import Comparison, comparisons
from sitegen.plain_text import visible
from sitegen.texts import Source, Tested
from sizing.catalogue import Catalogue
from sizing.drogue.calibration import predictions
from sizing.entry_key import entry_key
from sizing.model import MusterResult
from sizing.policy import Choice, Policy, Rule, choices, rules
from sizing.redaction import occurring, redact
from sizing.units import Shown

RULE_DIMENSIONS: Final = {"m": "length", "kg": "mass"}
COLUMN_DIMENSIONS: Final = (
    ("_m2", "area"),
    ("_m3", "volume"),
    ("_kg_m2", "areal_mass"),
    ("_pa", "pressure"),
    ("_n", "force"),
    ("_kg", "mass"),
    ("_factor", "ratio"),
)


@dataclass(frozen=True)
class RuleRow:
    """One policy value."""

    key: str
    meaning: str
    value: Shown | None
    basis: Shown | None
    direction: str
    reason: str
    source: str


@dataclass(frozen=True)
class WaiverRow:
    """One waiver of the policy."""

    entry_no: str
    check: str
    reason: str
    officer: str
    until: str


@dataclass(frozen=True)
class CatalogueRow:
    """One part of the catalogue."""

    id: str
    name: str
    mark: str
    figures: tuple[Shown | None, ...]
    source: str


@dataclass(frozen=True)
class CatalogueTable:
    """One table of the catalogue."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[CatalogueRow, ...]


@dataclass(frozen=True)
class SourcesBlock:
    """What the tags beside figures mean."""

    name: ClassVar[str] = "sources"
    template: ClassVar[str] = "sources.html.j2"

    sources: tuple[Source, ...]

    def search_entries(self, address: str) -> tuple[SearchEntry, ...]:
        """Every source."""
        return tuple(
            SearchEntry(f"{address}#sources", s.tag, f"{s.title} {s.used_for}") for s in self.sources
        )


@dataclass(frozen=True)
class PublishedBlock:
    """Computed against published values, and what the tests hold."""

    name: ClassVar[str] = "published"
    template: ClassVar[str] = "published.html.j2"

    comparisons: tuple[Comparison, ...]
    design_load_drawings: tuple[Drawing, ...]
    tested: tuple[Tested, ...]

    def search_entries(self, address: str) -> tuple[SearchEntry, ...]:
        """Nothing beside the page itself."""
        return ()


@dataclass(frozen=True)
class StrikeBlock:
    """What the wave strike rests on."""

    name: ClassVar[str] = "strike"
    template: ClassVar[str] = "strike.html.j2"

    strike: StrikeMethod

    def search_entries(self, address: str) -> tuple[SearchEntry, ...]:
        """Nothing beside the page itself."""
        return ()


@dataclass(frozen=True)
class PolicyBlock:
    """What the rally changed, every value, and what it waived."""

    name: ClassVar[str] = "policy"
    template: ClassVar[str] = "policy.html.j2"

    changed_rules: tuple[RuleRow, ...]
    all_rules: tuple[RuleRow, ...]
    choices: tuple[Choice, ...]
    waivers: tuple[WaiverRow, ...]

    def search_entries(self, address: str) -> tuple[SearchEntry, ...]:
        """Nothing beside the page itself."""
        return ()


@dataclass(frozen=True)
class CatalogueBlock:
    """The parts the sizing chooses from."""

    name: ClassVar[str] = "catalogue"
    template: ClassVar[str] = "catalogue.html.j2"

    catalogue_tables: tuple[CatalogueTable, ...]

    def search_entries(self, address: str) -> tuple[SearchEntry, ...]:
        """Nothing beside the page itself."""
        return ()


@dataclass(frozen=True)
class RunBlock:
    """What this run was made with."""

    name: ClassVar[str] = "run"
    template: ClassVar[str] = "run.html.j2"

    run_facts: tuple[tuple[str, str], ...]

    def search_entries(self, address: str) -> tuple[SearchEntry, ...]:
        """Nothing beside the page itself."""
        return ()


def published_block(tested: tuple[Tested, ...]) -> PublishedBlock:
    """Return the comparison with published values."""
    return PublishedBlock(comparisons(predictions()), (design_load_drawing(predictions()),), tested)


def policy_block(policy: Policy, private: Sequence[str], hidden: Collection[str] = ()) -> PolicyBlock:
    """Return the policy as shown.

    `private` are contact details that may not stand in a waiver's reason, `hidden` the entry numbers, as they
    are compared, of boats whose waivers are not shown.
    """
    all_rules = tuple(rules(policy))
    return PolicyBlock(
        changed_rules=tuple(_rule(rule) for rule in all_rules if rule.value != rule.default),
        all_rules=tuple(_rule(rule) for rule in all_rules),
        choices=tuple(choices(policy)),
        waivers=tuple(
            WaiverRow(
                visible(w.entry_no),
                visible(w.check),
                visible(redact(w.reason, occurring(private, w.reason))),
                visible(redact(w.officer)),
                long_date(w.until),
            )
            for w in policy.waivers
            if entry_key(w.entry_no) not in hidden
        ),
    )


def run_block(result: MusterResult) -> RunBlock:
    """Return what the run was made with."""
    return RunBlock(
        (
            ("Program", f"Drogue Muster {result.program_version}"),
            ("Day of the run", long_date(result.today)),
            ("Fleet file, SHA-256", result.intake.sha256),
            ("Policy, SHA-256", result.policy_sha256),
            ("Catalogue, SHA-256", result.catalogue_sha256),
            ("Prices, SHA-256", result.prices_sha256 or "no prices given"),
        )
    )


def _rule(rule: Rule) -> RuleRow:
    def figure(value: float) -> Shown | None:
        dimension = RULE_DIMENSIONS.get(rule.unit)
        if dimension == "length" and rule.default < 1.0:
            dimension = "small_length"
        if dimension is not None:
            return shown(value, dimension)
        text = f"{value:g} {rule.unit}".strip()
        return Shown(text, text)

    if rule.value == rule.default:
        direction = "as the basis"
    elif rule.looser:
        direction = "looser"
    else:
        direction = "other" if rule.tighter == "either" else "stricter"
    return RuleRow(
        rule.key,
        rule.meaning,
        figure(rule.value),
        figure(rule.default),
        direction,
        visible(rule.reason),
        rule.source,
    )


def catalogue_block(catalogue: Catalogue) -> CatalogueBlock:
    """Return the catalogue's tables."""
    tables = []
    for table_field in fields(catalogue):
        table = getattr(catalogue, table_field.name)
        if not isinstance(table, str):
            tables.append(_table(table_field.name.replace("_", " ").capitalize(), table))
    return CatalogueBlock(tuple(tables))


def _table(title: str, table: Any) -> CatalogueTable:
    columns = [
        (column.name, _dimension(column.name))
        for column in fields(table)
        if isinstance(getattr(table, column.name), np.ndarray)
        and getattr(table, column.name).dtype.kind == "f"
    ]
    heads = tuple(_head(name) for name, _ in columns)
    derived = getattr(table, "derived", None)
    rows = tuple(
        CatalogueRow(
            visible(table.id[place]),
            visible(table.name[place]),
            _mark(table.source[place], derived is not None and bool(derived[place])),
            tuple(shown(float(getattr(table, name)[place]), dimension) for name, dimension in columns),
            visible(table.source[place]),
        )
        for place in range(len(table))
    )
    return CatalogueTable(title, ("Part", *heads, "Source"), rows)


def _dimension(column: str) -> str:
    if column.endswith("kg_per_m"):
        return "count"
    for ending, dimension in COLUMN_DIMENSIONS:
        if column.endswith(ending):
            return dimension
    return "small_length" if column.endswith("_m") and "width" not in column else "length"


def _head(column: str) -> str:
    if column.endswith("_kg_per_m"):
        return "Mass, kg/m"
    words = column.rsplit("_", 1)[0] if "_kg_m2" not in column else "areal mass"
    return words.removesuffix("_kg").replace("_", " ").capitalize()


def _mark(source: str, derived: bool) -> str:
    if derived:
        return "derived"
    for word in ("memory", "assumed"):
        if word in source:
            return f"from {word}" if word == "memory" else word
    return ""
