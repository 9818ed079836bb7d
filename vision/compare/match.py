"""The same points in two photos: SIFT, each other's best, clearly better than the second best.

Lowe, "Distinctive image features from scale-invariant keypoints", IJCV 2004 (ratio
test); square roots of the descriptors as in Arandjelović and Zisserman, CVPR 2012 (both from memory).
"""

from typing import NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.compare.view import Grey

RATIO = 0.82
_POINTS = 5000
_CONTRAST = 0.015  # half of the usual: painted metal is dull
FOUND_AT_PX = 1600
"""Points are found on photos that are no longer than this."""

Points = NDArray[np.float64]


class Matches(NamedTuple):
    """(N, 2) px in the earlier and in the present photo."""

    earlier: Points
    now: Points


class _Found(NamedTuple):
    px: Points
    descriptors: NDArray[np.float32]


def matched(earlier: Grey, now: Grey) -> Matches:
    """Return the points that both photos show."""
    a, b = _found(earlier), _found(now)
    if min(len(a.px), len(b.px)) < 2:
        none = np.empty((0, 2))
        return Matches(none, none)
    alike = a.descriptors @ b.descriptors.T
    forth, back = _better(alike), _better(alike.T)
    first = np.flatnonzero(forth >= 0)
    first = first[back[forth[first]] == first]
    return Matches(a.px[first], b.px[forth[first]])


def _found(grey: Grey) -> _Found:
    longest = max(grey.shape)
    scale = min(1.0, FOUND_AT_PX / longest)
    size = (round(grey.shape[1] * scale), round(grey.shape[0] * scale))
    small = cv2.resize(grey, size, interpolation=cv2.INTER_AREA) if scale < 1 else grey
    # Light that differs from side to side must not decide where points are.
    small = cv2.createCLAHE(2.0, (8, 8)).apply(small)
    points, descriptors = cv2.SIFT.create(_POINTS, contrastThreshold=_CONTRAST).detectAndCompute(small, None)
    if not points:
        return _Found(np.empty((0, 2)), np.empty((0, 128), np.float32))
    across, down = grey.shape[1] / size[0], grey.shape[0] / size[1]
    px = np.array([point.pt for point in points], float)
    px = (px + 0.5) * (across, down) - 0.5
    roots = np.sqrt(descriptors / np.maximum(descriptors.sum(axis=1, keepdims=True), 1e-6))
    return _Found(px, np.asarray(roots, np.float32))


def _better(alike: NDArray[np.float32]) -> NDArray[np.intp]:
    """For each row the column that is clearly more alike than the second; -1 where there is none.

    Descriptors have the length 1, so the square of their distance is 2 - 2 times what is given here.
    """
    best = alike.argmax(axis=1)
    two = np.partition(alike, alike.shape[1] - 2, axis=1)[:, -2:]
    second, first = np.sqrt(np.maximum(2 - 2 * two, 0)).T
    return np.where(first < RATIO * second, best, -1)
