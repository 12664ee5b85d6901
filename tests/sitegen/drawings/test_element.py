"""The builder of elements: escaping, numbers, and refusal of what a drawing may not have."""

from __future__ import annotations

import math
import xml.etree.ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sitegen.drawings.element import clean, element, number
from sitegen.drawings.sheet import WIDE, Sheet


@pytest.mark.parametrize("tag", ["script", "style", "image", "use", "a", "foreignObject", "animate"])
def test_other_elements_are_refused(tag: str) -> None:
    with pytest.raises(ValueError, match=tag):
        element(tag)


@pytest.mark.parametrize("attribute", ["style", "onload", "href", "xlink:href", "src"])
def test_other_attributes_are_refused(attribute: str) -> None:
    with pytest.raises(ValueError, match=attribute):
        element("g", **{attribute: "x"})


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_figures_that_are_not_finite_are_refused(value: float) -> None:
    with pytest.raises(ValueError, match="finite"):
        element("line", x1=value)


@pytest.mark.parametrize("prefix", ["", "1a", "a b", 'a"', "a>", "é"])
def test_ids_are_plain(prefix: str) -> None:
    with pytest.raises(ValueError, match="id"):
        Sheet(prefix, WIDE, "t", "d")


@given(st.text(), st.text())
def test_any_text_comes_back_as_it_was_once_cleaned(inside: str, attribute: str) -> None:
    markup = element("text", inside, id=attribute).render()
    read = ET.fromstring(markup)  # noqa: S314  own output
    assert (read.text or "") == clean(inside)
    assert read.attrib == {"id": clean(attribute)}
    assert len(read) == 0


@given(st.floats(-1e6, 1e6))
def test_numbers_are_plain_and_near(value: float) -> None:
    text = number(value)
    assert "e" not in text
    assert abs(float(text) - value) <= 0.005 + 1e-9
