"""Which of the lines is the rim: places tried, each refined, the best explanation and its rivals kept.

The light between the steps is free in every column (variable projection, Golub
and Pereyra 1973), so a trial's worth is what it leaves unexplained.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from vision.strut.rim_profiles import STEP_PX, Columns, Place

Array = NDArray[np.float64]
CHAMFERS_MM = (0.0, 0.5, 1.0, 1.6, 2.3, 3.0)
HIGHEST_MM = 3.4
SAME_STEP = 0.25  # of a blur: steps nearer than this are one
RIDGE = 2e-3  # keeps the light between two near steps within bounds
UNMODELLED, UNMODELLED_SHARE = 0.004, 0.01  # of white, and of a bin's own range: what steps do not describe
AS_GOOD = 0.3  # mean log of the misfit within which two explanations count as equal
WEAK_RIM = 1.0
STRAIN = 0.05  # a standard deviation of the elevation, as a mean log of the misfit
RAMP_PX = 20.0
_LEVELS = np.arange(6)
_NUDGE = np.array([0.05, 5e-4, 5e-4, 0.02])
_STRIDE = np.array([1.5, 4e-3, 4e-3, 0.4])  # a refining step goes no farther


@dataclass(frozen=True)
class Bounds:
    """How far the unknowns may lie from where they were taken to be.

    Chamfers lower than `least_chamfer_mm` (about a blur) are not told from none.
    """

    offset: tuple[float, float]
    tan_elevation: float
    turn: float
    tan_elevation_sd: float
    least_chamfer_mm: float

    def clip(self, p: Array) -> Array:
        """Return unknowns (4,) within the bounds; a rim without chamfer stays one."""
        none = p[3] == 0
        low = np.array(
            [self.offset[0], -self.tan_elevation, -self.turn, 0 if none else self.least_chamfer_mm]
        )
        high = np.array([self.offset[1], self.tan_elevation, self.turn, 0 if none else HIGHEST_MM])
        return np.clip(p, low, high)

    def strain(self, place: Place) -> float:
        """What it costs to contradict the elevation that everything else tells."""
        return STRAIN * (place.tan_elevation / self.tan_elevation_sd) ** 2


@dataclass(frozen=True)
class Trial:
    """A place with the misfit it leaves: mean over the bins of the log of the mean square.

    `cost` is the misfit with a penalty for rims that hardly show.
    """

    place: Place
    misfit: float
    cost: float


@dataclass(frozen=True)
class Light:
    """What the light's steps look like: lens blur (px), blur of mirrored edges (px), noise of a bin."""

    blur: float
    mirror_blur: float
    noise: float


def design(columns: Columns, place: Place, light: Light) -> Array:
    """Basis (B, T, 6): see `steps_at`; steps that coincide or are absent are left out as zeros."""
    return steps_at(columns.t, *columns.offsets(place), light)


def steps_at(t: Array, rim: Array, below: Array, above: Array, light: Light) -> Array:
    """Basis (B, T, 6) of a constant, steps at rim (B,), above (B,) and below (B, 2), and a ramp below them all.

    Places in px.  The ramp is the surroundings' own shading beside the piston and in the chrome.
    """
    basis = np.zeros((len(rim), len(t), 6))
    basis[:, :, 0] = 1.0
    basis[:, :, 1] = ndtr((t[None, :] - rim[:, None]) / light.blur)
    taken = [rim]
    soft = float(np.hypot(light.blur, light.mirror_blur))
    for k, (place, s) in enumerate(((above, light.blur), (below[:, 0], light.blur), (below[:, 1], soft))):
        apart = np.min([np.abs(place - other) for other in taken], axis=0)
        real = np.isfinite(place) & (apart > SAME_STEP * light.blur)
        if real.any():
            basis[real, :, 2 + k] = ndtr((t[None, :] - place[real, None]) / s)
        taken.append(np.where(real, place, np.inf))
    lowest = np.fmin(rim, np.fmin(below[:, 0], below[:, 1]))
    basis[:, :, 5] = np.minimum(t[None, :] - lowest[:, None], 0.0) / RAMP_PX
    return basis


def project(profiles: Array, basis: Array, w: Array | None = None) -> tuple[Array, Array]:
    """Best levels (B, 6) under a small ridge, and the weighted residuals (B, T)."""
    a = basis if w is None else basis * w[:, :, None]
    p = profiles if w is None else profiles * w
    turned = a.transpose(0, 2, 1)
    normal = turned @ a
    normal[:, _LEVELS[1:], _LEVELS[1:]] += RIDGE
    normal[:, _LEVELS, _LEVELS] += 1e-9
    levels = np.linalg.solve(normal, turned @ p[:, :, None])
    return np.asarray(levels[:, :, 0]), np.asarray(p - (a @ levels)[:, :, 0])


