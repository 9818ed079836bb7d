"""An axis as four small parameters about a first guess, and the residuals of what is seen on it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.camera import cross_matrix
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

    def derivatives(self, four: Array) -> tuple[Array, Array]:
        """Return the derivatives (3, 2) of the axis's point by the shifts, of its direction by the turns."""
        frame = np.column_stack(self.guess.frame())
        direction = self.guess.direction + frame @ four[2:]
        size = np.linalg.norm(direction)
        direction /= size
        return frame, np.asarray((frame - np.outer(direction, direction @ frame)) / size)


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


def outline_linear(
    rays: Array, by_lens: Array, model: AxisModel, four: Array, radius: float, side: float, px_per_mm: float
) -> tuple[Array, Array]:
    """`outline_residuals` (N,) and their derivatives (N, 9) by the lens (4), the axis (4) and the radius.

    Parameters
    ----------
    by_lens : (N, 2, 4) array
        Of the rays, as `Camera.rays_by_lens`.
    four : (4,) array
        The axis's parameters.
    """
    axis = model.axis(four)
    by_shift, by_turn = model.derivatives(four)
    across = rays @ cross_matrix(axis.direction)
    size = np.sqrt(np.sum(across * across, axis=1, keepdims=True))
    across /= size
    offset = -(across @ axis.point)
    by_across = -(axis.point + offset[:, None] * across) / size
    by_ray = by_across @ cross_matrix(axis.direction).T
    jac = np.empty((len(rays), 9))
    jac[:, :4] = np.einsum("ni,nik->nk", by_ray[:, :2], by_lens)
    jac[:, 4:6] = -across @ by_shift
    jac[:, 6:8] = _cross(by_across, rays) @ by_turn
    jac[:, :8] *= side
    jac[:, 8] = -1.0
    return (side * offset - radius) * px_per_mm, jac * px_per_mm


def ring_linear(
    rays: Array, by_lens: Array, model: AxisModel, four: Array, radius: float, s: float, px_per_mm: float
) -> tuple[Array, Array] | None:
    """`ring_residuals` (N,) on the near side and their derivatives (N, 10).

    By the lens (4), the axis (4), the radius and s.  None where a ray misses the cylinder: there the
    place is no smooth function.
    """
    axis = model.axis(four)
    by_shift, by_turn = model.derivatives(four)
    a, p = axis.direction, axis.point
    along = rays @ a
    square = rays - along[:, None] * a
    aside = p - (p @ a) * a
    aa, b = np.sum(square * square, axis=1), rays @ aside
    under = b * b - aa * (aside @ aside - radius**2)
    if (under <= 0).any():
        return None
    t = (b - np.sqrt(under)) / aa
    place = t * along - p @ a
    # The ray's point stays on the cylinder: |x|² = radius², x from the axis square to the surface.
    x = t[:, None] * square - aside
    into = np.sum(x * rays, axis=1)
    climb = along / into
    by_ray = t[:, None] * (a - climb[:, None] * x)
    jac = np.empty((len(rays), 10))
    jac[:, :4] = np.einsum("ni,nik->nk", by_ray[:, :2], by_lens)
    jac[:, 4:6] = (climb[:, None] * x - a) @ by_shift
    jac[:, 6:8] = ((1 + place * climb)[:, None] * x) @ by_turn
    jac[:, 8] = radius * climb
    jac[:, 9] = -1.0
    return (place - s) * px_per_mm, jac * px_per_mm


def _cross(a: Array, b: Array) -> Array:
    """Cross products (N, 3) row by row; `numpy.cross` takes several times as long for few rows."""
    return np.stack(
        [
            a[:, 1] * b[:, 2] - a[:, 2] * b[:, 1],
            a[:, 2] * b[:, 0] - a[:, 0] * b[:, 2],
            a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0],
        ],
        axis=1,
    )
