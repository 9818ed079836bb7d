"""Repeatability and reproducibility by analysis of variance, as gauge studies are done in industry.

Several people read the same parts several times.  The readings' variance is
split into the part's own, the person's (and a person's way with a part), and what
is left when the same person reads the same part again.

Method and limits: AIAG, *Measurement Systems Analysis*, 4th edition (from memory; under
10 % good, 10 to 30 % conditional, over 30 % not acceptable, ndc ≥ 5 read in IJMQE 2017).
Confidence of the combined gauge variance: modified large-sample limits, Burdick,
Borror and Montgomery, *Design and Analysis of Gauge R&R Studies*, 2005 (from memory).
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike
from scipy import special

Interval = tuple[float, float]
POOL_ABOVE = 0.25  # an interaction less significant than this is taken for repeatability
DISTINCT = 1.41  # AIAG's √2, as it is printed


class Grade(StrEnum):
    """What the practice says of a gauge's share of the spread."""

    GOOD = "good"
    CONDITIONAL = "conditional"
    NOT_ACCEPTABLE = "not acceptable"


@dataclass(frozen=True)
class Line:
    """One line of the analysis of variance."""

    sum_of_squares: float
    dof: int

    @property
    def mean_square(self) -> float:
        """Sum of squares per degree of freedom."""
        return self.sum_of_squares / self.dof


@dataclass(frozen=True)
class GaugeStudy:
    """Standard deviations in the unit of the readings.

    Attributes
    ----------
    people, parts, trials : int
    lines : mapping of str to Line
        ``"part"``, ``"person"``, ``"person × part"``, ``"repeatability"`` before pooling.
    interaction_p : float
        Chance of such an interaction where there is none.
    pooled : bool
        Whether it was taken for repeatability.
    repeatability, person, interaction, part : float
        Components; a negative estimate of a variance counts as 0.
    repeatability_interval, gauge_interval : (low, high)
        95 % intervals of `repeatability` (exact) and of `gauge`.  Three people tell
        little about people: the second is wide.
    tolerance : float or None
        Width between the limits that the readings are held against.
    """

    people: int
    parts: int
    trials: int
    lines: Mapping[str, Line]
    interaction_p: float
    pooled: bool
    repeatability: float
    person: float
    interaction: float
    part: float
    repeatability_interval: Interval
    gauge_interval: Interval
    tolerance: float | None

    @property
    def reproducibility(self) -> float:
        """Person and person's way with a part together."""
        return math.hypot(self.person, self.interaction)

    @property
    def gauge(self) -> float:
        """Repeatability and reproducibility together: a standard uncertainty of one reading."""
        return math.hypot(self.repeatability, self.reproducibility)

    @property
    def total(self) -> float:
        """Everything together."""
        return math.hypot(self.gauge, self.part)

    @property
    def gauge_percent(self) -> float:
        """The gauge's share of the total spread, in percent of standard deviations."""
        return 100 * self.gauge / self.total

    @property
    def tolerance_percent(self) -> float | None:
        """Six gauge standard deviations in percent of the tolerance; None where none was given."""
        return None if self.tolerance is None else 600 * self.gauge / self.tolerance

    @property
    def distinct_categories(self) -> int | None:
        """How many kinds of part the gauge can tell apart; None where it showed no spread at all."""
        return None if self.gauge == 0 else math.floor(DISTINCT * self.part / self.gauge)

    @property
    def grade(self) -> Grade:
        """Good under 10 %, conditional to 30 %, else not acceptable."""
        if self.gauge_percent > 30:
            return Grade.NOT_ACCEPTABLE
        return Grade.CONDITIONAL if self.gauge_percent >= 10 else Grade.GOOD


def gauge_study(
    readings: ArrayLike, *, tolerance: float | None = None, pool_above: float = POOL_ABOVE
) -> GaugeStudy:
    """Analyse a crossed study.

    Parameters
    ----------
    readings : (people, parts, trials) array_like
        Every person reads every part equally often; 2 or more of each.
    tolerance : float, > 0, optional
        Upper minus lower limit.
    pool_above : float
        Significance above which the interaction is pooled; 1 keeps it always.

    Raises
    ------
    ValueError
        Shape, a number that is not finite, a tolerance that is not positive, or
        readings that are all the same.
    """
    x = np.asarray(readings, float)
    if x.ndim != 3 or min(x.shape) < 2:
        msg = f"readings (people, parts, trials), two or more of each, were expected, got shape {x.shape}"
        raise ValueError(msg)
    if not np.isfinite(x).all():
        msg = "a reading is not a finite number: a crossed study needs every person's every reading"
        raise ValueError(msg)
    if tolerance is not None and not tolerance > 0:
        msg = f"the tolerance is the width between the limits and above 0, got {tolerance}"
        raise ValueError(msg)
    if np.ptp(x) == 0:
        msg = "all readings are the same: the instrument's steps are too coarse for this study"
        raise ValueError(msg)
    o, p, r = x.shape
    lines = _lines(x)
    ms = {name: line.mean_square for name, line in lines.items()}
    f = ms["person × part"] / ms["repeatability"] if ms["repeatability"] > 0 else math.inf
    chance = float(special.fdtrc(lines["person × part"].dof, lines["repeatability"].dof, f))
    pooled = chance > pool_above
    error = lines["repeatability"]
    between, interaction = lines["person × part"], 0.0
    if pooled:
        error = Line(error.sum_of_squares + between.sum_of_squares, error.dof + between.dof)
        between = error
    else:
        interaction = max(between.mean_square - error.mean_square, 0.0) / r
    person = max(ms["person"] - between.mean_square, 0.0) / (p * r)
    part = max(ms["part"] - between.mean_square, 0.0) / (o * r)
    # The gauge's variance as a sum of mean squares, each with a positive weight.
    weights = [(1 / (p * r), lines["person"])]
    if pooled:
        weights.append((1 - 1 / (p * r), error))
    else:
        weights += [((p - 1) / (p * r), between), ((r - 1) / r, error)]
    return GaugeStudy(
        o,
        p,
        r,
        lines,
        chance,
        pooled,
        math.sqrt(error.mean_square),
        math.sqrt(person),
        math.sqrt(interaction),
        math.sqrt(part),
        _interval([(1.0, error)]),
        _interval(weights),
        tolerance,
    )


def _lines(x: np.ndarray) -> dict[str, Line]:
    o, p, r = x.shape
    all_mean, cell = x.mean(), x.mean(axis=2)
    of_person, of_part = cell.mean(axis=1), cell.mean(axis=0)
    crossed = cell - of_person[:, None] - of_part[None, :] + all_mean
    return {
        "part": Line(float(o * r * np.sum((of_part - all_mean) ** 2)), p - 1),
        "person": Line(float(p * r * np.sum((of_person - all_mean) ** 2)), o - 1),
        "person × part": Line(float(r * np.sum(crossed**2)), (o - 1) * (p - 1)),
        "repeatability": Line(float(np.sum((x - cell[:, :, None]) ** 2)), o * p * (r - 1)),
    }


def _interval(weights: list[tuple[float, Line]]) -> Interval:
    """95 % interval of the square root of a weighted sum of mean squares.

    Of one mean square this is the exact χ² interval.
    """
    value, below, above = 0.0, 0.0, 0.0
    for weight, line in weights:
        part = weight * line.mean_square
        value += part
        below += ((1 - line.dof / special.chdtri(line.dof, 0.025)) * part) ** 2
        above += ((line.dof / special.chdtri(line.dof, 0.975) - 1) * part) ** 2
    return math.sqrt(max(value - math.sqrt(below), 0.0)), math.sqrt(value + math.sqrt(above))
