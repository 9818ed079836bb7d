"""A circle of known radius from its conic: both poses that explain it.

The rays (x, y, 1) to the circle's points satisfy ``rᵀ Q r = 0``, a cone with the
camera as its apex.  With eigenvalues of Q of signs (+, +, −), λ1 ≥ λ2 > 0 > λ3, and unit
eigenvectors e1, e3, the planes that cut the cone in a circle have the normals
``± e1 √((λ1 − λ2)/(λ1 − λ3)) ± e3 √((λ2 − λ3)/(λ1 − λ3))`` (Q. Chen, H. Wu, T. Wada,
"Camera calibration with two arbitrary coplanar circles", ECCV 2004, sec. 2; from memory).
Of the four signs two leave planes in front of the camera that differ.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class CirclePose:
    """A circle in the camera's frame.

    Attributes
    ----------
    centre : (3,) array
        mm, in front of the camera.
    normal : (3,) array
        Unit vector towards the camera's side of the circle's plane.
    radius_mm : float, > 0
    """

    centre: Array
    normal: Array
    radius_mm: float

    @property
    def tilt_deg(self) -> float:
        """Angle between the normal and the line of sight to the centre, 0 to 90 degrees."""
        cosine = -float(self.normal @ self.centre) / float(np.linalg.norm(self.centre))
        return float(np.degrees(np.arccos(np.clip(cosine, -1, 1))))

    @property
    def frame(self) -> Array:
        """Rows x, y, z (3, 3) of the wheel's frame: z into the wheel, x level with the picture's rows.

        The frame is only a place to count angles from: level is measured in it, not assumed by it.
        """
        z = -self.normal
        # x = (0, 1, 0) × z and y = z × x, written out: this is asked for thousands of times.
        a, b, c = (float(v) for v in z)
        size = float(np.hypot(a, c))
        p, q = c / size, -a / size
        return np.array([[p, 0.0, q], [b * q, c * p - a * q, -b * p], z])

    def points(self, azimuth: Array) -> Array:
        """Return points (N, 3) of the circle; azimuth (rad) 0 is the frame's x, positive towards y."""
        x, y, _ = self.frame
        return np.asarray(
            self.centre + self.radius_mm * (np.cos(azimuth)[:, None] * x + np.sin(azimuth)[:, None] * y)
        )

    def meet(self, rays: Array, depth_mm: float | Array = 0.0) -> Array:
        """Return (N, 2) mm, x right, y down, where rays (N, 3) meet planes `depth_mm` (N,) behind, or one."""
        x, y, z = self.frame
        t = (self.centre @ z + depth_mm) / (rays @ z)
        p = t[:, None] * rays - self.centre
        return np.column_stack([p @ x, p @ y])


def conic_of_points(rays: Array) -> Array:
    """Fit a conic to rays (N ≥ 5, 3) with z = 1 directly: the (3, 3) matrix of an ellipse.

    The algebraic fit with the constraint 4ac − b² = 1 in Halíř and Flusser's stable form
    (WSCG 1998): always an ellipse, biased to small ones on short noisy arcs, so a first guess only.

    Raises
    ------
    ValueError
        Fewer than five points, or points on a line.
    """
    if len(rays) < 5:
        msg = f"an ellipse needs five points, got {len(rays)}"
        raise ValueError(msg)
    mean = rays[:, :2].mean(axis=0)
    scale = float(np.sqrt(np.mean((rays[:, :2] - mean) ** 2))) or 1.0
    x, y = ((rays[:, :2] - mean) / scale).T
    d1, d2 = np.column_stack([x * x, x * y, y * y]), np.column_stack([x, y, np.ones_like(x)])
    s1, s2, s3 = d1.T @ d1, d1.T @ d2, d2.T @ d2
    if np.linalg.cond(s3) > 1e10:
        msg = "the points lie on one line: give points around the circle"
        raise ValueError(msg)
    t = -np.linalg.solve(s3, s2.T)
    m = s1 + s2 @ t
    _, vectors = np.linalg.eig(np.array([m[2] / 2, -m[1], m[0] / 2]))
    vectors = np.real(vectors)
    fits = 4 * vectors[0] * vectors[2] - vectors[1] ** 2
    a = vectors[:, int(np.argmax(fits))]
    if np.max(fits) <= 0:
        msg = "no ellipse passes near the points: give points around the circle"
        raise ValueError(msg)
    d, e, f = t @ a
    local = np.array([[a[0], a[1] / 2, d / 2], [a[1] / 2, a[2], e / 2], [d / 2, e / 2, f]])
    move = np.array([[1, 0, -mean[0]], [0, 1, -mean[1]], [0, 0, scale]]) / scale
    q = move.T @ local @ move
    return np.asarray(q / np.linalg.norm(q))


def conic_through_camera(pose: CirclePose) -> Array:
    """Return the cone (3, 3) on which the rays to a circle lie, of unit norm."""
    n, c = pose.normal, pose.centre
    h = float(n @ c)
    # A ray r meets the plane at h r / (n·r); squared distance from c is radius².
    m = h * np.eye(3) - np.outer(c, n)
    q = m.T @ m - pose.radius_mm**2 * np.outer(n, n)
    return np.asarray(q / np.linalg.norm(q))


def circle_poses(conic: Array, radius_mm: float) -> tuple[CirclePose, CirclePose]:
    """Return both poses of a circle of known radius whose rays lie on a cone.

    Square on the two are one and the same pose twice.

    Raises
    ------
    ValueError
        The conic is no cone about a circle.
    """
    values, vectors = np.linalg.eigh((conic + conic.T) / 2)
    if values[1] < 0:
        values, vectors = -values[::-1], vectors[:, ::-1]
    l3, l2, l1 = values
    if not (l3 < 0 < l2 <= l1):
        msg = "the conic is no ellipse that a circle can be seen as"
        raise ValueError(msg)
    e3, e1 = vectors[:, 0], vectors[:, 2]
    along, into = np.sqrt((l1 - l2) / (l1 - l3)), np.sqrt((l2 - l3) / (l1 - l3))
    e3 = e3 * (1 if e3[2] > 0 else -1)
    size = l2 * radius_mm / np.sqrt(-l1 * l3)
    found = []
    for sign in (1.0, -1.0):
        normal = sign * along * e1 - into * e3
        # The centre is the pole of the plane: Q c is parallel to the normal.
        centre = size * (sign * along * (l3 / l2) * e1 - into * (l1 / l2) * e3)
        centre = centre * (1 if centre[2] > 0 else -1)
        normal = normal * (1 if normal @ centre < 0 else -1)
        found.append(CirclePose(np.asarray(centre), np.asarray(normal), radius_mm))
    return found[0], found[1]
