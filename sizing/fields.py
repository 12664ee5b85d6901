"""The register of columns: each is declared once, here.

Everything that knows a column takes it from its declaration: intake, the engine's columns, the page, the dock
and what may be measured there, the interface, the blank template, who may see it. Names are canonical (lower
case, underscores).
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

from sizing.units import ENTERED_IN, Dimension, both

Kind = Literal["text", "choice", "quantity", "quantities", "count", "counts", "date", "yes_no", "bolts"]
Group = Literal["boat", "people", "device", "line", "bridle", "fittings", "state"]
Audience = Literal["everybody", "officer", "contact"]

MOST_SECTIONS: Final = 3
"""Sections of cone line that a sheet can tell of."""

_SUFFIX: Final = {"length": "_m", "small_length": "_m", "mass": "_kg", "force": "_n", "area": "_m2"}
_GRAMMAR: Final = {
    "quantity": r".*[0-9¼½¾⅛⅜⅝⅞].*",
    "quantities": r".*[0-9¼½¾⅛⅜⅝⅞].*",
    "count": r"[0-9]{1,6}",
    "counts": r"[0-9]{1,6}([^0-9]+[0-9]{1,6})*",
    "bolts": r"[0-9]{1,3}[^0-9]*M *[0-9]{1,2}.*",
}
"""What a cell of each kind looks like at the least, as a pattern of ECMA-262 without case: enough for a phone
to see a slip. How it is read is up to the intake alone."""


@dataclass(frozen=True)
class Field:
    """One column of the entry sheet.

    `dimension` is set for quantities; "small_length" is a length usually written in mm or inches. `limits`
    are physical bounds in SI: a value outside is a slip, not an unusual boat. `words` are those of a choice.
    What is not for everybody is published nowhere; a contact detail is besides taken out of every other text.
    `measured`: a scrutineer may measure it. `sizes`: what a boat needs follows from it. `sheet`: the part of
    the scrutineer's sheet where it stands, if it can be counted, measured or read on a dock by one person.
    """

    name: str
    kind: Kind
    group: Group
    guidance: str
    example: str
    aliases: tuple[str, ...] = ()
    dimension: Dimension | None = None
    limits: tuple[float, float] | None = None
    words: tuple[str, ...] = ()
    long_name: str = ""
    required: bool = False
    audience: Audience = "everybody"
    measured: bool = True
    sizes: bool = False
    sheet: str = ""

    @property
    def label(self) -> str:
        """Its name for readers, in small letters."""
        return self.long_name or self.name.replace("_", " ")

    @property
    def si_name(self) -> str:
        """Name of its value inside the program, with the unit."""
        return self.name + ("_day" if self.kind == "date" else _SUFFIX.get(self.dimension or "", ""))

    @property
    def numbers(self) -> tuple[str, ...]:
        """Names of the columns of figures that are read from it."""
        if self.kind == "bolts":
            return ("bolt_count", "bolt_size_mm", "bolt_tensile_pa")
        if self.kind == "counts":
            return tuple(f"{self.name}_{place}" for place in range(1, MOST_SECTIONS + 1))
        return () if self.kind in ("text", "choice", "quantities") else (self.si_name,)

    @property
    def private(self) -> bool:
        """Whether it is a contact detail."""
        return self.audience == "contact"

    @property
    def published(self) -> bool:
        """Whether others than the officer may see it."""
        return self.audience == "everybody"

    @property
    def units(self) -> tuple[str, str] | None:
        """The units in which it is usually entered, metric and US; None where it has none."""
        return ENTERED_IN[self.dimension] if self.dimension else None

    @property
    def grammar(self) -> str:
        """A pattern (ECMA-262, without case) that every cell fits; "" where any words may stand."""
        return _GRAMMAR.get(self.kind, "")

    @property
    def expected(self) -> str:
        """What may be written in it, in words."""
        if self.kind == "choice":
            return "one of: " + ", ".join(self.words)
        if self.limits and self.dimension:
            bounds = " to ".join(both(limit, self.dimension) for limit in self.limits)
            return f"{self.guidance} For example: {self.example}, from {bounds}"
        return f"{self.guidance} For example: {self.example}"


def _quantity(
    name: str,
    group: Group,
    dimension: Dimension,
    limits: tuple[float, float],
    guidance: str,
    example: str,
    aliases: tuple[str, ...] = (),
    *,
    kind: Kind = "quantity",
    long_name: str = "",
    required: bool = False,
    sizes: bool = False,
    sheet: str = "",
) -> Field:
    return Field(
        name, kind, group, guidance, example, aliases, dimension, limits,
        long_name=long_name, required=required, sizes=sizes, sheet=sheet,
    )  # fmt: skip


def _text(
    name: str,
    group: Group,
    guidance: str,
    example: str,
    aliases: tuple[str, ...] = (),
    *,
    required: bool = False,
    audience: Audience = "everybody",
) -> Field:
    return Field(
        name, "text", group, guidance, example, aliases,
        required=required, audience=audience, measured=False,
    )  # fmt: skip


def _choice(
    name: str,
    group: Group,
    words: tuple[str, ...],
    guidance: str,
    aliases: tuple[str, ...] = (),
    *,
    required: bool = False,
    measured: bool = True,
    sizes: bool = False,
    long_name: str = "",
    sheet: str = "",
) -> Field:
    return Field(
        name, "choice", group, guidance, words[0], aliases, words=words,
        required=required, measured=measured, sizes=sizes, long_name=long_name, sheet=sheet,
    )  # fmt: skip


def _yes_no(
    name: str,
    group: Group,
    guidance: str,
    aliases: tuple[str, ...],
    *,
    measured: bool = True,
    long_name: str = "",
    sheet: str = "",
) -> Field:
    return Field(
        name, "yes_no", group, guidance, "yes", aliases, words=("yes", "no"), measured=measured,
        long_name=long_name, sheet=sheet,
    )  # fmt: skip


def _date(name: str, group: Group, guidance: str, example: str, aliases: tuple[str, ...]) -> Field:
    return Field(name, "date", group, guidance, example, aliases)


FIELDS: Final[tuple[Field, ...]] = (
    _text("entry_no", "boat", "The rally's own number for this entry; no two boats share one.", "017",
          ("entry", "entry number", "no", "number", "entry id", "start number"), required=True),
    _text("boat_name", "boat", "Name of the boat.", "Grey Plover",
          ("boat", "name", "yacht", "yacht name", "vessel", "vessel name"), required=True),
    _text("sail_no", "boat", "Sail number, if any.", "XYZ 1234", ("sail number", "sail")),
    _text("skipper", "people", "Name of the skipper.", "A. Skipper",
          ("skipper name", "master", "captain"), audience="contact"),
    _text("email", "people", "Kept by the officer; never published.", "skipper@boat.example",
          ("e-mail", "mail", "email address", "contact email"), audience="contact"),
    _text("phone", "people", "Kept by the officer; never published.", "+00 000 0000",
          ("telephone", "mobile", "tel", "phone number"), audience="contact"),
    _text("berth", "boat", "Where she lies before the start.", "B12", ("pontoon", "slip", "mooring")),
    _choice("boat_type", "boat",
            ("sailing monohull", "sailing multihull", "motor monohull", "motor multihull"),
            "Sailing or motor, monohull or multihull.",
            ("type", "hull type", "hull", "rig type", "vessel type"),
            required=True, measured=False, sizes=True),
    _text("design", "boat", "Builder's name for the design.", "Tern 38",
          ("class", "make", "model", "boat model", "make model", "design class")),
    Field("boat_year", "count", "boat", "Year the boat was built.", "2004",
          ("year built", "built", "build year", "year of build", "model year", "boat built"),
          limits=(1850.0, 2100.0), long_name="year the boat was built"),
    _choice("design_category", "boat", ("A", "B", "C", "D"),
            "Design category on the builder's plate: A ocean, B offshore, C inshore, D sheltered.",
            ("category", "ce category", "design cat")),
    _quantity("loa", "boat", "length", (4.0, 60.0), "Length of hull (ISO 8666).", "11.6 m",
              ("length", "length overall", "length over all", "hull length", "lh"),
              long_name="length overall", required=True, sizes=True),
    _quantity("lwl", "boat", "length", (3.0, 60.0), "Length on the waterline.", "10.1 m",
              ("waterline", "waterline length", "length waterline", "dwl"), long_name="waterline length"),
    _quantity("beam", "boat", "length", (1.0, 25.0), "Greatest beam.", "3.7 m",
              ("boa", "max beam", "beam overall", "width", "bmax"), sizes=True),
    _quantity("transom_width", "boat", "length", (0.3, 25.0),
              "Distance between the two places aft where the bridle will be attached.", "2.9 m",
              ("transom", "transom beam", "stern width", "width at transom"), required=True, sizes=True),
    _quantity("displacement", "boat", "mass", (300.0, 300_000.0),
              "Loaded for the passage: crew, water, fuel, stores.", "8,400 kg",
              ("disp", "displ", "weight", "boat weight", "loaded displacement", "mass"),
              required=True, sizes=True),
    _choice("displacement_basis", "boat", ("loaded", "light"),
            "loaded (ready for the passage) or light (builder's empty figure).",
            ("displacement type", "basis", "displacement condition"), sizes=True),
    _quantity("windage_area", "boat", "area", (1.0, 500.0), "Side of hull and rig seen from astern.",
              "18 m2", ("windage", "frontal area"), sizes=True),
    _choice("device_type", "device", ("series drogue", "cone drogue", "parachute", "warps", "none", "other"),
            "What is aboard today.",
            ("device", "drogue", "drogue type", "gear", "gear type")),
    Field("cone_count", "count", "device", "Cones fitted on the line.", "100",
          ("cones", "number of cones", "no of cones", "cone number"), limits=(0.0, 1000.0), sheet="Cones"),
    _quantity("cone_mouth", "device", "small_length", (0.05, 1.0), "Diameter of the cone's large end.",
              "127 mm", ("cone diameter", "mouth", "cone mouth diameter", "cone size"), sheet="Mouth"),
    _quantity("cone_mouth_smallest", "device", "small_length", (0.02, 1.0),
              "Smallest mouth of any cone, where they are not all alike.", "120 mm",
              ("smallest mouth", "smallest cone"), long_name="smallest cone mouth"),
    _quantity("cone_small_end", "device", "small_length", (0.005, 0.5),
              "Diameter of the cone's small end.", "38 mm", ("small end", "cone tail", "cone small end")),
    Field("cones_torn", "count", "device", "Cones that are torn, loose or missing.", "0",
          ("torn cones", "missing cones", "cones missing", "damaged cones"), limits=(0.0, 1000.0),
          long_name="cones torn or missing", sheet="Cones"),
    Field("cones_year", "count", "device", "Year the cones were made, where it is not the line's.", "2024",
          ("year of cones", "cones made"), limits=(1950.0, 2100.0), long_name="year the cones were made"),
    _quantity("cone_pitch", "device", "small_length", (0.1, 3.0), "From one cone's mouth to the next.",
              "508 mm", ("pitch", "cone spacing", "spacing")),
    _quantity("device_diameter", "device", "length", (0.2, 20.0),
              "Mouth diameter of a single cone drogue or parachute.", "1.2 m",
              ("drogue diameter", "parachute diameter", "chute diameter"), sheet="Mouth"),
    _quantity("lead_line_length", "line", "length", (1.0, 400.0),
              "Line between the bridle and the first cone.", "23 m",
              ("lead line", "leader length", "lead length", "warp length", "rode length"), sheet="Lead line"),
    _quantity("lead_line_diameter", "line", "small_length", (0.004, 0.08), "Diameter of the lead line.",
              "20 mm", ("line diameter", "leader diameter", "lead diameter", "warp diameter",
                        "rode diameter"), sheet="Thickness"),
    _quantity("section_diameters", "line", "small_length", (0.004, 0.08),
              "Diameters of the cone sections from the boat outward, separated by ;", "20 mm; 16 mm",
              ("sections", "section sizes", "cone line diameters", "section diameter"),
              kind="quantities", sheet="Thickness"),
    Field("section_cones", "counts", "line",
          "Cones on each section, from the boat outward, separated by ;", "60; 40",
          ("cones per section", "cones in each section", "cones by section"), limits=(0.0, 1000.0),
          long_name="cones on each section"),
    _choice("line_material", "line",
            ("nylon double braid", "nylon three strand", "polyester", "polypropylene", "low stretch",
             "unknown"),
            "Fibre and construction of drogue line and bridle; the weaker where they differ.",
            ("material", "rope material", "line type", "rope")),
    _choice("line_state", "line", ("new", "good", "worn", "damaged"),
            "State of line and bridle as found; the worst of them.",
            ("rope state", "rope condition", "line condition")),
    _choice("line_ends", "line", ("spliced", "knotted"),
            "Eyes of line and bridle spliced, or any of them tied with knots.",
            ("terminations", "ends", "line terminations", "splices or knots"),
            long_name="ends of line and bridle", sheet="Eyes"),
    _quantity("bridle_leg_length", "bridle", "length", (0.3, 60.0), "Finished length of one leg.", "7.3 m",
              ("bridle length", "leg length", "bridle leg", "bridle"), sheet="Bridle legs"),
    _quantity("bridle_diameter", "bridle", "small_length", (0.004, 0.08), "Diameter of the bridle rope.",
              "20 mm", ("bridle rope", "bridle rope diameter", "leg diameter"), sheet="Thickness"),
    _choice("bridle_material", "bridle",
            ("nylon double braid", "nylon three strand", "polyester", "polypropylene", "low stretch",
             "unknown"),
            "Fibre and construction of the bridle, where it is not the line's.",
            ("bridle rope material", "bridle fibre")),
    _choice("bridle_state", "bridle", ("new", "good", "worn", "damaged"),
            "State of the bridle as found, where it is not the line's.", ("bridle condition",)),
    Field("bridle_year", "count", "bridle", "Year the bridle was made, where it is not the device's.", "2024",
          ("bridle made",), limits=(1950.0, 2100.0), long_name="year the bridle was made"),
    _choice("bridle_arc", "bridle", ("clear", "clear once moved", "in the way"),
            "Whether anything aft stands in the sweep of the legs: wind vane, outboard rudder, davits, arch, "
            "ladder, backstay.", ("bridle sweep", "stern obstructions")),
    _quantity("end_weight", "device", "mass", (0.5, 200.0), "Weight at the outer end.", "12 kg",
              ("end wt", "sinker", "chain weight", "anchor weight", "weight at end"), sheet="End weight"),
    _choice("end_weight_joint", "device", ("locked shackle", "unlocked shackle", "spliced", "tied", "none"),
            "How the end weight is fixed to the line.", ("weight attachment", "end weight attachment")),
    _quantity("chain_link", "device", "small_length", (0.003, 0.05),
              "Wire diameter of the chain that the end shackle goes through.", "10 mm",
              ("chain size", "chain diameter", "link diameter")),
    _choice("attachment_type", "fittings", ("dedicated plate", "pad eye", "cleat", "winch", "none", "other"),
            "What the bridle is made fast to.",
            ("attachment", "attachments", "strong point", "attachment point")),
    _choice("attachment_fitted_by", "fittings", ("builder", "yard or owner", "unknown"),
            "Who fitted the attachments: the builder of the boat, or somebody later.",
            ("fitted by", "attachment made by", "strong point fitted by")),
    _quantity("attachment_rating", "fittings", "force", (100.0, 2_000_000.0),
              "Stated breaking or proof load of one attachment, with whose statement in the notes.",
              "45 kN", ("attachment strength", "chainplate rating", "attachment load",
                        "strong point rating")),
    Field("attachment_bolts", "bolts", "fittings",
          "Bolts through one attachment: number, size, grade.", "4 x M12 A4-70",
          ("bolts", "fasteners", "fixings")),
    _choice("thimble_type", "fittings", ("reinforced", "solid", "thin sheet", "none"),
            "Thimbles in the eyes.", ("thimble", "thimbles"), sheet="Eyes"),
    _quantity("thimble_for", "fittings", "small_length", (0.004, 0.08),
              "Rope diameter that the smallest thimble of bridle and lead line is made for.", "20 mm",
              ("thimble size", "thimble for rope"), long_name="thimble size"),
    _quantity("shackle_rating", "fittings", "force", (100.0, 2_000_000.0),
              "Breaking load of the weakest shackle of bridle and lead line; add WLL if it is a working "
              "load limit.", "60 kN",
              ("shackle", "shackles", "shackle strength", "shackle load"), sheet="Shackles"),
    _quantity("shackle_pin", "fittings", "small_length", (0.003, 0.08),
              "Pin diameter of the shackle that holds the end weight.", "19 mm",
              ("pin diameter", "shackle pin diameter")),
    _choice("chafe_gear", "state", ("fitted", "partial", "none"),
            "Protection where the bridle passes the transom.",
            ("chafe", "chafe protection", "chafe guards")),
    _yes_no("stowed_ready", "state", "Flaked in its bag, made fast, ready to run.",
            ("ready", "ready to deploy", "stowed", "ready to run"), long_name="stowed ready to run",
            sheet="Stowage"),
    Field("made_year", "count", "state", "Year the device was made.", "2021",
          ("year made", "manufactured", "made", "drogue year", "year of drogue", "device year"),
          limits=(1950.0, 2100.0), long_name="year the device was made", sheet="Age"),
    _quantity("break_test_load", "state", "force", (100.0, 2_000_000.0),
              "Load at which a length of this very line parted in a test, wet and spliced as it is used.",
              "85 kN", ("break test", "test load", "tested breaking load"), long_name="break test"),
    _date("break_test_date", "state", "Date of the break test.", "2025-11-03",
          ("date of break test", "test date")),
    _text("break_test_by", "state", "Who made the break test.", "Rope works at Aldermoyle",
          ("tested by", "break test made by")),
    _date("last_inspected", "state", "Date of the last full inspection.", "2026-04-18",
          ("inspected", "inspection date", "last inspection", "date inspected")),
    _choice("condition", "state", ("new", "good", "fair", "poor"), "Condition of cones, tapes and stitching.",
            ("state", "device condition", "overall condition")),
    _choice("device_from", "device", ("stern", "bow"), "Whether the device is set from the stern or the bow.",
            ("deployed from", "set from", "streamed from")),
    _choice("cone_cloth", "device", ("light rip-stop", "heavy", "unknown"),
            "Cloth of the cones: light rip-stop (1.5 oz) or heavier.",
            ("cloth", "cone fabric", "fabric", "cloth weight")),
    _choice("section_joints", "line", ("eye through eye", "shackled", "knotted", "none"),
            "How the sections of the line are joined.",
            ("joints", "section joins", "line joints")),
    _quantity("bridle_leg_difference", "bridle", "small_length", (0.0, 5.0),
              "Difference between the two legs, measured under light load.", "20 mm",
              ("leg difference", "bridle difference")),
    _choice("attachment_lead", "fittings", ("fair", "crosses an edge"),
            "Whether each leg pulls clear, or over an edge.",
            ("lead", "bridle lead", "fair lead")),
    _choice("attachment_place", "fittings", ("transom corners", "inboard", "above deck level"),
            "Where on the boat the attachments are.",
            ("attachment position", "attachment location")),
    _choice("structure_survey", "fittings", ("accepted", "not accepted", "not done"),
            "What a surveyor or naval architect says of hull laminate and backing behind the attachments.",
            ("structure", "structural survey", "transom survey", "hull survey", "survey of structure")),
    _choice("swivel", "fittings", ("rated", "unrated", "none"),
            "Swivel in the line, and whether its breaking load is known.",
            ("swivels",)),
    _quantity("swivel_rating", "fittings", "force", (100.0, 2_000_000.0), "Breaking load of the swivel.",
              "60 kN", ("swivel strength", "swivel load")),
    _yes_no("shackles_moused", "fittings", "Shackle pins wired or otherwise locked.",
            ("moused", "shackle pins secured", "pins moused")),
    _yes_no("joints_tried", "fittings", "Every joint was put together once, each shackle closed.",
            ("joints put together", "joints fit", "parts fit each other")),
    _yes_no("within_reach", "state", "Can be launched from the cockpit without going on deck.",
            ("accessible", "reachable", "access")),
    Field("stowage_bags", "count", "state", "Bags the drogue is stowed in.", "2",
          ("bags", "number of bags"), limits=(1.0, 20.0), long_name="bags"),
    _choice("stern_openings", "state", ("looked at, strong", "weak places found", "not looked at"),
            "Transom, cockpit and companionway against a jet of water of 15 ft/s.",
            ("companionway", "washboards", "transom and cockpit")),
    _choice("helm_lashing", "state", ("tried", "fitted", "none"),
            "Lashing for tiller or wheel, or rudder stops that hold.", ("rudder lashing", "helm lashed",
            "rudder stops")),
    _choice("cutting_gear", "state", ("knife each side", "knife", "none"),
            "What a leg or a person is cut free with, within reach aft.", ("knife", "cutting means")),
    _choice("retrieval", "state", ("tried", "planned", "none"),
            "How the drogue is got back aboard, and whether that was tried.",
            ("recovery", "retrieval method", "retrieval means")),
    _choice("evidence", "state", ("certificate", "measured by scrutineer", "photo", "skipper's word"),
            "What the figures above rest on.", ("proof", "evidence type")),
    _date("evidence_date", "state", "Date of that evidence.", "2026-05-02",
          ("proof date", "date of evidence")),
    _yes_no("public", "people", "No, where her page is to be private; blank is yes.",
            ("public page", "page public", "publish", "published", "öffentlich", "veröffentlichen",
             "publier", "page publique", "público", "pubblico", "openbaar", "offentlig", "julkinen"),
            measured=False),
    _text("notes", "state", "Anything else.", "Bridle led clear of the wind vane.",
          ("note", "comments", "comment", "remarks"), audience="officer"),
)  # fmt: skip

FIELD_BY_NAME: Final = MappingProxyType({field.name: field for field in FIELDS})
CHOICES: Final = MappingProxyType({field.name: field.words for field in FIELDS if field.kind == "choice"})
REQUIRED: Final = tuple(field.name for field in FIELDS if field.required)
PRIVATE: Final = tuple(field.name for field in FIELDS if field.private)
ON_SHEET: Final = tuple(field for field in FIELDS if field.sheet)
MEASURABLE: Final = MappingProxyType({field.name: field for field in FIELDS if field.measured})
