"""Coarse places of the band's edge and sides on the straightened view.

Everything here only decides *which* edge; `collect` then measures it.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.camera import Camera
from vision.cylinder import Axis, axial_place, ring
from vision.strut.band import Mask, redness
from vision.strut.window import Straightened, Window

Array = NDArray[np.float64]

LEAST_COLUMNS = 0.4  # of the band's width must show its edge
GLARE_MM = 6.0  # how far burnt-out light veils what is beside it
BEYOND_MM, SAME_MM = 1.0, 1.0  # red that goes on so far beyond the edge, and ends along one ring


@dataclass(frozen=True)
class BandEdge:
    """The band's upper edge as found on a straightened view.

    Attributes
    ----------
    s_mm : float
        Axial place of the ring that the edge is.
    height_mm : float
        How far the red reaches down from there.
    tan_turn : float
        How far the axis must turn towards the camera for the ring to be as bowed as the edge.
    tan_lean : float
        How far it must turn to the left for the ring to lie as the edge does.
    beyond_mm, beyond_share : float
        How far the red goes on beyond the edge and then ends along one ring, and in what share of the
        band's width: then something lies across the band, and the edge is its.
    """

    s_mm: float
    height_mm: float
    tan_turn: float
    tan_lean: float
    beyond_mm: float
    beyond_share: float


@dataclass(frozen=True)
class BandSides:
    """The band's two sides: lateral places, mm, and photo pixels (N, 2) of the points on either."""

    left_mm: float
    right_mm: float
    px: tuple[Array, Array]


def find_band_edge(
    view: Straightened, radius_mm: float, s_band_mm: float, burnt: float = np.inf
) -> BandEdge | None:
    """Find the upper edge of the band whose middle is about the ring at s_band_mm.

    Per column the first row above the band with less than half its red; what the
    rows of all columns depart from the course of a ring is fitted by a shift,
    a bow and a slope with Tukey's weights.
    """
    course = view.ring_course(s_band_mm, radius_mm)
    columns = np.flatnonzero((np.abs(view.x_mm) < 0.85 * radius_mm) & np.isfinite(course))
    if len(columns) < 8:
        return None
    colour = view.colour[:, columns]
    excess = colour[..., 0] - np.maximum(colour[..., 1], colour[..., 2])
    start, level, count = _middle_red(view, redness(colour), excess, course[columns])
    # Chrome has no red of its own, so where the lens mixes the two half the excess of red is left.
    run = max(2, int(0.5 * view.k))
    over = excess - 0.5 * level
    up = _last_above(over[::-1], len(over) - 1 - start, run)
    down = _last_above(over, start, run)
    top = start - np.floor(np.nan_to_num(up)).astype(int)
    # Burnt-out light has no colour and veils what lies about it: it may end the red within the band.
    above = np.clip(top - np.arange(int(GLARE_MM * view.k) + 1)[:, None], 0, len(over) - 1)
    veiled = ~(view.luma[above, columns] < burnt).all(axis=0)
    clear = (count >= 3) & np.isfinite(up) & np.isfinite(down) & ~veiled
    if clear.sum() < LEAST_COLUMNS * len(columns):
        return None
    index, tops, bottoms = columns[clear], (start - up)[clear], (start + down)[clear]
    s = view.s_max - tops / view.k
    u = view.x_mm[index] / radius_mm
    shift, bow, slope = _bowed_line(u, s - course[index], 0.15 / view.k)
    # The front of the ring: where the ray through the middle of the bowed line meets the cylinder.
    front = np.interp(0.0, view.x_mm, course) + shift
    ray = view.camera.rays(view.photo_pixels(np.zeros(1), np.array([front])))
    height = float(np.median(bottoms - tops)) / view.k
    beyond = s - course[index] - _bow_shape(u) @ (shift, bow, slope)
    beyond = beyond[beyond > BEYOND_MM]
    beyond_mm = float(np.median(beyond)) if beyond.size else 0.0
    share = float(np.sum(np.abs(beyond - beyond_mm) < SAME_MM)) / len(columns)
    place = float(axial_place(ray, view.axis, radius_mm)[0])
    return BandEdge(place, height, bow / radius_mm, slope / radius_mm, beyond_mm, share)


