"""Whether what lies between two sides is round as a hose is: its light changes across, and hardly along.

A hose mirrors light and shade in bands along itself, whatever its cover. Print, dust, drops and clamps cover
stretches of it; the quietest quarter is bare. Gravel, brick and grass between two chance edges change along
everywhere, and a plain field between them does not change across. What is round and no hose is not told.
"""

import cv2
import numpy as np

from vision.hose.course import Array, Course, strip_along
from vision.photo import Photo

_ROWS = 41  # from outline to outline
_EDGE_ROWS = 3  # left out: the outline itself
_WIDTH = 40  # columns a hose width
_STEP_OF = (_WIDTH // 4, _ROWS // 8)  # finer changes are noise or weave
_RUN = 3 * _WIDTH  # what changes more slowly along is the light, not the ground
_QUIET = 0.25  # quantile of the stretches
_DARK = 12.0  # grey levels added before the logarithm, so that noise in the dark is no change
# Drawn and traced hoses: 0.005 to 0.033, 4.7 to 40 times; brick, gravel, grass: 0.044 to 0.13, 0.2 to 5
_MOST_MOTTLED = 0.035  # log units
_LEAST_TIMES = 4.0  # light across over change along


def rounded(photo: Photo, course: Course) -> bool:
    """Return whether the light along a course is that of something round and plain."""
    mottled, across = light_of(photo, course)
    return mottled < _MOST_MOTTLED and across > _LEAST_TIMES * mottled


def light_of(photo: Photo, course: Course) -> tuple[float, float]:
    """Return how much light changes along a course and across it, between its two sides, log units.

    The first is the median change along in the quietest quarter of the stretches one width long, the second
    the standard deviation of the mean light across.
    """
    strip = strip_along(course, _ROWS, 1.0)
    seen = strip.of(photo.pixels)
    columns = max(_WIDTH, round(seen.shape[1] * strip.step * _WIDTH / course.width_px))
    even = cv2.resize(seen, (columns, _ROWS), interpolation=cv2.INTER_AREA)
    light: Array = np.log(even.mean(axis=2) + _DARK).astype(np.float64)[_EDGE_ROWS:-_EDGE_ROWS]
    fine = cv2.blur(light, _STEP_OF)
    change = np.abs(fine - cv2.blur(fine, (_RUN, 1)))
    stretches = np.array_split(change, max(1, columns // _WIDTH), axis=1)
    quiet = np.quantile([np.median(stretch) for stretch in stretches], _QUIET)
    return float(quiet), float(np.std(light.mean(axis=1)))
