"""The flange's circle fitted to its edge: pose with covariance and budget, for both roots.

The caller gives a first guess of the circle's course, from points tapped on the flange
(`start_from_points`).  A tap says *which* circle is meant; the edge says where it is.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision import notes
from vision.camera import Camera
from vision.fit import REJECT, Observations, Prior, Solution, solve
from vision.photo import Photo
from vision.results import Refusal
from vision.scale.model import CameraKnowledge
from vision.wheel.pose import CirclePose, circle_poses, conic_of_points, conic_through_camera
from vision.wheel.rim_edge import EdgePoints, edge_points

Array = NDArray[np.float64]
NAME = "wheel"
COUNT = 240  # points about the circle
MIN_SHARE = 1 / 3  # 120° of the flange
MIN_KEPT = 0.8
MAX_CHI2 = 9.0
WAVES = "flange's edge as it is"
MOST_WAVES = 8  # about the circle
WAVE_PX = 0.1  # standard uncertainty of each: what the real rim of tests/vision/wheel/test_real_rim.py shows
# A lip is rounded (by 1 to 3 mm): where it turns away to the dark rubber it is dark itself, so its edge
# appears inside and before its widest circle.  On 38 traced lips 0.25 to 1.9 mm inside, 0.72 in the mean.
LIP_INSIDE_MM, LIP_INSIDE_U_MM, LIP_BEFORE_MM = 0.65, 0.4, 1.5
LIP = "flange's rounded lip"
LIP_WAVES_MM = (0.3, 0.1, 0.05)  # by which it does so unevenly, once about the circle, twice, and oftener
MOST_TURN = float(np.radians(2.5))
_FOCAL, _K1, _RADIUS, _INSIDE, SIZE = 5, 6, 7, 8, 9
STEPS = np.array([1e-3, 1e-3, 1e-3, 1e-6, 1e-6, 1e-6, 1e-6, 1e-3, 1e-3])
MOVING = STEPS[:_INSIDE]  # steps of those parameters that move pose and camera


@dataclass(frozen=True)
class WheelFit:
    """One root of the flange's pose.

    Attributes
    ----------
    guess : CirclePose
        About which the parameters of `solution` are small: shifts along the frame's x, y, z (mm),
        turns of the normal towards x and y (rad), ln(f / f0), k1, radius (mm), and how far inside it the
        lip's edge appears (mm).
    solution : Solution
    camera0 : Camera
    edge : EdgePoints
    waves : (9, M) array
        What each slow wave of the edge about the circle does to the parameters, for one standard uncertainty.
    """

    guess: CirclePose
    solution: Solution
    camera0: Camera
    edge: EdgePoints
    waves: Array

    def variance_by_source(self, gradient: Array) -> dict[str, float]:
        """Split the variance of a quantity with this gradient (9,) by source, `waves` among them."""
        parts = self.solution.variance_by_source(gradient)
        return parts | {WAVES: float(np.sum((gradient @ self.waves) ** 2))}

    def variance(self, gradient: Array) -> float:
        """Variance of a quantity with this gradient (9,)."""
        return float(sum(self.variance_by_source(gradient).values()))

    def pose_of(self, theta: Array) -> CirclePose:
        """Return the pose for parameters (9,)."""
        return _pose(self.guess, theta)

    def camera_of(self, theta: Array) -> Camera:
        """Return the camera for parameters (9,)."""
        return _camera(self.camera0, theta)

    @property
    def pose(self) -> CirclePose:
        """The fitted pose."""
        return self.pose_of(self.solution.theta)

    @property
    def camera(self) -> Camera:
        """The camera as the fit left it."""
        return self.camera_of(self.solution.theta)

    def gradient(self, quantity: Callable[[CirclePose, Camera], float]) -> Array:
        """Derivative (9,) of a quantity of pose and camera, by central differences."""
        out = np.zeros(SIZE)
        for i in range(SIZE):
            step = np.zeros(SIZE)
            step[i] = 10 * STEPS[i]
            ahead, behind = self.solution.theta + step, self.solution.theta - step
            out[i] = quantity(self.pose_of(ahead), self.camera_of(ahead)) - quantity(
                self.pose_of(behind), self.camera_of(behind)
            )
        return np.asarray(out / (20 * STEPS))

    def rectify(self, px: Array, depth_mm: float = 0.0) -> Array:
        """Return pixels (N, 2) as mm (N, 2) in a plane `depth_mm` behind the flange's."""
        return self.pose.meet(self.camera.rays(px), depth_mm)

    @property
    def normal_u_deg(self) -> float:
        """Standard uncertainty of the normal's direction, the larger of its two turns."""
        turns = (self.solution.covariance + self.waves @ self.waves.T)[3:5, 3:5]
        return float(np.degrees(np.sqrt(np.linalg.eigvalsh(turns)[-1])))


