"""Whether hardware goes together: pin through eye, thimble between jaws and in the bow, link on the pin.

Sizes are the catalogue's. A part passes where at least half a millimetre is left beside it [assumed]. Figures
that are not known (NaN) give room that is not known, and that never passes.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np

from sizing.catalogue import Catalogue
from sizing.model import BoolArray, FloatArray, IntArray

CLEARANCE_M: Final = 0.0005
"""Least room beside a part that is to pass [assumed]."""

PLATE_EDGE_PINS: Final = 1.5
"""Plate between its hole and its edge that the shackle has room for, in pin diameters [assumed]."""

_ROUNDING: Final = 1e-9


def passes(room_m: FloatArray) -> BoolArray:
    """Which rooms are enough; NaN is not. m, any shape. [assumed]"""
    return np.asarray(room_m >= CLEARANCE_M - _ROUNDING)


@dataclass(frozen=True)
class Fits:
    """For every pairing of the catalogue's parts, the weakest shackle that joins them and is strong enough.

    Each table has one more position than there are shackles in its last axis: entered with the weakest
    shackle that is strong enough (or the number of shackles, where none is), it gives the one to take, or -1.

    attachment:
        (thimble, shackle): a plate on the pin, one thimble on the bow.
    apex, line:
        (thimble on the bow, thimble on the pin, shackle); on the apex two thimbles lie side by side.
    through:
        (thimble, thimble): each eye goes through the other, and the second thimble can be opened to hang in.
    link:
        (chain,): the strongest shackle whose pin goes through a link and whose jaws take it.
    end, end_second:
        (thimble, chain): one shackle from thimble to link; or the one between thimble and the link's shackle.
    """

    attachment: IntArray
    apex: IntArray
    line: IntArray
    through: BoolArray
    link: IntArray
    end: IntArray
    end_second: IntArray


@lru_cache(maxsize=4)
def fits(catalogue: Catalogue) -> Fits:
    """Work out every pairing of thimbles, shackles and chains once; some thousand comparisons."""
    t, s, c = catalogue.thimbles, catalogue.shackles, catalogue.end_weights
    wire, link = c.size_m[None, :, None], c.inside_width_m[None, :, None]
    one = t.across_m[:, None]
    on_bow = passes(s.bow_m - one) & passes(t.inside_width_m[:, None] - s.body_m)
    two_on_bow = on_bow & passes(s.bow_m - 2.0 * one)
    on_pin = passes(s.jaw_m - one) & passes(t.inside_width_m[:, None] - s.pin_m)
    long_enough = passes(s.inside_length_m - (t.crown_m[:, None, None] + t.crown_m[None, :, None]))
    plate = passes(s.inside_length_m - PLATE_EDGE_PINS * s.pin_m - t.crown_m[:, None])
    takes_link = passes(s.jaw_m - wire) & passes(link - s.pin_m)
    thimble_to_link = on_bow[:, None, :] & takes_link
    thimble_to_link &= passes(s.inside_length_m - t.crown_m[:, None, None] - wire)
    strongest_link = _last(takes_link[0])
    small = np.maximum(strongest_link, 0)
    second = on_bow[:, None, :] & passes(s.jaw_m - s.body_m[small][None, :, None])
    second &= passes(s.bow_m[small][None, :, None] - s.pin_m)
    second &= passes(s.inside_length_m - t.crown_m[:, None, None] - s.body_m[small][None, :, None])
    second &= (strongest_link >= 0)[None, :, None]
    opens = np.array([kind == "reinforced" for kind in t.thimble_type])
    through = passes(t.inside_width_m[:, None] - t.across_m) & passes(t.inside_width_m - t.across_m[:, None])
    return Fits(
        attachment=_next(on_bow & plate),
        apex=_next(two_on_bow[:, None, :] & on_pin[None, :, :] & long_enough),
        line=_next(on_bow[:, None, :] & on_pin[None, :, :] & long_enough),
        through=np.asarray(through & opens),
        link=strongest_link,
        end=_last(thimble_to_link),
        end_second=_next(second)[..., 0],
    )


def _next(allowed: BoolArray) -> IntArray:
    """From each position of the last axis the first one from there on that is allowed; -1 where none is."""
    count = allowed.shape[-1]
    found = np.full((*allowed.shape[:-1], count + 1), -1, dtype=np.int64)
    for place in range(count - 1, -1, -1):
        found[..., place] = np.where(allowed[..., place], place, found[..., place + 1])
    return found


def _last(allowed: BoolArray) -> IntArray:
    """The last position of the last axis that is allowed; -1 where none is."""
    count = allowed.shape[-1]
    return np.where(allowed.any(axis=-1), count - 1 - allowed[..., ::-1].argmax(axis=-1), -1).astype(np.int64)
