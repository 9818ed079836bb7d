"""Where a course is proven to be the hose that a person tapped: only there anything counts as searched.

Edges of gravel, brick or a plank keep a hose's distance for a while, too, but not for long; what lies between
them is not round (`rounded.py`), and no person tapped on it.
"""

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from vision.hose.course import Array, Course
from vision.hose.sides import Sides

LEAST_TAPS = 3
_FIRM = 1.6  # times the edges of what lies beside
_LEAST_SHARE = 0.3  # between the outermost taps; drawn hoses 0.35 and more, chance edges mostly 0.1 to 0.3
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
        tap that lie on it.  All False where a tap lies off the course or less than three tenths of what lies
        between the outermost is so.
    """
    if sides is None:
        return np.zeros(0, bool)
    points, radius = sides.course.points, sides.course.radius
    nothing = np.zeros(len(points), bool)
    if len(taps) < LEAST_TAPS:
        return nothing
    longer, more = _longer(sides.course)
    away = np.hypot(*(taps[:, None] - longer[None]).transpose(2, 0, 1))
    nearest = np.clip(away.argmin(axis=1) - more, 0, len(points) - 1)
    if np.any(away.min(axis=1) > _ON_HOSE * radius[nearest]):
        return nothing
    good = (sides.firm > _FIRM) & (np.abs(radius / np.median(radius) - 1) < _UNEVEN)
    # A chance pair of edges is shorter than the hose is wide.
    good = ndimage.binary_opening(np.pad(good, 1), np.ones(max(3, int(sides.course.width_px))))[1:-1]
    at = np.arange(len(points))
    good &= (at >= nearest.min()) & (at <= nearest.max())
    return good if good.sum() > _LEAST_SHARE * (np.ptp(nearest) + 1) else nothing


def _longer(course: Course) -> tuple[Array, int]:
    """Return the course's points with as many more at either end, straight on for one width.

    A course ends a little before the outermost taps; these lie on the hose for all that.
    """
    points, more = course.points, max(2, int(course.width_px))
    on = np.arange(1, more + 1)[:, None]
    ends = [
        (points[0], points[min(more, len(points) - 1)]),
        (points[-1], points[-1 - min(more, len(points) - 1)]),
    ]
    before, after = (
        end + on * (end - inner) / max(float(np.hypot(*(end - inner))), 1e-9) for end, inner in ends
    )
    return np.concatenate([before[::-1], points, after]), more