def fit_flange(
    photo: Photo,
    known: CameraKnowledge,
    diameter_mm: float,
    diameter_u_mm: float,
    rim_px: Array,
    least_kept: float = MIN_KEPT,
) -> tuple[WheelFit, WheelFit] | Refusal:
    """Fit the flange's circle about five or more points tapped on its edge.

    Parameters
    ----------
    known : CameraKnowledge
    diameter_mm, diameter_u_mm : float
        Of the visible flange edge, from the leg's data.
    rim_px : (N ≥ 5, 2) array
        Points on the flange's edge, to about 1 % of its size.
    least_kept : float, 0 to 1
        Share of the edge found that must lie on one circle.  A caller who holds the circle
        against something else besides, as `vision.tire` does, may ask for less: a cap's edge
        close inside the flange spoils half of it.

    Returns
    -------
    (WheelFit, WheelFit) or Refusal
        Both roots, best residuals first; they may be the same pose where the camera is square on.
    """
    camera = Camera(known.f_px, known.cx_px, known.cy_px, known.k1)
    radius = diameter_mm / 2
    try:
        conic = conic_of_points(camera.rays(rim_px))
        guess = circle_poses(conic, radius)[0]
    except (ValueError, np.linalg.LinAlgError) as error:
        return Refusal(NAME, notes.FLANGE_NOT_FOUND, str(error))
    edge = EdgePoints(np.zeros((0, 2)), np.zeros((0, 2)), np.zeros(0), 0.0, 0.0)
    size_px = known.f_px * radius / float(guess.centre[2])
    for reach in (max(4.0, 0.02 * size_px), 4.0, 3.0):
        edge = edge_points(photo, camera, guess, reach, COUNT)
        if edge.share < MIN_SHARE:
            seen = f"{edge.share:.0%} of its edge clear"
            return Refusal(NAME, notes.FLANGE_NOT_FOUND, seen)
        guess = circle_poses(_conic_robust(camera, edge), radius - LIP_INSIDE_MM)[0]
    priors = flange_priors(known, diameter_mm, diameter_u_mm)
    start = np.zeros(SIZE)
    start[_K1], start[_RADIUS], start[_INSIDE] = known.k1, radius, LIP_INSIDE_MM
    fits: list[WheelFit] = []
    try:
        first = _solve(camera, _behind(guess, LIP_INSIDE_MM), edge, start, priors)
        twin = _twin(first)
        fits = [first, _solve(camera, twin, edge, start, priors)]
    except (ValueError, np.linalg.LinAlgError):
        return Refusal(NAME, notes.FLANGE_NOT_FOUND, "its pose cannot be told")
    fits.sort(key=lambda fit: fit.solution.chi2_per_point["flange edge"])
    best = fits[0].solution
    kept = best.kept_share["flange edge"]
    if kept < least_kept or best.chi2_per_point["flange edge"] > MAX_CHI2:
        return Refusal(NAME, notes.FLANGE_NOT_ROUND, f"{kept:.0%} of its edge fits")
    if kept * edge.share < MIN_KEPT * MIN_SHARE:
        return Refusal(NAME, notes.FLANGE_NOT_FOUND, f"{kept * edge.share:.0%} of its edge clear")
    return fits[0], fits[1]


def flange_priors(known: CameraKnowledge, diameter_mm: float, diameter_u_mm: float) -> list[Prior]:
    """What is known of camera and flange before the edge is read; the flange's diameter is the third."""
    return [
        Prior("focal length", _FOCAL, 0.0, known.f_u_px / known.f_px),
        Prior("lens distortion", _K1, known.k1, known.k1_u),
        Prior("flange diameter", _RADIUS, diameter_mm / 2, diameter_u_mm / 2),
        Prior(LIP, _INSIDE, LIP_INSIDE_MM, LIP_INSIDE_U_MM),
    ]


def _twin(fit: WheelFit) -> CirclePose:
    """The other pose that explains the same cone as a fitted one."""
    inside = float(fit.solution.theta[_INSIDE])
    pose = _seen(fit.pose, inside)
    roots = circle_poses(conic_through_camera(pose), pose.radius_mm)
    return _behind(max(roots, key=lambda root: float(np.linalg.norm(root.normal - pose.normal))), inside)


def _seen(pose: CirclePose, inside: float) -> CirclePose:
    """The circle that is seen of a flange: its lip's edge, `inside` mm smaller and before it."""
    return CirclePose(pose.centre + LIP_BEFORE_MM * pose.normal, pose.normal, pose.radius_mm - inside)


def _behind(seen: CirclePose, inside: float) -> CirclePose:
    """The flange whose lip's edge is seen so."""
    return CirclePose(seen.centre - LIP_BEFORE_MM * seen.normal, seen.normal, seen.radius_mm + inside)


