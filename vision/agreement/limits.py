"""Limits of agreement of two ways of measuring the same things (Bland and Altman).

Bland and Altman, "Statistical methods for assessing agreement between two
methods of clinical measurement", Lancet 1986: the differences' mean and
mean ± 1.96 s; here with exact confidence, since a study of twenty struts says
little about where the limits truly lie.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy import special

from vision.agreement.factors import one_limit_factor, two_limit_factor

Interval = tuple[float, float]
FEWEST = 3


@dataclass(frozen=True)
class LimitsOfAgreement:
    """Differences first − second, in the unit of the readings.

    Attributes
    ----------
    n : int
        Pairs.
    probability, confidence : float
        Of the limits, e.g. 0.95 of all differences; of every interval here.
    mean, sd : float
        Bias, and the standard deviation of one difference.
    mean_interval : (low, high)
        Of the bias (Student's t).
    lower, upper : float
        Limits of agreement, mean ± z s.
    lower_interval, upper_interval : (low, high)
        Exact, of each limit by itself.
    holding : (low, high)
        Wide enough to hold `probability` of all differences, both sides at
        once, with this confidence: what a study has *shown*.
    slope, slope_interval : float, (low, high)
        Change of the difference per unit of the mean of both readings.  An
        interval without 0 says that limits for all sizes together mislead.
    """

    n: int
    probability: float
    confidence: float
    mean: float
    sd: float
    mean_interval: Interval
    lower: float
    upper: float
    lower_interval: Interval
    upper_interval: Interval
    holding: Interval
    slope: float
    slope_interval: Interval

    def shown_within(self, allowed: float) -> bool:
        """Whether the study has shown that `probability` of all differences lie within ± allowed."""
        return -allowed <= self.holding[0] and self.holding[1] <= allowed

    @property
    def biased(self) -> bool:
        """Whether the two ways differ on average beyond what chance explains."""
        return not self.mean_interval[0] <= 0 <= self.mean_interval[1]

    @property
    def drifting(self) -> bool:
        """Whether the difference changes with the size beyond what chance explains."""
        return not self.slope_interval[0] <= 0 <= self.slope_interval[1]


def limits_of_agreement(
    first: ArrayLike, second: ArrayLike, *, probability: float = 0.95, confidence: float = 0.95
) -> LimitsOfAgreement:
    """Compare two ways of measuring, e.g. photo and hand, on the same struts.

    Parameters
    ----------
    first, second : (N,) array_like
        One pair for each strut, N ≥ 3.  Pairs must be independent: several
        readings of one strut are averaged before, or they pretend to be more
        than they are.

    Raises
    ------
    ValueError
        Shapes do not fit, too few pairs, a number is not finite, or a
        probability is not between 0 and 1.
    """
    a, b = np.asarray(first, float), np.asarray(second, float)
    if a.ndim != 1 or a.shape != b.shape or len(a) < FEWEST:
        msg = f"two lists of the same {FEWEST} or more readings were expected, got {a.shape} and {b.shape}"
        raise ValueError(msg)
    if not (np.isfinite(a).all() and np.isfinite(b).all()):
        msg = "a reading is not a finite number: leave out pairs that lack one"
        raise ValueError(msg)
    if not (0 < probability < 1 and 0 < confidence < 1):
        msg = f"probability and confidence lie between 0 and 1, got {probability} and {confidence}"
        raise ValueError(msg)
    n, difference = len(a), a - b
    mean, sd = float(difference.mean()), float(difference.std(ddof=1))
    z = float(special.ndtri((1 + probability) / 2))
    low, high = (one_limit_factor(n, z, (1 + sign * confidence) / 2) * sd for sign in (-1, 1))
    t = float(special.stdtrit(n - 1, (1 + confidence) / 2)) * sd / math.sqrt(n)
    hold = two_limit_factor(n, probability, confidence) * sd
    slope, slope_u = _slope((a + b) / 2, difference)
    reach = float(special.stdtrit(n - 2, (1 + confidence) / 2)) * slope_u
    return LimitsOfAgreement(
        n,
        probability,
        confidence,
        mean,
        sd,
        (mean - t, mean + t),
        mean - z * sd,
        mean + z * sd,
        (mean - high, mean - low),
        (mean + low, mean + high),
        (mean - hold, mean + hold),
        slope,
        (slope - reach, slope + reach),
    )


def _slope(size: np.ndarray, difference: np.ndarray) -> tuple[float, float]:
    """Slope of the best line and its standard uncertainty; 0 and inf where all sizes are alike."""
    off = size - size.mean()
    spread = float(off @ off)
    if spread == 0:
        return 0.0, math.inf
    slope = float(off @ difference) / spread
    rest = difference - difference.mean() - slope * off
    return slope, math.sqrt(float(rest @ rest) / (len(size) - 2) / spread)
