"""Where a photo was shaken along a hose: what changes along is spread there, what changes across is not.

The hose's two outlines stay sharp when the camera moves along them (`sharp.py` sees nothing). The ground
beside it tells: steps of any texture are as wide along the course as across it, until the camera moves. A
ground out of focus is spread both ways and is no shake. Where the ground is plain nothing tells, and the
place counts as it did.
"""

import cv2
import numpy as np
from scipy import ndimage

from vision.hose.course import Array, Course, Picture, strip_along
from vision.photo import Photo

_NEAR, _REACH = 1.3, 2.6  # radii that the ground is looked at between
_EVEN_PX = 1.2  # sigma that noise is evened by
_WINDOW = 6.0  # hose widths that this is asked over
_LEAST_SLOPE = 0.8  # grey levels a px, root mean square across: noise alone makes some 0.4
_LEAST_CLEAR = 0.15  # share of the course
# Most sharp drawn grounds read 0.6 to 1.2 times, a few more; moved along by 15 px most read 1.2 to 1.6.
_SHAKEN_PX, _TIMES = 3.0, 1.35  # spread along; of that across


def shaken(photo: Photo, course: Course) -> bool:
    """Return whether the photo was shaken along a hose: as told by all of its course together."""
    along, across = spreads(photo, course)
    return along > _SHAKEN_PX and along > _TIMES * across


def spreads(photo: Photo, course: Course) -> tuple[float, float]:
    """Return how widely light changes, px of the photo, along a course and across it on the ground.

    The root of the mean square of slopes over that of their own slopes: √2 σ for steps spread by σ, whatever
    their height and number, √(√π σ L) where they were moved over L px. nan where too little changes across,
    which a shake along leaves.
    """
    rows = int(np.clip(_REACH * course.width_px, 40, 260)) | 1
    strip = strip_along(course, rows, _REACH)
    grey = np.asarray(cv2.cvtColor(photo.pixels, cv2.COLOR_RGB2GRAY), np.uint8)
    light = cv2.GaussianBlur(strip.of(grey), (0, 0), max(_EVEN_PX / strip.step, 0.4))
    ground = np.abs(strip.across) > _NEAR
    squares: list[tuple[Array, Array]] = []
    for axis in (1, 0):
        slope = np.gradient(light, strip.step, axis=axis)
        second = np.gradient(slope, strip.step, axis=axis)
        squares.append((_square(slope[ground]), _square(second[ground])))
    window = max(3, round(_WINDOW * course.width_px / strip.step) | 1)
    clear = ndimage.uniform_filter1d(squares[1][0], window, mode="nearest") > _LEAST_SLOPE**2
    if np.mean(clear) < _LEAST_CLEAR:
        return float("nan"), float("nan")
    along, across = (float(np.sqrt(one[clear].mean() / max(two[clear].mean(), 1e-9))) for one, two in squares)
    return along, across


def _square(picture: Picture) -> Array:
    """The mean square (C,) over the rows."""
    return np.asarray(np.square(picture).mean(axis=0), np.float64)
