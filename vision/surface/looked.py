"""A region as it is looked at: made smaller, with light, colour and fine texture in natural logarithms.

What multiplies the light, as shape and shadow do, is an addend in the logarithm and leaves contrasts as
they are.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.photo import CLIPPED_FROM, SRGB, Photo
from vision.surface.region import Array, Region

Picture = NDArray[np.float32]
LIGHT, RED, BLUE, TEXTURE = range(4)
_WORKED_PX = 0.5e6  # the region is looked at in about as many pixels
_DARK = 0.004  # of full light
_FLOOR = 0.004
_FINE = 1.0  # px: finer structure than this is texture
_ABOUT = 7  # px


@dataclass(frozen=True, eq=False)
class Looked:
    """A region's pixels, each the mean of `factor` × `factor` of the photo.

    Attributes
    ----------
    factor : int
    left, top : int
        Photo px of the first pixel's first column and row.
    maps : (H, W, 4) float32 array
        ln light, ln red less green, ln blue less green, ln fine contrast.
    inside, burnt, dark : (H, W) bool arrays
        In the region; burnt out; without light.
    """

    factor: int
    left: int
    top: int
    maps: Picture
    inside: NDArray[np.bool_]
    burnt: NDArray[np.bool_]
    dark: NDArray[np.bool_]

    @property
    def lit(self) -> NDArray[np.bool_]:
        """In the region and with light: what is burnt out is at least known to be bright."""
        return self.inside & ~self.dark

    def share_of(self, where: NDArray[np.bool_]) -> float:
        """Return the share of the region that is so."""
        return float((where & self.inside).sum() / max(int(self.inside.sum()), 1))

    def photo_px(self, points: Array) -> Array:
        """Return photo px of worked px (N, 2)."""
        return np.asarray((points + 0.5) * self.factor - 0.5 + [self.left, self.top])

    def worked_px(self, points: Array) -> Array:
        """Return worked px of photo px (N, 2)."""
        return np.asarray((points - [self.left, self.top] + 0.5) / self.factor - 0.5)


def look(photo: Photo, region: Region) -> Looked:
    """Return a region, which lies in the photo, as it is looked at."""
    height, width = photo.pixels.shape[:2]
    x0, y0, x1, y1 = region.box
    x0, y0, x1, y1 = max(x0, 0), max(y0, 0), min(x1, width), min(y1, height)
    factor = max(1, round((region.area_px / _WORKED_PX) ** 0.5))
    columns, rows = (x1 - x0) // factor, (y1 - y0) // factor
    part = photo.pixels[y0 : y0 + rows * factor, x0 : x0 + columns * factor]
    small = part if factor == 1 else cv2.resize(part, (columns, rows), interpolation=cv2.INTER_AREA)
    linear = SRGB.linear(np.ascontiguousarray(small))
    luma = cv2.transform(linear, np.array([[0.2126, 0.7152, 0.0722]], np.float32))
    log = cv2.log(cv2.blur(linear, (3, 3)) + _FLOOR)
    light = cv2.log(luma + _FLOOR)
    fine = light - cv2.GaussianBlur(light, (0, 0), _FINE)
    texture = cv2.log(cv2.blur(fine * fine, (_ABOUT, _ABOUT)) + 1e-6) / 2
    layers = [light, log[..., 0] - log[..., 1], log[..., 2] - log[..., 1], texture]
    maps = np.asarray(cv2.merge(layers), np.float32)
    inside = np.zeros((rows, columns), np.uint8)
    corners = (region.corners - [x0, y0] + 0.5) / factor - 0.5
    cv2.fillPoly(inside, [np.round(corners).astype(np.int32)], 1)
    burnt = _burnt(part, factor, (rows, columns))
    return Looked(factor, x0, y0, maps, inside.astype(bool), burnt, luma < _DARK)


def _burnt(part: NDArray[np.uint8], factor: int, shape: tuple[int, int]) -> NDArray[np.bool_]:
    """Where at least a quarter of the photo's pixels are burnt out in any colour."""
    brightest = cv2.max(cv2.max(part[..., 0], part[..., 1]), part[..., 2])
    _, over = cv2.threshold(brightest, CLIPPED_FROM - 1, 255, cv2.THRESH_BINARY)
    if factor > 1:
        over = cv2.resize(over, shape[::-1], interpolation=cv2.INTER_AREA)
    return np.asarray(over >= 64, bool)