def tried(columns: Columns, place: Place, light: Light, trust: Array, bounds: Bounds) -> Trial:
    """A place held against the light of the trusted bins."""
    levels, r = project(columns.profiles, design(columns, place, light))
    left = float(np.sum(np.log(_floor(columns, light) + (r * r).mean(axis=1)) * trust) / trust.sum())
    left += bounds.strain(place)
    # A rim that hardly shows close to its chamfer is a way to say "another blur": no evidence.
    # Seen from below the steps where the face ends count with the rim's own.
    height, chamfer = np.abs(levels[:, [1, 3, 4]]).sum(axis=1), np.abs(levels[:, 2])
    share = float(np.median((height / np.maximum(height + chamfer, 1e-6))[trust > 0]))
    close = place.chamfer_mm * columns.k < 3 * light.blur
    return Trial(place, left, left + (WEAK_RIM * max(0.0, 1 - share / 0.15) if close else 0.0))


def _floor(columns: Columns, light: Light) -> Array:
    """Mean square (B,) below which a misfit says nothing."""
    return np.asarray(
        light.noise**2 + UNMODELLED**2 + (UNMODELLED_SHARE * np.ptp(columns.profiles, axis=1)) ** 2
    )


def refine(columns: Columns, place: Place, light: Light, trust: Array, bounds: Bounds, steps: int) -> Place:
    """Move a place downhill: Gauss-Newton on the light, each bin weighted by what it leaves."""
    p = place.as_array()
    for _ in range(steps):
        h, g = _normal(columns, Place(*p), light, trust)
        samples = STRAIN * trust.sum() * len(columns.t) / bounds.tan_elevation_sd**2
        h[1, 1] += samples
        g[1] -= samples * p[1]
        scale = np.sqrt(np.maximum(np.diag(h), 1e-12))
        step = np.linalg.solve(h / np.outer(scale, scale) + 1e-3 * np.eye(4), g / scale) / scale
        p = bounds.clip(p + np.clip(step, -_STRIDE, _STRIDE))
    return Place(*p)


def offset_sd(columns: Columns, place: Place, light: Light, trust: Array) -> float:
    """Standard uncertainty (px) of the rim's front while the other unknowns are free too.

    Grows where the chamfer is too low to be told from the rim.
    """
    h, _ = _normal(columns, place, light, trust)
    scale = np.sqrt(np.maximum(np.diag(h), 1e-12))
    covariance = np.linalg.inv(h / np.outer(scale, scale) + 1e-6 * np.eye(4)) / np.outer(scale, scale)
    # The weights count each sample; half a pixel apart they share their pixels' noise.
    return float(np.sqrt(covariance[0, 0] / STEP_PX))


def _normal(columns: Columns, place: Place, light: Light, trust: Array) -> tuple[Array, Array]:
    """Normal matrix (4, 4) and right side (4,) of the light's fit about a place.

    The log of the mean square is minimised, so each bin weighs by its own misfit.
    """
    basis = design(columns, place, light)
    levels, r = project(columns.profiles, basis)
    w = trust / (_floor(columns, light) + (r * r).mean(axis=1))
    jac = np.empty((*r.shape, 4))
    p = place.as_array()
    for i, nudge in enumerate(_NUDGE):
        q = p.copy()
        q[i] += nudge
        ahead = design(columns, Place(*q), light)
        jac[:, :, i] = ((ahead - basis) @ levels[:, :, None])[:, :, 0] / nudge
    # What the levels can imitate is no news about the place (Kaufman's form).
    turned = basis.transpose(0, 2, 1)
    normal = turned @ basis
    normal[:, _LEVELS, _LEVELS] += 1e-6
    jac -= basis @ np.linalg.solve(normal, turned @ jac)
    weighted = (jac * w[:, None, None]).reshape(-1, 4)
    flat = jac.reshape(-1, 4)
    return np.asarray(flat.T @ weighted), np.asarray(weighted.T @ r.ravel())


def search(columns: Columns, light: Light, trust: Array, bounds: Bounds, starts: list[Place]) -> list[Trial]:
    """Try all starts, refine the promising ones, and return what they came to, the best first."""
    coarse = columns.every(2)
    coarse_trust = trust[::2]
    if coarse_trust.sum() < 3:
        coarse, coarse_trust = columns, trust
    first = [tried(coarse, p, light, coarse_trust, bounds) for p in starts]
    first.sort(key=lambda trial: trial.cost)
    second = []
    for trial in _different(first, columns.k, 10):
        place = refine(coarse, trial.place, light, coarse_trust, bounds, 4)
        second.append(tried(coarse, place, light, coarse_trust, bounds))
    second.sort(key=lambda trial: trial.cost)
    third = []
    for trial in _different(second, columns.k, 4):
        place = refine(columns, trial.place, light, trust, bounds, 6)
        third.append(tried(columns, place, light, trust, bounds))
    return sorted(third, key=lambda trial: trial.cost)


def _different(trials: list[Trial], k: float, count: int) -> list[Trial]:
    """The best trials that are not nearly the same place."""
    kept: list[Trial] = []
    for trial in trials:
        p = trial.place
        if all(
            abs(p.offset - q.place.offset) > 0.7 or abs(p.chamfer_mm - q.place.chamfer_mm) * k > 1.0
            for q in kept
        ):
            kept.append(trial)
        if len(kept) == count:
            break
    return kept
