"""Answers of several boats taken in at once, as they came by mail: all of them, or none."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace

from sqlalchemy import Connection

from api.season.acting import Acting
from api.season.answer_text import Block, Wrong
from api.season.answers import Given, Saved, prepared, price_agrees, seen_of
from api.season.errors import SeasonError
from api.season.prices import price_of
from sizing.fields import FIELD_BY_NAME

Work = Callable[[Connection], Saved]


def prepared_together(
    acting: Acting, fleet_id: str, blocks: Sequence[Block]
) -> tuple[list[Work], list[Wrong]]:
    """Judge every boat as she would be; what writes each, and all that is wrong, by line and column."""
    works: list[Work] = []
    wrong: list[Wrong] = []
    where: dict[str, str] = {}
    for block in blocks:
        if block.boat_id in where:
            wrong.append(Wrong(
                block.where, f"this boat has answers in {where[block.boat_id]} too", "one text a boat",
                "take them in one after the other, the older first",
            ))  # fmt: skip
            continue
        where[block.boat_id] = block.where
        if block.fleet_id != fleet_id:
            wrong.append(Wrong(block.where, "it is of another fleet of this season", "answers of this fleet",
                               "say which fleet it is with --fleet"))  # fmt: skip
            continue
        try:
            works.append(_prepared(acting, fleet_id, block))
        except SeasonError as problem:
            wrong += _told(block, problem)
    return works, wrong


def _prepared(acting: Acting, fleet_id: str, block: Block) -> Work:
    seen = seen_of(acting.store, fleet_id, block.boat_id)
    choice = block.choice
    if choice is not None and choice.price:
        with acting.store.read() as connection:
            price_agrees(choice, price_of(connection, fleet_id, seen.boat.entry_no).amount)
    given = [replace(one, over=_over(seen.scrutiny.answers.get(one.field), block)) for one in block.given]
    return prepared(acting, fleet_id, block.boat_id, given, block.by, choice)


def _over(last: object, block: Block) -> int:
    """The answer that the form knew: one that came since is not overwritten unseen."""
    number: int = getattr(last, "number", 0)
    return number if number <= block.seen else block.seen


def _told(block: Block, problem: SeasonError) -> list[Wrong]:
    """What is wrong with the answers of one boat, by column where that is known."""
    told = []
    for error in problem.errors:
        at = re.fullmatch(r"answers\.(\d+)", error["field"])
        one: Given | None = block.given[int(at[1])] if at else None
        column = FIELD_BY_NAME[one.field].label if one else error["field"]
        value = f"“{one.text}” cannot be taken" if one and one.text else problem.found
        told.append(
            Wrong(f"{block.where}, {column}", value, error["expected"], error.get("mend") or "ask her again")
        )
    return told or [Wrong(f"{block.where}, {problem.where}", problem.found, problem.expected, problem.mend)]
