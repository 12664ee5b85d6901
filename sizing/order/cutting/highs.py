"""HiGHS set up so that it says nothing and always answers alike."""

from __future__ import annotations

import highspy

SEED = 1


class QuietHighs(highspy.Highs):
    """HiGHS on one thread with a fixed seed and no output: the same input gives the same answer.

    The base constructor prints a banner before any option can be set, while it enables callbacks; none
    are used here, so that step is left out.
    """

    def __init__(self) -> None:
        super(highspy.Highs, self).__init__()
        for option, value in (
            ("output_flag", False),
            ("threads", 1),
            ("parallel", "off"),
            ("random_seed", SEED),
        ):
            self.setOptionValue(option, value)
