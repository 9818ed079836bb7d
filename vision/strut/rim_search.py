"""Which of the lines is the rim: places tried, each refined, the best explanation and its rivals kept.

The light between the steps is free in every column (variable projection, Golub
and Pereyra 1973), so a trial's worth is what it leaves unexplained.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.edges import bell_and_step
from vision.strut.rim_profiles import STEP_PX, Columns, Place

Array = NDArray[np.float64]
Image = NDArray[np.float32]
CHAMFERS_MM = (0.0, 0.5, 1.0, 1.6, 2.3, 3.0)
HIGHEST_MM = 3.4
SAME_STEP = 0.25  # of a blur: steps nearer than this are one
RIDGE = 2e-3  # keeps the light between two near steps within bounds
UNMODELLED, UNMODELLED_SHARE = 0.004, 0.01  # of white, and of a bin's own range: what steps do not describe
AS_GOOD = 0.3  # mean log of the misfit within which two explanations count as equal
WEAK_RIM = 1.0
STRAIN = 0.05  # a standard deviation of the elevation, as a mean log of the misfit
CHAMFER_STRAIN, MOST_STRAIN = 0.1, 1.0  # the same of the chamfer's height; a collar may have another form
RAMP_PX = 20.0
_LEVELS = np.arange(6)
_AT_ONCE = 600_000  # samples whose light is worked out together: beyond the processor's cache it is slower
_NUDGE = np.array([0.05, 5e-4, 5e-4, 0.02])
_SETTLED = np.array([1e-3, 1e-5, 1e-5, 2e-4])  # a place that moves by less has arrived
_STRIDE = np.array([1.5, 4e-3, 4e-3, 0.4])  # a refining step goes no farther


@dataclass(frozen=True)
class Bounds:
    """How far the unknowns may lie from where they were taken to be.

    Chamfers lower than `least_chamfer_mm` (about a blur) are not told from none.  `chamfer_mm`
    is how high it should be, with its sd, where the collar's sides tell it.
    """

    offset: tuple[float, float]
    tan_elevation: float
    turn: float
    tan_elevation_sd: float
    least_chamfer_mm: float
    chamfer_mm: tuple[float, float] | None = None

    def clip(self, p: Array) -> Array:
        """Return unknowns (K, 4) within the bounds; a rim without chamfer stays one."""
        low = np.array([self.offset[0], -self.tan_elevation, -self.turn, self.least_chamfer_mm])
        high = np.array([self.offset[1], self.tan_elevation, self.turn, HIGHEST_MM])
        result = np.clip(p, low, high)
        result[p[:, 3] == 0, 3] = 0.0
        return result

    def strain(self, p: Array) -> Array:
        """What it costs unknowns (K, 4) to contradict the elevation or the chamfer that all else tells."""
        strain = STRAIN * (p[:, 1] / self.tan_elevation_sd) ** 2
        if self.chamfer_mm is None:
            return np.asarray(strain)
        height, sd = self.chamfer_mm
        return np.asarray(strain + np.minimum(CHAMFER_STRAIN * ((p[:, 3] - height) / sd) ** 2, MOST_STRAIN))


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


@dataclass(frozen=True)
class _Steps:
    """Four steps in profiles: places (..., 4) of rim, chamfer's upper edge and the two below it, px.

    `real` tells which of them are there and apart from the others; `begin` where the ramp
    begins, and `lowest` which step that is.
    """

    places: Array
    real: NDArray[np.bool_]
    blurs: Array
    begin: Array
    lowest: NDArray[np.intp]

    @classmethod
    def of(cls, rim: Array, below: Array, above: Array, light: Light) -> "_Steps":
        places = np.stack([rim, above, below[..., 0], below[..., 1]], axis=-1)
        real, taken = np.isfinite(places), [rim]
        for k in range(1, 4):
            apart = np.min([np.abs(places[..., k] - other) for other in taken], axis=0)
            real[..., k] &= apart > SAME_STEP * light.blur
            taken.append(np.where(real[..., k], places[..., k], np.inf))
        soft = float(np.hypot(light.blur, light.mirror_blur))
        blurs = np.broadcast_to([light.blur, light.blur, light.blur, soft], places.shape)
        # A step that is left out still tells where the ramp begins.
        low = np.where(np.isfinite(places), places, np.inf)
        low[..., 1] = np.inf
        lowest = np.argmin(low, axis=-1)
        return cls(places, real, blurs, np.min(low, axis=-1), lowest)

    def _own(self, t: Array) -> tuple[Image, Image]:
        """Offsets (M, T) in blurs from the real steps, and their blurs (M, 1)."""
        blurs = self.blurs[self.real][:, None]
        return ((t - self.places[self.real][:, None]) / blurs).astype(np.float32), blurs.astype(np.float32)

    def terms(self, t: Array) -> Array:
        """Basis (..., 6, T): a constant, the steps, and the ramp; steps that are not real are zeros."""
        result = np.zeros((*self.begin.shape, 6, len(t)))
        result[..., 0, :] = 1.0
        result[..., 1:5, :][self.real] = bell_and_step(self._own(t)[0])[1]
        result[..., 5, :] = np.minimum(t - self.begin[..., None], 0.0) / RAMP_PX
        return result

    def with_changes(self, t: Array) -> tuple[Array, Array]:
        """`terms`, and how they change with their places (..., 9, T): steps and ramp, then the steps' curvature."""
        terms, changes = self.terms(t), np.zeros((*self.begin.shape, 9, len(t)))
        u, blurs = self._own(t)
        bell = bell_and_step(u)[0] * (np.float32(-1 / np.sqrt(2 * np.pi)) / blurs)
        changes[..., :4, :][self.real] = bell
        changes[..., 4, :] = (t < self.begin[..., None]) * (-1 / RAMP_PX)
        changes[..., 5:, :][self.real] = bell * u / blurs
        return terms, changes


