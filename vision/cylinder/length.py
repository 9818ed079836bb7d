"""A length along a cylinder whose diameter alone is the scale (no card).

The tilt out of the picture enters by its secant, which is flat at 0: a first-order
budget says that a tilt found to be 0 costs nothing, however poorly it is known.
A thin tube tells its tilt to several degrees at best, so the second-order terms
belong into u.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.camera import Camera
from vision.cylinder.geometry import Axis, axial_place
from vision.cylinder.model import AXIS_SIZE, AXIS_STEPS, AxisModel, outline_residuals
from vision.fit import Observations, Prior, Solution, solve
from vision.uncertainty import Quantity, second_order_variance

Array = NDArray[np.float64]
_RADIUS, _FROM, _TO, _FOCAL = AXIS_SIZE, AXIS_SIZE + 1, AXIS_SIZE + 2, AXIS_SIZE + 3
_GEOMETRY = [*range(AXIS_SIZE), _RADIUS, _FOCAL]


@dataclass(frozen=True)
class CylinderLength:
    """A length along the axis with its standard uncertainty (mm) and the axis it was read on.

    `second_order_u_mm` is the part of `u_mm` that the linear budget of
    `solution` does not show.
    """

    value_mm: float
    u_mm: float
    axis: Axis
    solution: Solution
    second_order_u_mm: float


def first_axis(camera: Camera, left_px: Array, right_px: Array, radius_mm: float) -> Axis:
    """Return the axis of a cylinder from points (N, 2) on its two outlines.

    The outlines span planes through the camera with normals n1, n2 turned
    towards the axis; the axis runs along n1 × n2, and its nearest point to the
    camera is R (n1 + n2) / (1 + n1·n2) (Doignon and de Mathelin).

    Raises
    ------
    ValueError
        When the two outlines coincide.
    """
    n1, n2 = _plane(camera.rays(left_px)), _plane(camera.rays(right_px))
    middle = camera.rays(np.concatenate([left_px, right_px])).mean(axis=0)
    n1, n2 = n1 * np.sign(n1 @ middle), n2 * np.sign(n2 @ middle)
    direction = np.cross(n1, n2)
    size = np.linalg.norm(direction)
    if size < 1e-6:
        msg = "The two outlines of the cylinder coincide; give points on its two sides."
        raise ValueError(msg)
    return Axis(radius_mm * (n1 + n2) / (1 + n1 @ n2), direction / size)


def _plane(rays: Array) -> Array:
    """Unit normal (3,) of the plane through the camera that fits the rays (N, 3) best."""
    unit = rays / np.linalg.norm(rays, axis=1, keepdims=True)
    return np.asarray(np.linalg.svd(unit)[2][-1])


def length_along(
    camera: Camera,
    f_u_px: float,
    left_px: Array,
    right_px: Array,
    outline_u_px: float,
    radius_mm: float,
    radius_u_mm: float,
    from_px: Array,
    to_px: Array,
    end_u_px: float,
) -> CylinderLength:
    """Measure between two marks on the front of a cylinder of known diameter.

    Parameters
    ----------
    camera, f_u_px
        The camera and the standard uncertainty of its focal length, px.
    left_px, right_px : (N, 2), (M, 2) arrays
        Points on the two outlines.
    outline_u_px, end_u_px : float, > 0
        Standard uncertainties of an outline point and of an end, px.
    radius_mm, radius_u_mm : float, > 0
        Radius with its standard uncertainty.
    from_px, to_px : (2,) arrays
        The two ends, on the cylinder's visible front.
    """
    axis = first_axis(camera, left_px, right_px, radius_mm)
    middle = (from_px + to_px) / 2
    start_s = axial_place(camera.rays(middle[None]), axis, radius_mm)[0]
    axis = Axis(axis.at(float(start_s)), axis.direction)
    if axial_place(camera.rays(to_px[None]), axis, radius_mm)[0] < 0:
        axis = Axis(axis.point, -axis.direction)
    model = AxisModel(axis)
    px_per_mm = camera.f_px / float(np.linalg.norm(axis.point))
    ends = np.stack([from_px, to_px])
    sides = _which_side(camera, axis, left_px, right_px)

    def seen(theta: Array) -> Camera:
        return Camera(camera.f_px * float(np.exp(theta[_FOCAL])), camera.cx_px, camera.cy_px, camera.k1)

    def outline(theta: Array) -> Array:
        now, lens = model.axis(theta[:AXIS_SIZE]), seen(theta)
        parts = [
            outline_residuals(lens.rays(px), now, float(theta[_RADIUS]), side, px_per_mm)
            for px, side in zip((left_px, right_px), sides, strict=True)
        ]
        return np.concatenate(parts) / outline_u_px

    def marks(theta: Array) -> Array:
        now = model.axis(theta[:AXIS_SIZE])
        s = axial_place(seen(theta).rays(ends), now, float(theta[_RADIUS]))
        return np.asarray((s - theta[[_FROM, _TO]]) * px_per_mm / end_u_px)

    def length(theta: Array) -> float:
        s = axial_place(seen(theta).rays(ends), model.axis(theta[:AXIS_SIZE]), float(theta[_RADIUS]))
        return float(s[1] - s[0])

    s0 = axial_place(camera.rays(ends), axis, radius_mm)
    start = np.array([0, 0, 0, 0, radius_mm, s0[0], s0[1], 0.0])
    steps = np.array([*AXIS_STEPS, 1e-4, 1e-3, 1e-3, 1e-5])
    priors = [
        Prior("diameter", _RADIUS, radius_mm, radius_u_mm),
        Prior("focal length", _FOCAL, 0.0, f_u_px / camera.f_px),
    ]
    blocks = [
        Observations("outline", outline, [0, 1, 2, 3, _RADIUS, _FOCAL]),
        Observations("ends", marks, range(len(start)), robust=False),
    ]
    solution = solve(start, steps, blocks, priors)
    gradient = np.zeros(len(start))
    gradient[_FROM], gradient[_TO] = -1, 1
    first, more = solution.variance(gradient), _second_order(length, solution)
    return CylinderLength(
        float(solution.theta[_TO] - solution.theta[_FROM]),
        float(np.sqrt(first + more)),
        model.axis(solution.theta[:AXIS_SIZE]),
        solution,
        float(np.sqrt(more)),
    )


def _second_order(length: Callable[[Array], float], solution: Solution) -> float:
    """Return what the curvature of the length over the geometry adds to its variance, mm².

    The next terms of the variance and the square of the shift of the mean, half
    the sum of the second derivatives (JCGM 100:2008, 5.1.2 note; the shift is
    carried as doubt, not taken off: its sign at an unknown true tilt is not known).
    Taken along the principal axes of the geometry's covariance, which are uncorrelated.
    """
    values, vectors = np.linalg.eigh(_scaled(solution.covariance)[np.ix_(_GEOMETRY, _GEOMETRY)])
    sizes = np.sqrt(np.diag(solution.covariance)[_GEOMETRY])
    axes = sizes[:, None] * vectors * np.sqrt(np.maximum(values, 0.0))

    def at(**steps: float) -> float:
        theta = solution.theta.copy()
        theta[_GEOMETRY] += axes @ np.array([steps[name] for name in names])
        return length(theta)

    names = [f"axis_{k}" for k in range(len(_GEOMETRY))]
    rest = dict.fromkeys(names, 0.0)
    here = at(**rest)
    curvature = {n: at(**(rest | {n: 1.0})) - 2 * here + at(**(rest | {n: -1.0})) for n in names}
    largest = max(map(abs, curvature.values()))
    # One axis, the tilt, curves; the others would cost time and add nothing.
    inputs = {n: Quantity(0.0, 1.0) for n, bend in curvature.items() if abs(bend) >= 0.01 * largest}
    shift = sum(curvature.values()) / 2
    return max(second_order_variance(lambda **steps: at(**(rest | steps)), inputs) + shift**2, 0.0)


def _scaled(covariance: Array) -> Array:
    """The correlations: millimetres and radians side by side would hide the small ones from eigh."""
    size = np.sqrt(np.diag(covariance))
    return np.asarray(covariance / np.outer(size, size))


def _which_side(camera: Camera, axis: Axis, left_px: Array, right_px: Array) -> tuple[float, float]:
    offset = camera.rays(left_px).mean(axis=0) - camera.rays(right_px).mean(axis=0)
    return (1.0, -1.0) if offset @ axis.lateral > 0 else (-1.0, 1.0)
