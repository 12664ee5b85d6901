"""Turning figures and words into standings; every check goes through one of these."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from sizing.audit.context import AuditContext
from sizing.fields import CHOICES
from sizing.model import AdvisedColumns, BoolArray, CodeArray, FloatArray, Standing

EQUAL_WITHIN = 1e-6
"""Relative difference below which two figures are the same: rounding of unit conversion, nothing more."""

NOT_COMPUTED_NOTE = "What she needs could not be computed, so this cannot be judged."


@dataclass(frozen=True)
class Outcome:
    """How the fleet stands on one check, before waivers. Arrays of length n; figures SI, NaN where none.

    `needed` is what the column measured has to be, where `required` is not a figure of it; (n,) or (n, k).
    `advice` says what to do in place of the check's own words, with the mask of the boats it is for.
    `advised` is a further limit on what is found, beside the one required. `unread` are boats whose sheet
    says what could not be read in one of the columns `unread_in`, which the check looks at.
    """

    standing: CodeArray
    required: FloatArray
    found: FloatArray
    at_most: bool = False
    notes: tuple[tuple[BoolArray, str], ...] = ()
    needed: FloatArray | None = None
    advice: tuple[tuple[BoolArray, str], ...] = ()
    advised: AdvisedColumns | None = None
    unread: BoolArray | None = None
    unread_in: tuple[str, ...] = ()


Judge = Callable[[AuditContext], Outcome]


def by_figure(
    context: AuditContext,
    required: FloatArray,
    found: FloatArray,
    *,
    applies: BoolArray,
    absent: BoolArray | None = None,
    best: FloatArray | None = None,
    at_most: bool = False,
    tolerance: float = 0.0,
    notes: tuple[tuple[BoolArray, str], ...] = (),
    needed: FloatArray | None = None,
    advised: FloatArray | None = None,
) -> Outcome:
    """Compare what is found with what is required.

    Where something needed for the figure is not known, `found` is the least it can be and `best` the most:
    the boat meets the check if even the least is enough, is short if even the most is not, and is unproven
    between. The figure shown is the least, or for a boat that is short the most. Without `best`, a figure
    that is not known (NaN) is unproven. A boat whose requirement could not be computed is unproven.

    Parameters
    ----------
    required, found, best:
        (n,) SI
    applies:
        (n,) boats the check is about; others are not applicable
    absent:
        (n,) boats that say they have no such thing
    at_most:
        `found` must not exceed `required`
    tolerance:
        share of `required` by which what is found may fall behind and still meets, which is then said
    needed:
        (n,) or (n, k), see `Outcome`
    advised:
        (n,) SI, a further limit that what is found should reach; NaN where there is none
    """
    most = found if best is None else best
    slack = np.abs(required) * EQUAL_WITHIN
    if at_most:
        enough, hopeless = found <= required + slack, most > required + slack
    else:
        enough, hopeless = found >= required - slack, most < required - slack
        if tolerance:
            within = np.asarray(~enough & (found >= required * (1.0 - tolerance) - slack))
            enough, hopeless = enough | within, hopeless & (most < required * (1.0 - tolerance) - slack)
            words = f"Within {tolerance:.0%} of the rule, which is enough: the source says “about” [CG87]."
            notes = (*notes, (np.asarray(within & applies), words))
    standing = np.full(context.boats, Standing.UNPROVEN, dtype=np.int8)
    standing[enough] = Standing.MEETS
    standing[hopeless] = Standing.SHORT
    if absent is not None:
        standing[absent] = Standing.ABSENT
    unknown_need = applies & np.isnan(required)
    standing[unknown_need] = Standing.UNPROVEN
    standing[~applies] = Standing.NOT_APPLICABLE
    uncomputed = np.asarray(unknown_need & ~context.computed)
    if uncomputed.any():
        notes = (*notes, (uncomputed, NOT_COMPUTED_NOTE))
    shown = np.where(hopeless, most, found)
    further = None if advised is None else beside(advised, found, most, applies)
    return Outcome(standing, required, shown, at_most, notes, needed, advised=further)


def beside(limit: FloatArray, least: FloatArray, most: FloatArray, applies: BoolArray) -> AdvisedColumns:
    """How what is found, between `least` and `most`, stands to a further limit that it should reach."""
    slack = np.abs(limit) * EQUAL_WITHIN
    standing = np.full(len(limit), Standing.UNPROVEN, dtype=np.int8)
    standing[least >= limit - slack] = Standing.MEETS
    standing[most < limit - slack] = Standing.SHORT
    standing[~applies | np.isnan(limit)] = Standing.NOT_APPLICABLE
    return AdvisedColumns(np.where(applies, limit, np.nan), standing)


def left_unproven(outcome: Outcome, doubtful: BoolArray) -> Outcome:
    """The outcome with what is met by `doubtful` boats left unproven; what is short of it stays short."""
    doubt = np.asarray(doubtful & (outcome.standing == Standing.MEETS))
    standing = np.where(doubt, Standing.UNPROVEN, outcome.standing).astype(np.int8)
    return replace(outcome, standing=standing)


def by_word(
    context: AuditContext,
    column: str,
    verdicts: Mapping[str, Standing],
    *,
    applies: BoolArray,
    notes: tuple[tuple[BoolArray, str], ...] = (),
) -> Outcome:
    """Judge a choice column by its words; every word has a verdict, and blank is unproven."""
    missing = set(CHOICES[column]) - set(verdicts)
    if missing:
        raise ValueError(f"{column}: no verdict for {sorted(missing)}")
    table = np.array([*(verdicts[word] for word in CHOICES[column]), Standing.UNPROVEN], dtype=np.int8)
    standing = table[context.fleet.choice[column]]
    standing[~applies] = Standing.NOT_APPLICABLE
    return Outcome(standing, context.no_figure, context.no_figure, False, notes)


def has_line(context: AuditContext) -> BoolArray:
    """Boats that the checks of the drogue's line are about."""
    return context.has_line


def judged_by_word(
    column: str,
    *,
    meets: tuple[str, ...],
    short: tuple[str, ...] = (),
    absent: tuple[str, ...] = (),
    unproven: tuple[str, ...] = (),
    applies: Callable[[AuditContext], BoolArray] = has_line,
) -> Judge:
    """Make the judge of a choice column from what its words say, of the boats that it `applies` to."""
    by_standing = {
        Standing.MEETS: meets, Standing.SHORT: short, Standing.ABSENT: absent, Standing.UNPROVEN: unproven,
    }  # fmt: skip
    verdicts = {word: standing for standing, words in by_standing.items() for word in words}
    return lambda context: by_word(context, column, verdicts, applies=applies(context))


def judged_by_answer(si_name: str) -> Judge:
    """Make the judge of a yes/no column, of all boats with a line."""
    return lambda context: by_answer(context, si_name, applies=has_line(context))


def by_answer(context: AuditContext, si_name: str, *, applies: BoolArray) -> Outcome:
    """Judge a yes/no column: yes meets, no is short, blank is unproven."""
    answer = context.fleet.number[si_name]
    standing = np.full(context.boats, Standing.UNPROVEN, dtype=np.int8)
    standing[answer == 1] = Standing.MEETS
    standing[answer == 0] = Standing.SHORT
    standing[~applies] = Standing.NOT_APPLICABLE
    return Outcome(standing, context.no_figure, context.no_figure)
