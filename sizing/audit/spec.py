"""How a check is declared: card, judge, what is measured for it, which parts close it, and its cases."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from sizing.audit.context import Simulation
from sizing.audit.judge import Judge
from sizing.model import Check, Level, Owner, PartGroup, Says, Standing

DROGUE_FAMILIES = frozenset({"drag", "line", "hardware", "condition"})
Cells = Mapping[str, str]
"""Cells by which a boat differs from `sizing.audit.cases.READY`."""


@dataclass(frozen=True)
class CheckSpec:
    """One row of the register of checks.

    What it asks for is a figure of the first of the card's columns, where both have one dimension; else the
    judge may say what that column has to be (`Outcome.needed`). `parts` are what has to be made or bought
    where a boat is short or has none; empty where no part helps (a survey, a measurement, an answer).
    `cases` are boats and how they stand; each is run as a test. A check `of_the` strike or ride is judged
    where that was simulated, and left out of a run without.

    An open finding that no part closes is for `done_by` to act on, one that is unproven for `asked_of`.
    `sizes_her`: her parts are worked out from it. `of_the_drogue`: it is about gear that a whole new drogue
    takes the place of. `only_tried`: its parts help, and only a trial with them shows it.
    """

    check: Check
    judge: Judge
    parts: tuple[PartGroup, ...]
    cases: tuple[tuple[Standing, Cells], ...]
    of_the: Simulation | None
    done_by: Owner
    asked_of: Owner
    sizes_her: bool
    of_the_drogue: bool
    only_tried: bool


def declare(
    judge: Judge,
    check_id: str,
    sentence: str,
    *,
    rule: str,
    source: str,
    consequence: str,
    remedy: str,
    ask: str,
    columns: tuple[str, ...],
    says: Says | None = None,
    provide: str = "",
    level: Level = "shall",
    dimension: str = "ratio",
    parts: tuple[PartGroup, ...] = (),
    meets: tuple[Cells, ...] = ({},),
    short: tuple[Cells, ...] = (),
    absent: tuple[Cells, ...] = (),
    unproven: tuple[Cells, ...] | None = None,
    not_applicable: tuple[Cells, ...] = (),
    of_the: Simulation | None = None,
    done_by: Owner = "skipper",
    asked_of: Owner | None = None,
    sizes_her: bool = False,
    of_the_drogue: bool | None = None,
    only_tried: bool = False,
) -> CheckSpec:
    """Make a CheckSpec; the family is the part of the id before the dot, cases are given by standing.

    Where no case of `unproven` is given, it is the first of `columns` left blank. Checks of the families of
    the drogue are about it, where nothing else is said.
    """
    family = check_id.split(".", 1)[0].replace("-", " ")
    words = consequence, remedy, ask, provide
    check = Check(check_id, family, sentence, rule, source, level, dimension, *words, columns, says or Says())
    by_standing = {
        Standing.MEETS: meets, Standing.SHORT: short, Standing.ABSENT: absent,
        Standing.UNPROVEN: ({columns[0]: ""},) if unproven is None else unproven,
        Standing.NOT_APPLICABLE: not_applicable,
    }  # fmt: skip
    cases = tuple((standing, cells) for standing, several in by_standing.items() for cells in several)
    drogue = family in DROGUE_FAMILIES if of_the_drogue is None else of_the_drogue
    return CheckSpec(
        check,
        judge,
        parts,
        cases,
        of_the,
        done_by,
        asked_of or done_by,
        sizes_her,
        drogue,
        only_tried,
    )
