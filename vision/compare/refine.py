"""A surface's homography refined on all its pixels, not on points alone.

Enhanced correlation coefficient: Evangelidis and Psarakis, "Parametric image alignment using
enhanced correlation coefficient maximization", PAMI 2008 (from memory); it is blind to brightness
and contrast, and here it works on structure from which slow light is taken already.
"""

from dataclasses import replace
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.compare.surfaces import Surface
from vision.compare.view import Mask, Matrix, Plane, View, moved

_SLOW_PX = 24.0  # light that changes more slowly than this is no structure
_STEPS, _ENOUGH = 30, 1e-5
_MAY_WORSEN_PX = 0.2
_BEYOND_PX = 40  # its points rarely reach to its edge
_LEAST_GAIN = 1e-4
_LEAST_PX = 3000


def refined(surface: Surface, earlier: View, now: View, own: Mask) -> Surface:
    """Return the surface with a better homography, or as it was where there is none.

    Parameters
    ----------
    own : (h, w) bool array
        Where the surface explains the present photo: a piece of another one would pull it away.
    """
    mask = own & _about(surface, now)
    box = _box(mask)
    if box is None or np.count_nonzero(mask) < _LEAST_PX:
        return surface
    (x0, y0), (x1, y1) = box
    shift = np.array([[1.0, 0, -x0], [0, 1, -y0], [0, 0, 1]])
    # The piece of the earlier photo that belongs here, brought to where the points say it is.
    first = shift @ surface.matrix
    size = (x1 - x0, y1 - y0)
    there = structure(cv2.warpPerspective(earlier.log, first, size, borderMode=cv2.BORDER_REPLICATE))
    seen = cv2.warpPerspective(earlier.usable.astype(np.uint8), first, size) > 0
    here = structure(np.ascontiguousarray(now.log[y0:y1, x0:x1]))
    used = mask[y0:y1, x0:x1] & now.usable[y0:y1, x0:x1] & seen
    if np.count_nonzero(used) < _LEAST_PX:
        return surface
    found = _aligned(here, there, used)
    if found is None:
        return surface
    matrix = np.linalg.inv(shift) @ found @ first
    matrix = matrix / matrix[2, 2]
    if _off(surface, matrix) > _off(surface, surface.matrix) + _MAY_WORSEN_PX:
        return surface
    return replace(surface, matrix=matrix)


def _off(surface: Surface, matrix: Matrix) -> float:
    """How far the surface's points lie off, the median, px: what the pixels tell must not contradict them."""
    off = np.linalg.norm(moved(matrix, surface.earlier) - surface.points, axis=1)
    return float(np.median(off)) if np.isfinite(off).all() else float("inf")


def structure(log: NDArray[Any]) -> Plane:
    """Return a plane without what changes slowly, its strength held: neither light nor contrast count."""
    rest = log - cv2.GaussianBlur(log, (0, 0), _SLOW_PX)
    return np.asarray(np.tanh(rest / 0.5), np.float32)


def _aligned(here: Plane, there: Plane, used: Mask) -> Matrix | None:
    """The (3, 3) matrix that brings `there` onto `here` better than it lies; None where there is none."""
    mask = used.astype(np.uint8)
    still = np.eye(3, dtype=np.float32)
    stop = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_COUNT, _STEPS, _ENOUGH)
    try:
        before = cv2.computeECC(here, there, mask)
        after, warp = cv2.findTransformECC(here, there, still, cv2.MOTION_HOMOGRAPHY, stop, mask, 3)
    except cv2.error:  # it did not come to rest
        return None
    if not (np.isfinite(after) and after > before + _LEAST_GAIN):
        return None
    # ECC tells where each pixel of `here` lies in `there`.
    return np.linalg.inv(np.asarray(warp, float))


def _about(surface: Surface, now: View) -> Mask:
    """Where the surface may be: about the outline of its points."""
    mask = np.zeros(now.log.shape, np.uint8)
    hull = cv2.convexHull(surface.points.astype(np.float32)).round().astype(np.int32)
    cv2.fillConvexPoly(mask, hull, 1)
    side = 2 * _BEYOND_PX + 1
    return cv2.dilate(mask, np.ones((side, side), np.uint8)) > 0


def _box(mask: Mask) -> tuple[tuple[int, int], tuple[int, int]] | None:
    rows, columns = np.flatnonzero(mask.any(axis=1)), np.flatnonzero(mask.any(axis=0))
    if not len(rows):
        return None
    return (int(columns[0]), int(rows[0])), (int(columns[-1]) + 1, int(rows[-1]) + 1)
