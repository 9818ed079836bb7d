"""Least squares that keeps its doubts apart: one solution, a budget by source, and witnesses.

Everything that is known enters as residuals divided by their standard
uncertainty: measured points as `Observations`, prior knowledge as `Prior`.
The covariance of the solution then *is* the standard uncertainty (JCGM
100:2008, 5.2.2, with the sensitivities from the normal equations), and it
splits exactly into the parts that each source contributes.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Vector = NDArray[np.float64]
Residuals = Callable[[Vector], Vector]
Linear = Callable[[Vector], tuple[Vector, Vector] | None]

HUBER = 2.5  # residuals beyond this many sigma pull with constant force
REJECT = 6.0  # residuals beyond this many sigma pull no more


@dataclass(frozen=True)
class Observations:
    """Measured points of one kind.

    Attributes
    ----------
    source : str
        Name in the uncertainty budget.
    residuals : callable
        theta (P,) → normalised residuals (n,), 1 sigma = 1.
    uses : sequence of int
        The parameters that the residuals depend on.
    robust : bool
        Whether single points may be wrong (down-weighted by Huber's rule).
    linear : callable, optional
        theta (P,) → residuals (n,) and their derivatives (n, len(uses)) by the used parameters, in
        closed form; None where the form does not hold.  Without it the derivatives are taken by steps.
    """

    source: str
    residuals: Residuals
    uses: Sequence[int]
    robust: bool = True
    linear: Linear | None = None


@dataclass(frozen=True)
class Prior:
    """What is known of one parameter beforehand: mean and standard uncertainty."""

    source: str
    index: int
    mean: float
    sd: float


@dataclass(frozen=True)
class Solution:
    """The fitted parameters and all that follows from the normal equations.

    Attributes
    ----------
    theta : (P,) array
    covariance : (P, P) array
        Of theta, all sources together.
    information : mapping of str to (P, P) array
        Each source's share of the inverse covariance.
    chi2_per_point : mapping of str to float
        Mean squared normalised residual of each kind of point, weights applied.
    kept_share : mapping of str to float
        Share of points within REJECT sigma.
    residuals : mapping of str to array
        The normalised residuals themselves.
    """

    theta: Vector
    covariance: Vector
    information: Mapping[str, Vector]
    chi2_per_point: Mapping[str, float]
    kept_share: Mapping[str, float]
    residuals: Mapping[str, Vector]

    def variance_by_source(self, gradient: Vector) -> dict[str, float]:
        """Split the variance of a quantity with this gradient (P,) by source.

        With C the covariance and A_k a source's information, gᵀC A_k C g is its
        part: the A_k add up to C⁻¹, so the parts add up to gᵀC g.
        """
        cg = self.covariance @ gradient
        return {name: float(cg @ part @ cg) for name, part in self.information.items()}

    def variance(self, gradient: Vector) -> float:
        """Variance of a quantity with this gradient (P,)."""
        return float(gradient @ self.covariance @ gradient)

    def without(self, prior: Prior) -> tuple[float, float]:
        """Return what all the other sources say of a prior's parameter: (value, sd).

        Deleting one scalar observation from the normal equations (Sherman and
        Morrison): h = C_ii / sd², others' value = (θ - h·mean) / (1 - h).  The
        sd is inf where nobody else knows the parameter.
        """
        i = prior.index
        c = float(self.covariance[i, i])
        h = c / prior.sd**2
        if h > 1 - 1e-6:
            return float(self.theta[i]), float("inf")
        return (float(self.theta[i]) - h * prior.mean) / (1 - h), float(np.sqrt(c / (1 - h)))

    def shift_without(self, prior: Prior, gradient: Vector) -> float:
        """How far a quantity with this gradient (P,) would move if a prior were taken away."""
        i = prior.index
        value, sd = self.without(prior)
        if np.isinf(sd):
            return 0.0
        return float(gradient @ self.covariance[:, i] / self.covariance[i, i] * (value - self.theta[i]))

    def scalar_shift_without(self, source: str, gradient: Vector) -> float:
        """The same for a source of one single residual, without its sign."""
        h = float(np.sum(self.covariance * self.information[source]))
        cg = self.covariance @ gradient
        own = float(np.sqrt(max(float(cg @ self.information[source] @ cg), 0.0)))
        return own * abs(float(self.residuals[source][0])) / max(1 - h, 1e-6)

    def contradiction(self, prior: Prior) -> float:
        """How many sigma a prior stands off from what all the others say (w-test, Baarda)."""
        value, sd = self.without(prior)
        return 0.0 if np.isinf(sd) else float((value - prior.mean) / np.hypot(sd, prior.sd))

    def scalar_contradiction(self, source: str) -> float:
        """How many sigma a source of one single residual stands off from all the others."""
        h = float(np.sum(self.covariance * self.information[source]))
        return float(self.residuals[source][0]) / float(np.sqrt(max(1 - h, 1e-6)))


def _weights(r: Vector, reject: bool = True) -> Vector:
    size = np.abs(r)
    w = np.where(size <= HUBER, 1.0, HUBER / np.maximum(size, 1e-12))
    return np.where((size > REJECT) & reject, 0.0, w)


def _linearised(block: Observations, theta: Vector, steps: Vector) -> tuple[Vector, Vector]:
    """Residuals (n,) at theta and their derivatives (n, len(uses))."""
    known = block.linear(theta) if block.linear is not None else None
    if known is not None:
        return known
    r0 = block.residuals(theta)
    jac = np.empty((len(r0), len(block.uses)))
    for column, i in enumerate(block.uses):
        moved = theta.copy()
        moved[i] += steps[i]
        jac[:, column] = (block.residuals(moved) - r0) / steps[i]
    return r0, jac


def solve(
    start: Vector,
    steps: Vector,
    observations: Sequence[Observations],
    priors: Sequence[Prior],
    iterations: int = 12,
    tolerance: float = 1e-3,
) -> Solution:
    """Solve the weighted least squares problem by damped Gauss–Newton steps.

    Parameters
    ----------
    start : (P,) array
        First guess, near enough for the model to be smooth between it and the truth.
    steps : (P,) array, > 0
        Step of each parameter for the numerical derivatives.
    observations, priors : sequences
        What is known.  Together they must determine every parameter.
    tolerance : float
        Stop when no parameter moves by more than this share of its sd.

    Raises
    ------
    numpy.linalg.LinAlgError
        When the sources leave a parameter undetermined.
    """
    theta = np.array(start, float)
    size = len(theta)
    rejecting = False
    for iteration in range(iterations):
        normal, right = _prior_equations(priors, theta, size)
        for block in observations:
            r, jac = _linearised(block, theta, steps)
            w = _weights(r, rejecting) if block.robust else np.ones(len(r))
            uses = np.asarray(block.uses)
            normal[uses[:, None], uses] += jac.T @ (w[:, None] * jac)
            right[uses] -= jac.T @ (w * r)
        diagonal = np.diag(normal)
        if not (np.isfinite(normal).all() and np.isfinite(right).all() and (diagonal > 0).all()):
            msg = "The sources leave a parameter undetermined, or a residual is not finite."
            raise np.linalg.LinAlgError(msg)
        scale = 1 / np.sqrt(diagonal)
        step = scale * np.linalg.solve(normal * scale[:, None] * scale, scale * right)
        theta = theta + step
        settled = bool(np.max(np.abs(step) / scale) < tolerance)
        if rejecting and settled:
            break
        # Early steps reject nothing: a poor start must not lose the good points.
        rejecting = rejecting or settled or iteration >= 3
    return _conclude(theta, steps, observations, priors)


def _prior_equations(priors: Sequence[Prior], theta: Vector, size: int) -> tuple[Vector, Vector]:
    normal, right = np.zeros((size, size)), np.zeros(size)
    for prior in priors:
        normal[prior.index, prior.index] += 1 / prior.sd**2
        right[prior.index] -= (theta[prior.index] - prior.mean) / prior.sd**2
    return normal, right


def _conclude(
    theta: Vector, steps: Vector, observations: Sequence[Observations], priors: Sequence[Prior]
) -> Solution:
    size = len(theta)
    information: dict[str, Vector] = {}
    residuals: dict[str, Vector] = {}
    for block in observations:
        r, jac = _linearised(block, theta, steps)
        w = _weights(r) if block.robust else np.ones(len(r))
        part, uses = np.zeros((size, size)), np.asarray(block.uses)
        part[uses[:, None], uses] = jac.T @ (w[:, None] * jac)
        information[block.source] = information.get(block.source, np.zeros((size, size))) + part
        # Both outlines of a cylinder are one source.
        residuals[block.source] = np.concatenate([residuals.get(block.source, np.zeros(0)), r])
    for prior in priors:
        part = np.zeros((size, size))
        part[prior.index, prior.index] = 1 / prior.sd**2
        information[prior.source] = information.get(prior.source, np.zeros((size, size))) + part
    chi2, kept = {}, {}
    for source, r in residuals.items():
        w = _weights(r)
        chi2[source] = float(np.sum(w * r * r)) / max(int(np.sum(w > 0)), 1)
        kept[source] = float(np.mean(w > 0)) if len(r) else 0.0
    total = np.zeros((size, size))
    for part in information.values():
        total += part
    scale = 1 / np.sqrt(np.diag(total))
    covariance = np.linalg.inv(total * scale[:, None] * scale) * scale[:, None] * scale
    return Solution(theta, covariance, information, chi2, kept, residuals)