def _conic_robust(camera: Camera, edge: EdgePoints) -> Array:
    """A direct fit, repeated without the points that lie off it."""
    rays = camera.rays(edge.px)
    keep = np.ones(len(rays), bool)
    conic = conic_of_points(rays)
    for _ in range(4):
        value = np.einsum("ni,ij,nj->n", rays, conic, rays)
        slope = np.linalg.norm(2 * (rays @ conic)[:, :2], axis=1)
        off = np.abs(value) / np.maximum(slope, 1e-12) * camera.f_px
        keep = off < max(0.5, 3 * 1.4826 * float(np.median(off)))
        conic = conic_of_points(rays[keep])
    return conic


def edge_residuals(camera: Camera, guess: CirclePose, edge: EdgePoints) -> Callable[[Array], Array]:
    """Return the edge's residuals (N,) as a function of a fit's parameters (9,), 1 sigma = 1."""

    def residuals(theta: Array) -> Array:
        pose, lens = _seen(_pose(guess, theta), float(theta[_INSIDE])), _camera(camera, theta)
        p = pose.meet(lens.rays(edge.px))
        on = camera_points(pose, p * (pose.radius_mm / np.linalg.norm(p, axis=1))[:, None])
        return np.asarray(np.sum((edge.px - lens.project(on)) * edge.normal, axis=1) / edge.sigma)

    return residuals


def _solve(
    camera: Camera, guess: CirclePose, edge: EdgePoints, start: Array, priors: list[Prior]
) -> WheelFit:
    residuals = edge_residuals(camera, guess, edge)
    block = Observations("flange edge", residuals, range(SIZE))
    solution = solve(start, STEPS, [block], priors)
    px_per_mm = camera.f_px / float(guess.centre[2])
    return WheelFit(guess, solution, camera, edge, _waves(solution, edge, residuals, px_per_mm))


def _waves(
    solution: Solution, edge: EdgePoints, residuals: Callable[[Array], Array], px_per_mm: float
) -> Array:
    """How slow waves of the edge shift the parameters (9, M): C Jᵀ W h for each wave h.

    Light from one side, a worn lip or a shadow displaces neighbouring points alike, so their
    number does not make such an error smaller, and on a part of the circle it looks like another pose.
    """
    here = residuals(solution.theta)
    jacobian = np.zeros((len(here), SIZE))
    for i in range(SIZE):
        moved = solution.theta.copy()
        moved[i] += STEPS[i]
        jacobian[:, i] = (residuals(moved) - here) / STEPS[i]
    kept = np.abs(here) < REJECT
    h = edge_waves(edge, px_per_mm)
    effect = solution.covariance @ jacobian[kept].T @ h[kept]
    # Square on the turn goes with the wave's root: its linear effect would grow without end.
    turn_by = np.linalg.norm(effect[3:5], axis=0)
    return np.asarray(effect * np.minimum(1.0, MOST_TURN / np.maximum(turn_by, 1e-12)))


def edge_waves(edge: EdgePoints, px_per_mm: float) -> Array:
    """Return each slow wave of the edge (N, M) as residuals, for one standard uncertainty of it."""
    turn = np.arctan2(edge.normal[:, 1], edge.normal[:, 0])
    waves = [WAVE_PX * np.ones(len(turn))]
    for k in range(1, MOST_WAVES + 1):
        size = np.hypot(WAVE_PX, px_per_mm * LIP_WAVES_MM[min(k, len(LIP_WAVES_MM)) - 1])
        waves += [size * np.cos(k * turn), size * np.sin(k * turn)]
    return np.asarray(np.column_stack(waves) / edge.sigma[:, None])


def camera_points(pose: CirclePose, xy_mm: Array) -> Array:
    """Return points (N, 2) of the circle's plane in the camera's frame (N, 3)."""
    x, y, _ = pose.frame
    return np.asarray(pose.centre + xy_mm[:, :1] * x + xy_mm[:, 1:] * y)


def moved(pose: CirclePose, camera: Camera, step: Array) -> tuple[CirclePose, Camera]:
    """Return a pose and a camera moved by a small step (8,) of the parameters that move them."""
    theta = np.array(step, float)
    theta[_RADIUS] += pose.radius_mm
    theta[_K1] += camera.k1
    return _pose(pose, theta), _camera(camera, theta)


def _pose(guess: CirclePose, theta: Array) -> CirclePose:
    x, y, z = guess.frame
    centre = guess.centre + theta[0] * x + theta[1] * y + theta[2] * z
    normal = guess.normal + theta[3] * x + theta[4] * y
    return CirclePose(np.asarray(centre), np.asarray(normal / np.linalg.norm(normal)), float(theta[_RADIUS]))


def _camera(camera: Camera, theta: Array) -> Camera:
    return Camera(camera.f_px * float(np.exp(theta[_FOCAL])), camera.cx_px, camera.cy_px, float(theta[_K1]))