def steps_at(t: Array, rim: Array, below: Array, above: Array, light: Light) -> Array:
    """Basis (..., 6, T) of a constant, steps at rim (...), above (...) and below (..., 2), and a ramp below them all.

    Places in px; steps that coincide or are absent are left out as zeros.  The
    ramp is the surroundings' own shading beside the piston and in the chrome.
    """
    return _Steps.of(rim, below, above, light).terms(t)


def project(profiles: Array, terms: Array, w: Array | None = None) -> tuple[Array, Array]:
    """Best levels (..., 6) under a small ridge, and the weighted residuals (..., T)."""
    a = terms if w is None else terms * w[..., None, :]
    p = profiles if w is None else profiles * w
    normal = a @ np.swapaxes(a, -1, -2)
    normal[..., _LEVELS[1:], _LEVELS[1:]] += RIDGE
    normal[..., _LEVELS, _LEVELS] += 1e-9
    levels = np.linalg.solve(normal, a @ p[..., None])
    return np.asarray(levels[..., 0]), np.asarray(p - (np.swapaxes(levels, -1, -2) @ a)[..., 0, :])


def tried(columns: Columns, places: list[Place], light: Light, trust: Array, bounds: Bounds) -> list[Trial]:
    """Places held against the light of the trusted bins."""
    floor = _floor(columns, light)
    found = []
    for few in _portions(columns, places):
        p = np.array([place.as_array() for place in few])
        levels, r = project(columns.profiles, steps_at(columns.t, *columns.many_offsets(p), light))
        left = np.sum(np.log(floor + (r * r).mean(axis=2)) * trust, axis=1) / trust.sum()
        left += bounds.strain(p)
        # A rim that hardly shows close to its chamfer is a way to say "another blur": no evidence.
        # Seen from below the steps where the face ends count with the rim's own.
        height, chamfer = np.abs(levels[..., [1, 3, 4]]).sum(axis=2), np.abs(levels[..., 2])
        share = np.median((height / np.maximum(height + chamfer, 1e-6))[:, trust > 0], axis=1)
        close = p[:, 3] * columns.k < 3 * light.blur
        cost = left + np.where(close, WEAK_RIM * np.maximum(0.0, 1 - share / 0.15), 0.0)
        found += [Trial(*values) for values in zip(few, left.tolist(), cost.tolist(), strict=True)]
    return found


