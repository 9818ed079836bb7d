"""Does a value drift, and when might it reach its limit?  A line by weighted least squares, or a refusal.

The weights are 1 / u², u = U / 1.96: what was measured well counts more.  Where
the points scatter by more than their U says, the interval is widened by the scatter (Birge's
ratio), and where a line does not fit at all, there is no drift to tell.  The prediction
interval holds a *further* reading with 95 %; the earliest day on which it touches a limit is
told, never the day on which the line does.

Formulae: weighted straight line and its prediction, e.g. Draper and Smith, *Applied
Regression Analysis*, chapters 1 and 2 (from memory).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from app.trends.points import Point, Source, days
from vision.uncertainty import chi_squared_above, coverage_factor

FEWEST = 5
SHORTEST_DAYS = 14.0
FARTHEST = 1.0
"""No farther ahead is told than this times the span that was looked at."""
_COVERAGE = 1.96
_PROBABILITY = 0.95
_LACK_OF_FIT = 0.001
_ENDS_SHARE = (
    0.8  # one visit long ago and a heap now carry no line: so much of the weight must not lie in a heap
)


class NoDrift(StrEnum):
    """Why the data carries no line."""

    FEW = "few"
    SHORT = "short"
    HEAPED = "heaped"
    NO_LINE = "no_line"


WORDS: dict[NoDrift, str] = {
    NoDrift.FEW: f"A drift needs {FEWEST} readings that stand since the last servicing.",
    NoDrift.SHORT: f"A drift needs readings over {SHORTEST_DAYS:.0f} days or more since the last servicing.",
    NoDrift.HEAPED: "Nearly all readings lie close together in time, so one of them would decide the slope.",
    NoDrift.NO_LINE: "The readings lie on no line within their U: something else than a drift moved them.",
}


@dataclass(frozen=True)
class Refused:
    """No drift can be told: why, and what was there."""

    why: NoDrift
    detail: str

    @property
    def words(self) -> str:
        """The sentence for a person."""
        return f"{WORDS[self.why]} {self.detail}"

    def __bool__(self) -> bool:
        return False


@dataclass(frozen=True)
class Reach:
    """When a limit might be touched: the earliest day, and whether it lies within what can be told."""

    limit: float
    side: str
    earliest: datetime | None


@dataclass(frozen=True)
class Drift:
    """A line through the readings that stand, in the item's unit.

    Attributes
    ----------
    since : datetime
        Day 0: the first reading that counts.
    n : int
        How many count.
    level, slope : float
        At day 0, and per day.
    slope_interval : (low, high)
        95 %; one that holds 0 says that no drift is shown.
    birge : float
        Scatter over what U says; above 1 the intervals are widened by it.
    span_days : float
    """

    since: datetime
    n: int
    level: float
    slope: float
    slope_interval: tuple[float, float]
    birge: float
    span_days: float
    _middle: float
    _u_level: float
    _u_slope: float
    _u_one: float
    _t: float

    @property
    def is_shown(self) -> bool:
        """Whether the readings show any drift at all."""
        low, high = self.slope_interval
        return low > 0 or high < 0

    @property
    def last(self) -> datetime:
        """As far as anything is told."""
        return self.since + timedelta(days=self.span_days * (1 + FARTHEST))

    def line(self, day: float) -> float:
        """Return the line's height on a day."""
        return self.level + self.slope * day

    def interval(self, day: float) -> tuple[float, float]:
        """Return where a further reading lies with 95 % on a day."""
        reach = self._t * math.sqrt(
            self._u_level**2 + (self._u_slope * (day - self._middle)) ** 2 + self._u_one**2
        )
        return self.line(day) - reach, self.line(day) + reach

    def reach(self, lower: float | None, upper: float | None) -> tuple[Reach, ...]:
        """Return for each limit the earliest day on which a further reading may lie beyond it."""
        found = []
        for limit, side in ((lower, "lower"), (upper, "upper")):
            if limit is not None:
                found.append(Reach(limit, side, self._earliest(limit, side)))
        return tuple(found)

    def _earliest(self, limit: float, side: str) -> datetime | None:
        """The first day from the last reading on; None where it lies beyond what can be told."""
        step = max(self.span_days / 400, 0.25)
        day, end = self.span_days, self.span_days * (1 + FARTHEST)
        while day <= end:
            low, high = self.interval(day)
            if low < limit if side == "lower" else high > limit:
                return self.since + timedelta(days=day)
            day += step
        return None


def drift(points: Sequence[Point], serviced: Sequence[datetime] = ()) -> Drift | Refused:
    """Return the drift of the readings that stand since the last servicing, or why there is none.

    Parameters
    ----------
    points : sequence of Point
        In any order; such as do not stand are left out.
    serviced : sequence of datetime
        When the strut was serviced or anything else changed that moves the value at once.
    """
    standing = sorted((point for point in points if point.stands), key=lambda point: point.at)
    # A photo and the rule beside it are one visit's knowledge of one state: the photo's series is kept pure.
    photo = [point for point in standing if point.source is Source.PHOTO]
    used = photo if len(photo) >= len(standing) - len(photo) else standing
    if used and serviced:
        last = max((at for at in serviced if at <= used[-1].at), default=None)
        used = [point for point in used if last is None or point.at > last]
    if len(used) < FEWEST:
        return Refused(NoDrift.FEW, f"There {'is' if len(used) == 1 else 'are'} {len(used)}.")
    since = used[0].at
    at = days(used, since)
    if at[-1] < SHORTEST_DAYS:
        return Refused(NoDrift.SHORT, f"They span {at[-1]:.0f}.")
    return _line(used, at)


def _line(used: Sequence[Point], at: Sequence[float]) -> Drift | Refused:
    u = [point.expanded_u / _COVERAGE for point in used]
    weight = [1 / one**2 for one in u]
    total = sum(weight)
    middle = sum(w * x for w, x in zip(weight, at, strict=True)) / total
    spread = [w * (x - middle) ** 2 for w, x in zip(weight, at, strict=True)]
    if max(spread) > _ENDS_SHARE * sum(spread):
        return Refused(NoDrift.HEAPED, "Photograph it again after a while.")
    mean = sum(w * point.value for w, point in zip(weight, used, strict=True)) / total
    slope = sum(w * (x - middle) * (p.value - mean) for w, x, p in zip(weight, at, used, strict=True)) / sum(
        spread
    )
    off = [(p.value - mean - slope * (x - middle)) / one for p, x, one in zip(used, at, u, strict=True)]
    dof = len(used) - 2
    scatter = sum(one * one for one in off)
    if chi_squared_above(scatter, dof) < _LACK_OF_FIT:
        return Refused(NoDrift.NO_LINE, f"They scatter {math.sqrt(scatter / dof):.1f} times as far.")
    birge = math.sqrt(scatter / dof)
    wider = max(1.0, birge)
    t = coverage_factor(dof, _PROBABILITY)
    u_slope = wider / math.sqrt(sum(spread))
    return Drift(
        since=used[0].at,
        n=len(used),
        level=mean - slope * middle,
        slope=slope,
        slope_interval=(slope - t * u_slope, slope + t * u_slope),
        birge=birge,
        span_days=at[-1],
        _middle=middle,
        _u_level=wider / math.sqrt(total),
        _u_slope=u_slope,
        _u_one=wider * max(u),
        _t=t,
    )
