"""The aircraft's times, as they stand in its log."""

import math
from dataclasses import dataclass

from app.errors import UsageError


@dataclass(frozen=True)
class Times:
    """The aircraft's total time in service in hours, its cycles and its landings."""

    total_time_h: float
    cycles: int
    landings: int


def check_times(times: Times) -> None:
    """Refuse what no log can say.

    Raises
    ------
    UsageError
        The total time is not a number above 0, or a count is below 0.
    """
    fits = math.isfinite(times.total_time_h) and times.total_time_h > 0
    if not fits or times.cycles < 0 or times.landings < 0:
        msg = "Total time is more than 0 hours, cycles and landings 0 or more: type them from the log"
        raise UsageError(msg)
