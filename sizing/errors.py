"""Every error the engine raises on purpose, in one small tree.

    MusterError                 the base: callers catch this one
    |-- InputError              the fleet file as a whole cannot be used
    |-- PolicyError             the rally policy file cannot be used
    |-- CatalogueError          a catalogue or price table cannot be used
    |-- OutputError             the output folder cannot be written
    |-- QuantityError           one quantity written as text cannot be read
    `-- ComputationError        one boat's figures cannot be computed; the batch goes on

Each message says where, what was found, what is expected and how to mend it, in that order, so that a
reader who has never seen the code can put it right.
"""

from __future__ import annotations


class MusterError(Exception):
    """Base of all deliberate errors; its text is fit to be shown to a user as it stands.

    Parameters
    ----------
    where:
        file, line, column, boat or key the message is about
    found:
        what was there
    expected:
        what should have been there
    mend:
        what the reader can do about it
    """

    def __init__(self, where: str, found: str, expected: str, mend: str) -> None:
        self.where = where
        self.found = found
        self.expected = expected
        self.mend = mend
        super().__init__(f"{where}: {found}. Expected: {expected}. To mend it: {mend}.")

    def __reduce__(self) -> tuple[object, ...]:
        """Travel between processes whole; by default an exception is rebuilt from its one text."""
        return _restored, (type(self), self.args, self.__dict__)


def _restored(kind: type[MusterError], args: tuple[str, ...], state: dict[str, str]) -> MusterError:
    problem = kind.__new__(kind, *args)
    problem.__dict__.update(state)
    return problem


class InputError(MusterError):
    """The fleet file as a whole cannot be used (empty, binary, no header row, too large)."""


class PolicyError(MusterError):
    """The rally policy file cannot be used (unreadable, unknown key, impossible limit)."""


class CatalogueError(MusterError):
    """A catalogue or price table cannot be used (missing value, unknown unit, no source)."""


class OutputError(MusterError):
    """The output folder cannot be written (no permission, disk full, in use)."""


class ComputationError(MusterError):
    """One boat's figures cannot be computed; she stays in the result, marked not computed."""


class QuantityError(MusterError):
    """One quantity written as text cannot be read (no unit, unknown unit, no number).

    `code` is the reason in one word, for records and tests.
    """

    def __init__(self, code: str, where: str, found: str, expected: str, mend: str) -> None:
        self.code = code
        super().__init__(where, found, expected, mend)


def missing_extra(extra: str, lost: ModuleNotFoundError) -> MusterError:
    """The error for a part of the program whose packages were not installed with it."""
    return MusterError(
        f"the part “{extra}” of the program", f"the package {lost.name} is not installed",
        f"an installation with [{extra}]",
        f"install it in the program's folder: python -m pip install -c requirements.lock -e '.[{extra}]'",
    )  # fmt: skip
