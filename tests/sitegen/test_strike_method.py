"""The method page tells everything the wave strike rests on, from the program's own declarations."""

from __future__ import annotations

import math
from html.parser import HTMLParser
from pathlib import Path

from sizing.drogue.calibration import predictions, rope_effect_table
from sizing.drogue.published import POUND_KG
from sizing.drogue.strike import SAMPLED
from sizing.drogue.strike.assumptions import ALSO_ASSUMED, CALIBRATION, LEFT_OUT, MEASURED, constants
from sizing.units import show


class _Section(HTMLParser):
    """Text of the section on the strike, words parted by single blanks."""

    def __init__(self) -> None:
        super().__init__()
        self.inside = False
        self.words: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "h2":
            self.inside = dict(attrs).get("id") == "the-wave-strike"

    def handle_data(self, data: str) -> None:
        if self.inside:
            self.words += data.split()


def told(site: Path) -> str:
    reader = _Section()
    reader.feed((site / "method.html").read_text(encoding="utf-8"))
    return " ".join(reader.words)


def test_what_is_varied_assumed_measured_and_left_out_is_told(site: Path) -> None:
    text = told(site)
    assert CALIBRATION in text
    for sampled in SAMPLED:
        values = (sampled.low, sampled.high, sampled.nominal)
        assert (
            f"{sampled.meaning} {' '.join(sampled.words(v) for v in values)} {sampled.distribution}" in text
        )
    for constant in constants():
        assert constant.meaning in text
    for sentence in (*ALSO_ASSUMED, *MEASURED):
        assert f"{sentence.text} {sentence.source}" in text
    for words in LEFT_OUT:
        assert words in text


def test_every_prediction_is_told_good_or_poor(site: Path) -> None:
    text = told(site)
    for row in predictions():
        at, share = (
            show(row.displacement_lb * POUND_KG, "mass"),
            show(row.single_n / row.published_n, "ratio"),
        )
        assert f"{at.metric} {at.us}" in text
        assert share.metric in text.partition(at.us)[2]
    assert text.count("the slope was fitted here") == 1
    assert text.count("prediction outside the published range") == sum(not p.inside for p in predictions())
    sloped = [row for row in rope_effect_table() if math.isfinite(row.slope_rad)]
    assert len(sloped) < len(rope_effect_table())
    assert all(show(row.slope_rad, "angle").metric in text for row in sloped)
    assert " none " in text
