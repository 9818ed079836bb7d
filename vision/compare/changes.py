"""Places where the structure changed, as outlines on the present photo."""

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.compare.structure import WINDOW_PX, Explained
from vision.compare.surfaces import Surface
from vision.compare.view import Mask, Matrix, moved

SURE = 2.4
"""A tenth of a place must be so far beyond what may be left over: noise has peaks, a change has bulk."""
_EDGE = 1.0  # and is outlined down to here
_BULK = 90  # percentile
_LEAST_AREA = 20
_LEAST_PX = 10.0  # a window shows a thing at least as wide as itself
_AT_EDGE = 0.3
# Beside a nearer surface's edge a strip may only have been hidden: there a place counts that is wide, no
# strip, and lies within one surface, which explains nearly all about it.
_SURE_AT_EDGE, _WIDE_PX, _LONGEST, _WITHIN = 2.8, 12.5, 4.0, 0.95
_RING_PX = 5

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
        How far beyond what may be left over, in the tenth of it that is farthest.
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
        if area < _LEAST_AREA:
            continue
        own = labels[y : y + h, x : x + w] == index
        inside = by.excess[y : y + h, x : x + w][own]
        bulk, thick = float(np.percentile(inside, _BULK)), _thickness(own)
        if bulk < SURE or thick < _LEAST_PX:
            continue
        at_edge = by.edges[y : y + h, x : x + w][own].mean() > _AT_EDGE
        strip = bulk < _SURE_AT_EDGE or thick < _WIDE_PX or _long(own) > _LONGEST
        if at_edge and (strip or _within(np.asarray(labels), index, (x, y, w, h), by) < _WITHIN):
            untold[y : y + h, x : x + w] |= own
            continue
        outline = _outline(own, (x, y))
        middle = middles[index].round().astype(int)
        surface = surfaces[int(by.surface[middle[1], middle[0]])]
        earlier = moved(np.linalg.inv(surface.matrix), outline)
        found.append(Change(moved(now_to_photo, outline), moved(earlier_to_photo, earlier), bulk))
    return tuple(sorted(found, key=lambda one: -one.excess)), untold


def _thickness(own: Mask) -> float:
    """The widest circle within a place, px across."""
    deep = cv2.distanceTransform(np.pad(own.astype(np.uint8), 1), cv2.DIST_L2, 3)
    return float(2 * deep.max() - 1)


def _long(own: Mask) -> float:
    """How many times as long as wide a place is."""
    sides = cv2.minAreaRect(np.argwhere(own).astype(np.float32))[1]
    return float(max(sides) / max(min(sides), 1.0))


def _within(labels: NDArray[Any], index: int, box: tuple[int, int, int, int], by: Explained) -> float:
    """The share of the ring about a labelled place that its best surface explains by itself."""
    x, y, w, h = box
    reach = _RING_PX + 3
    part = np.s_[max(y - reach, 0) : y + h + reach, max(x - reach, 0) : x + w + reach]
    own = (labels[part] == index).astype(np.uint8)
    outer, inner = (np.ones((2 * px + 1, 2 * px + 1), np.uint8) for px in (_RING_PX, 1))
    ring = (cv2.dilate(own, outer) > 0) & (cv2.dilate(own, inner) == 0) & by.compared[part]
    return max((float(one[part][ring].mean()) for one in by.alone), default=0.0) if ring.any() else 0.0


def _outline(own: NDArray[np.bool_], corner: tuple[int, int]) -> Points:
    """The outer course around a place, simplified to a pixel and a half."""
    padded = np.pad(own.astype(np.uint8), 1)
    courses, _ = cv2.findContours(padded, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    longest = max(courses, key=cv2.contourArea)
    course = cv2.approxPolyDP(longest, 1.5, True).reshape(-1, 2).astype(float)
    return np.asarray(course + np.array(corner, float) - 1, np.float64)
