"""The compiled cache can never serve code of another version of the sources."""

from __future__ import annotations

from pathlib import Path

from sizing.drogue.strike import line
from sizing.drogue.strike.line import COMPILED_SOURCES, RIG, source_mark


def test_every_file_with_compiled_code_is_marked() -> None:
    folder = Path(line.__file__).parent
    compiled = {p.name for p in folder.glob("*.py") if "@njit" in p.read_text(encoding="utf-8")}
    assert compiled == set(COMPILED_SOURCES)


def test_the_mark_is_in_the_signature_and_follows_the_sources() -> None:
    texts = [Path(line.__file__).with_name(name).read_bytes() for name in COMPILED_SOURCES]
    assert source_mark(texts) in (RIG.names or ())
    for i in range(len(texts)):
        changed = [*texts]
        changed[i] += b"# changed\n"
        assert source_mark(changed) != source_mark(texts)
