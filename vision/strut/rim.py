"""The collar's lower rim told apart from its neighbours: chamfer, face and mirror image.

Along one column of the straightened view the light has a step at the rim, one
a little above it where the chamfer begins, and, seen from below, one where the
face ends: at the piston (and once more at the rim's mirror image) or, beside
the piston, at the face's far edge.  Nearer than two blurs they cannot be fitted
one by one; but the geometry ties all of them to two unknowns, where the rim is
and how high the chamfer is.  Those two are searched for all columns at once,
with the light between the steps free in every column (variable projection,
Golub and Pereyra).
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from vision.edges import binned
from vision.strut.collect import Edge
from vision.strut.model import Points
from vision.strut.window import Straightened, Window

Array = NDArray[np.float64]
CHAMFERS_MM = (0.0, 0.3, 0.5, 0.7, 0.9, 1.1, 1.4, 1.7, 2.0, 2.5, 3.0)
HIGHEST_MM = 3.2
AS_GOOD = 0.3  # mean log of the misfit within which two explanations count as equal
MIRROR_SPREAD = 0.02  # rad: polished chrome's scatter (from memory)
WEAK_RIM = 1.0
SAME_STEP = 0.25  # of a blur: steps nearer than this are one
BIN = 8
RIDGE = 2e-3  # keeps the light between two near steps within bounds


@dataclass(frozen=True)
class RimFit:
    """The rim's points with the chamfer that explains the profiles best.

    `offset_u_px` is the doubt that the chamfer's height leaves in all points
    together; `misfit` the rms left in the profiles as a multiple of the noise.
    """

    edge: Edge
    chamfer_mm: float
    offset_u_px: float
    misfit: float


@dataclass(frozen=True)
class _Columns:
    """Binned profiles along the rim's course: places, light, and the neighbours' offsets."""

    x_mm: Array
    course_mm: Array
    profiles: Array  # (B, T), t up the axis in px
    below: Array  # (B, 2) offsets of the steps below the rim, px; nan where there is none
    offered: int
    sound: Array  # (B,) 1 where no light is burnt out
    mirror_blur: float = 0.0  # px, of the mirror image beyond the lens's blur: chrome is no perfect mirror


def _prepare(
    view: Straightened,
    window: Window,
    usable: NDArray[np.bool_],
    piston: float,
    collar: float,
    s: float,
    below_deg: float,
    t: Array,
) -> _Columns:
    course = view.ring_course(s, collar)
    x = view.x_mm
    inner = np.abs(x) < 0.8 * piston
    outer = (np.abs(x) > 1.07 * piston) & (np.abs(x) < 0.94 * collar)
    wanted = (inner | outer) & np.isfinite(course)
    take = np.flatnonzero(wanted & usable)
    sector = np.where(inner, 0, np.where(x < 0, -1, 1))[take]
    junction = view.ring_course(s, piston)
    mirror = view.mirrored_rim_course(s, piston, collar, float(np.tan(np.radians(max(below_deg, 0.0)))))
    far = view.ring_course(s, collar, far=True)
    steps = np.full((len(x), 2), np.nan)
    if below_deg > 0.1:
        steps[inner, 0] = (junction - course)[inner] * view.k
        steps[inner, 1] = (mirror - course)[inner] * view.k
        steps[outer, 0] = (far - course)[outer] * view.k
    groups = [take[sector == g] for g in (-1, 0, 1)]
    chosen = [g[: len(g) // BIN * BIN] for g in groups if len(g) >= BIN]
    offered = int(max((wanted & usable).sum(), 0.5 * wanted.sum()) // BIN)
    if not chosen:
        empty = np.zeros(0)
        return _Columns(empty, empty, np.zeros((0, len(t))), np.zeros((0, 2)), max(offered, 1), empty)
    index = np.concatenate(chosen)
    s_grid = course[index, None] + t[None, :] / view.k
    x_grid = np.repeat(x[index, None], len(t), axis=1)
    light = window.lumas(view.photo_pixels(x_grid, s_grid))

    def mean(values: Array) -> Array:
        return binned(values.reshape(len(index), -1)[:, :, None], BIN)[:, :, 0]

    sound = (mean((light > window.burnt).astype(float)).max(axis=1) < 0.1).astype(float)
    offered -= int(len(sound) - sound.sum())
    return _Columns(
        mean(x[index])[:, 0],
        mean(course[index])[:, 0],
        mean(light),
        mean(steps[index]),
        max(offered, 1),
        sound,
    )


def _chamfer_offsets(
    view: Straightened, x_mm: Array, course_mm: Array, s: float, collar: float, c: float
) -> Array:
    """How far above the rim (px) a 45° chamfer of height c begins, per bin."""
    top = np.interp(x_mm, view.x_mm, np.nan_to_num(view.ring_course(s + c, collar + c)))
    return np.asarray((top - course_mm) * view.k)


def _design(t: Array, rim: Array, above: Array, columns: _Columns, blur: float) -> Array:
    """Basis (B, T, 5): constant and the steps, those that coincide or are absent left out as zeros."""
    basis = np.zeros((len(rim), len(t), 5))
    basis[:, :, 0] = 1.0
    basis[:, :, 1] = ndtr((t[None, :] - rim[:, None]) / blur)
    taken = [np.zeros(len(rim))]
    below = columns.below
    soft = float(np.hypot(blur, columns.mirror_blur))
    for k, (offset, s) in enumerate(((above, blur), (below[:, 0], blur), (below[:, 1], soft))):
        apart = np.min([np.abs(offset - other) for other in taken], axis=0)
        real = np.isfinite(offset) & (apart > SAME_STEP * blur)
        place = rim + np.nan_to_num(offset)
        basis[:, :, 2 + k] = np.where(real[:, None], ndtr((t[None, :] - place[:, None]) / s), 0.0)
        taken.append(np.where(real, offset, np.inf))
    return basis


def _project(profiles: Array, basis: Array, w: Array) -> tuple[Array, Array]:
    """Best levels (B, 5) under a small ridge, and the weighted residuals (B, T)."""
    a = basis * w[:, :, None]
    normal = np.einsum("bti,btj->bij", a, a)
    normal[:, np.arange(1, 5), np.arange(1, 5)] += RIDGE
    normal[:, np.arange(5), np.arange(5)] += 1e-9
    right = np.einsum("bti,bt->bi", a, profiles * w)
    levels = np.linalg.solve(normal, right[:, :, None])[:, :, 0]
    return levels, (profiles - np.einsum("bti,bi->bt", basis, levels)) * w


def fit_rim(
    view: Straightened,
    window: Window,
    usable: NDArray[np.bool_],
    piston: float,
    collar: float,
    s: float,
    below_deg: float,
    blur: float,
    search_px: float,
    wide: bool,
) -> RimFit | None:
    """Fit the rim near axial place s on a straightened view.

    Parameters
    ----------
    usable : (columns,) bool array
        Columns whose light about the rim is the strut's (not the card's).
    piston, collar : float
        Radii, mm.
    below_deg : float
        How far the camera stands below the rim's plane, degrees (negative: above).
    blur : float
        Edge-spread sigma, px.
    search_px : float
        How far the rim may lie from s.
    wide : bool
        Whether s may also be the place of the chamfer's upper edge.
    """
    reach = 4.0 * blur + 2.0
    # Whatever steep line led here may be the rim or the chamfer's upper edge: look a chamfer's
    # height both ways, and make every trial explain the whole stretch.
    span = (-search_px - (HIGHEST_MM * view.k if wide else 0.0), search_px)
    t = np.arange(span[0] - reach - 1, HIGHEST_MM * view.k + reach + 1, 0.5)
    columns = _prepare(view, window, usable, piston, collar, s, below_deg, t)
    if len(columns.x_mm) < 5:
        return None
    above = {c: _chamfer_offsets(view, columns.x_mm, columns.course_mm, s, collar, c) for c in CHAMFERS_MM}
    trust = columns.sound.copy()
    if trust.sum() < 5:
        return None
    change = np.maximum(np.ptp(columns.profiles, axis=1), 0.01)
    offset, chamfer, cost = 0.0, 0.0, np.inf
    for _ in range(2):
        # Chrome may be a perfect mirror or a dull one: the better explanation counts.
        spreads = {0.0, MIRROR_SPREAD * (collar - piston) * view.k} if below_deg > 0.1 else {0.0}
        trials = [replace(columns, mirror_blur=spread) for spread in sorted(spreads)]
        answers = [_search(trial, t, above, blur, span, window.noise, trust) for trial in trials]
        offset, chamfer, cost, curve = min(answers, key=lambda answer: answer[2])
        columns = trials[[answer[2] for answer in answers].index(cost)]
        if not wide and abs(offset) > search_px:
            return None  # still on the move after the wide search: not settled, so not known
        position, sigma, height, rms = _each(columns, t, offset, above[chamfer], blur, reach)
        off = position - _smooth_course(columns.x_mm / collar, position, trust)
        spread = max(1.4826 * float(np.median(np.abs(off))), 0.08)
        trust = (
            columns.sound
            * (np.abs(off) < 3.5 * spread)
            * (rms < np.maximum(4 * np.median(rms), 0.05 * change))
        )
    good = (trust > 0) & (sigma < 0.6) & (height > max(0.008, 4 * window.noise / np.sqrt(BIN)))
    if good.sum() < 5:
        return None
    places = columns.course_mm + position / view.k
    px = view.photo_pixels(columns.x_mm, places)[good]
    edge = Edge(
        Points(px, np.hypot(sigma[good], 0.12)),
        float(good.sum()) / columns.offered,
        float(np.median(height[good])),
        blur,
        offset,
    )
    misfit = float(np.median(rms[good])) * np.sqrt(BIN) / window.noise
    return RimFit(edge, chamfer, curve, float(misfit))


def _search(
    columns: _Columns,
    t: Array,
    above: dict[float, Array],
    blur: float,
    span: tuple[float, float],
    noise: float,
    trust: Array,
) -> tuple[float, float, float, float]:
    """Return the best common offset, chamfer, cost, and the offset's doubt."""
    floor = (noise / np.sqrt(BIN)) ** 2

    def cost(offset: float, chamfer: float) -> float:
        rim = np.full(len(columns.x_mm), offset)
        design = _design(t, rim, above[chamfer], columns, blur)
        levels, r = _project(columns.profiles, design, np.ones((len(rim), len(t))))
        misfit = float(np.sum(np.log(floor + (r * r).mean(axis=1)) * trust) / trust.sum())
        # A rim that hardly shows beside its chamfer is a way to say "another blur": no evidence.
        # Seen from below the steps where the face ends count with the rim's own.
        height, chamfer_height = np.abs(levels[:, [1, 3, 4]]).sum(axis=1), np.abs(levels[:, 2])
        share = float(np.median((height / np.maximum(height + chamfer_height, 1e-6))[trust > 0]))
        close = float(np.median(above[chamfer])) < 3 * blur
        return misfit + (WEAK_RIM * max(0.0, 1 - share / 0.15) if close else 0.0)

    step = 0.6 * max(blur, 0.7)
    offsets = np.arange(span[0], span[1] + 0.01, step)
    table = np.array([[cost(o, c) for o in offsets] for c in above])
    keys = list(above)
    best = np.unravel_index(int(np.argmin(table)), table.shape)
    fine = offsets[best[1]] + np.linspace(-1, 1, 7) * step
    row_best = int(best[0])
    near = keys[max(row_best - 1, 0) : row_best + 2]
    refined = np.array([[cost(o, c) for o in fine] for c in near])
    spot = np.unravel_index(int(np.argmin(refined)), refined.shape)
    least, offset = float(refined[spot]), float(fine[spot[1]])
    # How far the rim may move when another chamfer explains the light as well.
    rivals = [
        abs(float(offsets[np.argmin(row)]) - offset) - 0.5 * step
        for row in table
        if row.min() < least + AS_GOOD
    ]
    return offset, near[spot[0]], least, max([0.0, *rivals]) / np.sqrt(3) + 0.02


