"""What an act is refused with: in four parts, as every deliberate error, and with the code of its kind.

A command line prints the four parts. The interface answers with the problem of the code, and `detail` in it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sizing.errors import MusterError


class SeasonError(MusterError):
    """An act was not done, and nothing was changed.

    `errors` are the single things that are wrong, each with `field`, `code`, `expected` and `mend`.
    """

    code = "conflict"

    def __init__(
        self,
        where: str,
        found: str,
        expected: str,
        mend: str,
        *,
        detail: str = "",
        errors: Sequence[Mapping[str, str]] = (),
    ) -> None:
        super().__init__(where, found, expected, mend)
        self.detail = detail or sentence(found)
        self.errors = tuple(errors)


class NotFound(SeasonError):  # noqa: N818  said of what is asked for, as in the problem of this code
    """What the act is about is not there."""

    code = "not-found"


class ChangedMeanwhile(SeasonError):  # noqa: N818  as above
    """Somebody was quicker: what the act is about is not as it was seen. `etag` is its present version."""

    code = "changed-meanwhile"

    def __init__(self, where: str, mend: str, etag: str) -> None:
        found, expected = "somebody changed it meanwhile", "the version that was read last"
        super().__init__(where, found, expected, mend, detail=sentence(mend))
        self.etag = etag


class Refused(SeasonError):  # noqa: N818  as above
    """The act does not go with the present state."""


class NotAllowed(SeasonError):  # noqa: N818  as above
    """The act is for somebody else to do."""

    code = "not-allowed"


class NotValid(SeasonError):  # noqa: N818  as above
    """What was sent does not fit what is expected."""

    code = "not-valid"


class NotMeasurable(NotValid):
    """Measurements that cannot be taken as they stand."""

    code = "not-measurable"


def sentence(words: str) -> str:
    """Words as a sentence.

    >>> sentence("there is no such fleet")
    'There is no such fleet.'
    """
    return f"{words[:1].upper()}{words[1:]}."
