"""Long texts as they are kept: packed, the same text always to the same bytes."""

from __future__ import annotations

import zlib

LEVEL = 6


def packed(content: bytes) -> bytes:
    """Bytes, packed.

    >>> unpacked(packed(b"cones and cones"))
    b'cones and cones'
    """
    return zlib.compress(content, LEVEL)


def unpacked(content: bytes) -> bytes:
    """Bytes as they were before they were packed."""
    return zlib.decompress(content)
