"""Coarse places of band edge, outline and collar rim on the straightened view.

Everything here only decides *which* edge; `collect` then measures it.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d, maximum_filter1d

from vision.strut.band import redness
from vision.strut.window import Straightened

Array = NDArray[np.float64]

INNER = 0.8  # of the piston's radius: chrome between its limbs
OUTER = (1.06, 0.93)  # of the piston's and of the collar's radius: collar beside the piston
MIN_RIM_SHARE = 0.5
GROUP_MM = 5.0
FAINT = 0.02  # a change of light per pixel, as a share of white, that is half sure to be an edge


@dataclass(frozen=True)
class BandEdge:
    """The band's upper edge on the straightened view: its front point (mm) and tan of the elevation."""

    s_mm: float
    tan_elevation: float
    share: float


@dataclass(frozen=True)
class Rim:
    """A place where the collar's lower rim may be, with the shares of columns that show an edge there."""

    s_mm: float
    inner_share: float
    outer_share: float
    strength: float


def find_band_edge(view: Straightened, radius_mm: float, s_band_mm: float) -> BandEdge | None:
    """Find the upper edge of the band whose middle is near s_band_mm.

    Per column the first row above the band that is no longer red; over the
    columns a bowed line, fitted with Tukey's weights.
    """
    mask = redness(view.colour)
    x = view.x_mm
    columns = np.flatnonzero(np.abs(x) < 0.85 * radius_mm)
    middle = round((view.s_max - s_band_mm) * view.k)
    if not 2 <= middle < mask.shape[0] - 2 or len(columns) < 8:
        return None
    rows, used = [], []
    run = max(2, int(0.5 * view.k))
    for i in columns:
        column = mask[: middle + int(2 * view.k), i]
        red = np.flatnonzero(column[max(middle - int(4 * view.k), 0) :])
        if len(red) < 3:
            continue
        start = max(middle - int(4 * view.k), 0) + red[len(red) // 2]
        upward = ~column[: start + 1][::-1]
        # The first run of `run` rows without red ends the band.
        gap = np.convolve(upward.astype(int), np.ones(run, int), "valid") == run
        if gap.any():
            rows.append(start - int(np.argmax(gap)) + 0.5)
            used.append(i)
    if len(used) < 0.4 * len(columns):
        return None
    s = view.s_max - np.array(rows) / view.k
    u = x[np.array(used)] / radius_mm
    design = np.column_stack([np.ones(len(u)), 1 - np.sqrt(1 - u**2), u])
    weight = np.ones(len(u))
    for _ in range(12):
        w = np.sqrt(weight)
        c, *_ = np.linalg.lstsq(design * w[:, None], s * w, rcond=None)
        off = s - design @ c
        spread = max(1.4826 * float(np.median(np.abs(off))), 0.15 / view.k)
        weight = np.where(np.abs(off) < 4.7 * spread, (1 - (off / (4.7 * spread)) ** 2) ** 2, 0)
    share = float(np.mean(np.abs(s - design @ c) < max(3 * spread, 0.5))) * len(used) / len(columns)
    # Seen from above (positive elevation) the near arc hangs down in the middle: its front point is
    # R tan e below the outline's ends, so s rises with 1 - sqrt(1 - u²).
    return BandEdge(float(c[0]), float(c[1]) / radius_mm, share)


def find_band_sides(view: Straightened, radius_mm: float, edge: BandEdge) -> tuple[float, float] | None:
    """Find the band's two sides: lateral places (left, right) in mm at the height of the edge's ends.

    The red itself is the surest sign of the piston's width: a chrome limb
    mirrors what is behind it and may fade into it over several pixels.
    """
    mask = redness(view.colour)
    rise = radius_mm * edge.tan_elevation
    middle = mask[:, np.abs(view.x_mm) < 0.3 * radius_mm].mean(axis=1) > 0.5
    below = np.flatnonzero(~middle & (view.s_mm < edge.s_mm - 2.0))
    bottom = view.s_mm[below[0]] if len(below) else view.s_mm[-1]
    rows = np.flatnonzero((view.s_mm < edge.s_mm + rise - 1.0) & (view.s_mm > bottom + rise + 1.0))
    near = np.flatnonzero(np.abs(view.x_mm) < 1.35 * radius_mm)
    if len(rows) < 4 or len(near) < 8:
        return None
    sides = []
    for columns in (near, near[::-1]):
        red = mask[np.ix_(rows, columns)]
        pair = red[:, :-1] & red[:, 1:]  # a lone red pixel is noise
        has = pair.any(axis=1)
        if has.mean() < 0.4:
            return None
        sides.append(float(np.median(view.x_mm[columns[np.argmax(pair[has], axis=1)]])))
    return sides[0], sides[1]


def _steepness(view: Straightened, sigma: float, axis: int) -> Array:
    """Change of light per pixel along an axis of the view, of luma or of the strongest colour."""
    channels = [view.luma, *np.moveaxis(view.colour, 2, 0)]
    steep = [
        np.abs(np.gradient(gaussian_filter1d(c, sigma, axis=axis, mode="nearest"), axis=axis))
        for c in channels
    ]
    result = np.maximum.reduce(steep)
    outside = maximum_filter1d((view.luma < 0).astype(np.uint8), 7, axis=axis) > 0
    result[outside] = 0
    return np.asarray(result)


def find_rims(
    view: Straightened, piston_mm: float, collar_mm: float, s_low: float, s_high: float
) -> list[Rim]:
    """List the places, lowest first, where edges bowed like the collar's rim cross the view.

    Inside the piston's width the rim stands before chrome; beside it, before
    the background, where from below its far arc is the outline.  Mirror images
    of the rim live in the chrome only, so a place counts only where at least
    one side beside the piston shows it too.  Peaks closer than a chamfer is
    high are one place: the strongest stands for them.
    """
    gradient = _steepness(view, 0.8, axis=0)
    floor = max(6 * 1.4826 * float(np.median(gradient)), 0.008)
    hits = (gradient > floor).astype(float)
    x = view.x_mm
    inner = np.flatnonzero(np.abs(x) < INNER * piston_mm)
    left = np.flatnonzero((x < -OUTER[0] * piston_mm) & (x > -OUTER[1] * collar_mm))
    right = np.flatnonzero((x > OUTER[0] * piston_mm) & (x < OUTER[1] * collar_mm))
    places = np.arange(s_low, s_high, 0.7 / view.k)
    if len(places) < 3:
        return []
    near = _courses(view, collar_mm, places, far=False)
    far = _courses(view, collar_mm, places, far=True)
    inner_share, strength = _along(hits, gradient, view, near, inner)
    outer, outer_strength = [], []
    for columns in (left, right):
        a, sa = _along(hits, gradient, view, near, columns)
        b, sb = _along(hits, gradient, view, far, columns)
        outer.append(np.maximum(a, b))
        outer_strength.append(np.maximum(sa, sb))
    outer_share = np.maximum(*outer)
    power = strength + np.maximum(*outer_strength)
    ok = (inner_share > MIN_RIM_SHARE) & (outer_share > MIN_RIM_SHARE)
    return _peaks(places, inner_share, outer_share, power, ok)


def _courses(view: Straightened, radius: float, places: Array, far: bool) -> Array:
    """Axial places (P, columns) of the arcs for each place: linear between two arcs far apart."""
    a, b = places[0], places[-1]
    first, last = view.ring_course(a, radius, far) - a, view.ring_course(b, radius, far) - b
    share = ((places - a) / (b - a))[:, None]
    return np.asarray(places[:, None] + (1 - share) * first + share * last)


def _along(
    hits: Array, gradient: Array, view: Straightened, courses: Array, columns: NDArray[np.intp]
) -> tuple[Array, Array]:
    """Share of the columns with an edge on each course (P,), and their mean saturated steepness (P,)."""
    if len(columns) < 4:
        return np.zeros(len(courses)), np.zeros(len(courses))
    row = np.round((view.s_max - courses[:, columns]) * view.k)
    inside = np.isfinite(row) & (row >= 0) & (row < hits.shape[0])
    index = np.where(inside, row, 0).astype(int)
    values = hits[index, columns[None, :]] * inside
    steep = gradient[index, columns[None, :]] * inside
    return values.mean(axis=1), (steep / (steep + 2 * FAINT)).mean(axis=1)


def _peaks(places: Array, inner: Array, outer: Array, power: Array, ok: NDArray[np.bool_]) -> list[Rim]:
    rims: list[Rim] = []
    score = np.where(ok, power, 0.0)
    for i in np.flatnonzero(ok):
        near = np.abs(places - places[i]) < GROUP_MM
        if score[i] >= score[near].max() and not (rims and places[i] - rims[-1].s_mm < GROUP_MM):
            rims.append(Rim(float(places[i]), float(inner[i]), float(outer[i]), float(power[i])))
    return rims
