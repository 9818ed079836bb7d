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

    @property
    def _inverse(self) -> Points:
        """The 2 × 2 matrix that takes pixels off the principal point to rays."""
        size = self.f_px * (1 - self.stretch**2 - self.shear**2)
        return np.array([[1 - self.stretch, -self.shear], [-self.shear, 1 + self.stretch]]) / size

    def project(self, points: Points) -> Points:
        """Project points (N, 3) in mm to pixels (N, 2)."""
        # By columns: sums over an axis of two are slow, and maps of a surface have 100 000 points.
        depth = points[:, 2]
        x, y = points[:, 0] / depth, points[:, 1] / depth
        longer = self.f_px * (1 + self.k1 * (x * x + y * y))
        x *= longer
        y *= longer
        out = np.empty((len(points), 2))
        out[:, 0] = (1 + self.stretch) * x + self.shear * y + self.cx_px
        out[:, 1] = self.shear * x + (1 - self.stretch) * y + self.cy_px
        return out

    def rays(self, pixels: Points) -> Points:
        """Return the rays (N, 3) with z = 1 of pixels (N, 2).

        The radial equation s (1 + k1 r² s²) = 1, s the undistorted radius over the distorted one r, is
        solved by Newton steps from its series; for |k1| r² < 0.1 three steps are exact to rounding.
        """
        a = self.matrix
        d = (pixels - a[:2, 2]) @ self._inverse.T
        rays = np.ones((len(d), 3))
        if self.k1 == 0.0:
            rays[:, :2] = d
            return rays
        bend = self.k1 * (d[:, 0] * d[:, 0] + d[:, 1] * d[:, 1])
        s = 1 - bend * (1 - bend * (3 - 12 * bend))
        for _ in range(3):
            more = bend * s * s
            s -= (s * (1 + more) - 1) / (1 + 3 * more)
        rays[:, :2] = d * s[:, None]
        return rays

    def rays_by_lens(self, rays: Points) -> Points:
        """Return the derivatives (N, 2, 4) of fixed pixels' rays (N, 3) by ln f, k1, stretch and shear."""
        u = rays[:, :2]
        rr = np.sum(u * u, axis=1)
        longer, slope = 1 + self.k1 * rr, 1 + 3 * self.k1 * rr
        d = u * longer[:, None]  # distorted
        a = self.f_px * self._inverse
        by_d = np.empty((len(u), 2, 3))
        by_d[:, :, 0] = -d
        by_d[:, :, 1] = (d * [-1.0, 1.0]) @ a.T
        by_d[:, :, 2] = -d[:, ::-1] @ a.T
        # A ray grows by 1 / longer across the radius and by 1 / slope along it.
        result = np.empty((len(u), 2, 4))
        along = np.einsum("ni,nik->nk", u, by_d) * (2 * self.k1 / (slope * longer))[:, None]
        result[:, :, [0, 2, 3]] = by_d / longer[:, None, None] - u[:, :, None] * along[:, None, :]
        result[:, :, 1] = -u * (rr / slope)[:, None]
        return result

    def project_by_all(self, points: Points) -> tuple[Points, Points, Points]:
        """Project points (N, 3) to pixels (N, 2), with the derivatives by the points and by the lens.

        Those are (N, 2, 3) and (N, 2, 4); the lens's parameters are ln f, k1, stretch and shear.
        """
        depth = 1 / points[:, 2]
        u = points[:, :2] * depth[:, None]
        rr = np.sum(u * u, axis=1)
        longer = 1 + self.k1 * rr
        d, a = u * longer[:, None], self.matrix
        by_u = longer[:, None, None] * np.eye(2) + 2 * self.k1 * u[:, :, None] * u[:, None, :]
        by_point = np.empty((len(u), 2, 3))
        by_point[:, :, :2] = (a[:2, :2] @ by_u) * depth[:, None, None]
        by_point[:, :, 2] = -np.einsum("nij,nj->ni", by_point[:, :, :2], u)
        by_lens = np.empty((len(u), 2, 4))
        by_lens[:, :, 0] = d @ a[:2, :2].T
        by_lens[:, :, 1] = (u * rr[:, None]) @ a[:2, :2].T
        by_lens[:, :, 2] = self.f_px * d * [1.0, -1.0]
        by_lens[:, :, 3] = self.f_px * d[:, ::-1]
        return by_lens[:, :, 0] + a[:2, 2], by_point, by_lens


def cross_matrix(w: Points) -> Points:
    """Return the matrix (3, 3) whose product with v is w × v."""
    return np.array([[0.0, -w[2], w[1]], [w[2], 0.0, -w[0]], [-w[1], w[0], 0.0]])


def turn_by_vector(w: Points) -> Points:
    """Return the matrix (3, 3) that takes a change of a rotation vector (3,) to the turn it adds, rad.

    The left Jacobian of the rotation group: rotation(w + dw) = rotation(J dw) rotation(w).
    """
    angle = float(np.linalg.norm(w))
    k = cross_matrix(w)
    if angle < 1e-6:
        return np.asarray(np.eye(3) + k / 2)
    return np.asarray(
        np.eye(3) + (1 - np.cos(angle)) / angle**2 * k + (angle - np.sin(angle)) / angle**3 * (k @ k)
    )


def rotation_from_vector(w: Points) -> Points:
    """Return the rotation matrix of a rotation vector (3,) in rad (Rodrigues)."""
    angle = float(np.linalg.norm(w))
    k = cross_matrix(w)
    if angle < 1e-9:
        return np.asarray(np.eye(3) + k)
    return np.asarray(np.eye(3) + np.sin(angle) / angle * k + (1 - np.cos(angle)) / angle**2 * (k @ k))
