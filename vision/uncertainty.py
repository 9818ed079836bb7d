"""Standard uncertainties: combined, propagated, expanded, and checked by Monte Carlo.

Sources: JCGM 100:2008 (the GUM) for budgets, JCGM 101:2008 (its Supplement 1)
for the propagation of distributions.  Everything is unit-free: what goes in mm
comes out in mm.  Uncertainties are standard (one sigma) unless called expanded.
"""

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import special

Sampler = Callable[[np.random.Generator, int], NDArray[np.float64]]


def rectangular_u(half_width: float) -> float:
    """Return the standard uncertainty of "anywhere within ± half_width" (JCGM 100:2008 4.3.7)."""
    if not half_width >= 0:
        msg = f"a half-width must be 0 or more, got {half_width}"
        raise ValueError(msg)
    return half_width / math.sqrt(3)


def combine(contributions: Iterable[float]) -> float:
    """Return the root sum of squares of *uncorrelated* contributions (JCGM 100:2008 5.1.2).

    Contributions that share a cause (the print scale moves both ends of a
    length) must be added with their signs first, or go through `propagate`.
    """
    return math.hypot(*contributions)


def propagate(gradient: ArrayLike, covariance: ArrayLike) -> float:
    """Return the standard uncertainty of a scalar function of correlated inputs.

    Parameters
    ----------
    gradient : (N,) array_like
        Derivative of the result by each input.
    covariance : (N, N) array_like
        Covariance of the inputs, symmetric.

    Returns
    -------
    float, >= 0
        ``sqrt(g C gᵀ)``, JCGM 100:2008 5.2.2 (13).

    Raises
    ------
    ValueError
        Shapes do not fit, a number is not finite, the covariance is not
        symmetric, or it gives the result a negative variance.
    """
    g, C = np.asarray(gradient, float), np.asarray(covariance, float)
    if g.ndim != 1 or C.shape != (g.size, g.size):
        msg = f"a gradient (N,) needs a covariance (N, N), got {g.shape} and {C.shape}"
        raise ValueError(msg)
    if not (np.isfinite(g).all() and np.isfinite(C).all()):
        msg = "gradient and covariance must be finite: the fit that gave them is not determined"
        raise ValueError(msg)
    size = float(np.abs(g) @ np.abs(C) @ np.abs(g))
    if not np.allclose(C, C.T, rtol=1e-9, atol=1e-12 * float(np.abs(C).max(initial=0.0))):
        msg = "a covariance must be symmetric: give J C Jᵀ, not J C"
        raise ValueError(msg)
    variance = float(g @ C @ g)
    if variance < -1e-9 * size:
        msg = f"the covariance gives a negative variance ({variance:g}): it is not positive semi-definite"
        raise ValueError(msg)
    return math.sqrt(max(variance, 0.0))


@dataclass(frozen=True)
class Quantity:
    """An input of a budget: value, standard uncertainty, degrees of freedom (> 0)."""

    value: float
    u: float
    dof: float = math.inf


@dataclass(frozen=True)
class Budget:
    """A result with the contribution of each input.

    Attributes
    ----------
    value : float
        The function at the inputs' values.
    contributions : mapping of str to float
        Signed contribution of each input, sensitivity × u.
    u : float
        Combined standard uncertainty.
    dof : float
        Effective degrees of freedom, not truncated.
    """

    value: float
    contributions: Mapping[str, float]
    u: float
    dof: float


def linear_budget(function: Callable[..., float], inputs: Mapping[str, Quantity]) -> Budget:
    """Return the first-order budget of ``function(**values)`` for uncorrelated inputs.

    Each contribution is half the change between the input's value plus and
    minus its u (JCGM 100:2008 5.1.3 note 2).  Inputs whose first derivative is
    zero contribute nothing here although the result may depend on them: add
    `second_order_variance` where that matters.
    """
    values = {name: quantity.value for name, quantity in inputs.items()}

    def contribution(name: str) -> float:
        u = inputs[name].u
        above = function(**(values | {name: values[name] + u}))
        return (above - function(**(values | {name: values[name] - u}))) / 2

    contributions = {name: contribution(name) for name in inputs}
    dof = effective_dof(list(contributions.values()), [quantity.dof for quantity in inputs.values()])
    return Budget(function(**values), contributions, combine(contributions.values()), dof)


