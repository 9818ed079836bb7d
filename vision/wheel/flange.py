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
SETTLED = 0.01  # of a parameter's sd: by so little the last step moves it
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

    @property
    def moves(self) -> int:
        """How many there are of `moved`."""
        return 2 * len(MOVING)

    def moved(self) -> list[tuple[CirclePose, Camera]]:
        """Return pose and camera moved ahead and behind by a small step of each parameter that moves them."""
        out = []
        for i, size in enumerate(10 * MOVING):
            step = np.zeros(SIZE)
            step[i] = size
            for theta in (self.solution.theta + step, self.solution.theta - step):
                out.append((self.pose_of(theta), self.camera_of(theta)))
        return out

    def gradient_of(self, values: Array) -> Array:
        """Derivative (9,) of a quantity, by central differences of its values at all of `moved`."""
        out = np.zeros(SIZE)  # where the lip's edge appears moves nothing by itself
        out[: len(MOVING)] = (values[::2] - values[1::2]) / (20 * MOVING)
        return out

    def gradient(self, quantity: Callable[[CirclePose, Camera], float]) -> Array:
        """Derivative (9,) of a quantity of pose and camera, by central differences."""
        return self.gradient_of(np.array([quantity(*place) for place in self.moved()]))

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
    # On the way a half of the points tells the course.
    for reach, count in ((max(4.0, 0.02 * size_px), COUNT // 2), (4.0, COUNT // 2), (3.0, COUNT)):
        edge = edge_points(photo, camera, guess, reach, count)
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
        half = rays @ conic
        value = np.einsum("nj,nj->n", half, rays)
        slope = 2 * np.hypot(half[:, 0], half[:, 1])
        off = np.abs(value) / np.maximum(slope, 1e-12) * camera.f_px
        keep = off < max(0.5, 3 * 1.4826 * float(np.median(off)))
        conic = conic_of_points(rays[keep])
    return conic


def edge_residuals(camera: Camera, guess: CirclePose, edge: EdgePoints) -> Callable[[Array], Array]:
    """Return the edge's residuals (N,) as a function of a fit's parameters (9,), 1 sigma = 1."""

    def residuals(theta: Array) -> Array:
        return off_circle(camera, guess, edge, theta)[0]

    return residuals


def _solve(
    camera: Camera, guess: CirclePose, edge: EdgePoints, start: Array, priors: list[Prior]
) -> WheelFit:
    def linear(theta: Array) -> tuple[Array, Array]:
        return off_circle(camera, guess, edge, theta)

    residuals = edge_residuals(camera, guess, edge)
    block = Observations("flange edge", residuals, range(SIZE), linear=linear)
    solution = solve(start, STEPS, [block], priors, tolerance=SETTLED)
    px_per_mm = camera.f_px / float(guess.centre[2])
    return WheelFit(guess, solution, camera, edge, _waves(solution, edge, *linear(solution.theta), px_per_mm))


def off_circle(camera: Camera, guess: CirclePose, edge: EdgePoints, theta: Array) -> tuple[Array, Array]:
    """How far (N,) points lie off the seen circle across the edge, in their sd, and the derivatives (N, 9).

    A point's ray meets the circle's plane at P = t d with t = (c·n)/(d·n); with q = P − c the circle's own
    point is X = c + R q/|q|.  So dP = t dd + d dt with dt = (n·dc − q·dn − t n·dd)/(d·n).
    """
    pose, lens = _seen(_pose(guess, theta), float(theta[_INSIDE])), _camera(camera, theta)
    n, centre, radius = pose.normal, pose.centre, pose.radius_mm
    rays = lens.rays(edge.px)
    by_lens = lens.rays_by_lens(rays)[:, :, :2]  # of x and y alone: z is 1
    falls = rays @ n
    t = float(centre @ n) / falls
    q = t[:, None] * rays - centre
    size = np.linalg.norm(q, axis=1)
    u = q / size[:, None]
    px, by_point, by_own_lens = lens.project_by_all(centre + radius * u)
    across = np.einsum("ni,nij->nj", edge.normal, by_point)  # of the residual, by X
    # What q's change does to it: X keeps to the circle, so only q's turn counts.
    by_q = (across - np.einsum("nj,nj->n", across, u)[:, None] * u) * (radius / size)[:, None]
    by_t = np.einsum("nj,nj->n", by_q, rays) / falls
    x, y, z = guess.frame
    long = float(np.linalg.norm(guess.normal + theta[3] * x + theta[4] * y))
    out = np.empty((len(px), SIZE))
    for i, way in enumerate((x, y, z)):
        out[:, i] = (across - by_q) @ way + by_t * float(n @ way)
    for i, way in ((3, x), (4, y)):
        turn = (way - n * float(n @ way)) / long
        moved = LIP_BEFORE_MM * turn  # the seen circle's centre goes with the normal
        out[:, i] = (across - by_q) @ moved + by_t * (float(n @ moved) - q @ turn)
    for i, k in ((_FOCAL, 0), (_K1, 1)):
        bent = by_lens[:, :, k]
        out[:, i] = np.einsum("ni,ni->n", edge.normal, by_own_lens[:, :, k])
        out[:, i] += t * (np.einsum("nj,nj->n", by_q[:, :2], bent) - by_t * (bent @ n[:2]))
    out[:, _RADIUS] = np.einsum("nj,nj->n", across, u)
    out[:, _INSIDE] = -out[:, _RADIUS]
    off = np.einsum("ni,ni->n", edge.px - px, edge.normal)
    return off / edge.sigma, -out / edge.sigma[:, None]


def _waves(solution: Solution, edge: EdgePoints, here: Array, jacobian: Array, px_per_mm: float) -> Array:
    """How slow waves of the edge shift the parameters (9, M): C Jᵀ W h for each wave h.

    Light from one side, a worn lip or a shadow displaces neighbouring points alike, so their
    number does not make such an error smaller, and on a part of the circle it looks like another pose.
    """
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
