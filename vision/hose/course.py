"""The course of a hose in a photo: its centre line, its radius, and pictures straightened along it."""

from dataclasses import dataclass
from functools import cached_property, lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import UnivariateSpline

Array = NDArray[np.float64]
Picture = NDArray[np.float32]
LONGEST_STRIP = 30000  # cv2.remap takes less than 32767 columns


@dataclass(frozen=True, eq=False)
class Course:
    """A centre line with its half width.

    Attributes
    ----------
    points : (N, 2) array
        px (x, y), one px apart along the line.
    radius : (N,) array
        Half the visible width at each point, px.
    strength : float
        How much more edge its two sides have than the places beside them; 1 is none.
    """

    points: Array
    radius: Array
    strength: float = 0.0

    @cached_property
    def width_px(self) -> float:
        """Visible width in the median, px."""
        return float(2 * np.median(self.radius))

    def scaled(self, factor: float) -> "Course":
        """Return the course in pixels of a picture `factor` times larger, points one px apart again."""
        points = (self.points + 0.5) * factor - 0.5
        dense, at = evenly(points)
        radius = np.interp(at, np.arange(len(points)) / max(len(points) - 1, 1), self.radius * factor)
        return Course(dense, radius, self.strength)


def evenly(points: Array, step: float = 1.0) -> tuple[Array, Array]:
    """Return points (M, 2) `step` px apart on a polyline (N, 2), and where each lies by index, 0 to 1."""
    lengths = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    at = np.arange(0.0, max(lengths[-1], step), step)
    index = np.interp(at, lengths, np.linspace(0, 1, len(points)))
    return np.stack([np.interp(at, lengths, points[:, axis]) for axis in (0, 1)], axis=1), index


def smooth(points: Array, scale: float) -> Array:
    """Return a polyline (N, 2) smoothed by splines that stay within about a tenth of `scale` px."""
    if len(points) < 8:
        return points
    t = np.arange(len(points), dtype=np.float64)
    stride = max(1, int(scale / 3))
    use = np.unique(np.append(t[::stride], t[-1])).astype(int)
    if len(use) < 6:
        return points
    tolerance = len(use) * (0.1 * scale) ** 2
    fits = [UnivariateSpline(use, points[use, axis], k=3, s=tolerance) for axis in (0, 1)]
    return np.stack([fit(t) for fit in fits], axis=1)


def robust_line(at: Array, values: Array) -> tuple[float, float]:
    """Return slope and value at 0 of the line through values (N,) at places (N,), by Theil and Sen.

    The median of all slopes between two places, which a quarter of wild values does not move (Sen, J. Am.
    Stat. Assoc. 63 (1968) 1379), as ``scipy.stats.theilslopes`` without its interval.
    """
    one, other = _each_two(len(at))
    apart = at[one] - at[other]
    there = apart != 0
    slope = float(np.median((values[one] - values[other])[there] / apart[there]))
    return slope, float(np.median(values) - slope * np.median(at))


@lru_cache(maxsize=64)
def _each_two(count: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    one, other = np.triu_indices(count, 1)
    return one, other


def normals(points: Array, over: float) -> Array:
    """Return unit normals (N, 2), to the right of the way along as seen in the photo, px."""
    reach = max(1, int(over))
    ahead = np.minimum(np.arange(len(points)) + reach, len(points) - 1)
    behind = np.maximum(np.arange(len(points)) - reach, 0)
    along = points[ahead] - points[behind]
    along /= np.maximum(np.hypot(*along.T)[:, None], 1e-9)
    return np.stack([-along[:, 1], along[:, 0]], axis=1)


@dataclass(frozen=True, eq=False)
class Strip:
    """The places in the photo of a straightened strip: column along, row across.

    Attributes
    ----------
    x, y : (R, C) float32 arrays
        px of the photo.
    step : float
        px of the photo from one column to the next.
    across : (R,) array
        In radii, -1 and 1 the hose's sides.
    index : (C,) int array
        The course's point at or before each column.
    normal : (C, 2) array
        Unit normal at each column.
    """

    x: Picture
    y: Picture
    step: float
    across: Array
    index: NDArray[np.int64]
    normal: Array

    def of(self, picture: NDArray[np.uint8] | Picture, how: int = cv2.INTER_LINEAR) -> NDArray[np.float32]:
        """Return a picture straightened, (R, C) or (R, C, channels) float32."""
        return sampled(picture, self.x, self.y, how)

    def point(self, column: Array, row: Array) -> Array:
        """Return px of the photo (N, 2) of places on the strip."""
        at = np.asarray(column, np.float32)[None], np.asarray(row, np.float32)[None]
        both = [
            cv2.remap(one, *at, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)[0]
            for one in (self.x, self.y)
        ]
        return np.stack(both, axis=1).astype(np.float64)


def sampled(
    picture: NDArray[np.uint8] | Picture, x: Picture, y: Picture, how: int = cv2.INTER_LINEAR
) -> Picture:
    """Return a picture at places x, y (R, C), px; (R, C) or (R, C, channels) float32, C at most 30 000."""
    if max(picture.shape[:2]) > LONGEST_STRIP:
        # Of a panorama only the part about the hose: it may be longer than cv2.remap takes.
        left, top = int(max(x.min() - 2, 0)), int(max(y.min() - 2, 0))
        picture = picture[top : int(y.max()) + 3, left : int(x.max()) + 3]
        x, y = x - left, y - top
    rows = cv2.remap(picture, x, y, how, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(rows, np.float32)


def strip_along(course: Course, rows: int, reach: float = 1.0) -> Strip:
    """Return where a strip of `rows` rows across ±`reach` radii lies; its pixels are about square."""
    across = np.linspace(-reach, reach, rows)
    step = max(reach * course.width_px / (rows - 1), len(course.points) / LONGEST_STRIP)
    columns = np.arange(0, len(course.points) - 1, step)
    index = columns.astype(int)
    share = (columns - index)[:, None]
    points = course.points[index] * (1 - share) + course.points[index + 1] * share
    normal = normals(course.points, max(2.0, 0.5 * course.width_px))[index]
    aside = course.radius[index][:, None] * normal
    by = np.stack([np.ones(rows), across], axis=1)
    x, y = ((by @ np.stack([points[:, axis], aside[:, axis]])).astype(np.float32) for axis in (0, 1))
    return Strip(x, y, step, across, index, normal)