def second_order_variance(function: Callable[..., float], inputs: Mapping[str, Quantity]) -> float:
    """Return the variance that the next terms add to a first-order budget.

    ``Σ_i Σ_j (f_ij² / 2 + f_i f_ijj) u_i² u_j²`` for uncorrelated normal inputs
    (JCGM 100:2008 5.1.2 note), with differences over one u for the derivatives.
    The sum may be negative.
    """
    names = list(inputs)

    def at(**steps: float) -> float:
        return function(**{n: inputs[n].value + steps.get(n, 0.0) * inputs[n].u for n in names})

    def slope(i: str, **steps: float) -> float:
        return (at(**(steps | {i: steps.get(i, 0.0) + 1})) - at(**(steps | {i: steps.get(i, 0.0) - 1}))) / 2

    total = 0.0
    for i in names:
        for j in names:
            ahead, here, behind = slope(i, **{j: 1.0}), slope(i), slope(i, **{j: -1.0})
            total += ((ahead - behind) / 2) ** 2 / 2 + here * (ahead - 2 * here + behind)
    return total


def effective_dof(contributions: Sequence[float], dofs: Sequence[float]) -> float:
    """Return the effective degrees of freedom by Welch–Satterthwaite (JCGM 100:2008 G.4.1 (G.2b)).

    Infinite where no contribution has finite degrees of freedom.  Not
    truncated to an integer, as JCGM 100:2008 H.1.6 does before it enters a t table.
    """
    weights = sum(c**4 / dof for c, dof in zip(contributions, dofs, strict=True))
    return combine(contributions) ** 4 / weights if weights > 0 else math.inf


def coverage_factor(dof: float = math.inf, probability: float = 0.95) -> float:
    """Return k of the symmetric interval with `probability` (in 0–1) under Student's t.

    Raises
    ------
    ValueError
        `probability` is not between 0 and 1, or `dof` is not positive.
    """
    if not (0 < probability < 1 and dof > 0):
        msg = f"a coverage factor needs 0 < probability < 1 and dof > 0, got {probability} and {dof}"
        raise ValueError(msg)
    share = (1 + probability) / 2
    return float(special.ndtri(share) if math.isinf(dof) else special.stdtrit(dof, share))


def chi_squared_above(value: float, dof: float) -> float:
    """Return the chance (0–1) that a chi-squared of `dof` degrees of freedom lies above `value`.

    Raises
    ------
    ValueError
        `value` is negative, or `dof` is not positive.
    """
    if not (value >= 0 and dof > 0):
        msg = f"a chi-squared needs a value of 0 or more and dof > 0, got {value} and {dof}"
        raise ValueError(msg)
    return float(special.chdtrc(dof, value))


@dataclass(frozen=True)
class Distribution:
    """Draws of a result, sorted ascending; (n,) array."""

    draws: NDArray[np.float64]

    @property
    def mean(self) -> float:
        """Mean of the draws."""
        return float(self.draws.mean())

    @property
    def u(self) -> float:
        """Standard deviation of the draws."""
        return float(self.draws.std(ddof=1))

    def interval(
        self, probability: float = 0.95, kind: Literal["symmetric", "shortest"] = "symmetric"
    ) -> tuple[float, float]:
        """Return the probabilistically symmetric or the shortest coverage interval (JCGM 101:2008 7.7)."""
        n = self.draws.size
        q = math.floor(probability * n + 0.5)
        if not 1 <= q < n:
            msg = f"{n} draws cannot tell a {probability:g} interval: draw more"
            raise ValueError(msg)
        lows = self.draws[: n - q]
        first = (n - q + 1) // 2 - 1 if kind == "symmetric" else int(np.argmin(self.draws[q:] - lows))
        return float(self.draws[first]), float(self.draws[first + q])


def monte_carlo(
    function: Callable[..., NDArray[np.float64]], samplers: Mapping[str, Sampler], n: int, seed: int
) -> Distribution:
    """Return the distribution of ``function(**draws)`` over `n` independent draws of each input.

    Parameters
    ----------
    function : callable
        Takes one (n,) array for each name in `samplers`, gives an (n,) array.
    samplers : mapping of str to callable
        ``sampler(rng, n)`` draws an input; drawn in the mapping's order.
    n : int
        Number of draws; JCGM 101:2008 7.2 asks for 10⁴/(1 − p) and more.
    seed : int
        Seed of the generator: the same seed gives the same result.

    Raises
    ------
    ValueError
        The function did not give n finite numbers.
    """
    rng = np.random.default_rng(seed)
    draws = np.asarray(function(**{name: sampler(rng, n) for name, sampler in samplers.items()}), float)
    if draws.shape != (n,) or not np.isfinite(draws).all():
        msg = f"the function must give {n} finite numbers, got shape {draws.shape} or gaps: check its inputs"
        raise ValueError(msg)
    return Distribution(np.sort(draws))
