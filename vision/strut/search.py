"""Coarse places of the band's edge and sides on the straightened view.

Everything here only decides *which* edge; `collect` then measures it.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.strut.band import redness
from vision.strut.window import Straightened

Array = NDArray[np.float64]


@dataclass(frozen=True)
class BandEdge:
    """The band's upper edge on the straightened view: its front point (mm) and tan of the elevation."""

    s_mm: float
    tan_elevation: float
    share: float


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
