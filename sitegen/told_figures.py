"""Figures inside a line of words, found again so that they follow the reader's switch like any other."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator
from typing import TypeAlias

from sizing.revision import FindingChange, NeedChange
from sizing.units import Shown, show

Told: TypeAlias = tuple[str | Shown, ...]
"""A line in pieces: words as they are, figures in both systems."""


def told(words: str, figures: Collection[Shown]) -> Told:
    """Return a line in pieces; what is not one of `figures`, as `sizing.units.both` writes it, stays words.

    >>> told("short, asked 30 kg (66 lb) or so", [Shown("30 kg", "66 lb")])
    ('short, asked ', Shown(metric='30 kg', us='66 lb'), ' or so')
    >>> told("asked 130 kg (66 lb)", [Shown("30 kg", "66 lb")])
    ('asked 130 kg (66 lb)',)
    """
    written = {f"{figure.metric} ({figure.us})": figure for figure in figures if figure.metric != figure.us}
    if not written:
        return (words,)
    alternatives = "|".join(re.escape(text) for text in written)
    pieces = re.split(rf"(?<![\w.,])({alternatives})", words)
    return tuple(written.get(piece, piece) for piece in pieces if piece)


def figures_of_finding(finding: FindingChange) -> Iterator[Shown]:
    """Return the figures that the words on a finding hold."""
    for judged in (finding.before, finding.after):
        if judged is not None:
            for value in (judged.required, judged.found):
                if value is not None:
                    yield show(value, finding.dimension)


def figures_of(findings: Iterable[FindingChange], needs: Iterable[NeedChange]) -> tuple[Shown, ...]:
    """Return the figures that the words on these changes hold, each once."""
    found = [figure for finding in findings for figure in figures_of_finding(finding)]
    found += [
        show(value, need.dimension)
        for need in needs
        for value in (need.before, need.after)
        if isinstance(value, float)
    ]
    return tuple(dict.fromkeys(found))
