"""Camera and card poses from points on a flat card in several views.

OpenCV's calibration gives the start.  The fit after it is our own, because it
knows what a printed card and a hand-held phone do besides: a printer scales its
two directions differently, a card is bent a little, a rolling shutter shears
each picture.  All of these look like focal length in a single view, so they
are parameters with priors, and their doubt reaches f's.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.camera import Camera, rotation_from_vector
from vision.fit import HUBER, REJECT, Observations, Prior, Solution, solve
from vision.scale.model import BEND_SD, ROLLING_SHUTTER

Array = NDArray[np.float64]

# What all views share, then eight for each view.
_LN_F, _CX, _CY, _K1, _RATIO, _BEND, _SHARED = range(7)
_STRETCH, _SHEAR, _TURN, _MOVE, _OF_VIEW = 0, 1, 2, 5, 8
_STEPS_SHARED = [1e-5, 1e-2, 1e-2, 1e-5, 1e-6, 1e-8]
_STEPS_OF_VIEW = [1e-6, 1e-6, *[1e-6] * 3, *[1e-3] * 3]
# Judged, no source: how far a lens sits off the middle of its picture, in long sides; cheap ones are worse.
_CENTRE_SD = 0.03
_K1_SD = 0.3
_GUESS_SD = 0.3  # of ln f: keeps the steps in bounds, and says nothing beside views that do determine f
_START = (
    cv2.CALIB_USE_INTRINSIC_GUESS
    | cv2.CALIB_FIX_ASPECT_RATIO
    | cv2.CALIB_ZERO_TANGENT_DIST
    | cv2.CALIB_FIX_K2
    | cv2.CALIB_FIX_K3
)


@dataclass(frozen=True)
class View:
    """One photo's points: px (N, 2), xy_mm (N, 2) on the card about its middle, sigma_px (N,)."""

    px: Array
    xy_mm: Array
    sigma_px: Array


@dataclass(frozen=True)
class CameraFit:
    """A camera with standard uncertainties.

    Attributes
    ----------
    camera : Camera
        The lens; rolling shutter is each view's own and not in it.
    f_u_px, k1_u, centre_u_px : float
        The last is the larger of the principal point's two.
    rms_px : float
        Of all points' distances in x and y, those left out by the robust fit included.
    f_disagreement : float
        How far single views pull f about, against what their points' sigma allow; 1 or less is usual.
    print_ratio, print_sigmas : float
        Height over width of the print against what was told, and by how many sigma all views
        together contradict that.
    tilts_deg, distances_mm : tuple of float
        Of each view: card's normal against the line of sight; camera to the card's middle.
    """

    camera: Camera
    f_u_px: float
    k1_u: float
    centre_u_px: float
    rms_px: float
    f_disagreement: float
    print_ratio: float
    print_sigmas: float
    tilts_deg: tuple[float, ...]
    distances_mm: tuple[float, ...]


def fit_camera(views: Sequence[View], size: tuple[int, int], f_px: float, ratio_u: float) -> CameraFit:
    """Fit one camera to all views.

    Parameters
    ----------
    views : sequence of View
        Three or more.
    size : (width, height)
        Of the pictures, px.
    f_px : float
        A guess, good to a factor of two.
    ratio_u : float, > 0
        Standard uncertainty of the card's height over its width, against its definition.

    Notes
    -----
    The stated doubt is the larger of two.  One is the fit's covariance, widened
    where residuals exceed their sigma (Birge).  The other leaves out one view after the
    other (jackknife): it sees what residuals alone do not, a lens that bends light
    otherwise than by k1, or a card that is warped.

    Raises
    ------
    numpy.linalg.LinAlgError
        The views do not determine a camera: all of them look alike.
    """
    first, poses = _start(views, size, f_px)
    blocks = [_observations(view, k, first, poses[k]) for k, view in enumerate(views)]
    steps = np.array(_STEPS_SHARED + _STEPS_OF_VIEW * len(views))
    start = np.zeros(len(steps))
    start[_K1] = first.k1
    priors = _priors(len(views), size, f_px, ratio_u, first)
    solution = solve(start, steps, blocks, priors, iterations=20)
    theta = solution.theta
    residuals = solution.residuals["card features"]
    sigma = np.concatenate([np.repeat(view.sigma_px, 2) for view in views])
    birge = max(1.0, _reduced_chi2(solution, len(views)))
    own = np.sqrt(birge * np.diag(solution.covariance)[:_SHARED])
    camera = _camera(first, theta)
    placed = [_pose(theta, k, pose) for k, pose in enumerate(poses)]
    others = _jackknife(blocks, steps, solution)
    u = np.maximum(own, others)
    return CameraFit(
        camera,
        float(camera.f_px * u[_LN_F]),
        float(u[_K1]),
        float(max(u[_CX], u[_CY])),
        float(np.sqrt(np.mean((residuals * sigma) ** 2))),
        float(others[_LN_F] / np.sqrt(solution.covariance[_LN_F, _LN_F])),
        float((1 + theta[_RATIO] / 2) / (1 - theta[_RATIO] / 2)),
        solution.contradiction(Prior("card print", _RATIO, 0.0, ratio_u)),
        tuple(_tilt(r, t) for r, t in placed),
        tuple(float(np.linalg.norm(t)) for _, t in placed),
    )


