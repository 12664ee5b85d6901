"""Rules of our own that a parser does not know. Each returns what is wrong with a page.

From HTML (WHATWG): ids and references (3.2.6, 4.10.4, 7.4.6.3), headers of tables (4.9.10), titles (4.2.2);
from WCAG 2.2: names of graphics (1.1.1), headings (1.3.1, 2.4.6), language (3.1.1). That levels of headings
do not jump is common practice, no source.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from itertools import pairwise

from tests.markup.reading import SVG, Reading, text_in

LISTS_OF_IDS = (
    "aria-labelledby", "aria-describedby", "aria-controls", "aria-owns", "aria-details", "headers", "list",
    "for",
)  # fmt: skip
LEVELS = {f"h{level}": level for level in range(1, 7)}


def _ids(page: Reading) -> Counter[str]:
    return Counter(at.attrib["id"] for at in page.root.iter() if "id" in at.attrib)


def ids_are_unique(page: Reading) -> list[str]:
    """No id stands twice, and none is empty or holds a space."""
    ids = _ids(page)
    bad = [f"id {name!r}" for name in ids if not name or any(c.isspace() for c in name)]
    return bad + [f"id {name!r} {count} times" for name, count in ids.items() if count > 1]


def references_lead_somewhere(page: Reading) -> list[str]:
    """What names an id of this page names one that is there."""
    ids = _ids(page)
    wrong = []
    for at in page.root.iter():
        named = [name for key in LISTS_OF_IDS for name in at.attrib.get(key, "").split()]
        for key in ("href", "{http://www.w3.org/1999/xlink}href"):
            target = at.attrib.get(key, "")
            if target.startswith("#") and "=" not in target:  # with one it is a state of the fleet table
                named.append(target[1:])
        wrong += [f"<{at.tag}> names {name!r}" for name in named if name not in ids]
    return wrong


def headings_are_a_ladder(page: Reading) -> list[str]:
    """One h1, first; no heading empty; no level left out on the way down."""
    headings = [(LEVELS[at.tag], text_in(at)) for at in page.root.iter() if at.tag in LEVELS]
    wrong = [f"an empty h{level}" for level, words in headings if not words]
    levels = [level for level, _ in headings]
    if levels.count(1) != 1 or levels[0] != 1:
        wrong.append(f"h1: {levels.count(1)}, first is h{levels[0] if levels else '-'}")
    for (above, _), (level, words) in pairwise(headings):
        if level > above + 1:
            wrong.append(f"h{level} {words!r} after h{above}")
    return wrong


def graphics_are_named(page: Reading) -> list[str]:
    """Every drawing and picture has a name, or is kept from those who listen."""
    by_id = {at.attrib["id"]: at for at in page.root.iter() if "id" in at.attrib}
    wrong = []
    for at in page.root.iter():
        if at.tag == "img" and "alt" not in at.attrib:
            wrong.append(f"img {at.attrib.get('src')!r} without alt")
        if at.tag == f"{SVG}svg" and at.attrib.get("aria-hidden") != "true":
            named = [by_id[name] for name in at.attrib.get("aria-labelledby", "").split() if name in by_id]
            words = at.attrib.get("aria-label", "") or "".join(text_in(one) for one in named)
            if at.attrib.get("role") != "img" or not words:
                wrong.append(f"svg {dict(at.attrib)!r} without role and name")
    return wrong


def tables_have_headers(page: Reading) -> list[str]:
    """Every table has header cells, and each says of what."""
    wrong = []
    for table in page.root.iter("table"):
        heads = list(table.iter("th"))
        if not heads:
            wrong.append(f"a table without headers: {text_in(table)[:60]!r}")
        wrong += [
            f"th {text_in(head)[:40]!r}, scope {head.attrib.get('scope')!r}"
            for head in heads
            if head.attrib.get("scope") not in {"col", "row", "colgroup", "rowgroup"} or not text_in(head)
        ]
    return wrong


def language_is_said(page: Reading) -> list[str]:
    """The page is English, from left to right; no other word on direction is empty."""
    root = page.root
    wrong = [] if root.attrib.get("lang") == "en" else [f"html lang {root.attrib.get('lang')!r}"]
    if root.attrib.get("dir", "ltr") != "ltr":
        wrong.append(f"html dir {root.attrib['dir']!r}")
    for at in root.iter():
        if at.attrib.get("dir", "auto") not in {"ltr", "rtl", "auto"} or at.attrib.get("lang") == "":
            wrong.append(f"<{at.tag}> {dict(at.attrib)!r}")
    return wrong


def title_of(page: Reading) -> str:
    """The title of a page, "" where it has none."""
    found: ET.Element | None = page.root.find("head/title")
    return "" if found is None else text_in(found)


OF_A_PAGE: Mapping[str, Callable[[Reading], list[str]]] = {
    rule.__name__: rule
    for rule in (
        ids_are_unique, references_lead_somewhere, headings_are_a_ladder, graphics_are_named,
        tables_have_headers, language_is_said,
    )
}  # fmt: skip


def titles_tell_pages_apart(pages: Iterable[Reading]) -> list[str]:
    """No title is empty, and none stands on two pages."""
    titles = [(title_of(page), page.address) for page in pages]
    count = Counter(title for title, _ in titles)
    return [f"{address}: {title!r}" for title, address in titles if not title or count[title] > 1]
