"""Both photos brought to the same sharpness: a shaken or soft one must not look like change everywhere."""

from dataclasses import replace
from typing import NamedTuple

import cv2
import numpy as np

from vision.compare.surfaces import Surface
from vision.compare.view import Mask, Plane, View

_SIGMAS = (0.0, 0.5, 0.8, 1.1, 1.5, 2.0, 2.6)
MOST_SIGMA = _SIGMAS[-1]
_DEAF = 1.06  # sharpness differs by this much between any two photos


class Evened(NamedTuple):
    """Both views, and by how much one of them was blurred, px (sigma)."""

    earlier: View
    now: View
    sigma: float


def evened(earlier: View, now: View, surface: Surface) -> Evened:
    """Blur the sharper of two views until both show the same fineness on a surface."""
    warped = cv2.warpPerspective(earlier.log, surface.matrix, now.size, flags=cv2.INTER_CUBIC)
    there = np.asarray(warped, np.float32)
    seen = cv2.warpPerspective(earlier.usable.astype(np.uint8), surface.matrix, now.size)
    used = (cv2.erode(seen, np.ones((9, 9), np.uint8)) > 0) & now.usable
    there_fine, here_fine = _fineness(there, used), _fineness(now.log, used)
    if max(there_fine, here_fine) < _DEAF * min(there_fine, here_fine):
        return Evened(earlier, now, 0.0)
    if there_fine > here_fine:
        sigma = _needed(there, used, here_fine)
        scale = float(np.sqrt(abs(np.linalg.det(surface.matrix[:2, :2]))))
        return Evened(replace(earlier, log=_blurred(earlier.log, sigma / max(scale, 0.3))), now, sigma)
    sigma = _needed(now.log, used, there_fine)
    return Evened(earlier, replace(now, log=_blurred(now.log, sigma)), sigma)


def _needed(plane: Plane, used: Mask, fineness: float) -> float:
    return min(_SIGMAS, key=lambda sigma: abs(np.log(_fineness(_blurred(plane, sigma), used) / fineness)))


def _blurred(plane: Plane, sigma: float) -> Plane:
    return plane if sigma == 0 else np.asarray(cv2.GaussianBlur(plane, (0, 0), sigma), np.float32)


def _fineness(plane: Plane, used: Mask) -> float:
    """Fine structure against coarser: changes in light multiply both."""
    fine = plane - cv2.GaussianBlur(plane, (0, 0), 1.5)
    coarse = cv2.GaussianBlur(plane, (0, 0), 3.0) - cv2.GaussianBlur(plane, (0, 0), 8.0)
    if not used.any():
        return 1.0
    return float((np.std(fine[used]) + 1e-4) / (np.std(coarse[used]) + 1e-4))
