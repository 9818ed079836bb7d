"""What the tire's outline tells of the section under it, beyond the leg's data.

The outline is where rays graze the tread, about the section's middle, some way behind the flange: seen askew
it stands aside of the flange's axis by that depth times the slope of sight.  So it tells how deep the middle
lies, that is width, bead seat and shape of the section together, which nobody measures beforehand.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.camera import Camera
from vision.tire.outline import SECTOR_DEG
from vision.tire.profile import Shape, grazed_diameter
from vision.tire.trial import CONCENTRIC_U_MM
from vision.tire.wheel import Wheel
from vision.wheel import CirclePose
from vision.wheel.flange import MOVING

Array = NDArray[np.float64]

# What else moves the outline, as standard uncertainties, judged.
OVAL_U_MM = 0.7  # of a tire's radius under load, twice about it
SHOULDER_U = 0.25  # of the exponent about the tread, against that of the sidewall
POINT_U_MM = 0.6  # of the diameter that a point tells
ALIKE_DEG = 12.0  # over which points err alike
SIZE_U = 0.05  # of the outside diameter: left free, so that its reading owes nothing to the book
MOST_SQUARED = 12.0  # of what the outline says against the leg's data: 1 in 400 with two numbers told
MOST_TILT_DEG = (
    23.0  # farther off square other doubts than the section's are a little too small: none is taken
)
_EVERY = 3  # of the points: neighbours say the same
_TOLD = 0.1  # of a number's variance: by less than this nothing was told of it


@dataclass(frozen=True)
class Learned:
    """A section with what was learned of it; its K numbers are counted in their own standard uncertainties.

    Attributes
    ----------
    shape : Shape
        Its numbers moved to the likeliest.
    steps : (K,) array
        By how much, from the leg's data.
    covariance : (K, K) array
        Of the numbers of `Shape.moved`, for a given pose and camera.
    by_outline : (K, K) array
        The part of it that the outline itself is in doubt.
    follows : (K, 8) array
        How the numbers move with pose and camera, by the parameters of `vision.wheel.WheelFit`.
    """

    shape: Shape
    steps: Array
    covariance: Array
    by_outline: Array
    follows: Array


@dataclass(frozen=True)
class Section:
    """What a photo says of the section; either is None where too little is seen.

    Attributes
    ----------
    learned : Learned or None
        To be used in place of the leg's data alone.
    against : Shape or None
        The section that the outline would ask for where it contradicts the leg's data: not used, but the
        difference that it makes is in doubt.
    """

    learned: Learned | None = None
    against: Shape | None = None


def as_told(shape: Shape) -> Learned:
    """Return a section of which nothing was learned."""
    k = len(shape.moved())
    return Learned(shape, np.zeros(k), np.eye(k), np.zeros((k, k)), np.zeros((k, len(MOVING))))


def section_of(wheel: Wheel) -> Section:
    """Return what the outline tells of a wheel's section.

    Least squares with the leg's data, the pose and what else moves an outline as priors, linear about the
    leg's data.  The numbers follow the pose: what moves both alike is not counted twice.
    """
    # With both poses open it is seen so square on that nothing stands aside.
    if wheel.other is not None or wheel.fit.pose.tilt_deg > MOST_TILT_DEG:
        return Section()
    fit, shape = wheel.fit, wheel.shape
    px = wheel.outline.px[::_EVERY]
    rays = fit.camera.rays(px)
    found, place = grazed_diameter(shape, fit.pose, rays)
    moved = list(shape.moved().values())
    by_number = np.column_stack([grazed_diameter(one, fit.pose, rays)[0] - found for one in moved])
    by_pose = _by_pose(wheel, px)
    root = np.linalg.cholesky(_pose_covariance(wheel))
    u = place / np.linalg.norm(place, axis=1, keepdims=True)
    twice = np.column_stack([u[:, 0] ** 2 - u[:, 1] ** 2, 2 * u[:, 0] * u[:, 1]])
    rounder = grazed_diameter(shape, fit.pose, rays, SHOULDER_U)[0] - found
    size = np.full(len(found), -SIZE_U * shape.outside_diameter)
    else_ = np.column_stack([size, -2 * CONCENTRIC_U_MM * u, -2 * OVAL_U_MM * twice, rounder])
    columns = np.column_stack([by_number, by_pose @ root, else_])
    each = _each_u(wheel, len(found))
    covariance = np.linalg.inv(columns.T @ columns / each**2 + np.eye(columns.shape[1]))
    k = len(moved)
    gain = covariance[:k] @ columns.T / each**2
    steps = -gain @ (found - shape.outside_diameter)
    told = np.eye(k) - covariance[:k, :k]
    if steps @ np.linalg.pinv(told, rcond=_TOLD, hermitian=True) @ steps > MOST_SQUARED:
        return Section(against=shape.by(steps))
    left = np.eye(k) - gain @ by_number
    by_outline = gain @ (else_ @ else_.T) @ gain.T + each**2 * gain @ gain.T
    return Section(Learned(shape.by(steps), steps, left @ left.T + by_outline, by_outline, -gain @ by_pose))


def _by_pose(wheel: Wheel, px: Array) -> Array:
    """Derivatives (N, 8) of the points' diameters by the parameters of pose and camera."""

    def diameters(pose: CirclePose, camera: Camera) -> Array:
        return grazed_diameter(wheel.shape, pose, camera.rays(px))[0]

    values = np.column_stack([diameters(pose, camera) for pose, camera in wheel.fit.moved()])
    return np.asarray((values[:, ::2] - values[:, 1::2]) / (20 * MOVING))


def _pose_covariance(wheel: Wheel) -> Array:
    fit, count = wheel.fit, len(MOVING)
    whole = (fit.solution.covariance + fit.waves @ fit.waves.T)[:count, :count]
    # A parameter that nothing doubts would leave no root.
    return np.asarray(whole + 1e-9 * np.diag(np.diag(whole)) + 1e-30 * np.eye(count))


def _each_u(wheel: Wheel, count: int) -> float:
    """Standard uncertainty (mm) of one of so many points' diameters, were they all to err by themselves."""
    alone = max(wheel.outline.share * 2 * SECTOR_DEG / ALIKE_DEG, 4.0)
    return max(POINT_U_MM, wheel.outline.scatter_mm) * float(np.sqrt(max(count / alone, 1.0)))
