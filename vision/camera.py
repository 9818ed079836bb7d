"""The camera: pixels to rays and back.

Conventions
-----------
Pixels are (x right, y down) of the upright photo, centres at integers.  Camera
frame: x right, y down, z away from the camera, origin at the centre of
projection, mm.  A ray is (x, y, 1).

Model: ``u = (X/Z, Y/Z)``, ``u_d = u (1 + k1 |u|²)``,
``pixel = f M u_d + c`` with ``M = [[1 + stretch, shear], [shear, 1 - stretch]]``.
`stretch` and `shear` are what a rolling shutter does to a picture when the
hand turns during the read-out; for a still camera both are 0.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]


@dataclass(frozen=True)
class Camera:
    """Lens and sensor of one photo.

    Attributes
    ----------
    f_px : float, > 0
        Focal length in pixels.
    cx_px, cy_px : float
        Principal point.
    k1 : float
        First radial coefficient, positive = pincushion.
    stretch, shear : float
        Deviation from square pixels, see the module.
    """

    f_px: float
    cx_px: float
    cy_px: float
    k1: float = 0.0
    stretch: float = 0.0
    shear: float = 0.0

    def without_distortion(self) -> "Camera":
        """Return the same camera with straight lines straight."""
        return replace(self, k1=0.0)

    @property
    def matrix(self) -> Points:
        """The 3 × 3 matrix that takes undistorted rays to pixels."""
        return np.array(
            [
                [self.f_px * (1 + self.stretch), self.f_px * self.shear, self.cx_px],
                [self.f_px * self.shear, self.f_px * (1 - self.stretch), self.cy_px],
                [0.0, 0.0, 1.0],
            ]
        )

    def project(self, points: Points) -> Points:
        """Project points (N, 3) in mm to pixels (N, 2)."""
        u = points[:, :2] / points[:, 2:]
        u = u * (1 + self.k1 * np.sum(u * u, axis=1, keepdims=True))
        a = self.matrix
        return np.asarray(u @ a[:2, :2].T + a[:2, 2])

    def rays(self, pixels: Points) -> Points:
        """Return the rays (N, 3) with z = 1 of pixels (N, 2).

        The radial equation is solved by Newton steps; for |k1| r² < 0.1 six
        steps are exact to rounding.
        """
        a = self.matrix
        d = (pixels - a[:2, 2]) @ np.linalg.inv(a[:2, :2]).T
        rays = np.ones((len(d), 3))
        if self.k1 == 0.0:
            rays[:, :2] = d
            return rays
        rd = np.sqrt(np.sum(d * d, axis=1))
        r = rd.copy()
        for _ in range(6):
            r -= (r * (1 + self.k1 * r * r) - rd) / (1 + 3 * self.k1 * r * r)
        rays[:, :2] = d * (r / np.maximum(rd, 1e-12))[:, None]
        return rays


def rotation_from_vector(w: Points) -> Points:
    """Return the rotation matrix of a rotation vector (3,) in rad (Rodrigues)."""
    angle = float(np.linalg.norm(w))
    k = np.array([[0, -w[2], w[1]], [w[2], 0, -w[0]], [-w[1], w[0], 0]])
    if angle < 1e-9:
        return np.asarray(np.eye(3) + k)
    return np.asarray(np.eye(3) + np.sin(angle) / angle * k + (1 - np.cos(angle)) / angle**2 * (k @ k))
