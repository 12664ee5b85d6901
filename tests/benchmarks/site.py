"""How long a site takes: this program's build against a bare mkdocs-material build of the same content.

    python -m tests.benchmarks.site [BOATS ...]

Both run in this one process, one after the other, from the same result, and both make their drawings. The
bare build gets every boat's page as Markdown: the same tables as pipe tables, the same drawings as inline
SVG, and the theme's own search. Its boats stand outside the navigation, as ours do: a bare build with a
thousand pages in the navigation takes about twice as long. It makes no order, sheets, cut lists or method
pages, checks nothing and publishes nothing, so that the ratio is to our disadvantage.
"""

from __future__ import annotations

import logging
import os
import resource
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

from mkdocs.commands.build import build
from mkdocs.config.defaults import MkDocsConfig

import sitegen.build
from sitegen import build_site
from sitegen.boat_drawings import boat_drawings
from sitegen.boat_facts import Gatherer
from sitegen.pages.boat import BoatPage, boat_page
from sitegen.pages.parts import FindingView
from sitegen.rendering import render
from sitegen.texts import load_texts
from sizing.units import Shown
from tests.sitegen.result_builder import PLAIN, TODAY, Run, make_run, with_strike

BOATS = (60, 1000)
SAMPLE = 40


def fleet(boats: int) -> list[dict[str, str]]:
    """Boats from 3 to 20 t, every third with nothing said about her gear."""
    made = []
    for number in range(boats):
        tonnes = 3.0 + 17.0 * number / max(boats - 1, 1)
        boat = dict(PLAIN) | {
            "entry_no": f"{number:04d}",
            "boat_name": f"Example Boat {number}",
            "design": f"Example {number}",
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
    stages = page.use.stages if page.use else ()
    drawings = (
        *page.drogue_drawings,
        *page.rig_part_drawings,
        *page.feel_drawings,
        *page.build_drawings,
        *(drawing for stage in stages for drawing in stage.drawings),
    )
    parts += [f"<div>{drawing.svg}</div>\n" for drawing in drawings]
    parts += ["## Marks\n", table(["Cone", "Mark"], ([str(m.cone), figure(m.distance)] for m in page.marks))]
    parts += [
        "## Kit\n",
        table(["Part", "For", "Number"], ([k.item, k.purpose, str(k.quantity)] for k in page.kit)),
    ]
    parts += [f"{step.title}. {step.text}\n" for step in page.build_steps]
    parts += [f"{step.key} {step.say} {step.why}\n" for stage in stages for step in stage.steps]
    parts += [f"### {w.title}\n\n{w.formula}: {figure(w.value)}\n" for w in page.workings]
    return "\n".join(parts)


def bare_build(run: Run, folder: Path) -> None:
    """The same boats by the bare theme: Markdown files, boats outside the navigation, the theme's search."""
    docs = folder / "docs"
    docs.mkdir()
    gatherer, texts = Gatherer(run.result, run.policy, run.catalogue), load_texts()
    (docs / "index.md").write_text("# Fleet\n")
    for row in range(len(gatherer)):
        record = gatherer.facts(row)
        page = boat_page(record, boat_drawings(record, run.policy), run.policy, run.catalogue, texts, TODAY)
        (docs / f"{record.slug}.md").write_text(markdown(page))
    config = MkDocsConfig(config_file_path=str(folder / "mkdocs.yml"))
    config.load_dict(
        {
            "site_name": "Bare",
            "docs_dir": str(docs),
            "site_dir": str(folder / "site"),
            "nav": ["index.md"],
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


def one_changed(boats: list[dict[str, str]]) -> Run:
    """The run of the day after, with one boat a tenth heavier."""
    changed = [dict(boat) for boat in boats]
    middle = changed[len(changed) // 2]
    middle["displacement"] = f"{1.1 * float(middle['displacement'].removesuffix(' t')):.2f} t"
    run = with_strike(make_run(changed))
    return replace(run, result=replace(run.result, today=run.result.today + timedelta(days=1)))


@contextmanager
def stages() -> Iterator[dict[str, float]]:
    """Time the stages of a build by the clock while the block runs."""
    taken: dict[str, float] = {}

    def watch(name: str, real: Callable[..., Any]) -> Callable[..., Any]:
        def watched(*args: Any, **named: Any) -> Any:
            start = time.perf_counter()
            try:
                return real(*args, **named)
            finally:
                taken[name] = taken.get(name, 0.0) + time.perf_counter() - start

        return watched

    names = {"build_shell": "pages", "verify_site": "checks of the finished site", "publish": "publishing",
             "take_over": "taking pages over"}  # fmt: skip
    before = {name: getattr(sitegen.build, name) for name in names}
    try:
        for name, words in names.items():
            setattr(sitegen.build, name, watch(words, before[name]))
        yield taken
    finally:
        for name, real in before.items():
            setattr(sitegen.build, name, real)


def of_one_page(run: Run) -> dict[str, float]:
    """Milliseconds of a boat's page by what is done for it, of the processor."""
    gatherer, texts = Gatherer(run.result, run.policy, run.catalogue), load_texts()
    rows = range(min(SAMPLE, len(gatherer)))
    taken: dict[str, float] = {}

    def step(name: str, work: Callable[[], list[Any]]) -> list[Any]:
        start = time.process_time()
        done = work()
        taken[name] = 1000.0 * (time.process_time() - start) / len(rows)
        return done

    records = step("record", lambda: [gatherer.facts(row) for row in rows])
    drawn = step("drawings", lambda: [boat_drawings(record, run.policy) for record in records])
    pages = step(
        "figures and words",
        lambda: [
            boat_page(record, drawings, run.policy, run.catalogue, texts, TODAY)
            for record, drawings in zip(records, drawn, strict=True)
        ],
    )
    step("template", lambda: [render(page) for page in pages])
    return taken


def largest_by_kind(site: Path) -> str:
    """The largest page of each kind, in kB."""
    largest: dict[str, int] = {}
    for path in site.rglob("*.html"):
        kind = path.relative_to(site).parts[0]
        largest[kind] = max(largest.get(kind, 0), path.stat().st_size)
    return ", ".join(
        f"{kind} {size / 1000:.0f}" for kind, size in sorted(largest.items(), key=lambda x: -x[1])
    )


def main(boats: int) -> None:
    """Print the figures of one comparison."""
    os.environ["NO_MKDOCS_2_WARNING"] = "1"
    logging.getLogger("mkdocs").setLevel(logging.ERROR)
    entered = fleet(boats)
    run, later = with_strike(make_run(entered)), one_changed(entered)
    with tempfile.TemporaryDirectory() as outer:
        site = Path(outer) / "site"
        with stages() as taken:
            ours, used = timed(lambda: build_site(run.result, run.policy, run.catalogue, site))
        pages = sum(1 for _ in site.rglob("*.html"))
        print(f"{boats} boats, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f} before and beside")
        print(
            f"ours, from nothing       {ours:8.2f} s   {pages / ours:7.1f} pages/s   {size_mb(site):7.1f} MB"
        )
        print(f"  of all processors      {used:8.2f} s   {1000.0 * used / boats:7.1f} ms a boat")
        print("  by the clock           " + ", ".join(f"{name} {s:.2f} s" for name, s in taken.items()))
        parts = ", ".join(f"{name} {ms:.1f} ms" for name, ms in of_one_page(run).items())
        print(f"  a boat's page          {parts}")
        print(f"  largest pages, kB      {largest_by_kind(site)}")
        with stages() as taken:
            again, again_used = timed(lambda: build_site(later.result, later.policy, later.catalogue, site))
        print(f"ours, one boat, next day {again:8.2f} s   {again / ours:7.0%} of the whole by the clock, "
              f"{again_used / used:.0%} of processors")  # fmt: skip
        print("  by the clock           " + ", ".join(f"{name} {s:.2f} s" for name, s in taken.items()))
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        print(f"memory of the process    {memory:8.0f} MB")
        bare = Path(outer) / "bare"
        bare.mkdir()
        theirs, theirs_used = timed(lambda: bare_build(run, bare))
        size = size_mb(bare / "site")
        pages = sum(1 for _ in (bare / "site").rglob("*.html"))
        print(f"bare theme, same content {theirs:8.2f} s   {pages / theirs:7.1f} pages/s   {size:7.1f} MB")
        print(f"ratio bare / ours        {theirs / ours:8.1f}   {theirs_used / used:7.1f} of processors")


if __name__ == "__main__":
    for number in map(int, sys.argv[1:] or BOATS):
        main(number)
