"""Method and sources: rules, tags, comparison with published values, policy, catalogue, this run."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Any, ClassVar, Final

import numpy as np

from sitegen.boat_drawings import Drawing
from sitegen.dates import long_date
from sitegen.fleet_drawings import design_load_drawing
from sitegen.pages.frame import Frame, SearchEntry
from sitegen.pages.parts import shown
from sitegen.pages.strike_method import StrikeMethod, strike_method
from sitegen.pages.validation import Comparison, comparisons
from sitegen.plain_text import visible
from sitegen.redaction import occurring, redact
from sitegen.texts import RuleText, Source, Tested, Texts
from sizing.catalogue import Catalogue
from sizing.drogue.calibration import predictions
from sizing.model import MusterResult
from sizing.policy import Policy, Rule, rules
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
class MethodPage:
    """What the method template may use."""

    template: ClassVar[str] = "method.html.j2"
    frame = Frame(
        "method.html", "Method and sources", "How every figure is worked out", "method", "method.html"
    )

    headline_caution: str
    rule_texts: tuple[RuleText, ...]
    sources: tuple[Source, ...]
    comparisons: tuple[Comparison, ...]
    design_load_drawings: tuple[Drawing, ...]
    strike: StrikeMethod
    tested: tuple[Tested, ...]
    changed_rules: tuple[RuleRow, ...]
    all_rules: tuple[RuleRow, ...]
    waivers: tuple[WaiverRow, ...]
    catalogue_tables: tuple[CatalogueTable, ...]
    run_facts: tuple[tuple[str, str], ...]

    def search_entries(self) -> tuple[SearchEntry, ...]:
        """Every rule, every source."""
        rules_found = tuple(
            SearchEntry("method.html#rules", rule.title, rule.text) for rule in self.rule_texts
        )
        sources = tuple(
            SearchEntry("method.html#sources", s.tag, f"{s.title} {s.used_for}") for s in self.sources
        )
        return (*rules_found, *sources)


def method_page(
    result: MusterResult, policy: Policy, catalogue: Catalogue, texts: Texts, private: Sequence[str]
) -> MethodPage:
    """Return the method page. `private` are contact details that may not stand in a waiver's reason."""
    all_rules = tuple(rules(policy))
    return MethodPage(
        headline_caution=texts.headline_caution,
        rule_texts=texts.rules,
        sources=texts.sources,
        comparisons=comparisons(predictions()),
        design_load_drawings=(design_load_drawing(predictions()),),
        strike=strike_method(),
        tested=texts.tested,
        changed_rules=tuple(_rule(rule) for rule in all_rules if rule.value != rule.default),
        all_rules=tuple(_rule(rule) for rule in all_rules),
        waivers=tuple(
            WaiverRow(
                visible(w.entry_no),
                visible(w.check),
                visible(redact(w.reason, occurring(private, w.reason))),
                visible(redact(w.officer)),
                long_date(w.until),
            )
            for w in policy.waivers
        ),
        catalogue_tables=_catalogue(catalogue),
        run_facts=(
            ("Program", f"Drogue Muster {result.program_version}"),
            ("Day of the run", long_date(result.today)),
            ("Fleet file, SHA-256", result.intake.sha256),
            ("Policy, SHA-256", result.policy_sha256),
            ("Catalogue, SHA-256", result.catalogue_sha256),
            ("Prices, SHA-256", result.prices_sha256 or "no prices given"),
        ),
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


def _catalogue(catalogue: Catalogue) -> tuple[CatalogueTable, ...]:
    tables = []
    for table_field in fields(catalogue):
        table = getattr(catalogue, table_field.name)
        if not isinstance(table, str):
            tables.append(_table(table_field.name.replace("_", " ").capitalize(), table))
    return tuple(tables)


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
