"""Places on a ribbon that stand out from their own hose, by what its cover shows when it rubs.

Rubber turns bright and smooth; textile frays into lighter, rougher fibres; a metal braid is shiny
all over, so only a break of its pattern counts.  Everything is held against the spread of the same
hose: a cover that is restless all over raises its own threshold and does not flood.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from vision.hose.bands import Band
from vision.hose.contrast import contrasts, spread
from vision.hose.course import Array, Picture
from vision.hose.ribbon import Ribbon

_CONTRAST = {"rubber": 0.09, "textile": 0.12, "metal_braid": 0.1}  # ln units
_STANDS_OUT = {"rubber": 5.0, "textile": 5.0, "metal_braid": 5.0}  # robust sigmas
_FOREIGN, _FOREIGN_COLOUR = 1.3, 0.35  # ln units: something else lies on the hose
_BRIGHTER = 0.25  # ln units over the hose's own streak
_LIGHTER, _NO_WEAVE = 0.15, 0.5  # ln units: what hides a weave
_RIM = 0.035  # hose widths that the blurred border of such a thing reaches
_SLIVER = 2.0  # times as high as it is long
_RIM_ACROSS = 0.12  # hose widths that the end of a clamp or a half shadow reaches
_GRADES = (0.3, 0.6)  # ln units
MOST_SPOTS = 24  # that stand out, beside what lies on the hose
_ROOM = 8  # pixels about a place, more than its border's slope is evened over


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
    burnt, over_streak : float
        Share without usable light; ln light over the hose's own brightest row.
    lies_on : bool
        Found as a thing on the hose, by colour, light or a weave that it hides.
    goes_across : str
        Kind of the `Band` that it is; "" for any other place.
    named : str
        What the network calls it (`by_net.py`): "worn", "wet", what it is set aside as; "" where it was not
        asked or is in doubt.
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
    over_streak: float
    lies_on: bool = False
    goes_across: str = ""
    named: str = ""

    @property
    def along(self) -> tuple[float, float]:
        """First and last column."""
        return float(self.column), float(self.column + self.mask.shape[1] - 1)


Box = tuple[int, int, NDArray[np.bool_]]  # row, column and mask


def find_spots(ribbon: Ribbon, cover: str) -> list[Spot]:
    """Return the places that stand out, the strongest first; what lies on the hose is among them."""
    shape = ribbon.residual.shape
    across, rims = np.zeros(shape, bool), np.zeros(shape, bool)
    rim = max(3, round(_RIM_ACROSS * ribbon.rows_a_width))
    found: list[Spot] = []
    for band in ribbon.bands:
        mask = band.mask(shape)
        if band.kind != "shade":
            place = measured(ribbon, ribbon.residual, _boxes(mask)[0], 0.0)
            found.append(replace(place, lies_on=True, goes_across=band.kind))
        rims |= band.rims(shape, rim)
        if band.hides:
            across |= band.mask(shape, rim)
    known = _foreign(ribbon, cover) & ~(across | rims)
    foreign = known | across | rims
    found += [replace(measured(ribbon, ribbon.residual, box, 0.0), lies_on=True) for box in _boxes(known)]
    signal = signal_of(ribbon, cover)
    peaks: list[tuple[float, int, int, float, float, int, int]] = []
    for contrast, beside, length, height in contrasts(signal, ~foreign, ribbon.rows_a_width):
        strong = (contrast > 0.8 * _CONTRAST[cover]) & ~foreign
        some = _rows_about(strong, height)
        excess = contrast[some] / spread(contrast, some)
        high = (excess > _STANDS_OUT[cover]) & strong[some]
        if not high.any():
            continue
        top = cv2.dilate(excess, np.ones((height, length), np.uint8))
        peaks += [
            (
                float(excess[r, c]),
                r + some.start,
                c,
                *(float(one[some][r, c]) for one in (contrast, beside)),
                length,
                height,
            )
            for r, c in np.argwhere(high & (excess == top)).tolist()
        ]
    peaks.sort(key=lambda peak: -peak[0])
    taken = foreign.copy()
    room = len(found) + MOST_SPOTS
    for _, row, column, contrast_, beside_, length, height in peaks:
        if taken[row, column]:
            continue
        box = _grown(np.where(foreign, -1, signal), row, column, contrast_, beside_, length, height)
        if box is None:
            continue
        spot = measured(ribbon, signal, box, beside_)
        pad = max(2, height // 2)
        rows_, columns_ = spot.mask.shape
        taken[
            max(spot.row - pad, 0) : spot.row + rows_ + pad,
            max(spot.column - pad, 0) : spot.column + columns_ + pad,
        ] = True
        spot = replace(spot, goes_across=_border_of(spot, ribbon.bands, shape, 2 * rim))
        if spot.contrast >= _CONTRAST[cover]:
            found.append(spot)
        if len(found) >= room:
            break
    return found


def _rows_about(strong: NDArray[np.bool_], height: int) -> slice:
    """The rows with something strong, and those within a box's height of them."""
    rows = np.flatnonzero(strong.any(axis=1))
    return slice(max(int(rows[0]) - height, 0), int(rows[-1]) + height + 1) if len(rows) else slice(0, 0)


