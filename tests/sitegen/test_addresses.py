from __future__ import annotations

import re

from hypothesis import given
from hypothesis import strategies as st

from sitegen.addresses import boat_address, slug, slugs

SAFE = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")


@given(st.text(max_size=400))
def test_an_address_is_safe_whatever_the_entry_number(text: str) -> None:
    made = slug(text)
    assert SAFE.fullmatch(made)
    assert len(made) < 60


@given(st.lists(st.text(max_size=12), unique=True, max_size=40))
def test_no_two_boats_share_an_address(texts: list[str]) -> None:
    made = slugs(texts)
    assert len(set(made.values())) == len(texts)


def test_addresses_do_not_depend_on_the_other_boats() -> None:
    assert slugs(["1", "2", "3"])["3"] == slugs(["3"])["3"]


def test_case_and_signs_that_fall_together_keep_apart() -> None:
    made = slugs(["a/1", "A 1", "a-1", "../a1"])
    assert len({value.casefold() for value in made.values()}) == 4


def test_reserved_names_of_other_systems_are_not_made() -> None:
    assert boat_address(slug("con")) != "boats/con.html"
