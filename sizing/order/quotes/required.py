"""What a bought part must hold, and what may come in its place, in words for a supplier."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from typing import Final

from sizing.catalogue import Catalogue
from sizing.order.items import Item

_TENTH: Final = Decimal("0.1")


@dataclass(frozen=True)
class Required:
    """`least` is what it must hold, `instead` what serves as well; strengths in kN, rounded up."""

    least: str
    instead: str
    strength_kn: Decimal | None = None


def required(item: Item, catalogue: Catalogue) -> Required:
    """Return what the catalogue's row of an item asks; the figures are those that boats were sized by.

    Anything else than `instead` allows has to be offered as such: thicker rope must still go through the
    cones' small ends, thimbles and tapes, and stretches less, and who sized the boats has to see it.
    """
    tell = _BY_KIND.get(item.kind)
    return tell(item, catalogue) if tell else Required("As described.", "Any maker's of this kind and size.")


def strength_kn(newtons: float) -> Decimal:
    """Return a strength as it is asked for, never less than it is.

    >>> strength_kn(32_209.1)
    Decimal('32.3')
    """
    return (Decimal(repr(float(newtons))) / 1000).quantize(_TENTH, ROUND_CEILING)


def _mm(length_m: float) -> str:
    return f"{length_m * 1000:.1f}".removesuffix(".0") + " mm"


def _rope(item: Item, catalogue: Catalogue) -> Required:
    ropes = catalogue.ropes
    at = ropes.id.index(item.id)
    strong = strength_kn(ropes.minimum_strength_n[at])
    return Required(
        f"Rope, {ropes.construction[at]}, {_mm(ropes.diameter_m[at])}; breaks new and dry at {strong} kN or"
        " more, certified.",
        "Any maker's of this fibre, make and diameter with that strength. Thicker: offer it, to be checked.",
        strong,
    )


def _tape(item: Item, catalogue: Catalogue) -> Required:
    tapes = catalogue.tapes
    at = tapes.id.index(item.id)
    strong = strength_kn(tapes.breaking_load_n[at])
    return Required(
        f"Flat woven nylon, {_mm(tapes.width_m[at])} wide; breaks at {strong} kN or more.",
        "Any maker's as wide and as strong.",
        strong,
    )


def _cloth(item: Item, catalogue: Catalogue) -> Required:
    cloths = catalogue.cloths
    at = cloths.id.index(item.id)
    mass_g = round(cloths.areal_mass_kg_m2[at] * 1000)
    return Required(
        f"Nylon, {mass_g} g/m2 or more, at least {_mm(cloths.width_m[at])} wide.",
        "Any nylon rip-stop as heavy or heavier, as wide or wider.",
    )


def _chain(item: Item, catalogue: Catalogue) -> Required:
    chains = catalogue.end_weights
    at = chains.id.index(item.id)
    strong = strength_kn(chains.breaking_load_n[at])
    return Required(
        f"Short link, {_mm(chains.size_m[at])}, {chains.mass_kg_per_m[at]:g} kg/m; breaks at {strong} kN or"
        " more.",
        "Any maker's of this size, mass and strength. Another size: offer it, to be checked.",
        strong,
    )


def _sleeve(item: Item, catalogue: Catalogue) -> Required:
    sleeves = catalogue.chafe_sleeves
    at = sleeves.id.index(item.id)
    return Required(
        f"Woven, slides over rope of {_mm(sleeves.rope_diameter_m[at])}.",
        "Any maker's as thick, that goes over that rope.",
    )


def _thimble(item: Item, catalogue: Catalogue) -> Required:
    thimbles = catalogue.thimbles
    at = thimbles.id.index(item.id)
    return Required(
        f"Groove {_mm(thimbles.groove_m[at])} or more, clear inside {_mm(thimbles.inside_width_m[at])} or"
        f" more, {_mm(thimbles.across_m[at])} across or less.",
        "Any maker's of this kind and these measures; no thin sheet.",
    )


def _shackle(item: Item, catalogue: Catalogue) -> Required:
    shackles = catalogue.shackles
    at = shackles.id.index(item.id)
    strong = strength_kn(shackles.breaking_load_n[at])
    return Required(
        f"Stamped WLL {shackles.working_load_limit_kg[at] / 1000:g} t, breaks at {strong} kN or more; pin"
        f" {_mm(shackles.pin_m[at])}, jaw {_mm(shackles.jaw_m[at])}.",
        "Any maker's forged bow shackle of these measures with this kind of pin.",
        strong,
    )


def _bag(item: Item, catalogue: Catalogue) -> Required:
    bags = catalogue.bags
    at = bags.id.index(item.id)
    return Required(
        f"{bags.volume_m3[at] * 1000:.0f} litres or more; drains, lashing points.",
        "Any bag as large or the next size up.",
    )


def _attachment(_item: Item, _catalogue: Catalogue) -> Required:
    return Required("To the drawing we send.", "Nothing, unless the surveyor agrees.")


_BY_KIND: Final[Mapping[str, Callable[[Item, Catalogue], Required]]] = {
    "rope": _rope, "tape": _tape, "cloth": _cloth, "chain": _chain, "sleeve": _sleeve, "thimble": _thimble,
    "shackle": _shackle, "bag": _bag, "attachment": _attachment,
}  # fmt: skip
