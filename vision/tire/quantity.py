"""A quantity of the wheel with its budget: by pose and camera, by the section's shape, by its own scatter."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.camera import Camera
from vision.results import BudgetLine
from vision.tire.profile import Shape
from vision.tire.section import Learned
from vision.tire.wheel import Wheel
from vision.wheel import CirclePose
from vision.wheel.flange import MOVING, WheelFit

Array = NDArray[np.float64]
Quantity = Callable[[CirclePose, Camera, Shape], float]
OPEN_ROOT = "which way the wheel is turned"
BY_OUTLINE = "section by the tire's outline"
AGAINST = "tire's outline against the section told"
_NOTHING = 1e-4  # of the combined variance: lines below it tell a person nothing


@dataclass(frozen=True)
class Variations:
    """The wheel as it was read, and moved by a little of each thing that is in doubt.

    A quantity is worked out once at each of them (`of`).  What is put together from others, such as an
    arc from an angle and a radius, is put together from their values there, an array (M,) each, and
    `spread` tells its doubt: so nothing is followed through the sidewall twice.

    Attributes
    ----------
    places : tuple of M (pose, camera, shape)
        As read; ahead and behind by a small step of each parameter of the fit; with each number of the
        section moved by its standard uncertainty; with the other pose, where the two are not told apart,
        or with the section that the outline asks for, where it contradicts the leg's data.
    fit : WheelFit
    names : tuple of str
        Of the section's numbers.
    learned : Learned
        The section as the outline, and a straight line, told it.
    last : str
        What the last of `places` is there for: `OPEN_ROOT`, `AGAINST` or nothing.
    """

    places: tuple[tuple[CirclePose, Camera, Shape], ...]
    fit: WheelFit
    names: tuple[str, ...]
    learned: Learned
    last: str

    def of(self, quantity: Quantity) -> Array:
        """Return a quantity's values (M,), recomputed from the pixels that were read; it is smooth."""
        return np.array([quantity(*place) for place in self.places])

    def spread(self, values: Array, own: Mapping[str, float]) -> tuple[float, dict[str, float]]:
        """Return a quantity's value and its variance by source.

        Parameters
        ----------
        values : (M,) array
            Of `of`, or put together from such.
        own : mapping of str to float
            Further standard uncertainties in the quantity's unit, by source.
        """
        value = float(values[0])
        moved = 1 + self.fit.moves
        gradient = self.fit.gradient_of(values[1:moved])
        variances = {name: max(v, 0.0) for name, v in self.fit.variance_by_source(gradient).items()}
        change = values[moved : moved + len(self.names)] - value
        # Of numbers that were told together only the whole has a variance: it is shared out by their size.
        by_outline = float(change @ self.learned.by_outline @ change)
        whole = change @ self.learned.covariance @ change - by_outline
        share = whole / max(float(change @ change), 1e-30)
        variances |= {name: float(c * c * share) for name, c in zip(self.names, change, strict=True)}
        if by_outline > 0:
            variances[BY_OUTLINE] = by_outline
        if self.last == OPEN_ROOT:
            # Either of two values, equally likely but for the better fit: half their distance.
            variances[OPEN_ROOT] = float((values[-1] - value) / 2) ** 2
        elif self.last == AGAINST:
            variances[AGAINST] = float(values[-1] - value) ** 2
        for name, u in own.items():
            variances[name] = variances.get(name, 0.0) + u * u
        return value, variances


def variations(wheel: Wheel, learned: Learned, against: Shape | None = None) -> Variations:
    """Return what a wheel's quantities are worked out at, with a section and one that contradicts it."""
    fit, shape = wheel.fit, learned.shape
    moved = shape.moved()
    # What was learned of the section was learned with the pose as it is: it follows.
    steps = (10 * MOVING * learned.follows).T
    ahead_and_behind = [shape.by(sign * step) for step in steps for sign in (1, -1)]
    places = [(fit.pose, fit.camera, shape)]
    places += [(*place, one) for place, one in zip(fit.moved(), ahead_and_behind, strict=True)]
    places += [(fit.pose, fit.camera, one) for one in moved.values()]
    last = ""
    if wheel.other is not None:
        last = OPEN_ROOT
        places.append((wheel.other.pose, wheel.other.camera, shape))
    elif against is not None:
        last = AGAINST
        places.append((fit.pose, fit.camera, against))
    return Variations(tuple(places), fit, tuple(moved), learned, last)


def budget_of(variances: Mapping[str, float]) -> tuple[BudgetLine, ...]:
    """Return the lines of a budget, the largest first."""
    least = _NOTHING * sum(variances.values())
    lines = sorted(variances.items(), key=lambda pair: -pair[1])
    return tuple(BudgetLine(name, float(np.sqrt(v))) for name, v in lines if v > least)
