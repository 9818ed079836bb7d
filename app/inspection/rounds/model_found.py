"""What a person can find."""

from enum import StrEnum


class Finding(StrEnum):
    """What a person found.

    GOOD: nothing wrong, or within.  FAULT: something is wrong, or outside.
    UNDECIDED: a reading too doubtful for its limits.  NOT_FITTED: the leg does not
    have it.
    """

    GOOD = "good"
    FAULT = "fault"
    UNDECIDED = "undecided"
    NOT_FITTED = "not_fitted"
