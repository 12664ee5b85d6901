"""Choice words and yes or no, with the many ways in which clubs write them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from sizing.errors import QuantityError
from sizing.fields import CHOICES
from sizing.intake.collect import Note
from sizing.intake.distinct import Read
from sizing.units import clip

_SYNONYMS: Final[Mapping[str, Mapping[str, tuple[str, ...]]]] = {
    "boat_type": {
        "sailing monohull": ("mono", "monohull", "sail mono", "sail monohull", "sailing mono",
                             "sailing yacht",
                             "sailing boat", "sailboat", "sail boat", "sail", "sailing", "yacht", "sloop",
                             "cutter", "ketch", "yawl", "schooner"),
        "sailing multihull": ("multi", "multihull", "cat", "catamaran", "tri", "trimaran", "sailing cat",
                              "sailing catamaran", "sail cat", "sail catamaran", "sailing trimaran",
                              "sail multihull", "sailing multi", "proa"),
        "motor monohull": ("motor", "motor yacht", "motor boat", "motorboat", "motor cruiser", "trawler",
                           "trawler yacht", "power", "powerboat", "power boat", "power monohull",
                           "motor mono", "motor vessel", "mv", "my"),
        "motor multihull": ("motor cat", "motor catamaran", "power cat", "power catamaran", "powercat",
                            "power multihull", "motor trimaran", "motor multi"),
    },
    "displacement_basis": {
        "loaded": ("load", "laden", "loaded displacement", "passage", "full load", "fully loaded", "full"),
        "light": ("lightship", "light ship", "empty", "dry", "builder", "unladen", "light displacement",
                  "builders figure", "builder's figure"),
    },
    "device_type": {
        "series drogue": ("series", "drogue series", "multi cone drogue", "multiple cone drogue",
                          "series of cones"),
        "cone drogue": ("cone", "single cone", "single cone drogue", "drogue cone", "single drogue"),
        "parachute": ("para", "parachute anchor", "sea anchor", "para anchor", "parachute sea anchor",
                      "chute",
                      "para sea anchor"),
        "warps": ("warp", "trailing warps", "lines", "trailing lines", "ropes"),
        "none": ("no", "nil", "nothing", "no device", "no drogue", "not carried", "not aboard", "0", "-",
                 "--",
                 "–", "—"),
    },
    "line_material": {
        "nylon double braid": ("double braid nylon", "braided nylon", "nylon braid", "nylon braided",
                               "double braided nylon", "nylon double braided", "polyamide double braid",
                               "braid on braid nylon", "nylon braid on braid"),
        "nylon three strand": ("three strand nylon", "3 strand nylon", "nylon 3 strand", "3-strand nylon",
                               "nylon 3-strand", "laid nylon", "nylon laid", "three-strand nylon",
                               "nylon three-strand", "polyamide three strand"),
        "polyester": ("polyester double braid", "double braid polyester", "pes", "polyester braid"),
        "polypropylene": ("polyprop", "pp", "polypropylene rope"),
        "low stretch": ("hmpe", "uhmwpe", "aramid", "low-stretch", "high modulus", "lcp"),
        "unknown": ("not known", "?", "unsure", "don't know"),
    },
    "line_state": {
        "new": ("as new", "unused"),
        "good": ("ok", "okay", "sound", "fine"),
        "worn": ("used", "fair", "chafed", "tired", "some wear"),
        "damaged": ("poor", "bad", "cut", "broken"),
    },
    "line_ends": {
        "spliced": ("splice", "splices", "eye splice", "eye splices", "spliced eyes", "eyes spliced"),
        "knotted": ("knot", "knots", "tied", "bowline", "bowlines"),
    },
    "attachment_type": {
        "dedicated plate": ("plate", "plates", "chainplate", "chainplates", "chain plate", "chain plates",
                            "dedicated plates", "dedicated chainplates", "strap", "straps"),
        "pad eye": ("padeye", "padeyes", "pad eyes", "pad-eye", "eye plate", "eyebolt", "eye bolt"),
        "cleat": ("cleats", "mooring cleat", "mooring cleats", "stern cleat", "stern cleats"),
        "winch": ("winches", "primary winch", "primary winches", "sheet winch", "sheet winches"),
        "none": ("no", "nil", "-", "–"),
        "other": ("bollard", "bollards", "bitts", "samson post"),
    },
    "thimble_type": {
        "reinforced": ("heavy duty", "gusseted", "gusset", "reinforced thimbles"),
        "solid": ("solid thimbles", "solid bronze", "solid stainless"),
        "thin sheet": ("thin", "sheet", "pressed", "light", "stamped", "sheet metal", "thin sheet metal"),
        "none": ("no", "nil", "-", "–", "no thimbles"),
    },
    "chafe_gear": {
        "fitted": ("yes", "y", "full", "in place", "complete"),
        "partial": ("partly", "some", "one side"),
        "none": ("no", "n", "nil", "not fitted", "-", "–"),
    },
    "condition": {
        "new": ("as new", "unused"),
        "good": ("ok", "okay", "sound", "very good", "excellent", "fine"),
        "fair": ("average", "usable", "some wear", "worn", "used"),
        "poor": ("bad", "damaged", "unusable", "needs repair"),
    },
    "device_from": {
        "stern": ("astern", "aft", "transom", "from the stern", "over the stern"),
        "bow": ("ahead", "from the bow", "over the bow", "forward"),
    },
    "cone_cloth": {
        "light rip-stop": ("light", "1.5 oz", "1.5 oz rip-stop", "1.5 oz ripstop", "ripstop", "rip-stop"),
        "heavy": ("heavier", "2.2 oz", "2 oz", "heavy rip-stop", "heavy ripstop"),
        "unknown": ("not known", "unsure"),
    },
    "section_joints": {
        "spliced eye to eye": ("spliced", "eye to eye", "splices"),
        "shackled": ("shackles", "shackle"),
        "knotted": ("knots", "knot", "tied", "bends"),
        "none": ("one length", "single length", "no joints"),
    },
    "attachment_lead": {
        "fair": ("clear", "fairlead", "clear lead", "ok"),
        "crosses an edge": ("over an edge", "over the edge", "edge", "chafes", "not clear"),
    },
    "attachment_place": {
        "transom corners": ("corners", "corner of transom", "transom corner", "quarters", "at the corners"),
        "inboard": ("inside", "inboard of the corners"),
        "above deck level": ("above deck", "high", "on the arch"),
    },
    "structure_survey": {
        "accepted": ("passed", "surveyed and accepted", "in order", "found sound"),
        "not accepted": ("refused", "failed", "rejected", "fault found", "surveyed and not accepted"),
        "not done": ("no", "not surveyed", "no survey", "none", "nil", "never", "-", "–"),
    },
    "swivel": {
        "rated": ("yes, rated",),
        "unrated": ("not rated", "no rating"),
        "none": ("no", "no swivel", "nil"),
    },
    "retrieval": {
        "tried": ("tested", "practised", "practiced"),
        "planned": ("yes", "planned only"),
        "none": ("no", "no plan", "nil", "-", "–"),
    },
    "evidence": {
        "certificate": ("certified", "cert"),
        "measured by scrutineer": ("measured", "scrutineer", "scrutineered"),
        "photo": ("photograph", "photos", "picture"),
        "skipper's word": ("skipper", "stated", "word", "self-declared"),
    },
}  # fmt: skip
_YES: Final = frozenset(("yes", "y", "true", "1", "x", "✓", "✔", "ja", "oui", "ready"))
_NO: Final = frozenset(("no", "n", "false", "0", "✗", "✘", "nein", "non", "not ready"))
UNSTATED: Final = frozenset(
    ("n/a", "na", "n.a.", "?", "??", "unknown", "not known", "tbc", "tba", "tbd", "-", "--", "–", "—", "none",
     "nil", "not stated", "don't know")
)  # fmt: skip
_SHORTEST_TYPO: Final = 5


def _plain(text: str) -> str:
    return " ".join(text.replace("_", " ").replace("’", "'").strip(" .").casefold().split())


@lru_cache(maxsize=32)
def _spellings(name: str) -> Mapping[str, int]:
    known = {word: code for code, word in enumerate(CHOICES[name])}
    for word, synonyms in _SYNONYMS[name].items():
        for synonym in synonyms:
            known.setdefault(synonym, CHOICES[name].index(word))
    return MappingProxyType(known)


def read_choice(text: str, name: str) -> Read[int]:
    """Return the code of a choice word; any other spelling than the word itself is noted.

    >>> read_choice("Catamaran", "boat_type").value
    1
    """
    plain = _plain(text)
    known = _spellings(name)
    code = known.get(plain, known.get(re.sub(r"[\s/,-]+", " ", plain).strip()))
    if code is None and text.strip() in known:
        code = known[text.strip()]
    if code is not None:
        word = CHOICES[name][code]
        if plain == word:
            return Read(code)
        return Read(code, (Note("choice_word", f"“{clip(text)}” is read as {word}"),))
    if plain in UNSTATED:
        return Read(-1, (Note("not_stated", f"“{clip(text)}” is read as not stated"),))
    if "?" in plain:  # a question is no answer, however near the word
        return Read(-1, (Note("not_stated", f"“{clip(text)}” is a question, so it is read as not stated"),))
    near = {known[word] for word in known if len(word) >= _SHORTEST_TYPO and _one_slip(plain, word)}
    if len(near) == 1:
        code = near.pop()
        return Read(code, (Note("near_word", f"“{clip(text)}” is read as {CHOICES[name][code]}"),))
    expected = f"one of: {', '.join(CHOICES[name])}"
    raise QuantityError("unknown_word", name, f"“{clip(text)}” is not a word known here", expected,
                        "write one of these words, or leave the cell empty if it is not known")  # fmt: skip


def read_yes_no(text: str) -> Read[float]:
    """Return 1 for yes and 0 for no.

    >>> read_yes_no("Y").value
    1.0
    """
    plain = _plain(text)
    for value, word, spellings in ((1.0, "yes", _YES), (0.0, "no", _NO)):
        if plain in spellings:
            notes = () if plain == word else (Note("choice_word", f"“{clip(text)}” is read as {word}"),)
            return Read(value, notes)
    if plain in UNSTATED:
        return Read(float("nan"), (Note("not_stated", f"“{clip(text)}” is read as not stated"),))
    raise QuantityError("unknown_word", "yes or no", f"“{clip(text)}” is neither yes nor no", "yes or no",
                        "write yes or no, or leave the cell empty if it is not known")  # fmt: skip


def _one_slip(one: str, two: str) -> bool:
    """Whether one letter added, left out, changed, or two exchanged turn one word into the other."""
    if abs(len(one) - len(two)) > 1 or one == two:
        return False
    at = next((i for i, (a, b) in enumerate(zip(one, two, strict=False)) if a != b), min(len(one), len(two)))
    rest_one, rest_two = one[at:], two[at:]
    return (
        rest_one[1:] == rest_two[1:]
        or rest_one[1:] == rest_two
        or rest_one == rest_two[1:]
        or (rest_one[:2] == rest_two[1::-1] and rest_one[2:] == rest_two[2:])
    )
