"""A quantity of the wheel with its budget: by pose and camera, by the section's shape, by its own scatter."""

from collections.abc import Callable, Mapping

import numpy as np

from vision.camera import Camera
from vision.results import BudgetLine
from vision.tire.profile import Shape
from vision.tire.straight import Learned
from vision.tire.wheel import Wheel
from vision.wheel import CirclePose

Quantity = Callable[[CirclePose, Camera, Shape], float]
OPEN_ROOT = "which way the wheel is turned"
_NOTHING = 1e-4  # of the combined variance: lines below it tell a person nothing


def evaluate(
    wheel: Wheel, quantity: Quantity, own: Mapping[str, float], learned: Learned | None = None
) -> tuple[float, dict[str, float]]:
    """Return a quantity's value and its variance by source.

    Parameters
    ----------
    quantity : callable
        Of pose, camera and shape, recomputed from the pixels that were read; smooth.
    own : mapping of str to float
        Further standard uncertainties in the quantity's unit, by source.
    learned : Learned, optional
        The section as a straight line told it; else the wheel's own.
    """
    fit = wheel.fit
    shape = wheel.shape if learned is None else learned.shape
    value = quantity(fit.pose, fit.camera, shape)
    gradient = fit.gradient(lambda pose, camera: quantity(pose, camera, shape))
    variances = {name: max(v, 0.0) for name, v in fit.variance_by_source(gradient).items()}
    moved = shape.moved()
    change = np.array([quantity(fit.pose, fit.camera, one) - value for one in moved.values()])
    # Of numbers that a line told together only the whole has a variance: it is shared out by their size.
    whole = change @ change if learned is None else change @ learned.covariance @ change
    share = whole / max(float(change @ change), 1e-30)
    variances |= {name: float(c * c * share) for name, c in zip(moved, change, strict=True)}
    if wheel.other is not None:
        apart = quantity(wheel.other.pose, wheel.other.camera, shape) - value
        # Either of two values, equally likely but for the better fit: half their distance.
        variances[OPEN_ROOT] = (apart / 2) ** 2
    for name, u in own.items():
        variances[name] = variances.get(name, 0.0) + u * u
    return value, variances


def budget_of(variances: Mapping[str, float]) -> tuple[BudgetLine, ...]:
    """Return the lines of a budget, the largest first."""
    least = _NOTHING * sum(variances.values())
    lines = sorted(variances.items(), key=lambda pair: -pair[1])
    return tuple(BudgetLine(name, float(np.sqrt(v))) for name, v in lines if v > least)
