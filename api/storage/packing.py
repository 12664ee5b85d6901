"""Long values as they are kept: packed, the same bytes always to the same bytes."""

from __future__ import annotations

import zlib
from typing import Final

LEVEL: Final = 6


def packed(content: bytes, level: int = LEVEL) -> bytes:
    """Bytes, packed.

    >>> unpacked(packed(b"cones and cones"))
    b'cones and cones'
    """
    return zlib.compress(content, level)


def unpacked(content: bytes) -> bytes:
    """Bytes as they were before they were packed."""
    return zlib.decompress(content)
