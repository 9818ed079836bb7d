"""Coarse places of the band's edge and sides on the straightened view.

Everything here only decides *which* edge; `collect` then measures it.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.camera import Camera
from vision.cylinder import Axis, axial_place, ring
from vision.strut.band import redness
from vision.strut.window import Straightened, Window

Array = NDArray[np.float64]

LEAST_COLUMNS = 0.4  # of the band's width must show its edge
GLARE_MM = 6.0  # how far burnt-out light veils what is beside it


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
    """

    s_mm: float
    height_mm: float
    tan_turn: float
    tan_lean: float


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
    mask = redness(view.colour)
    course = view.ring_course(s_band_mm, radius_mm)
    columns = np.flatnonzero(np.abs(view.x_mm) < 0.85 * radius_mm)
    middle = np.round((view.s_max - course) * view.k)
    columns = columns[np.isfinite(middle[columns])]
    if len(columns) < 8:
        return None
    near, run, veil = int(4 * view.k), max(2, int(0.5 * view.k)), int(GLARE_MM * view.k)
    excess = view.colour[..., 0] - view.colour[..., 1:].max(axis=2)
    tops, bottoms, used = [], [], []
    for i in columns:
        low = max(int(middle[i]) - near, 0)
        red = low + np.flatnonzero(mask[low : max(int(middle[i]) + near, 0), i])
        if len(red) < 3:
            continue
        # Chrome has no red of its own, so where the lens mixes the two half the excess of red is left.
        start, over = int(red[len(red) // 2]), excess[:, i] - 0.5 * np.median(excess[red, i])
        up, down = _last_above(over[start::-1], run), _last_above(over[start:], run)
        if up is None or down is None:
            continue
        # Burnt-out light has no colour and veils what lies about it: it may end the red within the band.
        above = view.luma[max(start - int(up) - veil, 0) : start - int(up) + 1, i]
        if (above < burnt).all():
            tops.append(start - up)
            bottoms.append(start + down)
            used.append(i)
    if len(used) < LEAST_COLUMNS * len(columns):
        return None
    index = np.array(used)
    s = view.s_max - np.array(tops) / view.k
    u = view.x_mm[index] / radius_mm
    shift, bow, slope = _bowed_line(u, s - course[index], 0.15 / view.k)
    # The front of the ring: where the ray through the middle of the bowed line meets the cylinder.
    front = np.interp(0.0, view.x_mm, course) + shift
    ray = view.camera.rays(view.photo_pixels(np.zeros(1), np.array([front])))
    height = float(np.median(np.array(bottoms) - np.array(tops))) / view.k
    return BandEdge(
        float(axial_place(ray, view.axis, radius_mm)[0]), height, bow / radius_mm, slope / radius_mm
    )


def _last_above(values: NDArray[np.float32], run: int) -> float | None:
    """Return where values (N,) that begin above zero cross it for at least `run` in a row."""
    below = np.convolve((values < 0).astype(int), np.ones(run, int), "valid") == run
    first = int(np.argmax(below))
    if first == 0:  # nowhere, or it began below zero
        return None
    before, after = float(values[first - 1]), float(values[first])
    return first - 1 + before / (before - after)


def _bowed_line(u: Array, s: Array, least: float) -> tuple[float, float, float]:
    """Return height at u = 0, bow and slope of a robust line through places s (N,) at u = x ÷ radius.

    `least` is the scatter below which no place is an outlier.  Seen from above
    the near arc of a ring hangs down in the middle by its radius times tan e,
    so the bow is positive.
    """
    design = np.column_stack([np.ones(len(u)), 1 - np.sqrt(1 - u**2), u])
    weight = np.ones(len(u))
    c = np.zeros(3)
    for _ in range(12):
        w = np.sqrt(weight)
        c, *_ = np.linalg.lstsq(design * w[:, None], s * w, rcond=None)
        off = s - design @ c
        spread = max(1.4826 * float(np.median(np.abs(off))), least)
        weight = np.where(np.abs(off) < 4.7 * spread, (1 - (off / (4.7 * spread)) ** 2) ** 2, 0)
    return float(c[0]), float(c[1]), float(c[2])


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