def _start(
    views: Sequence[View], size: tuple[int, int], f_px: float
) -> tuple[Camera, list[tuple[Array, Array]]]:
    middle = ((size[0] - 1) / 2, (size[1] - 1) / 2)
    guess = np.array([[f_px, 0, middle[0]], [0, f_px, middle[1]], [0, 0, 1.0]])
    flat = [np.column_stack([v.xy_mm, np.zeros(len(v.xy_mm))]).astype(np.float32) for v in views]
    px = [v.px.astype(np.float32) for v in views]
    try:
        _, matrix, lens, turns, moves = cv2.calibrateCamera(flat, px, size, guess, np.zeros(5), flags=_START)
    except cv2.error as error:
        msg = "the views do not determine a camera"
        raise np.linalg.LinAlgError(msg) from error
    poses = [
        (np.asarray(cv2.Rodrigues(turn)[0], float), np.asarray(move, float).ravel())
        for turn, move in zip(turns, moves, strict=True)
    ]
    return Camera(
        float(matrix[0, 0]), float(matrix[0, 2]), float(matrix[1, 2]), float(lens.ravel()[0])
    ), poses


def _priors(views: int, size: tuple[int, int], f_px: float, ratio_u: float, first: Camera) -> list[Prior]:
    off = _CENTRE_SD * max(size)
    priors = [
        Prior("focal length", _LN_F, float(np.log(f_px / first.f_px)), _GUESS_SD),
        Prior("principal point", _CX, (size[0] - 1) / 2 - first.cx_px, off),
        Prior("principal point", _CY, (size[1] - 1) / 2 - first.cy_px, off),
        Prior("lens distortion", _K1, 0.0, _K1_SD),
        Prior("card print", _RATIO, 0.0, ratio_u),
        Prior("card flatness", _BEND, 0.0, BEND_SD),
    ]
    for k in range(views):
        at = _SHARED + _OF_VIEW * k
        priors += [Prior("rolling shutter", at + j, 0.0, ROLLING_SHUTTER) for j in (_STRETCH, _SHEAR)]
    return priors


def _camera(first: Camera, theta: Array, stretch: float = 0.0, shear: float = 0.0) -> Camera:
    return Camera(
        first.f_px * float(np.exp(theta[_LN_F])),
        first.cx_px + float(theta[_CX]),
        first.cy_px + float(theta[_CY]),
        float(theta[_K1]),
        stretch,
        shear,
    )


def _pose(theta: Array, k: int, pose: tuple[Array, Array]) -> tuple[Array, Array]:
    at = _SHARED + _OF_VIEW * k
    turn, move = theta[at + _TURN : at + _TURN + 3], theta[at + _MOVE : at + _MOVE + 3]
    return np.asarray(rotation_from_vector(turn) @ pose[0]), pose[1] + move


def _observations(view: View, k: int, first: Camera, pose: tuple[Array, Array]) -> Observations:
    at = _SHARED + _OF_VIEW * k

    def residuals(theta: Array) -> Array:
        camera = _camera(first, theta, float(theta[at + _STRETCH]), float(theta[at + _SHEAR]))
        rotation, translation = _pose(theta, k, pose)
        # The ratio is told to both directions, so that it does not act as a distance.
        x = view.xy_mm[:, 0] * (1 - theta[_RATIO] / 2)
        y = view.xy_mm[:, 1] * (1 + theta[_RATIO] / 2)
        points = np.column_stack([x, y, 0.5 * theta[_BEND] * y * y]) @ rotation.T + translation
        return np.asarray(((camera.project(points) - view.px) / view.sigma_px[:, None]).ravel())

    return Observations("card features", residuals, [*range(_SHARED), *range(at, at + _OF_VIEW)])


def _reduced_chi2(solution: Solution, views: int) -> float:
    """Squared residuals per degree of freedom, the robust fit's weights applied."""
    values = len(solution.residuals["card features"])
    kept = values * solution.kept_share["card features"]
    free = max(kept - _SHARED - 6 * views, 1.0)
    return solution.chi2_per_point["card features"] * kept / free


def _jackknife(blocks: Sequence[Observations], steps: Array, solution: Solution) -> Array:
    """Standard uncertainties (6,) of the shared parameters by leaving out one view after the other.

    Each is left out by one Newton step from the solution of all, whose equations are at hand: with
    A and A_k the normal equations of all and of view k, and g_k its gradient, the others move to
    their own best by (A − A_k)⁻¹ g_k.
    """
    total = np.sum(list(solution.information.values()), axis=0)
    theta, n, moves = solution.theta, len(blocks), []
    for k, block in enumerate(blocks):
        uses = list(block.uses)
        r = block.residuals(theta)
        size = np.abs(r)
        w = np.where(size <= HUBER, 1.0, HUBER / np.maximum(size, 1e-12)) * (size <= REJECT)
        jac = np.empty((len(r), len(uses)))
        for column, i in enumerate(uses):
            moved = theta.copy()
            moved[i] += steps[i]
            jac[:, column] = (block.residuals(moved) - r) / steps[i]
        rest, gradient = total.copy(), np.zeros(len(theta))
        rest[np.ix_(uses, uses)] -= jac.T @ (w[:, None] * jac)
        gradient[uses] = jac.T @ (w * r)
        at = _SHARED + _OF_VIEW * k
        others = np.r_[0:at, at + _OF_VIEW : len(theta)]
        scale = 1 / np.sqrt(np.diag(rest)[others])
        rest = rest[np.ix_(others, others)] * scale[:, None] * scale
        moves.append((scale * np.linalg.solve(rest, scale * gradient[others]))[:_SHARED])
    return np.asarray(np.sqrt((n - 1) / n * np.sum((np.array(moves) - np.mean(moves, axis=0)) ** 2, axis=0)))


def _tilt(rotation: Array, translation: Array) -> float:
    cosine = abs(rotation[:, 2] @ translation) / np.linalg.norm(translation)
    return float(np.degrees(np.arccos(np.clip(cosine, 0, 1))))
