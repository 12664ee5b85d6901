"""The columns of the entry sheet, in one table.

Everything that knows a column takes it from here: intake, the blank template, the documents, the API.
Names are canonical (lower case, underscores). `si_name` is the key of the value inside the program and
carries its unit.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

Kind = Literal["text", "choice", "quantity", "quantities", "count", "date", "yes_no", "bolts"]
Dimension = Literal["length", "small_length", "mass", "force", "area"]
Group = Literal["boat", "people", "device", "line", "bridle", "fittings", "state"]

CHOICES: Final = MappingProxyType(
    {
        "boat_type": ("sailing monohull", "sailing multihull", "motor monohull", "motor multihull"),
        "displacement_basis": ("loaded", "light"),
        "device_type": ("series drogue", "cone drogue", "parachute", "warps", "none", "other"),
        "line_material": ("nylon double braid", "nylon three strand", "polyester", "polypropylene",
                          "low stretch", "unknown"),
        "line_state": ("new", "good", "worn", "damaged"),
        "line_ends": ("spliced", "knotted"),
        "attachment_type": ("dedicated plate", "pad eye", "cleat", "winch", "none", "other"),
        "thimble_type": ("reinforced", "solid", "thin sheet", "none"),
        "chafe_gear": ("fitted", "partial", "none"),
        "condition": ("new", "good", "fair", "poor"),
        "device_from": ("stern", "bow"),
        "cone_cloth": ("light rip-stop", "heavy", "unknown"),
        "section_joints": ("spliced eye to eye", "shackled", "knotted", "none"),
        "attachment_lead": ("fair", "crosses an edge"),
        "attachment_place": ("transom corners", "inboard", "above deck level"),
        "structure_survey": ("accepted", "not accepted", "not done"),
        "swivel": ("rated", "unrated", "none"),
        "retrieval": ("tried", "planned", "none"),
        "evidence": ("certificate", "measured by scrutineer", "photo", "skipper's word"),
    }
)  # fmt: skip


@dataclass(frozen=True)
class Field:
    """One column of the entry sheet.

    `dimension` is set for quantities; "small_length" is a length usually written in mm or inches.
    `si_name` names the value inside the program. `limits` are physical bounds in SI: a value outside is a
    slip, not an unusual boat.
    """

    name: str
    kind: Kind
    group: Group
    guidance: str
    example: str
    required: bool = False
    si_name: str = ""
    dimension: Dimension | None = None
    limits: tuple[float, float] | None = None
    aliases: tuple[str, ...] = ()
    private: bool = False


def _quantity(
    name: str,
    group: Group,
    dimension: Dimension,
    limits: tuple[float, float],
    guidance: str,
    example: str,
    aliases: tuple[str, ...] = (),
    *,
    required: bool = False,
    kind: Kind = "quantity",
) -> Field:
    suffix = {"length": "_m", "small_length": "_m", "mass": "_kg", "force": "_n", "area": "_m2"}[dimension]
    return Field(name, kind, group, guidance, example, required, name + suffix, dimension, limits, aliases)


def _text(
    name: str,
    group: Group,
    guidance: str,
    example: str,
    aliases: tuple[str, ...] = (),
    *,
    required: bool = False,
    private: bool = False,
) -> Field:
    return Field(name, "text", group, guidance, example, required, name, aliases=aliases, private=private)


def _choice(
    name: str, group: Group, guidance: str, aliases: tuple[str, ...] = (), *, required: bool = False
) -> Field:
    return Field(name, "choice", group, guidance, CHOICES[name][0], required, name, aliases=aliases)


FIELDS: Final[tuple[Field, ...]] = (
    _text("entry_no", "boat", "The rally's own number for this entry; no two boats share one.", "017",
          ("entry", "entry number", "no", "number", "entry id", "start number"), required=True),
    _text("boat_name", "boat", "Name of the boat.", "Grey Plover",
          ("boat", "name", "yacht", "yacht name", "vessel", "vessel name"), required=True),
    _text("sail_no", "boat", "Sail number, if any.", "XYZ 1234", ("sail number", "sail")),
    _text("skipper", "people", "Name of the skipper.", "A. Skipper",
          ("skipper name", "master", "captain"), private=True),
    _text("email", "people", "Kept by the officer; never published.", "skipper@boat.example",
          ("e-mail", "mail", "email address", "contact email"), private=True),
    _text("phone", "people", "Kept by the officer; never published.", "+00 000 0000",
          ("telephone", "mobile", "tel", "phone number"), private=True),
    _text("berth", "boat", "Where she lies before the start.", "B12", ("pontoon", "slip", "mooring")),
    _choice("boat_type", "boat", "Sailing or motor, monohull or multihull.",
            ("type", "hull type", "hull", "rig type", "vessel type"), required=True),
    _text("design", "boat", "Builder's name for the design.", "Tern 38",
          ("class", "make", "model", "boat model", "make model", "design class")),
    _quantity("loa", "boat", "length", (4.0, 60.0), "Length of hull (ISO 8666).", "11.6 m",
              ("length", "length overall", "length over all", "hull length", "lh"), required=True),
    _quantity("lwl", "boat", "length", (3.0, 60.0), "Length on the waterline.", "10.1 m",
              ("waterline", "waterline length", "length waterline", "dwl")),
    _quantity("beam", "boat", "length", (1.0, 25.0), "Greatest beam.", "3.7 m",
              ("boa", "max beam", "beam overall", "width", "bmax")),
    _quantity("transom_width", "boat", "length", (0.3, 25.0),
              "Distance between the two places aft where the bridle will be attached.", "2.9 m",
              ("transom", "transom beam", "stern width", "width at transom"), required=True),
    _quantity("displacement", "boat", "mass", (300.0, 300_000.0),
              "Loaded for the passage: crew, water, fuel, stores.", "8,400 kg",
              ("disp", "displ", "weight", "boat weight", "loaded displacement", "mass"), required=True),
    _choice("displacement_basis", "boat",
            "loaded (ready for the passage) or light (builder's empty figure).",
            ("displacement type", "basis", "displacement condition")),
    _quantity("windage_area", "boat", "area", (1.0, 500.0), "Side of hull and rig seen from astern.",
              "18 m2", ("windage", "frontal area")),
    _choice("device_type", "device", "What is aboard today.",
            ("device", "drogue", "drogue type", "gear", "gear type")),
    Field("cone_count", "count", "device", "Cones fitted on the line.", "100", False, "cone_count", None,
          (0.0, 1000.0), ("cones", "number of cones", "no of cones", "cone number")),
    _quantity("cone_mouth", "device", "small_length", (0.05, 1.0), "Diameter of the cone's large end.",
              "127 mm", ("cone diameter", "mouth", "cone mouth diameter", "cone size")),
    _quantity("cone_pitch", "device", "small_length", (0.1, 3.0), "From one cone's mouth to the next.",
              "508 mm", ("pitch", "cone spacing", "spacing")),
    _quantity("device_diameter", "device", "length", (0.2, 20.0),
              "Mouth diameter of a single cone drogue or parachute.", "1.2 m",
              ("drogue diameter", "parachute diameter", "chute diameter")),
    _quantity("lead_line_length", "line", "length", (1.0, 400.0),
              "Line between the bridle and the first cone.", "23 m",
              ("lead line", "leader length", "lead length", "warp length", "rode length")),
    _quantity("lead_line_diameter", "line", "small_length", (0.004, 0.08), "Diameter of the lead line.",
              "20 mm", ("line diameter", "leader diameter", "lead diameter", "warp diameter",
                        "rode diameter")),
    _quantity("section_diameters", "line", "small_length", (0.004, 0.08),
              "Diameters of the cone sections from the boat outward, separated by ;", "20 mm; 16 mm",
              ("sections", "section sizes", "cone line diameters", "section diameter"),
              kind="quantities"),
    _choice("line_material", "line",
            "Fibre and construction of drogue line and bridle; the weaker where they differ.",
            ("material", "rope material", "line type", "rope")),
    _choice("line_state", "line", "State of line and bridle as found; the worst of them.",
            ("rope state", "rope condition", "line condition")),
    _choice("line_ends", "line", "Eyes of line and bridle spliced, or any of them tied with knots.",
            ("terminations", "ends", "line terminations", "splices or knots")),
    _quantity("bridle_leg_length", "bridle", "length", (0.3, 60.0), "Finished length of one leg.", "7.3 m",
              ("bridle length", "leg length", "bridle leg", "bridle")),
    _quantity("bridle_diameter", "bridle", "small_length", (0.004, 0.08), "Diameter of the bridle rope.",
              "20 mm", ("bridle rope", "bridle rope diameter", "leg diameter")),
    _quantity("end_weight", "device", "mass", (0.5, 200.0), "Weight at the outer end.", "12 kg",
              ("end wt", "sinker", "chain weight", "anchor weight", "weight at end")),
    _choice("attachment_type", "fittings", "What the bridle is made fast to.",
            ("attachment", "attachments", "strong point", "attachment point")),
    _quantity("attachment_rating", "fittings", "force", (100.0, 2_000_000.0),
              "Stated breaking or proof load of one attachment, with whose statement in the notes.",
              "45 kN", ("attachment strength", "chainplate rating", "attachment load",
                        "strong point rating")),
    Field("attachment_bolts", "bolts", "fittings",
          "Bolts through one attachment: number, size, grade.", "4 x M12 A4-70", False, "attachment_bolts",
          aliases=("bolts", "fasteners", "fixings")),
    _choice("thimble_type", "fittings", "Thimbles in the eyes.", ("thimble", "thimbles")),
    _quantity("shackle_rating", "fittings", "force", (100.0, 2_000_000.0),
              "Breaking load of the weakest shackle; add WLL if it is a working load limit.", "60 kN",
              ("shackle", "shackles", "shackle strength", "shackle load")),
    _choice("chafe_gear", "state", "Protection where the bridle passes the transom.",
            ("chafe", "chafe protection", "chafe guards")),
    Field("stowed_ready", "yes_no", "state", "Flaked in its bag, made fast, ready to run.", "yes", False,
          "stowed_ready", aliases=("ready", "ready to deploy", "stowed", "ready to run")),
    Field("made_year", "count", "state", "Year the device was made.", "2021", False, "made_year", None,
          (1950.0, 2100.0), ("year", "year made", "manufactured", "made")),
    Field("last_inspected", "date", "state", "Date of the last full inspection.", "2026-04-18", False,
          "last_inspected", aliases=("inspected", "inspection date", "last inspection", "date inspected")),
    _choice("condition", "state", "Condition of cones, tapes and stitching.",
            ("state", "device condition", "overall condition")),
    _choice("device_from", "device", "Whether the device is set from the stern or the bow.",
            ("deployed from", "set from", "streamed from")),
    _choice("cone_cloth", "device", "Cloth of the cones: light rip-stop (1.5 oz) or heavier.",
            ("cloth", "cone fabric", "fabric", "cloth weight")),
    _choice("section_joints", "line", "How the sections of the line are joined.",
            ("joints", "section joins", "line joints")),
    _quantity("bridle_leg_difference", "bridle", "small_length", (0.0, 5.0),
              "Difference between the two legs, measured under light load.", "20 mm",
              ("leg difference", "bridle difference")),
    _choice("attachment_lead", "fittings", "Whether each leg pulls clear, or over an edge.",
            ("lead", "bridle lead", "fair lead")),
    _choice("attachment_place", "fittings", "Where on the boat the attachments are.",
            ("attachment position", "attachment location")),
    _choice("structure_survey", "fittings",
            "What a surveyor or naval architect says of hull laminate and backing behind the attachments.",
            ("structure", "structural survey", "transom survey", "hull survey", "survey of structure")),
    _choice("swivel", "fittings", "Swivel in the line, and whether its breaking load is known.",
            ("swivels",)),
    _quantity("swivel_rating", "fittings", "force", (100.0, 2_000_000.0), "Breaking load of the swivel.",
              "60 kN", ("swivel strength", "swivel load")),
    Field("shackles_moused", "yes_no", "fittings", "Shackle pins wired or otherwise locked.", "yes", False,
          "shackles_moused", aliases=("moused", "shackle pins secured", "pins moused")),
    Field("within_reach", "yes_no", "state", "Can be launched from the cockpit without going on deck.", "yes",
          False, "within_reach", aliases=("accessible", "reachable", "access")),
    _choice("retrieval", "state", "How the drogue is got back aboard, and whether that was tried.",
            ("recovery", "retrieval method", "retrieval means")),
    _choice("evidence", "state", "What the figures above rest on.", ("proof", "evidence type")),
    Field("evidence_date", "date", "state", "Date of that evidence.", "2026-05-02", False, "evidence_date",
          aliases=("proof date", "date of evidence")),
    _text("notes", "state", "Anything else.", "Bridle led clear of the wind vane.",
          ("note", "comments", "comment", "remarks")),
)  # fmt: skip

FIELD_BY_NAME: Final = MappingProxyType({field.name: field for field in FIELDS})
REQUIRED: Final = tuple(field.name for field in FIELDS if field.required)
PRIVATE: Final = tuple(field.name for field in FIELDS if field.private)
