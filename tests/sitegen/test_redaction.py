from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sizing.redaction import LEFT_OUT, redact


@pytest.mark.parametrize(
    "text",
    [
        "write to a.b+c@boat.example",
        "call +44 7700 900123",
        "tel (0)7700-900-123",
        "00 44 7700 900123 evenings",
        "+44.7700.900.123.4",
    ],
)
def test_contact_details_are_left_out(text: str) -> None:
    assert LEFT_OUT in redact(text)
    assert "900" not in redact(text)
    assert "@" not in redact(text)


@pytest.mark.parametrize(
    ("text", "secret"),
    [
        ("ask jane(at)club.example", "jane"),
        ("ask jane [at] club [dot] example", "jane"),
        ("jane at club dot example has the spare", "jane"),
        ("pay at https://pay.example/jane-doe/25", "jane-doe"),
        ("shirts: pay.example/janedoe", "janedoe"),
        ("www.janedoe.example", "janedoe"),
        ("write to @jane_sails there", "jane"),
        ("to DE89 3704 0044 0532 0130 00", "3704"),
        ("0171.23.45.67.89", "45"),
    ],
)
def test_other_ways_to_reach_or_pay_somebody_are_left_out(text: str, secret: str) -> None:
    """Addresses of example domains; the account number is the example of ISO 13616's registry [memory]."""
    assert secret not in redact(text)
    assert LEFT_OUT in redact(text)


@pytest.mark.parametrize(
    "text",
    [
        "sail XYZ 1234",
        "4 @M12 A4-70",
        "Seen at Aldermoyle. Strong.",
        "looked at the transom, dot marks the place",
        "3.5/8.2 m and 18.5.2026",
        "rope of 12.5 m/40 ft",
        "inspected 2026-04-18",
        "4 x M12 A4-70",
        "8,400 kg, 40 ft 6 in",
        "100 cones; 20 mm; 16 mm",
    ],
)
def test_figures_and_dates_stay(text: str) -> None:
    assert redact(text) == text


def test_a_private_value_is_found_in_any_case_and_with_signs() -> None:
    assert redact("ask ANNE (MATE) O'NEILL", ["Anne (mate) O'Neill"]) == f"ask {LEFT_OUT}"


def test_the_longest_private_value_goes_first() -> None:
    assert redact("Anne Vale-Storr", ["Anne Vale", "Anne Vale-Storr"]) == LEFT_OUT


@given(st.emails())
def test_any_plain_address_is_left_out(address: str) -> None:
    if address.isascii() and not set("'`!#$&*/=?^{|}~") & set(address):
        assert address not in redact(f"to {address} please")
