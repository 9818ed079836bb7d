"""The piece of a surface that a person showed: its corners, and which pixels lie in it."""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.errors import RegionError

Array = NDArray[np.float64]
MOST_CORNERS = 40


@dataclass(frozen=True, eq=False)
class Region:
    """Corners (N, 2), px of the upright photo, in their order round."""

    corners: Array

    @property
    def area_px(self) -> float:
        """Of the polygon, px."""
        return float(cv2.contourArea(self.corners.astype(np.float32)))

    @property
    def box(self) -> tuple[int, int, int, int]:
        """First column and row, and those after the last."""
        low, high = np.floor(self.corners.min(axis=0)), np.ceil(self.corners.max(axis=0))
        return int(low[0]), int(low[1]), int(high[0]) + 1, int(high[1]) + 1

    @property
    def narrow_px(self) -> float:
        """Short side of the smallest rectangle about it."""
        return float(min(cv2.minAreaRect(self.corners.astype(np.float32))[1]))

    def within(self, width: int, height: int) -> bool:
        """Whether all of it lies in a photo of this size."""
        low, high = self.corners.min(axis=0), self.corners.max(axis=0)
        return bool((low >= -0.5).all() and high[0] <= width - 0.5 and high[1] <= height - 0.5)


def region_of(points: Sequence[tuple[float, float]]) -> Region:
    """Return the region of two opposite corners, or of three corners and more in their order round.

    Raises
    ------
    RegionError
        There are fewer than two points or too many, or two sides cross.
    """
    if not 2 <= len(points) <= MOST_CORNERS:
        msg = (
            f"a region takes two opposite corners, or three to {MOST_CORNERS} corners in their order round; "
            f"{len(points)} came"
        )
        raise RegionError(msg)
    corners = np.array(points, np.float64)
    if len(corners) == 2:
        (x0, y0), (x1, y1) = corners
        corners = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
    elif _crosses(corners):
        msg = "two sides of the region cross: give its corners in their order round"
        raise RegionError(msg)
    return Region(corners)


def _crosses(corners: Array) -> bool:
    count = len(corners)
    ends = [(corners[k], corners[(k + 1) % count]) for k in range(count)]
    for i in range(count):
        for j in range(i + 2, count):
            if (j + 1) % count != i and _cross(*ends[i], *ends[j]):
                return True
    return False


def _cross(a: Array, b: Array, c: Array, d: Array) -> bool:
    def side(p: Array, q: Array, r: Array) -> float:
        return float((q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]))

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0