def _middle_red(
    view: Straightened, red: Mask, excess: NDArray[np.float32], course: Array
) -> tuple[NDArray[np.int_], Array, NDArray[np.int_]]:
    """The middle red row of each column about the course, the median excess of its red rows, and their number."""
    near = int(4 * view.k)
    middle = np.round((view.s_max - course) * view.k).astype(int)
    rows = np.maximum(middle - near, 0) + np.arange(2 * near)[:, None]
    column, last = np.arange(len(course)), len(red) - 1
    seen = red[np.minimum(rows, last), column] & (rows <= last) & (rows < middle + near)
    count = seen.sum(axis=0)
    start = rows[np.argmax(np.cumsum(seen, axis=0) > count // 2, axis=0), column]
    among = np.sort(np.where(seen, excess[np.minimum(rows, last), column], np.inf), axis=0)
    pair = [among[np.maximum(place, 0), column] for place in ((count - 1) // 2, count // 2)]
    return np.minimum(start, last), np.where(count > 0, (pair[0] + pair[1]) / 2, 0.0), count


def _last_above(values: NDArray[np.floating], start: NDArray[np.int_], run: int) -> Array:
    """How many rows after `start` (N,) the columns of (R, N) values cross zero for at least `run` rows in a row.

    nan where a column never does, or begins below zero.
    """
    below = values < 0
    low = below[: len(below) - run + 1].copy()
    for k in range(1, run):
        low &= below[k : len(below) - run + 1 + k]
    low &= np.arange(len(low))[:, None] >= start
    first, column = np.argmax(low, axis=0), np.arange(len(start))
    found = low[first, column] & (first > start)
    before, after = values[np.maximum(first - 1, 0), column], values[first, column]
    with np.errstate(invalid="ignore", divide="ignore"):
        crossed = first - 1 - start + (before / (before - after)).astype(float)
    return np.asarray(np.where(found, crossed, np.nan))


def _bowed_line(u: Array, s: Array, least: float) -> tuple[float, float, float]:
    """Return height at u = 0, bow and slope of a robust line through places s (N,) at u = x ÷ radius.

    `least` is the scatter below which no place is an outlier.  Seen from above
    the near arc of a ring hangs down in the middle by its radius times tan e,
    so the bow is positive.
    """
    design = _bow_shape(u)
    weight = np.ones(len(u))
    c = np.zeros(3)
    for _ in range(12):
        w = np.sqrt(weight)
        c = np.asarray(np.linalg.lstsq(design * w[:, None], s * w, rcond=None)[0], float)
        off = s - design @ c
        spread = max(1.4826 * float(np.median(np.abs(off))), least)
        weight = np.where(np.abs(off) < 4.7 * spread, (1 - (off / (4.7 * spread)) ** 2) ** 2, 0)
    return float(c[0]), float(c[1]), float(c[2])


def _bow_shape(u: Array) -> Array:
    """Design (N, 3) of a shifted, bowed and sloping line over u = x ÷ radius."""
    return np.column_stack([np.ones(len(u)), 1 - np.sqrt(1 - u**2), u])


def find_band_sides(view: Straightened, radius_mm: float, edge: BandEdge) -> BandSides | None:
    """Find the band's two sides, where it does not lean: along rings from its upper edge to its lower.

    The red itself is the surest sign of the piston's width: a chrome limb
    mirrors what is behind it and may fade into it over several pixels.
    """
    mask = redness(view.colour)
    near = np.flatnonzero(np.abs(view.x_mm) < 1.35 * radius_mm)
    down = np.arange(1.0, edge.height_mm - 1.0, 1 / view.k)
    if len(down) < 4 or len(near) < 8:
        return None
    course = view.ring_course(edge.s_mm, radius_mm)
    seen = np.flatnonzero(np.isfinite(course))
    places = np.interp(view.x_mm[near], view.x_mm[seen], course[seen])[None, :] - down[:, None]
    rows = np.clip(np.round((view.s_max - places) * view.k).astype(int), 0, len(mask) - 1)
    red = mask[rows, near[None, :]]
    sides, points = [], []
    for columns, along in ((near, slice(None)), (near[::-1], slice(None, None, -1))):
        pair = red[:, along][:, :-1] & red[:, along][:, 1:]  # a lone red pixel is noise
        has = pair.any(axis=1)
        if has.mean() < 0.4:
            return None
        first = np.argmax(pair[has], axis=1)
        x = view.x_mm[columns[first]]
        sides.append(float(np.median(x)))
        points.append(view.photo_pixels(x, places[:, along][np.flatnonzero(has), first]))
    return BandSides(sides[0], sides[1], (points[0], points[1]))


def band_height(window: Window, camera: Camera, axis: Axis, radius_mm: float, s_from: float) -> float:
    """How far the red reaches down the axis's front line below the band's upper edge at s_from, mm."""
    s = s_from - np.arange(1.0, 40.0, 0.5)
    px = camera.project(ring(axis, 0.0, radius_mm, np.zeros(1)) + s[:, None] * axis.direction)
    red = redness(window.colours(px[:, None, :]).astype(np.float32))[:, 0]
    gone = np.flatnonzero(~red & ~np.roll(red, -1))
    return float(s_from - s[gone[0]]) if len(gone) else 40.0
