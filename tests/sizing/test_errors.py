"""Errors: the four parts of a message, and travel between processes."""

from __future__ import annotations

import pickle

import pytest

from sizing.errors import ComputationError, MusterError, PolicyError, QuantityError


@pytest.mark.parametrize(
    "problem",
    [
        PolicyError("policy, line 2", "0.9", "0.1 to 0.75", "lower it"),
        ComputationError("entry 7", "NaN", "a number", "look again"),
        QuantityError("no_unit", "cell", "“12”", "a unit", "write the unit"),
    ],
)
def test_an_error_travels_between_processes_whole(problem: MusterError) -> None:
    there = pickle.loads(pickle.dumps(problem))  # noqa: S301 - our own bytes
    assert type(there) is type(problem)
    assert str(there) == str(problem)
    assert vars(there) == vars(problem)


def test_the_message_has_its_four_parts() -> None:
    problem = PolicyError("policy, line 2", "0.9", "0.1 to 0.75", "lower it")
    assert str(problem) == "policy, line 2: 0.9. Expected: 0.1 to 0.75. To mend it: lower it."