def _each(
    columns: _Columns, t: Array, offset: float, above: Array, blur: float, reach: float
) -> tuple[Array, Array, Array, Array]:
    """Fit each bin's own position with chamfer and neighbours tied to it."""
    rim = np.full(len(columns.x_mm), offset)
    nearest = np.nan_to_num(np.nanmin(np.column_stack([rim * 0, columns.below]), axis=1))
    low, high = np.maximum(nearest, -reach), np.maximum(above, 0.0)
    off = t[None, :] - rim[:, None]
    w = ((off > (low - reach)[:, None]) & (off < (high + reach)[:, None])).astype(float)
    for _ in range(6):
        basis = _design(t, rim, above, columns, blur)
        levels, r = _project(columns.profiles, basis, w)
        ahead = np.einsum("bti,bi->bt", _design(t, rim + 0.02, above, columns, blur), levels)
        here = np.einsum("bti,bi->bt", basis, levels)
        slope = (ahead - here) / 0.02 * w
        free = slope - _onto(basis * w[:, :, None], slope)
        power = np.sum(free * free, axis=1)
        rim = rim + np.clip(np.sum(free * r, axis=1) / np.maximum(power, 1e-9), -0.4, 0.4)
        rim = np.clip(rim, offset - 1.5, offset + 1.5)
    rms = np.sqrt((r * r).sum(axis=1) / np.maximum(w.sum(axis=1) - 6, 1))
    # Samples half a pixel apart share their pixels' noise: count each pixel once.
    sigma = rms * np.sqrt(2) / np.sqrt(np.maximum(power, 1e-9))
    return rim, sigma, np.abs(levels[:, 1]), rms


def _onto(basis: Array, vector: Array) -> Array:
    """Part (B, T) of vectors (B, T) that the levels can imitate."""
    _, left = _project(vector, basis, np.ones(vector.shape))
    return np.asarray(vector - left)


def _smooth_course(u: Array, position: Array, trust: Array) -> Array:
    """Robust even curve through the bins' positions: constant, slope and bow."""
    design = np.column_stack([np.ones(len(u)), u, 1 - np.sqrt(np.maximum(1 - u * u, 0))])
    weight = trust.copy()
    for _ in range(5):
        w = np.sqrt(weight)
        c, *_ = np.linalg.lstsq(design * w[:, None], position * w, rcond=None)
        off = np.abs(position - design @ c)
        spread = max(1.4826 * float(np.median(off)), 0.05)
        weight = trust * np.clip(1 - (off / (5 * spread)) ** 2, 0, 1) ** 2 + 1e-6
    return np.asarray(design @ c)
