"""A picture's light at places between its pixels, without bringing the whole picture to light."""

from collections.abc import Callable

import cv2
import numpy as np
from numpy.typing import NDArray

Places = NDArray[np.float64]
_NO_PARTS = np.zeros(0, np.uint16)  # a place's parts of a pixel, for OpenCV: there are none
Light = Callable[[NDArray[np.uint8]], NDArray[np.float32]]


def mixed_at(pixels: NDArray[np.uint8], x: Places, y: Places, light: Light) -> NDArray[np.float32]:
    """Return the bilinear mixture of light at places; beyond the border it is the border's.

    Parameters
    ----------
    pixels : (H, W, 3) uint8 array
    x, y : (N, T) arrays
        px; T is at most 32 766, and so is the window that they span (OpenCV's limits).
    light : callable
        From pixels (N, T, 3) to their light, (N, T, 3) or (N, T), in an array of its own.

    Returns
    -------
    (N, T, 3) or (N, T) float32 array
        As `light` gives it.
    """
    if x.size == 0:
        one = light(np.zeros((1, 1, 3), np.uint8))
        return np.zeros((*x.shape, *one.shape[2:]), np.float32)
    height, width = pixels.shape[:2]
    x, y = np.clip(x, 0, width - 1), np.clip(y, 0, height - 1)
    column, row = np.floor(x), np.floor(y)
    left, top = int(column.min()), int(row.min())
    right, bottom = int(column.max()) + 1, int(row.max()) + 1
    at = np.empty((*x.shape, 2), np.int16)
    at[..., 0], at[..., 1] = column - left, row - top

    def nearest(aside: int, down: int) -> NDArray[np.float32]:
        # The window is moved instead of the places: at the photo's last column or row they
        # run over its end by one, and the border is repeated as it should be.
        x0, y0 = min(left + aside, width - 1), min(top + down, height - 1)
        window = pixels[y0 : bottom + down, x0 : right + aside]
        near = cv2.remap(window, at, _NO_PARTS, cv2.INTER_NEAREST, borderMode=cv2.BORDER_REPLICATE)
        return light(np.asarray(near, np.uint8))

    part_x, part_y = (x - column).astype(np.float32), (y - row).astype(np.float32)
    upper = _between(nearest(0, 0), nearest(1, 0), part_x)
    return _between(upper, _between(nearest(0, 1), nearest(1, 1), part_x), part_y)


def _between(
    one: NDArray[np.float32], other: NDArray[np.float32], part: NDArray[np.float32]
) -> NDArray[np.float32]:
    """The mixture in place of `one`, with a part of the other; `other` is used up."""
    if one.ndim == 3:
        part = np.asarray(
            cv2.merge([part] * one.shape[2]), np.float32
        )  # faster than to spread it over an axis
    other -= one
    other *= part
    one += other
    return one
