"""Where a course is proven to be the hose that a person tapped: only there anything counts as searched.

Edges of gravel, brick or a plank keep a hose's distance for a while, too. What lies between them changes
along, and no person tapped on it.
"""

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from vision.hose.course import Array
from vision.hose.sides import Sides

LEAST_TAPS = 3
_FIRM = 1.6  # times the edges of what lies beside
_MOTTLED = 0.03  # log units; sound covers of drawn hoses 0.007 to 0.016, gravel and brick 0.046 to 0.061
_UNEVEN = 0.2  # of the width in the median
_ON_HOSE = 0.8  # radii a tap may lie off the middle


def proven(sides: Sides | None, taps: Array) -> NDArray[np.bool_]:
    """Return at which points of its course a hose is proven.

    Parameters
    ----------
    sides : Sides or None
        None where no sides were found: nothing is proven.
    taps : (N, 2) array
        px of the photo, in their order along the hose; with fewer than `LEAST_TAPS` nothing is proven,
        because nobody said where the hose goes.

    Returns
    -------
    (M,) bool array
        At each point of the course: both sides firm, as wide as in the median, between a first and a last
        tap that lie on it.  All False where a tap lies off the course or what lies between the sides is
        as mottled as ground.
    """
    if sides is None:
        return np.zeros(0, bool)
    points, radius = sides.course.points, sides.course.radius
    nothing = np.zeros(len(points), bool)
    if len(taps) < LEAST_TAPS or sides.mottled > _MOTTLED:
        return nothing
    away = np.hypot(*(taps[:, None] - points[None]).transpose(2, 0, 1))
    nearest = away.argmin(axis=1)
    if np.any(away.min(axis=1) > _ON_HOSE * radius[nearest]):
        return nothing
    good = (sides.firm > _FIRM) & (np.abs(radius / np.median(radius) - 1) < _UNEVEN)
    # A chance pair of edges is shorter than the hose is wide.
    good = ndimage.binary_opening(np.pad(good, 1), np.ones(max(3, int(sides.course.width_px))))[1:-1]
    at = np.arange(len(points))
    return np.asarray(good & (at >= nearest.min()) & (at <= nearest.max()), bool)
