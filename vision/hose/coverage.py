"""Which part of a hose was in view, sharp, lit and bare: everything else counts as not inspected."""

import cv2
import numpy as np

from vision.hose.result import Coverage
from vision.hose.ribbon import REACH, Ribbon

_STRIPS = 8
_STRETCHES_A_WIDTH = 1.0
_LEAST_USABLE = 0.6


def covered(ribbon: Ribbon, proven: np.ndarray, length_px: float, length_mm: float | None) -> Coverage:
    """Return what was searched.

    Parameters
    ----------
    ribbon : Ribbon
    proven : (C,) bool array
        Columns where the course is proven to be the hose, and sharp.
    length_px, length_mm : float, float or None
        Of the course.
    """
    columns = ribbon.usable.shape[1]
    stretches = max(1, int(columns / (_STRETCHES_A_WIDTH * ribbon.rows_a_width)))
    seen = ribbon.usable & proven[None]
    for band in ribbon.bands:
        if band.hides:
            seen &= ~band.mask(seen.shape)
    good = seen.astype(np.float32)
    share = cv2.resize(good, (stretches, _STRIPS), interpolation=cv2.INTER_AREA)
    facing = 2 * float(np.arcsin(REACH)) / (2 * np.pi)
    return Coverage((share >= _LEAST_USABLE).T, facing, length_px, length_mm)
