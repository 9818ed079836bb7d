"""A reading held against its limits: within, outside or undecided.

The rule is guarded acceptance *and* guarded rejection with guard band w = U
(JCGM 106:2012, 8.3.2; 8.3.3 from memory): whoever reads "within" or "outside" is right
unless the true value lies beyond the 95 % interval.  Everything between is
undecided and asks for a hand measurement.  Numbers are compared as they are,
never as they are printed.
"""

import math

from scipy import special

from vision.results import Limits, Verdict


def judge(value: float, expanded_uncertainty: float, limits: Limits | None) -> Verdict | None:
    """Return the verdict, or None where there is no limit to hold the value against.

    Parameters
    ----------
    value : float
        The reading, in the unit of `limits`.
    expanded_uncertainty : float, >= 0
        Half-width U of its 95 % interval; where the limits are themselves
        uncertain (a chart entered with a pressure), theirs belongs in it.
    limits : Limits or None
        One- or two-sided.

    Raises
    ------
    ValueError
        A number is not finite, U is negative, or the limits are crossed.
    """
    _check(value, expanded_uncertainty, limits)
    if limits is None or (limits.lower is None and limits.upper is None):
        return None
    lower = -math.inf if limits.lower is None else limits.lower
    upper = math.inf if limits.upper is None else limits.upper
    low, high = value - expanded_uncertainty, value + expanded_uncertainty
    if lower <= low and high <= upper:
        return Verdict.WITHIN
    if high < lower or upper < low:
        return Verdict.OUTSIDE
    return Verdict.UNDECIDED


def conformance_probability(value: float, u: float, limits: Limits) -> float:
    """Return the probability (0–1) that the true value conforms, given a normal doubt about it.

    Parameters
    ----------
    value : float
        Best estimate.
    u : float, > 0
        Its *standard* uncertainty.
    limits : Limits
        One- or two-sided; an absent limit is none.

    Raises
    ------
    ValueError
        A number is not finite, `u` is not positive, or the limits are crossed.

    Notes
    -----
    ``Φ((upper − value)/u) − Φ((lower − value)/u)``, JCGM 106:2012 7.4 and 7.5.
    """
    _check(value, u, limits)
    if u <= 0:
        msg = f"a conformance probability needs a standard uncertainty above 0, got {u}"
        raise ValueError(msg)
    below = 0.0 if limits.lower is None else special.ndtr((limits.lower - value) / u)
    above = 0.0 if limits.upper is None else special.ndtr((value - limits.upper) / u)
    return max(0.0, 1.0 - float(below) - float(above))


def _check(value: float, uncertainty: float, limits: Limits | None) -> None:
    given = [] if limits is None else [x for x in (limits.lower, limits.upper) if x is not None]
    if not all(map(math.isfinite, [value, uncertainty, *given])):
        msg = f"only finite numbers can be judged, got {value} ± {uncertainty} against {given}"
        raise ValueError(msg)
    if uncertainty < 0:
        msg = f"an uncertainty cannot be negative, got {uncertainty}"
        raise ValueError(msg)
    if len(given) == 2 and given[0] > given[1]:
        msg = f"the lower limit {given[0]} is above the upper limit {given[1]}: correct the leg's data"
        raise ValueError(msg)
