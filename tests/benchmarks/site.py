"""How long a site takes: this program's build against a bare mkdocs-material build of the same content.

    python -m tests.benchmarks.site [BOATS]

Both run in this one process, one after the other, from the same result. The bare build gets every boat's
page as Markdown: the same tables as pipe tables, the same drawings as inline SVG, and the theme's own
navigation and search.
"""

from __future__ import annotations

import logging
import os
import resource
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from mkdocs.commands.build import build
from mkdocs.config.defaults import MkDocsConfig

from sitegen import build_site
from sitegen.drawn import boat_drawings
from sitegen.pages.boat import BoatPage, boat_page
from sitegen.pages.parts import FindingView
from sitegen.record import Gatherer
from sitegen.texts import load_texts
from sizing.units import Shown
from tests.sitegen.result_builder import PLAIN, TODAY, Run, make_run, with_strike

BOATS = 60


def fleet(boats: int) -> list[dict[str, str]]:
    """Boats from 3 to 20 t, every third with nothing said about her gear."""
    made = []
    for number in range(boats):
        tonnes = 3.0 + 17.0 * number / max(boats - 1, 1)
        boat = dict(PLAIN) | {
            "entry_no": f"{number:04d}",
            "boat_name": f"Example Boat {number}",
            "skipper": f"Skipper Number{number}",
            "email": f"boat{number}@fleet.example",
            "berth": f"{chr(65 + number % 12)}{number // 12 + 1}",
            "displacement": f"{tonnes:.2f} t",
        }
        if number % 3 == 2:
            for column in ("device_type", "cone_count", "bridle_leg_length", "line_state", "attachment_type"):
                boat[column] = ""
        made.append(boat)
    return made


def figure(shown: Shown | None) -> str:
    return "no figure" if shown is None else f"{shown.metric} ({shown.us})"


def table(heads: list[str], rows: Iterator[list[str]]) -> str:
    lines = ["| " + " | ".join(heads) + " |", "|" + " --- |" * len(heads)]
    lines += ["| " + " | ".join(cell or " " for cell in row) + " |" for row in rows]
    return "\n".join(lines) + "\n"


def findings(views: tuple[FindingView, ...]) -> str:
    return table(
        ["Check", "Standing", "Required", "Found", "Do", "Why"],
        (
            [v.sentence, v.standing_words, figure(v.required), figure(v.found), v.remedy, v.consequence]
            for v in views
        ),
    )


def markdown(page: BoatPage) -> str:
    """One boat's page as somebody would write it for the bare theme."""
    parts = [f"# {page.boat_name}\n", f"Entry {page.entry_no}, {page.boat_standing.words}\n"]
    for title, views in (
        ("Open shalls", page.open_shalls),
        ("Open shoulds", page.open_shoulds),
        ("Met", page.met),
    ):
        parts += [f"## {title}\n", findings(views)]
    for title, rows in (("Drogue", page.drogue_figures), ("Loads", page.feel_figures)):
        parts += [
            f"## {title}\n",
            table(["What", "Figure", "Source"], ([f.label, figure(f.value), f.source] for f in rows)),
        ]
    drawings = (
        *page.drogue_drawings,
        *page.rig_part_drawings,
        *page.feel_drawings,
        *page.build_drawings,
        *page.use_drawings,
    )
    parts += [f"<div>{drawing.svg}</div>\n" for drawing in drawings]
    parts += ["## Marks\n", table(["Cone", "Mark"], ([str(m.cone), figure(m.distance)] for m in page.marks))]
    parts += [
        "## Kit\n",
        table(["Part", "For", "Number"], ([k.item, k.purpose, str(k.quantity)] for k in page.kit)),
    ]
    parts += [
        f"{step.title}. {step.text}\n"
        for step in (*page.build_steps, *page.launch_steps, *page.recover_steps)
    ]
    parts += [f"### {w.title}\n\n{w.formula}: {figure(w.value)}\n" for w in page.workings]
    return "\n".join(parts)


def bare_build(run: Run, folder: Path) -> None:
    """The same boats by the bare theme: Markdown files, default navigation, the theme's search."""
    docs = folder / "docs"
    docs.mkdir()
    gatherer, texts = Gatherer(run.result, run.policy, run.catalogue), load_texts()
    (docs / "index.md").write_text("# Fleet\n")
    for row in range(len(gatherer)):
        record = gatherer.record(row)
        page = boat_page(record, boat_drawings(record, run.policy), run.policy, run.catalogue, texts, TODAY)
        (docs / f"{record.slug}.md").write_text(markdown(page))
    config = MkDocsConfig(config_file_path=str(folder / "mkdocs.yml"))
    config.load_dict(
        {
            "site_name": "Bare",
            "docs_dir": str(docs),
            "site_dir": str(folder / "site"),
            "plugins": ["material/search"],
            "markdown_extensions": ["tables", "md_in_html"],
            "theme": {"name": "material", "font": False},
        }
    )
    errors, _ = config.validate()
    assert not errors, errors
    build(config)


def timed(work: Callable[[], object]) -> tuple[float, float]:
    """Seconds by the clock, and seconds of all processors together, helpers among them."""
    start, used = time.perf_counter(), _processor_s()
    work()
    return time.perf_counter() - start, _processor_s() - used


def _processor_s() -> float:
    who = (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    return sum(usage.ru_utime + usage.ru_stime for usage in map(resource.getrusage, who))


def size_mb(folder: Path) -> float:
    return sum(p.stat().st_size for p in folder.rglob("*") if p.is_file()) / 1e6


def main(boats: int) -> None:
    """Print the figures of one comparison."""
    os.environ["NO_MKDOCS_2_WARNING"] = "1"
    logging.getLogger("mkdocs").setLevel(logging.ERROR)
    run = with_strike(make_run(fleet(boats)))
    with tempfile.TemporaryDirectory() as outer:
        site = Path(outer) / "site"
        ours, used = timed(lambda: build_site(run.result, run.policy, run.catalogue, site))
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        again, _ = timed(lambda: build_site(run.result, run.policy, run.catalogue, site))
        pages = [path.stat().st_size for path in (site / "boats").glob("*.html")]
        print(f"{boats} boats, {os.cpu_count()} cores")
        print(
            f"ours, from nothing       {ours:8.2f} s   {boats / ours:7.1f} boats/s   {size_mb(site):7.1f} MB"
        )
        print(f"ours, of all processors  {used:8.2f} s   {1000.0 * used / boats:7.1f} ms a boat")
        print(f"ours, nothing changed    {again:8.2f} s")
        print(f"largest boat page        {max(pages) / 1000:8.0f} kB;  memory of the process {memory:.0f} MB")
        bare = Path(outer) / "bare"
        bare.mkdir()
        theirs, theirs_used = timed(lambda: bare_build(run, bare))
        size = size_mb(bare / "site")
        print(f"bare theme, same content {theirs:8.2f} s   {boats / theirs:7.1f} boats/s   {size:7.1f} MB")
        print(f"ratio bare / ours        {theirs / ours:8.1f}   {theirs_used / used:7.1f} of processors")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else BOATS)