def _portions(columns: Columns, places: list[Place]) -> list[list[Place]]:
    """The places in portions that are worked out at once."""
    count = max(_AT_ONCE // columns.profiles.size // len(_LEVELS), 1)
    return [places[i : i + count] for i in range(0, len(places), count)]


def _floor(columns: Columns, light: Light) -> Array:
    """Mean square (B,) below which a misfit says nothing."""
    return np.asarray(
        light.noise**2 + UNMODELLED**2 + (UNMODELLED_SHARE * np.ptp(columns.profiles, axis=1)) ** 2
    )


def refine(
    columns: Columns, places: list[Place], light: Light, trust: Array, bounds: Bounds, steps: int
) -> list[Place]:
    """Move places downhill: Gauss-Newton on the light, each bin weighted by what it leaves."""
    return [
        Place(*unknowns.tolist())
        for few in _portions(columns, places)
        for unknowns in _refined(columns, few, light, trust, bounds, steps)
    ]


def _refined(
    columns: Columns, places: list[Place], light: Light, trust: Array, bounds: Bounds, steps: int
) -> Array:
    p = np.array([place.as_array() for place in places])
    samples = STRAIN * trust.sum() * len(columns.t) / bounds.tan_elevation_sd**2
    moving = np.arange(len(p))
    for _ in range(steps):
        now = p[moving]
        h, g = _normal(columns, now, light, trust)
        h[:, 1, 1] += samples
        g[:, 1] -= samples * now[:, 1]
        scale = np.sqrt(np.maximum(np.einsum("kii->ki", h), 1e-12))
        h /= scale[:, :, None] * scale[:, None, :]
        step = np.linalg.solve(h + 1e-3 * np.eye(4), (g / scale)[:, :, None])[:, :, 0] / scale
        p[moving] = bounds.clip(now + np.clip(step, -_STRIDE, _STRIDE))
        moving = moving[(np.abs(p[moving] - now) > _SETTLED).any(axis=1)]
        if len(moving) == 0:
            break
    return p


def offset_sd(columns: Columns, place: Place, light: Light, trust: Array) -> float:
    """Standard uncertainty (px) of the rim's front while the other unknowns are free too.

    Grows where the chamfer is too low to be told from the rim.
    """
    h = _normal(columns, place.as_array()[None], light, trust)[0][0]
    scale = np.sqrt(np.maximum(np.diag(h), 1e-12))
    covariance = np.linalg.inv(h / np.outer(scale, scale) + 1e-6 * np.eye(4)) / np.outer(scale, scale)
    # The weights count each sample; half a pixel apart they share their pixels' noise.
    return float(np.sqrt(covariance[0, 0] / STEP_PX))


def _normal(columns: Columns, p: Array, light: Light, trust: Array) -> tuple[Array, Array]:
    """Normal matrices (K, 4, 4) and right sides (K, 4) of the light's fit about unknowns (K, 4).

    The log of the mean square is minimised, so each bin weighs by its own misfit.
    """
    steps = _Steps.of(*columns.many_offsets(p), light)
    terms, changes = steps.with_changes(columns.t)
    levels, r = project(columns.profiles, terms)
    w = trust / (_floor(columns, light) + (r * r).mean(axis=2))
    moves = columns.offsets_by_unknowns(p)
    ramp = np.take_along_axis(moves, steps.lowest[:, :, None, None], axis=2)
    # The mean slope over a nudge, not that at the place itself: the misfit is never nought, so the two
    # settle some hundredths of a pixel apart, and what counts as a rival was tried with the former.
    share = np.concatenate([moves, ramp, moves**2 * (0.5 * _NUDGE)], axis=2)
    share *= levels[..., [1, 2, 3, 4, 5, 1, 2, 3, 4], None]
    jac = np.swapaxes(share, -1, -2) @ changes
    # What the levels can imitate is no news about the place (Kaufman's form).
    turned = np.swapaxes(terms, -1, -2)
    normal = terms @ turned
    normal[..., _LEVELS, _LEVELS] += 1e-6
    jac -= np.swapaxes(np.linalg.solve(normal, np.swapaxes(jac @ turned, -1, -2)), -1, -2) @ terms
    h = jac @ np.swapaxes(jac, -1, -2)
    g = (jac @ r[..., None])[..., 0]
    return np.asarray((h * w[..., None, None]).sum(axis=1)), np.asarray((g * w[..., None]).sum(axis=1))


def search(columns: Columns, light: Light, trust: Array, bounds: Bounds, starts: list[Place]) -> list[Trial]:
    """Try all starts, refine the promising ones, and return what they came to, the best first."""
    coarse = columns.every(2)
    coarse_trust = trust[::2]
    if coarse_trust.sum() < 3:
        coarse, coarse_trust = columns, trust
    first = sorted(tried(coarse, starts, light, coarse_trust, bounds), key=_cost)
    places = [trial.place for trial in _different(first, columns.k, 10)]
    places = refine(coarse, places, light, coarse_trust, bounds, 4)
    second = sorted(tried(coarse, places, light, coarse_trust, bounds), key=_cost)
    places = [trial.place for trial in _different(second, columns.k, 4)]
    places = refine(columns, places, light, trust, bounds, 6)
    return sorted(tried(columns, places, light, trust, bounds), key=_cost)


def _cost(trial: Trial) -> float:
    return trial.cost


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
