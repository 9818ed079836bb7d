"""Where a hose is sharp along its course: its own two outlines tell how far an edge is spread there.

A cover's texture says little of sharpness, since smooth rubber has none. Its outline before the ground is
an edge wherever a hose is seen at all, and its spread is that of the photo at this very distance.  A photo
that was shaken along the hose keeps its outline sharp: `shaken.py` tells that.
"""

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from vision.hose.course import Array, Course, strip_along
from vision.photo import Photo

# Drawn hoses that are sharp read 0.9 to 2.3 px, blurred by 3 px more 2.3 to 4; a wide one's own limb is soft.
_MOST_SPREAD_PX, _MOST_OF_WIDTH = 2.35, 0.035  # sigma; the same in hose widths
_REACH = 1.7  # radii
_ALONG = 0.5  # hose widths that steps are averaged over
_WINDOW = 2.5  # hose widths whose sharper half answers
_LEAST_STEP = 10.0  # grey levels


def sharp(photo: Photo, course: Course) -> NDArray[np.bool_]:
    """Return at which points (N,) of its course a hose is sharp enough to be searched.

    Where neither side has an edge to judge by, nothing is told and the place counts as it did.
    """
    spread = edge_spread_along(photo, course)
    limit = max(_MOST_SPREAD_PX, _MOST_OF_WIDTH * course.width_px)
    return np.asarray(~(spread > limit), bool)


def edge_spread_along(photo: Photo, course: Course) -> Array:
    """Return the edge-spread sigma (N,), px of the photo, along a course; nan where no side tells it.

    A step of height c spread by s has the steepest slope c / (s √(2π)), as in `vision.quality`; the height
    is that across the outline within the reach of a blur.
    """
    rows = int(np.clip(2 * _REACH * course.width_px, 40, 240)) | 1
    strip = strip_along(course, rows, _REACH)
    grey = np.asarray(cv2.cvtColor(photo.pixels, cv2.COLOR_RGB2GRAY), np.uint8)
    light = strip.of(grey)
    px_a_row = _REACH * course.width_px / (rows - 1)
    wide = max(3, int(_ALONG * course.width_px / strip.step) | 1)
    even = cv2.blur(light, (wide, 1))
    slope = np.abs(np.gradient(even, axis=0)) / px_a_row
    told = np.full((2, light.shape[1]), np.nan)
    for side, way in enumerate((-1, 1)):
        out = strip.across * way
        near = np.flatnonzero((out > 0.75) & (out < 1.3))
        around = np.flatnonzero((out > 0.55) & (out < 1.6))
        height = np.ptp(even[around], axis=0)
        steepest = slope[near].max(axis=0)
        clear = height > _LEAST_STEP
        told[side, clear] = height[clear] / (np.maximum(steepest[clear], 1e-3) * np.sqrt(2 * np.pi))
    both = np.where(np.isnan(told).all(axis=0), np.inf, np.nanmin(np.nan_to_num(told, nan=np.inf), axis=0))
    # Chance steps of the ground beside are softer than the outline: the sharper places answer.
    window = max(3, int(_WINDOW * course.width_px / strip.step) | 1)
    low = ndimage.percentile_filter(both[::4], 30, size=max(3, window // 4), mode="nearest")
    spread = np.repeat(low, 4)[: len(both)]
    spread = np.where(np.isfinite(spread), spread, np.nan)
    at = np.minimum((np.arange(len(course.points)) / strip.step).astype(int), len(spread) - 1)
    return np.asarray(spread[at], np.float64)
