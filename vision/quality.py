"""Whether a photo can carry a measurement at all: sharpness without a card, and glare.

Where a card is found, its own edges tell the blur (`CardFix.blur_px`), which is
right within a few per cent; a variance of the Laplacian is not used anywhere,
since noise moves it more than blur does.
"""

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.photo import Photo

Array = NDArray[np.float64]

SMALLEST_LONG_SIDE = 640
BLUR_NOTE_PX = 1.8
BLUR_REFUSED_PX = 3.2
BLUR_WITHOUT_CARD_PX = 4.0  # things out of focus behind a sharp strut stay below
FEW_PX_PER_MM = 2.0
_EVERY = 2  # rows and columns: of those that an estimate of sharpness looks at
DARK = 0.01  # of white: a phone keeps noise there and no detail
GLARE_SHARE = 0.025  # of the area about an edge that may be burnt out


def edge_spread_px(photo: Photo) -> float:
    """Estimate the edge-spread sigma of a photo, px: that of the softest direction.

    A step of height c blurred by s has the steepest slope c / (s √(2π)).  The
    slope is compared with the step's height within ± 12 px, at the steepest
    places of the picture.  The sharpest tenth answers for each of six
    directions, and the softest direction for the photo: a shaken photo keeps
    the edges along its motion sharp.
    """
    grey = cv2.cvtColor(photo.pixels, cv2.COLOR_RGB2GRAY)
    # Slopes of neighbouring pixels are those of the photo, but every second row and column tells enough.
    gx, gy = (
        cv2.Sobel(grey, cv2.CV_16S, *way, ksize=3)[::_EVERY, ::_EVERY].astype(np.float32) / 8
        for way in ((1, 0), (0, 1))
    )
    slope = cv2.magnitude(gx, gy)
    sparse = np.ascontiguousarray(grey[::_EVERY, ::_EVERY])
    kernel = np.ones((2 * (12 // _EVERY) + 1,) * 2, np.uint8)
    height = cv2.subtract(cv2.dilate(sparse, kernel), cv2.erode(sparse, kernel))
    limit = max(float(np.quantile(slope[::2, ::2], 0.95)), 1.0)
    rows, columns = np.nonzero((slope >= limit) & (height > 24))
    sector = np.floor(np.arctan2(gy[rows, columns], gx[rows, columns]) / np.pi * 6 + 0.5).astype(int) % 6
    softest = []
    for k in range(6):
        mine = sector == k
        if mine.sum() < 200 / _EVERY**2:
            continue
        rise = height[rows[mine], columns[mine]].astype(float)
        sigma = rise / (slope[rows[mine], columns[mine]].astype(float) * np.sqrt(2 * np.pi))
        softest.append(float(np.quantile(sigma, 0.1)))
    return max(softest, default=float("inf"))


def burnt_share(photo: Photo, pixels: Array, margin_px: float) -> float:
    """Share of burnt-out pixels within a margin about photo pixels (N, 2)."""
    if len(pixels) == 0:
        return 0.0
    low = np.floor(pixels.min(axis=0) - margin_px).astype(int)
    high = np.ceil(pixels.max(axis=0) + margin_px).astype(int) + 1
    mask = photo.clipped(int(low[0]), int(low[1]), int(high[0]), int(high[1]))
    return float(mask.mean()) if mask.size else 0.0


def dark_share(photo: Photo) -> float:
    """Share of the picture's middle (half its width and height) that shows less than 1 % of white."""
    height, width = photo.pixels.shape[:2]
    middle = photo.linear(width // 4, height // 4, 3 * width // 4, 3 * height // 4)
    return float((middle.max(axis=2) < DARK).mean())
