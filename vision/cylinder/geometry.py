"""Where rays meet a cylinder, where its outline lies, what a ring of it looks like.

The camera is at the origin; rays (N, 3) need not be of unit length.  All
lengths are in mm.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from vision.camera import cross_matrix

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Axis:
    """A straight line: a point on it (3,) mm and its unit direction (3,)."""

    point: Array
    direction: Array

    def at(self, s: float) -> Array:
        """Return the point (3,) at axial place s."""
        return np.asarray(self.point + s * self.direction)

    @cached_property
    def lateral(self) -> Array:
        """Unit vector (3,) across the line of sight and the axis: to the right when the axis points up."""
        across = np.cross(self.point, self.direction)
        return np.asarray(across / np.linalg.norm(across))

    @cached_property
    def _frame(self) -> tuple[Array, Array]:
        return self.lateral, np.asarray(np.cross(self.direction, self.lateral))

    def frame(self) -> tuple[Array, Array]:
        """Return two unit vectors that with the direction make a right-handed frame."""
        return self._frame


def signed_offset(rays: Array, axis: Axis) -> Array:
    """Return how far (N,) rays pass the axis, positive on the side of `Axis.lateral`.

    A cylinder's outline is where this is ± its radius.
    """
    across = rays @ cross_matrix(axis.direction)
    return np.asarray(-(across @ axis.point) / np.sqrt(np.sum(across * across, axis=1)))


def axial_place(rays: Array, axis: Axis, radius: float, far: bool = False) -> Array:
    """Return the axial place s (N,) where rays meet the cylinder's near (or far) side.

    Rays that miss the cylinder are answered at their nearest approach to it,
    so that a point just off the outline stays usable.
    """
    a, p = axis.direction, axis.point
    da, pa = rays @ a, float(p @ a)
    d_perp, p_perp = rays - da[:, None] * a, p - pa * a
    aa = np.sum(d_perp * d_perp, axis=1)
    b = d_perp @ p_perp
    root = np.sqrt(np.maximum(b * b - aa * (p_perp @ p_perp - radius**2), 0.0))
    t = (b + root if far else b - root) / aa
    return np.asarray(t * da - pa)


def ring(axis: Axis, s: float, radius: float, azimuth: Array) -> Array:
    """Return points (N, 3) of the ring at s; azimuth (rad) 0 faces the camera, positive is lateral."""
    centre = axis.at(s)
    to_camera = -(centre - (centre @ axis.direction) * axis.direction)
    to_camera = to_camera / np.linalg.norm(to_camera)
    return np.asarray(
        centre + radius * (np.cos(azimuth)[:, None] * to_camera + np.sin(azimuth)[:, None] * axis.lateral)
    )


def elevation_deg(axis: Axis, s: float) -> float:
    """Angle between the ray to the ring's centre at s and the ring's plane, degrees.

    Positive when the camera is on the side the axis points to (above).
    """
    centre = axis.at(s)
    return float(np.degrees(np.arcsin(-(centre @ axis.direction) / np.linalg.norm(centre))))
