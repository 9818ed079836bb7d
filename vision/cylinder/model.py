"""An axis as four small parameters about a first guess, and the residuals of what is seen on it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.cylinder.geometry import Axis, axial_place, signed_offset

Array = NDArray[np.float64]
AXIS_SIZE = 4
AXIS_STEPS = np.array([1e-3, 1e-3, 1e-6, 1e-6])


@dataclass(frozen=True)
class AxisModel:
    """The first guess; the parameters are two shifts (mm) and two turns (rad) across it."""

    guess: Axis

    def axis(self, four: Array) -> Axis:
        """Return the axis for the parameters (4,)."""
        b1, b2 = self.guess.frame()
        direction = self.guess.direction + four[2] * b1 + four[3] * b2
        return Axis(self.guess.point + four[0] * b1 + four[1] * b2, direction / np.linalg.norm(direction))


def outline_residuals(rays: Array, axis: Axis, radius: float, side: float, px_per_mm: float) -> Array:
    """How far (N,) outside the outline of a cylinder the rays pass, in px at the axis.

    `side` is +1 for the outline on the lateral side, -1 for the other.
    """
    return np.asarray((side * signed_offset(rays, axis) - radius) * px_per_mm)


def ring_residuals(
    rays: Array, axis: Axis, s: float, radius: float, px_per_mm: float, far: bool = False
) -> Array:
    """How far (N,) beyond the ring at s (along the axis) the rays meet its cylinder, in px."""
    return np.asarray((axial_place(rays, axis, radius, far) - s) * px_per_mm)
