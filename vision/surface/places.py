"""Places on a surface that stand out from it, each held against the restlessness of the same surface.

A surface that is restless all over raises its own threshold and does not flood: a place has to stand out by
many robust sigmas, and from the other places of its size, too.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.surface.contrast import SIGNALS, Scale, scales
from vision.surface.looked import BLUE, LIGHT, RED, TEXTURE, Picture
from vision.surface.own import MOST_SHARE
from vision.surface.region import Array

LEAST_WORKED_PX = 6.0
"""Longest side of the smallest place that is looked for, worked px."""

_STANDS_OUT = 6.5  # robust sigmas
_FROM_OTHERS = 7.0  # spans from the middling to the third quarter of the places of this size
_SEEN = 4.5  # robust sigmas: not told, but may be one of a row
_SIGMAS_A_SIDE = 3.0  # of the largest place's longest side
# ln units for each signal.  Even paint would tell of shading that nobody sees; and mirrored light pales a
# colour, where the surface is dark more than where it is bright.
_LEAST = (0.05, 0.05, 0.1, 0.1, 0.08)
_FEW_PEAKS = 12
_REACH = 5.0  # sigmas
_ALONE, _TO_THE_SURFACE = 2.5, 0.9
_MOST_PLACES = 40
_GRADES = (12.0, 22.0)  # robust sigmas


@dataclass(frozen=True, eq=False)
class Place:
    """A place that stands out.

    Attributes
    ----------
    row, column : int
        Worked px of the first pixel of `mask`.
    mask : (h, w) bool array
    signal : int
        Index in `SIGNALS` of what stands out most.
    excess : float
        How much, in robust sigmas of the surface.
    others : (5,) array
        The same for every signal.
    contrast : (5,) array
        ln units, likewise.
    means : (4,) array
        Of the maps less what is the surface's own.
    sigma : float
        The size at which it was seen, worked px.
    needed : float
        Robust sigmas that a place of this size has to stand out by on this surface.
    """

    row: int
    column: int
    mask: NDArray[np.bool_]
    signal: int
    excess: float
    others: Array
    contrast: Array
    means: Array
    sigma: float
    needed: float

    @property
    def stands_out(self) -> bool:
        """Whether a person is told of it."""
        return self.excess > self.needed

    @property
    def middle(self) -> Array:
        """(x, y), worked px."""
        rows, columns = np.nonzero(self.mask)
        return np.array([columns.mean() + self.column, rows.mean() + self.row])

    @property
    def outline(self) -> Array:
        """(N, 2) worked px."""
        contours, _ = cv2.findContours(
            np.pad(self.mask.astype(np.uint8), 1), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE
        )
        course = max(contours, key=len)[:, 0].astype(np.float64) - 1
        return np.asarray(course + np.array([self.column, self.row]))

    @property
    def sides(self) -> tuple[float, float]:
        """Longest and shortest side of the smallest rectangle about it, worked px."""
        wide, high = cv2.minAreaRect(self.outline.astype(np.float32))[1]
        return max(wide, high) + 1, min(wide, high) + 1

    @property
    def grade(self) -> int:
        """1 faint to 3 strong: how much it stands out from its surface, not how bad it is."""
        return 1 + sum(self.excess > limit for limit in _GRADES)


@dataclass(frozen=True, eq=False)
class _Peak:
    excess: float
    signal: int
    x: float
    y: float
    sigma: float
    others: Array
    contrast: Array
    needed: float


def find_places(own: Picture, known: NDArray[np.bool_], narrow: float) -> list[Place]:
    """Return what stands out, the strongest first, and what nearly does.

    Parameters
    ----------
    own : (H, W, 4) float32 array
        Maps less what is the surface's own.
    known : (H, W) bool array
        Where the surface itself is seen.
    narrow : float
        Narrow side of the region, worked px.
    """
    most = MOST_SHARE * narrow / _SIGMAS_A_SIDE
    peaks = [peak for scale in scales(own, known, most) for peak in _peaks(scale)]
    peaks.sort(key=lambda peak: -peak.excess)
    taken = ~known
    found: list[Place] = []
    for peak in peaks:
        if len(found) == _MOST_PLACES:
            break
        row, column = round(peak.y), round(peak.x)
        if taken[min(row, taken.shape[0] - 1), min(column, taken.shape[1] - 1)]:
            continue
        place = _grown(own, known, peak)
        if place is None or max(place.sides) < LEAST_WORKED_PX or _surrounds(place, found):
            continue
        found.append(place)
        pad = max(2, int(peak.sigma))
        rows, columns = place.mask.shape
        box = (
            slice(max(place.row - pad, 0), place.row + rows + pad),
            slice(max(place.column - pad, 0), place.column + columns + pad),
        )
        taken[box] = True
    return found


def _surrounds(place: Place, stronger: Sequence[Place]) -> bool:
    """Whether it is what lies about a stronger place, and stands out by that alone."""
    low = np.array([place.column, place.row])
    high = low + place.mask.shape[::-1]
    return any(bool((low <= one.middle).all() and (one.middle <= high).all()) for one in stronger)


def _peaks(scale: Scale) -> Sequence[_Peak]:
    found = []
    for k in range(len(SIGNALS)):
        excess = scale.excess[k]
        top = cv2.dilate(excess, np.ones((5, 5), np.uint8))
        rows, columns = np.nonzero((excess == top) & (excess > 1.0))
        if not len(rows):
            continue
        heights = excess[rows, columns]
        asked = _STANDS_OUT
        if len(heights) >= _FEW_PEAKS:
            middling, much = np.quantile(heights, [0.5, 0.75])
            asked = max(asked, float(middling + _FROM_OTHERS * (much - middling)))
        if k < 2:
            # Rubbed paint is brighter and smoother, or rougher by scratches: both speak together.
            beside = scale.excess[2:4, rows, columns].max(axis=0)
            heights = np.hypot(heights, np.maximum(beside, 0))
        heights[scale.contrast[k, rows, columns] < _LEAST[k]] = 0
        for index in np.flatnonzero(heights > _SEEN):
            r, c = rows[index], columns[index]
            found.append(
                _Peak(
                    float(heights[index]), k, (c + 0.5) * scale.step - 0.5, (r + 0.5) * scale.step - 0.5,
                    scale.sigma, scale.excess[:, r, c].astype(float), scale.contrast[:, r, c].astype(float),
                    asked,
                )
            )  # fmt: skip
    return found


def signal_of(own: Picture, k: int) -> Picture:
    """Return the map (h, w) that a signal raises."""
    if k == 4:
        return np.asarray(np.hypot(own[..., RED], own[..., BLUE]), np.float32)
    layer = own[..., LIGHT if k < 2 else TEXTURE]
    return np.asarray(-layer if k in (1, 2) else layer, np.float32)


def _grown(own: Picture, known: NDArray[np.bool_], peak: _Peak) -> Place | None:
    """Return what hangs together about a peak and stands out at least half as much."""
    reach = int(_REACH * peak.sigma) + 2
    x, y = round(peak.x), round(peak.y)
    top, left = max(y - reach, 0), max(x - reach, 0)
    box = slice(top, y + reach + 1), slice(left, x + reach + 1)
    part, there = own[box], known[box]
    even = cv2.GaussianBlur(signal_of(part, peak.signal), (0, 0), max(0.4 * peak.sigma, 0.8))
    row, column = y - top, x - left
    if row >= even.shape[0] or column >= even.shape[1]:
        return None
    near = even[max(row - 2, 0) : row + 3, max(column - 2, 0) : column + 3]
    height = float(near.max())
    contrast = max(float(peak.contrast[peak.signal]), 1e-6)
    if height < _ALONE * contrast:  # nothing else lifts it: beside it is the surface itself
        contrast = max(contrast, _TO_THE_SURFACE * height)
    level = height - contrast
    above = ((even > (height + level) / 2) & there).astype(np.uint8)
    _, labels = cv2.connectedComponents(above, connectivity=4)
    label = int(labels[max(row - 2, 0) : row + 3, max(column - 2, 0) : column + 3].max())
    if label == 0:
        return None
    one = (labels == label).astype(np.uint8)
    outer, _ = cv2.findContours(one, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    cv2.drawContours(one, outer, -1, 1, cv2.FILLED)
    left_, top_, wide, high = cv2.boundingRect(one)
    where = slice(top_, top_ + high), slice(left_, left_ + wide)
    mask = one[where].astype(bool)
    return Place(
        top + top_, left + left_, mask, peak.signal, peak.excess, peak.others, peak.contrast,
        part[where][mask].mean(axis=0), peak.sigma, peak.needed,
    )  # fmt: skip
