"""The audit trail: who did what, when, and what stood before and after; a chain that shows every edit."""

from api.trail.anchors import read_anchors, refuse_cut, write_anchor
from api.trail.chain import Actor, Head, TrailReport, append, head_of, verify_trail

__all__ = [
    "Actor", "Head", "TrailReport", "append", "head_of", "read_anchors", "refuse_cut", "verify_trail",
    "write_anchor",
]  # fmt: skip
