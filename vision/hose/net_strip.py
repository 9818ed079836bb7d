"""The strip of a hose that the network looks at: its light and colour, a good way beyond both sides."""

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.hose.course import LONGEST_STRIP, Array, Course, Picture, Strip, sampled, strip_along
from vision.hose.dust import FLOOR
from vision.hose.ribbon import LUMA
from vision.photo import SRGB

ROWS, REACH = 48, 1.2  # rows over ± so many radii: 40 rows a hose's width
COVERS = ("rubber", "textile", "metal_braid")
CHANNELS = 5 + len(COVERS)


def coded_strip(
    pixels: NDArray[np.uint8], course: Course, rows: int = ROWS, reach: float = REACH
) -> tuple[Strip, Picture]:
    """Return the places of a strip and the photo there, (R, C, 3) of coded light.

    A wide hose has more pixels across than rows are asked for; they are averaged, or a braid would beat
    with the rows.
    """
    strip = strip_along(course, rows, reach)
    more = int(np.ceil(strip.step))
    if more < 2:
        return strip, strip.of(pixels)
    columns, most = strip.x.shape[1], LONGEST_STRIP // more
    parts = [
        _averaged(pixels, strip, np.arange(first, min(first + most, columns)), more)
        for first in range(0, columns, most)
    ]
    return strip, np.concatenate(parts, axis=1)


def _averaged(pixels: NDArray[np.uint8], strip: Strip, columns: NDArray[np.int64], more: int) -> Picture:
    """Some columns of a strip (R, C, 3), each pixel the mean of `more` times `more` places in it."""
    rows = len(strip.across)
    inner = (np.arange(more) - (more - 1) / 2) / more
    along = np.repeat(columns, more) + np.tile(inner, len(columns))
    across = np.repeat(np.arange(rows), more) + np.tile(inner, rows)
    at_x, at_y = (
        np.asarray(grid, np.float32)
        for grid in np.meshgrid(np.clip(along, 0, None), np.clip(across, 0, rows - 1))
    )
    x, y = (
        np.asarray(cv2.remap(one, at_x, at_y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE), np.float32)
        for one in (strip.x, strip.y)
    )
    size = (len(columns), rows)
    return np.asarray(cv2.resize(sampled(pixels, x, y), size, interpolation=cv2.INTER_AREA), np.float32)


def channels(coded: Picture, cover: str) -> Picture:
    """Return what the network is given, (CHANNELS, R, C) float32, of a strip (R, C, 3) of coded light.

    ln light against the strip's own median and against each row's, two colours, the place across, the cover.
    """
    linear = np.interp(coded, np.arange(256), SRGB.lut).astype(np.float32)
    luma = np.log(linear @ LUMA + FLOOR)
    log = np.log(linear + FLOOR)
    red, blue = log[..., 0] - log[..., 1], log[..., 2] - log[..., 1]
    rows, columns = luma.shape
    across: Array = np.linspace(-1, 1, rows)
    given = [
        luma - np.median(luma),
        luma - np.median(luma, axis=1, keepdims=True),
        red - np.median(red),
        blue - np.median(blue),
        np.repeat(across[:, None], columns, axis=1),
        *(np.full((rows, columns), float(cover == one)) for one in COVERS),
    ]
    return np.stack(given).astype(np.float32)
