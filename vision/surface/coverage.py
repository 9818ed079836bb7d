"""Which part of a region was sharp and lit: everything else counts as not searched."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from vision.photo import Photo
from vision.quality import BLUR_WITHOUT_CARD_PX
from vision.surface.looked import Looked
from vision.surface.region import Array, Region
from vision.surface.result import Coverage

_TILES = 16  # along the region's narrow side
_LEAST_TILE_PX = 32
_TELLING = 12  # steep places that a square needs to tell its own blur
_BESIDE = 0.15  # of the region's box: what is seen there tells the region's sharpness, too
_SHARPEST = 0.2
_MANY, _ENOUGH = 3, 100  # of six directions; steep places that tell one
_EVEN = 1.0  # px: noise is evened out before slopes are taken
_STEEPEST, _LEAST_RISE = 0.7, 20
_LARGE_PX, _BESIDE_PX = 4e6, 25
_ABOUT, _ALL_SOFT = 5, 0.4  # squares; share of them


@dataclass(frozen=True, eq=False)
class Steep:
    """The steepest places about a region: columns, rows of the photo, edge-spread sigma in px, direction."""

    columns: NDArray[np.int64]
    rows: NDArray[np.int64]
    sigma: Array
    sector: NDArray[np.int64]


def steep_about(photo: Photo, region: Region) -> Steep:
    """Return the steepest places in a region and a little beyond it.

    A step of height c blurred by s has the steepest slope c / (s √(2π)).  Only a place that is about the
    steepest of its neighbourhood counts: noise beside a step is no edge.
    """
    height, width = photo.pixels.shape[:2]
    x0, y0, x1, y1 = region.box
    room = int(_BESIDE * max(x1 - x0, y1 - y0))
    left, top = max(x0 - room, 0), max(y0 - room, 0)
    part = photo.pixels[top : min(y1 + room, height), left : min(x1 + room, width)]
    # A large photo is halved: its edges are still wide enough to be told from the limit.
    step = 2 if part.shape[0] * part.shape[1] > _LARGE_PX else 1
    size = part.shape[1] // step, part.shape[0] // step
    grey = cv2.resize(cv2.cvtColor(part, cv2.COLOR_RGB2GRAY), size, interpolation=cv2.INTER_AREA)
    grey = cv2.GaussianBlur(grey, (0, 0), _EVEN)
    gx, gy = (cv2.Sobel(grey, cv2.CV_32F, *way, ksize=3, scale=1 / 8) for way in ((1, 0), (0, 1)))
    slope = cv2.magnitude(gx, gy)
    kernel = np.ones((_BESIDE_PX // step | 1, _BESIDE_PX // step | 1), np.uint8)
    rise = cv2.subtract(cv2.dilate(grey, kernel), cv2.erode(grey, kernel))
    rows, columns = np.nonzero((slope >= _STEEPEST * cv2.dilate(slope, kernel)) & (rise > _LEAST_RISE))
    sector = np.floor(np.arctan2(gy[rows, columns], gx[rows, columns]) / np.pi * 6 + 0.5).astype(int) % 6
    seen = rise[rows, columns] / (np.maximum(slope[rows, columns], 1e-3) * np.sqrt(2 * np.pi))
    sigma = step * np.sqrt(np.maximum(seen.astype(np.float64) ** 2 - _EVEN**2, 0.0))
    return Steep(step * columns + left, step * rows + top, sigma, sector)


def blurred_px(steep: Steep) -> float | None:
    """Return the blur of a photo that is plainly soft, px; None where it is not, or too little tells.

    A shadow's edge or a streak is soft in few directions, a photo out of focus in all.  A shaken photo keeps
    what lies along its motion sharp, and is not told from a sharp one with soft shadows: it is not refused.
    """
    sectors = [steep.sigma[steep.sector == k] for k in range(6)]
    told = [float(np.quantile(one, _SHARPEST)) for one in sectors if len(one) >= _ENOUGH]
    soft = sum(one > BLUR_WITHOUT_CARD_PX for one in told)
    return float(np.median(told)) if len(told) >= _MANY and soft == len(told) else None


def covered(looked: Looked, region: Region, steep: Steep, hidden: NDArray[np.bool_]) -> Coverage:
    """Return what was searched.

    Parameters
    ----------
    steep : Steep
        Places that tell how sharp the photo is, px of the photo.  A square without any is taken to be as
        sharp as the nearest square with some; where there is none at all, nothing counts as searched.
    hidden : (H, W) bool array
        Worked px where something else lies on the surface.
    """
    tile = max(_LEAST_TILE_PX, region.narrow_px / _TILES) / looked.factor
    rows, columns = (max(1, int(np.ceil(side / tile))) for side in looked.inside.shape)
    area = _pooled(looked.inside, rows, columns, tile)
    good = looked.inside & ~looked.burnt & ~looked.dark & ~hidden
    seen = _pooled(good, rows, columns, tile) / np.maximum(area, 1e-9)
    sharp = _sharp(looked, steep, rows, columns, tile)
    return Coverage(
        looked.left - 0.5, looked.top - 0.5, tile * looked.factor, area / max(float(area.sum()), 1e-9),
        np.clip(seen, 0, 1) * sharp,
    )  # fmt: skip


def _sharp(looked: Looked, steep: Steep, rows: int, columns: int, tile: float) -> NDArray[np.bool_]:
    places = looked.worked_px(np.stack([steep.columns, steep.rows], 1).astype(np.float64))
    # A ring of squares about the region holds what is seen beside it.
    at = np.clip(np.floor((places + 0.5) / tile).astype(int), -1, [columns, rows]) + 1
    index = at[:, 1] * (columns + 2) + at[:, 0]
    order = np.lexsort((steep.sigma, index))
    squares = np.arange((rows + 2) * (columns + 2))
    first = np.searchsorted(index[order], squares, "left")
    after = np.searchsorted(index[order], squares, "right")
    telling = after - first >= _TELLING
    flat = np.full((rows + 2) * (columns + 2), np.nan)
    sharpest = first + (_SHARPEST * (after - first)).astype(int)
    flat[telling] = steep.sigma[order[sharpest[telling]]]
    blur = flat.reshape(rows + 2, columns + 2)
    sharp = blur < BLUR_WITHOUT_CARD_PX
    soft = blur >= BLUR_WITHOUT_CARD_PX
    # A rub's rim and a shadow's edge are soft in a sharp photo: only where all about is soft it is the photo.
    about = [cv2.blur(one.astype(np.float32), (_ABOUT, _ABOUT)) for one in (soft, sharp)]
    blurred = (about[0] >= _ALL_SOFT) & (about[0] > about[1])
    told = (sharp & ~blurred) | (soft & blurred)
    if not told.any():
        return np.zeros((rows, columns), bool)
    nearest = ndimage.distance_transform_edt(~told, return_distances=False, return_indices=True)
    return np.asarray((sharp & ~blurred)[nearest[0], nearest[1]][1:-1, 1:-1], bool)


def _pooled(mask: NDArray[np.bool_], rows: int, columns: int, tile: float) -> Array:
    """Worked px of each square that the mask covers."""
    height, width = mask.shape
    total = np.pad(cv2.integral(mask.astype(np.uint8))[1:, 1:].astype(np.float64), ((1, 0), (1, 0)))
    y = np.minimum(np.round(np.arange(rows + 1) * tile).astype(int), height)
    x = np.minimum(np.round(np.arange(columns + 1) * tile).astype(int), width)
    corner = total[np.ix_(y, x)]
    return np.asarray(corner[1:, 1:] - corner[:-1, 1:] - corner[1:, :-1] + corner[:-1, :-1])
