"""Places where the structure changed, as outlines on the present photo."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.compare.structure import WINDOW_PX, Explained
from vision.compare.surfaces import Surface
from vision.compare.view import Mask, Matrix, moved

SURE = 2.6
"""A place must somewhere be unexplained by this much over what may be left over."""
_EDGE = 1.0  # and is outlined down to here
_LEAST_PX = 5.0  # across, at the size that is worked at; a window shows a point at its own size
_LEAST_AREA = 20
_AT_EDGE = 0.3
_CERTAIN = 4.0
_WIDE_PX = 15.0
_SLENDER = 1.8  # what an edge hides or uncovers is a strip along it, of more area than a square so wide

Points = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Change:
    """One changed place.

    Attributes
    ----------
    outline : (N, 2) array
        Corners around it, px of the present photo, clockwise as seen.
    earlier : (N, 2) array
        The same corners on the earlier photo.
    excess : float, > 1
        How far beyond what may be left over, at its strongest.
    """

    outline: Points
    earlier: Points
    excess: float

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, top, right, bottom on the present photo, px."""
        low, high = self.outline.min(axis=0), self.outline.max(axis=0)
        return float(low[0]), float(low[1]), float(high[0]), float(high[1])

    @property
    def across_px(self) -> float:
        """Its longer side, px of the present photo."""
        left, top, right, bottom = self.box
        return max(right - left, bottom - top)


def found_changes(
    by: Explained, surfaces: tuple[Surface, ...], now_to_photo: Matrix, earlier_to_photo: Matrix
) -> tuple[tuple[Change, ...], Mask]:
    """Return the changed places, the strongest first, and where nothing can be told.

    The second is a (h, w) bool array at the size that is worked at: unexplained places that a nearer
    surface's edge may have hidden in one of the photos.
    """
    flagged = (by.excess > _EDGE).astype(np.uint8)
    # Pieces of one thing, such as both edges of a scratch, are one place.
    joined = cv2.morphologyEx(flagged, cv2.MORPH_CLOSE, np.ones((WINDOW_PX, WINDOW_PX), np.uint8))
    count, labels, stats, middles = cv2.connectedComponentsWithStats(joined, connectivity=8)
    found = []
    untold = np.zeros(by.edges.shape, bool)
    for index in range(1, count):
        x, y, w, h, area = (int(v) for v in stats[index])
        if area < _LEAST_AREA or max(w, h) < _LEAST_PX:
            continue
        own = labels[y : y + h, x : x + w] == index
        excess = float(by.excess[y : y + h, x : x + w][own].max())
        if excess < SURE:
            continue
        thick = _thickness(own)
        if thick < WINDOW_PX:  # what changed is at least as wide as the window that saw it
            continue
        at_edge = by.edges[y : y + h, x : x + w][own].mean() > _AT_EDGE
        if at_edge and (excess < _CERTAIN or thick < _WIDE_PX or own.sum() > _SLENDER * thick**2):
            untold[y : y + h, x : x + w] |= own
            continue
        outline = _outline(own, (x, y))
        middle = middles[index].round().astype(int)
        surface = surfaces[int(by.surface[middle[1], middle[0]])]
        earlier = moved(np.linalg.inv(surface.matrix), outline)
        found.append(Change(moved(now_to_photo, outline), moved(earlier_to_photo, earlier), excess))
    return tuple(sorted(found, key=lambda one: -one.excess)), untold


def _thickness(own: Mask) -> float:
    """The widest circle within a place, px across."""
    deep = cv2.distanceTransform(np.pad(own.astype(np.uint8), 1), cv2.DIST_L2, 3)
    return float(2 * deep.max() - 1)


def _outline(own: NDArray[np.bool_], corner: tuple[int, int]) -> Points:
    """The outer course around a place, simplified to a pixel and a half."""
    padded = np.pad(own.astype(np.uint8), 1)
    courses, _ = cv2.findContours(padded, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    longest = max(courses, key=cv2.contourArea)
    course = cv2.approxPolyDP(longest, 1.5, True).reshape(-1, 2).astype(float)
    return np.asarray(course + np.array(corner, float) - 1, np.float64)
