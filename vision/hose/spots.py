"""Places on a ribbon that stand out from their own hose, by what its cover shows when it rubs.

Rubber turns bright and smooth; textile frays into lighter, rougher fibres; a metal braid is shiny
all over, so only a break of its pattern counts.  Everything is held against the spread of the same
hose: a cover that is restless all over raises its own threshold and does not flood.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from vision.hose.course import Array, Picture
from vision.hose.ribbon import Ribbon

_SIZES = (0.09, 0.16, 0.28)  # sigma over the hose's width
_CONTRAST = {"rubber": 0.07, "textile": 0.12, "metal_braid": 0.3}  # ln units
_STANDS_OUT = {"rubber": 4.5, "textile": 5.0, "metal_braid": 8.0}  # robust sigmas
_GRADES = (0.3, 0.6)  # ln units
_MOST_SPOTS = 24


@dataclass(frozen=True, eq=False)
class Spot:
    """A place on the ribbon.

    Attributes
    ----------
    mask : (h, w) bool array
        In the box that begins at (row, column).
    contrast, chroma, texture : float
        Means over the mask, ln units.
    rise : float
        Contrast a pixel step at its border over the contrast itself: 1 is as sharp as can be.
    """

    row: int
    column: int
    mask: NDArray[np.bool_]
    contrast: float
    peak: float
    chroma: float
    texture: float
    rise: float
    burnt: float

    @property
    def along(self) -> tuple[float, float]:
        """First and last column."""
        return float(self.column), float(self.column + self.mask.shape[1] - 1)


def find_spots(ribbon: Ribbon, cover: str) -> list[Spot]:
    """Return the places that stand out, the strongest first."""
    signal = _signal(ribbon, cover)
    taken = np.zeros(signal.shape, bool)
    peaks: list[tuple[float, int, int, Picture, float]] = []
    for share in _SIZES:
        sigma = max(0.8, share * ribbon.rows_a_width)
        even = np.asarray(cv2.GaussianBlur(signal, (0, 0), sigma), np.float32)
        spread = _spread(even)
        excess = even / spread
        top = ndimage.maximum_filter(excess, size=int(2 * sigma) | 1)
        rows, columns = np.nonzero(
            (excess == top) & (excess > _STANDS_OUT[cover]) & (even > 0.7 * _CONTRAST[cover])
        )
        peaks += [
            (float(excess[r, c]), int(r), int(c), even, sigma) for r, c in zip(rows, columns, strict=True)
        ]
    peaks.sort(key=lambda peak: -peak[0])
    spots = []
    for _, row, column, even, sigma in peaks:
        if taken[row, column]:
            continue
        spot = _grown(ribbon, signal, even, row, column, sigma)
        if spot is None:
            continue
        rows, columns = spot.mask.shape
        pad = int(sigma) + 1
        taken[
            max(spot.row - pad, 0) : spot.row + rows + pad,
            max(spot.column - pad, 0) : spot.column + columns + pad,
        ] = True
        if spot.contrast >= _CONTRAST[cover]:
            spots.append(spot)
        if len(spots) == _MOST_SPOTS:
            break
    return spots


def grade_of(spot: Spot) -> int:
    """Return 1 faint to 3 strong: how much it stands out."""
    return 1 + sum(spot.contrast > limit for limit in _GRADES)


def _signal(ribbon: Ribbon, cover: str) -> Picture:
    """What wear raises, in ln units."""
    if cover == "rubber":
        return ribbon.residual
    if cover == "textile":
        return np.asarray(ribbon.residual + 0.3 * np.clip(ribbon.texture, 0, 1), np.float32)
    even = cv2.GaussianBlur(ribbon.residual, (0, 0), 0.1 * ribbon.rows_a_width)
    rough = cv2.GaussianBlur(ribbon.texture, (0, 0), 0.1 * ribbon.rows_a_width)
    # A broken braid loses its pattern or turns dull; brighter alone is only light.
    return np.asarray(np.clip(-even, 0, None) + np.abs(rough), np.float32)


def _spread(even: Picture) -> Picture:
    """Robust sigma of each row, smoothed over rows."""
    middle = np.median(even, axis=1, keepdims=True)
    mad = 1.4826 * np.median(np.abs(even - middle), axis=1, keepdims=True)
    return np.asarray(np.maximum(ndimage.uniform_filter1d(mad, 5, axis=0), 0.01), np.float32)


def _grown(
    ribbon: Ribbon, signal: Picture, even: Picture, row: int, column: int, sigma: float
) -> Spot | None:
    width = signal.shape[1]
    reach = int(3 * ribbon.rows_a_width)
    left, right = max(column - reach, 0), min(column + reach + 1, width)
    part = even[:, left:right]
    labels, _ = ndimage.label(part > 0.5 * part[row, column - left])
    own = labels == labels[row, column - left]
    if own.sum() < 6:
        return None
    where = ndimage.find_objects(own.astype(int))[0]
    mask = own[where]
    r0, c0 = where[0].start, where[1].start + left
    box = (slice(r0, r0 + mask.shape[0]), slice(c0, c0 + mask.shape[1]))

    def mean(picture: Array | Picture | NDArray[np.bool_]) -> float:
        return float(picture[box][mask].mean())

    slope = (
        np.hypot(*np.gradient(cv2.GaussianBlur(ribbon.residual, (0, 0), 0.8)[box]))
        if min(mask.shape) > 2
        else None
    )
    contrast = mean(signal)
    peak = float(np.quantile(signal[box][mask], 0.9))
    rise = 0.0 if slope is None else float(np.quantile(slope, 0.95)) / max(peak, 1e-6)
    return Spot(
        r0, c0, mask, contrast, peak, mean(ribbon.chroma), mean(ribbon.texture), rise, mean(~ribbon.usable)
    )


def outline(spot: Spot, ribbon: Ribbon) -> Array:
    """Return the spot's outline (N, 2), px of the photo."""
    mask = np.pad(spot.mask.astype(np.uint8), 1)
    contours, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    course = max(contours, key=len)[:, 0].astype(np.float64) - 1
    return ribbon.strip.point(course[:, 0] + spot.column, course[:, 1] + spot.row)