def _border_of(spot: Spot, bands: Sequence[Band], shape: tuple[int, int], reach: int) -> str:
    """Kind of the band whose border a sliver along it is; "" for a place of its own."""
    rows, columns = spot.mask.shape
    if rows < _SLIVER * spot.mask.sum() / rows:
        return ""
    box = (slice(spot.row, spot.row + rows), slice(spot.column, spot.column + columns))
    near = [band.kind for band in bands if band.mask(shape, reach)[box][spot.mask].any()]
    return near[0] if near and near[0] != "shade" else "sun" if near else ""


def _foreign(ribbon: Ribbon, cover: str) -> NDArray[np.bool_]:
    """Where something lies on the hose: of another colour or far too bright, and not a few pixels."""
    even = cv2.blur(ribbon.residual, (3, 3))
    coloured = ribbon.chroma > _FOREIGN_COLOUR
    over = cv2.blur(ribbon.over_streak, (3, 3))
    there = ((even > _FOREIGN) & (over > _BRIGHTER)) | (coloured & (np.abs(even) > 0.1))
    if cover != "rubber":
        there |= (even > _LIGHTER) & (cv2.blur(ribbon.texture, (5, 5)) < -_NO_WEAVE)
    size = max(3, int(0.1 * ribbon.rows_a_width))
    there = _opened(there, size)
    # On the streak a label stands out less than beside it.
    parts, _ = ndimage.label(there | (even > 0.5 * _FOREIGN) & (over > 0))
    there = np.isin(parts, np.unique(parts[there])) & (parts > 0) if there.any() else there
    rim = 2 * int(1.5 + _RIM * ribbon.rows_a_width) + 1
    return np.asarray(cv2.dilate(there.astype(np.uint8), np.ones((rim, rim), np.uint8)), bool)


def _opened(there: NDArray[np.bool_], size: int) -> NDArray[np.bool_]:
    """What is as large as a square of `size`; nothing lies beyond the picture."""
    square, middle = np.ones((size, size), np.uint8), size // 2
    rest = cv2.erode(
        there.astype(np.uint8), square, anchor=(middle, middle), borderType=cv2.BORDER_CONSTANT, borderValue=0
    )
    back = (size - 1 - middle,) * 2
    return np.asarray(cv2.dilate(rest, square, anchor=back), bool)


def _boxes(foreign: NDArray[np.bool_]) -> list[Box]:
    labels, _ = ndimage.label(foreign)
    boxes = []
    for index, where in enumerate(ndimage.find_objects(labels), start=1):
        boxes.append((where[0].start, where[1].start, labels[where] == index))
    return boxes


def grade_of(spot: Spot) -> int:
    """Return 1 faint to 3 strong: how much it stands out."""
    return 1 + sum(spot.contrast > limit for limit in _GRADES)


def signal_of(ribbon: Ribbon, cover: str) -> Picture:
    """Return what wear raises on this cover (R, C), ln units."""
    if cover == "rubber":
        return ribbon.residual
    if cover == "textile":
        return np.asarray(ribbon.residual + 0.3 * np.clip(ribbon.texture, 0, 1), np.float32)
    # A broken braid turns dull; brighter alone is only light.
    return np.asarray(-ribbon.residual, np.float32)


def _grown(
    signal: Picture, row: int, column: int, contrast: float, beside: float, length: int, height: int
) -> Box | None:
    """Return what hangs together about a peak and is at least half as bright, with its box's corner."""
    reach = int(1.5 * length)
    left, right = max(column - reach, 0), min(column + reach + 1, signal.shape[1])
    size = (max(3, length // 6) | 1, max(3, height // 3) | 1)
    part = cv2.blur(signal[:, left:right], size) - beside
    own_peak = max(contrast, float(part[row, column - left]))
    labels, _ = ndimage.label(part > 0.5 * own_peak)
    label = labels[row, column - left]
    if label == 0:
        return None
    own = ndimage.binary_fill_holes(labels == label)
    if own.sum() < 12:
        return None
    where = ndimage.find_objects(own.astype(int))[0]
    return where[0].start, where[1].start + left, own[where]


def measured(ribbon: Ribbon, signal: Picture, found: Box, beside: float) -> Spot:
    """Return a place with what is measured on it; `beside` is the signal it is held against, ln units."""
    row, column, mask = found
    box = (slice(row, row + mask.shape[0]), slice(column, column + mask.shape[1]))

    def mean(picture: Array | Picture | NDArray[np.bool_]) -> float:
        return float(picture[box][mask].mean())

    rise = 0.0
    peak = float(np.quantile(signal[box][mask], 0.9)) - beside
    if min(mask.shape) > 2:
        top, left = max(row - _ROOM, 0), max(column - _ROOM, 0)
        about = ribbon.residual[top : box[0].stop + _ROOM, left : box[1].stop + _ROOM]
        even = cv2.GaussianBlur(about, (0, 0), 0.8)[row - top :, column - left :]
        slope = np.hypot(*np.gradient(even[: mask.shape[0], : mask.shape[1]]))
        rise = float(np.quantile(slope, 0.95)) / max(peak, 1e-6)
    return Spot(
        row, column, mask, mean(signal) - beside, peak, mean(ribbon.chroma), mean(ribbon.texture), rise,
        mean(~ribbon.usable), mean(ribbon.over_streak),
    )  # fmt: skip


def outline(spot: Spot, ribbon: Ribbon) -> Array:
    """Return the spot's outline (N, 2), px of the photo."""
    mask = np.pad(spot.mask.astype(np.uint8), 1)
    contours, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    course = max(contours, key=len)[:, 0].astype(np.float64) - 1
    return ribbon.strip.point(course[:, 0] + spot.column, course[:, 1] + spot.row)
