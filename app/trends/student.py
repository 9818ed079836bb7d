"""Percentiles that a few points need, without a numerical library: Student's t and chi-squared.

Both come from the incomplete beta and gamma functions by their continued fractions and
series (Abramowitz and Stegun 26.5.8, 6.5.29 and 6.5.31, from memory), and are inverted by halving.
"""

import math
from collections.abc import Callable

_SMALL, _ENOUGH = 1e-300, 1e-15
_MOST_TERMS = 1000


def t_percentile(probability: float, dof: int) -> float:
    """Return t such that Student's distribution lies below it with this probability, 0.5 to 1.

    Raises
    ------
    ValueError
        The probability is out of range, or there are no degrees of freedom.
    """
    if not 0.5 <= probability < 1 or dof < 1:
        msg = f"a probability in 0.5 to 1 and a degree of freedom were expected, got {probability} and {dof}"
        raise ValueError(msg)
    return _inverse(lambda t: 1 - 0.5 * _beta_share(dof / (dof + t * t), dof / 2, 0.5), probability)


def chi_squared_above(value: float, dof: int) -> float:
    """Return the chance of a chi-squared of so many degrees of freedom above a value.

    Raises
    ------
    ValueError
        The value is negative, or there are no degrees of freedom.
    """
    if value < 0 or dof < 1:
        msg = f"a value of 0 or more and a degree of freedom were expected, got {value} and {dof}"
        raise ValueError(msg)
    return 1 - _gamma_share(dof / 2, value / 2)


def _inverse(below: Callable[[float], float], probability: float) -> float:
    low, high = 0.0, 1.0
    while below(high) < probability:
        high *= 2
    for _ in range(200):
        middle = (low + high) / 2
        if below(middle) < probability:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _beta_share(x: float, a: float, b: float) -> float:
    """The regularised incomplete beta function."""
    if x <= 0 or x >= 1:
        return float(x >= 1)
    front = math.exp(
        math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x)
    )
    if x > (a + 1) / (a + b + 2):
        return 1 - front * _beta_fraction(1 - x, b, a) / b
    return front * _beta_fraction(x, a, b) / a


def _beta_fraction(x: float, a: float, b: float) -> float:
    """Its continued fraction, by Lentz's method."""
    c, d = 1.0, 1 - (a + b) * x / (a + 1)
    d = 1 / (d if abs(d) > _SMALL else _SMALL)
    found = d
    for m in range(1, _MOST_TERMS):
        for step in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1 + step * d
            d = 1 / (d if abs(d) > _SMALL else _SMALL)
            c = 1 + step / c
            c = c if abs(c) > _SMALL else _SMALL
            found *= c * d
        if abs(c * d - 1) < _ENOUGH:
            break
    return found


def _gamma_share(a: float, x: float) -> float:
    """The regularised lower incomplete gamma function."""
    if x <= 0:
        return 0.0
    front = math.exp(-x + a * math.log(x) - math.lgamma(a))
    if x < a + 1:
        term = found = 1 / a
        for k in range(1, _MOST_TERMS):
            term *= x / (a + k)
            found += term
            if term < found * _ENOUGH:
                break
        return found * front
    b = x + 1 - a
    c, d = 1 / _SMALL, 1 / b
    found = d
    for k in range(1, _MOST_TERMS):
        step = -k * (k - a)
        b += 2
        d = step * d + b
        d = 1 / (d if abs(d) > _SMALL else _SMALL)
        c = b + step / c
        c = c if abs(c) > _SMALL else _SMALL
        found *= d * c
        if abs(d * c - 1) < _ENOUGH:
            break
    return 1 - front * found
