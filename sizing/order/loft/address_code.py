"""A page's address as a QR code [ISO/IEC 18004]."""

from __future__ import annotations

import segno

from sizing.errors import OutputError

QUIET_SQUARES = 4
"""White squares round a code that a reader needs [ISO/IEC 18004]."""


def code_rows(address: str) -> tuple[bytes, ...]:
    """Return the code's squares from the top, 1 for black, its quiet border included.

    Error correction M: about 15 % of the squares may be soiled. [ISO/IEC 18004]

    >>> len(code_rows("https://rally.example/boats/017.html"))
    37
    """
    try:
        code = segno.make_qr(address, error="m")
    except segno.DataOverflowError as problem:
        raise OutputError(
            "bag label",
            f"an address of {len(address)} characters",
            "one that a QR code holds, some 2,300 characters at most",
            "give the site a shorter address",
        ) from problem
    return tuple(bytes(row) for row in code.matrix_iter(scale=1, border=QUIET_SQUARES))
