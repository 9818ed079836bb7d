"""A surface's own light, colour and texture, which a mark has to stand out from.

Two robust steps.  Light on a cylinder, and a straight shadow, are the same along one direction: a running
median along it takes them away, whatever they do across.  What then still changes slowly goes by a median
over a wide square.  A median is not moved by what fills less than half of its window, so a mark up to
`MOST_SHARE` of the region's narrow side stays; a larger one, and one that runs on along a cylinder, does not.
"""

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from vision.surface.looked import LIGHT, TEXTURE, Looked, Picture

MOST_SHARE = 0.2
"""Longest place that is looked for, as a share of the region's narrow side."""

_COARSE = 4  # worked px
_WINDOW, _SQUARE = 0.5, 0.33  # of the region's length, of its narrow side
_TRIED = 10  # directions
_MOST, _LESS = 0.97, 0.9
_FEW = 0.1  # of a row
_LEAST_CELL = 0.95  # of a coarse pixel: the mean of a part of it would lie beside its middle
_MOST_REACHED, _FINE_RANGE = 0.995, 0.05  # of the values; ln units
_LAST = 3  # rows that tell how the light goes on at the border


def residual(looked: Looked, known: NDArray[np.bool_]) -> tuple[Picture, float | None]:
    """Return the maps less what is the surface's own, and the direction along which the light is the same.

    Parameters
    ----------
    known : (H, W) bool array
        Where the surface is seen.

    Returns
    -------
    (H, W, 4) float32 array
        0 where nothing is known.
    float or None
        rad; None where the light has no such direction.
    """
    rows, columns = known.shape
    size = max(2, columns // _COARSE), max(2, rows // _COARSE)
    weight = cv2.resize(known.astype(np.float32), size, interpolation=cv2.INTER_AREA)
    few = cv2.resize(looked.maps * known[..., None].astype(np.float32), size, interpolation=cv2.INTER_AREA)
    coarse = np.asarray(few / np.maximum(weight, 1e-3)[..., None], np.float32)
    solid = weight > _LEAST_CELL
    axis = axis_of(np.ascontiguousarray(coarse[..., LIGHT]), solid)
    own = _modelled(coarse, solid, axis)
    wide = cv2.resize(own, (columns, rows), interpolation=cv2.INTER_LINEAR)
    left = np.asarray((looked.maps - wide) * known[..., None], np.float32)
    # What is burnt out or black has no texture, and that says nothing.
    lost = cv2.dilate((looked.burnt | looked.dark).astype(np.uint8), np.ones((11, 11), np.uint8))
    left[lost > 0, TEXTURE] = 0
    return left, axis


def _modelled(coarse: Picture, solid: NDArray[np.bool_], axis: float | None) -> Picture:
    steady = np.zeros_like(coarse) if axis is None else _steady(coarse, solid, axis)
    return np.asarray(steady + _slow(coarse - steady, solid), np.float32)


def axis_of(light: Picture, solid: NDArray[np.bool_]) -> float | None:
    """Return the direction (rad) along which taking away what is steady leaves least.

    Directions are tried one by one, and none at all: a shadow across a cylinder has two directions in one
    picture, and their mean, which a gradient's tensor would tell, is neither.
    """
    size = max(8, light.shape[1] // 3), max(8, light.shape[0] // 3)
    few = np.asarray(cv2.resize(cv2.merge([light, light]), size, interpolation=cv2.INTER_AREA), np.float32)
    there = cv2.resize(solid.astype(np.float32), size, interpolation=cv2.INTER_AREA) > _LEAST_CELL

    def rest(axis: float | None) -> float:
        left = (few - _modelled(few, there, axis))[..., 0] * there
        return float(np.quantile(np.abs(cv2.blur(left, (3, 3))[there]), _MOST))

    if there.sum() < 50:
        return None
    tried = {axis: rest(axis) for axis in np.arange(_TRIED) * (np.pi / _TRIED)}
    best = min(tried, key=lambda axis: tried[axis])
    tried |= {best + off: rest(best + off) for off in (-0.5 * np.pi / _TRIED, 0.5 * np.pi / _TRIED)}
    best = min(tried, key=lambda axis: tried[axis])
    tried |= {best + off: rest(best + off) for off in (-0.25 * np.pi / _TRIED, 0.25 * np.pi / _TRIED)}
    best = min(tried, key=lambda axis: tried[axis])
    return float(best) if tried[best] < _LESS * rest(None) else None


def _steady(coarse: Picture, solid: NDArray[np.bool_], axis: float) -> Picture:
    """What is the same along the axis: rows of the turned picture, a running median along each."""
    rows, columns = solid.shape
    side = int(np.hypot(rows, columns)) + 2
    turn = cv2.getRotationMatrix2D(((columns - 1) / 2, (rows - 1) / 2), float(np.rad2deg(axis)), 1.0)
    turn[:, 2] += (side - columns) / 2, (side - rows) / 2
    part = cv2.warpAffine(solid.astype(np.float32), turn, (side, side))
    there = part > _LEAST_CELL
    turned = cv2.warpAffine(coarse * solid[..., None].astype(np.float32), turn, (side, side))
    turned = turned / np.maximum(part, _LEAST_CELL)[..., None]
    few = max(8, side // _COARSE)
    weight = cv2.resize(there.astype(np.float32), (few, side), interpolation=cv2.INTER_AREA)
    small = cv2.resize(
        turned * there[..., None].astype(np.float32), (few, side), interpolation=cv2.INTER_AREA
    )
    small = np.where((weight > 0.5)[..., None], small / np.maximum(weight, 1e-3)[..., None], np.nan)
    enough = np.isfinite(small[..., 0]).mean(axis=1) > _FEW
    if enough.sum() < 4:
        return np.zeros_like(coarse)
    middle = np.nanmedian(small[enough], axis=1)
    at = np.flatnonzero(enough)
    length = int(np.isfinite(small[enough, :, 0]).sum(axis=1).max())
    window = max(3, int(_WINDOW * length)) | 1
    out = np.empty((side, few, coarse.shape[2]), np.float32)
    for k in range(coarse.shape[2]):
        whole = _gone_on(np.arange(side), at, middle[:, k])[:, None]
        filled = np.where(np.isfinite(small[..., k]), small[..., k], whole)
        filled[~enough] = whole[~enough]
        even = ndimage.median_filter(filled.astype(np.float32), size=(1, window), mode="nearest")
        out[..., k] = cv2.GaussianBlur(even, (0, 0), sigmaX=0.8, sigmaY=0.8)
    full = cv2.resize(out, (side, side), interpolation=cv2.INTER_LINEAR)
    back = cv2.warpAffine(full, turn, (columns, rows), flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP)
    return np.asarray(back, np.float32)


def _gone_on(rows: NDArray[np.int64], at: NDArray[np.int64], values: Picture) -> Picture:
    """Values at rows; beyond the known ones they go on as they went there last."""
    out = np.interp(rows, at, values)
    last = min(_LAST, len(at) - 1)
    for side, inner in ((0, last), (-1, -1 - last)):
        slope = (values[side] - values[inner]) / (at[side] - at[inner])
        beyond = rows < at[0] if side == 0 else rows > at[-1]
        out[beyond] = values[side] + slope * np.clip(rows[beyond] - at[side], -_LAST, _LAST)
    return np.asarray(out, np.float32)


def _slow(left: Picture, solid: NDArray[np.bool_]) -> Picture:
    """What changes slowly in both directions, and straight steps: a median over a wide square."""
    _, nearest = ndimage.distance_transform_edt(~solid, return_indices=True)
    filled = left[nearest[0], nearest[1]]
    narrow = 2 * float(cv2.distanceTransform(np.pad(solid.astype(np.uint8), 1), cv2.DIST_L2, 3).max())
    window = max(3, int(_SQUARE * narrow)) | 1
    out = np.empty_like(left)
    for k in range(left.shape[2]):
        reach = max(float(np.quantile(np.abs(filled[::2, ::2, k]), _MOST_REACHED)), _FINE_RANGE)
        rough = _median(filled[..., k], window, reach)
        fine = _median(filled[..., k] - rough, window, _FINE_RANGE)
        out[..., k] = rough + cv2.GaussianBlur(fine, (0, 0), max(window / 12, 0.5))
    return out


def _median(layer: Picture, window: int, reach: float) -> Picture:
    """Median over a square window, of values within ± reach, in 255 steps: any window takes the same time."""
    coded = np.clip(np.round(128 + layer * (127 / reach)), 0, 255).astype(np.uint8)
    room = window // 2
    wide = cv2.copyMakeBorder(coded, room, room, room, room, cv2.BORDER_REPLICATE)
    rows, columns = layer.shape
    median = cv2.medianBlur(wide, window)[room : room + rows, room : room + columns]
    return np.asarray((median.astype(np.float32) - 128) * (reach / 127), np.float32)
