"""How many sample standard deviations a limit lies off a sample mean, with a stated confidence.

All are exact for independent normal values.
"""

import math

import numpy as np
from scipy import optimize, special

# Of the mean's error in its own sd: beyond 8 lies 1e-15.  Sixty nodes give ten digits from n = 3 on.
_REACH, _NODES = 8.0, 60


def one_limit_factor(n: int, z: float, confidence: float) -> float:
    """Return k such that mean + k s lies above µ + z σ with this confidence.

    The percentile's own confidence limit, by the noncentral t distribution:
    k = t'(confidence; n − 1, z √n) / √n.  Carkeet, "Exact parametric confidence
    intervals for Bland-Altman limits of agreement", Optom. Vis. Sci. 92 (2015) (from memory).

    Parameters
    ----------
    n : int, >= 2
        Number of values.
    z : float
        The limit in population standard deviations, e.g. 1.96.
    confidence : float
        In 0–1; 0.025 and 0.975 give a 95 % interval.
    """
    return float(special.nctdtrit(n - 1, z * math.sqrt(n), confidence) / math.sqrt(n))


def two_limit_factor(n: int, probability: float, confidence: float) -> float:
    """Return k such that mean ± k s holds at least `probability` of the population with this confidence.

    The two-sided tolerance factor (ISO 16269-6, from memory), which Carkeet and
    Goh take for both limits of agreement together (Stat. Methods Med. Res. 27, 2018, from
    memory).  Given the mean's error x in σ, the half-width that holds the
    probability is r with Φ(x + r) − Φ(x − r) = probability, so r² is a percentile of the
    noncentral χ² with one degree of freedom, and s must not fall below r σ / k.
    """
    nodes, weights = np.polynomial.legendre.leggauss(_NODES)
    x = _REACH * (nodes + 1) / 2
    weights = _REACH * weights / 2 * 2 * np.exp(-(x**2) / 2) / math.sqrt(2 * math.pi)
    r2 = special.chndtrix(probability, 1, x**2 / n)

    def excess(k: float) -> float:
        return float(weights @ special.chdtrc(n - 1, (n - 1) * r2 / k**2)) - confidence

    high = 2.0
    while excess(high) < 0:
        high *= 2
    return float(optimize.brentq(excess, 1e-3, high, xtol=1e-12))
