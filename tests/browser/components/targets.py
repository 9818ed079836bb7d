"""A 12-megapixel photo with targets whose places are known to a hundredth of a pixel.

Each target is a checker of two light and two dark quarters that meet in one point.
A pixel's value is the mean over its area, as a sensor's is; noise and a slow gradient
make the file as heavy as a phone's.
"""

from dataclasses import dataclass
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

WIDTH, HEIGHT = 3000, 4000
SIDE = 120
"""Of a target, px."""


@dataclass(frozen=True)
class Target:
    """The point where the quarters meet, px of the upright photo, centres at integers."""

    x: float
    y: float


BAND = Target(1123.37, 1310.82)
COLLAR = Target(1874.75, 2688.15)
ELSEWHERE = Target(700.5, 3200.25)
TARGETS = (BAND, COLLAR, ELSEWHERE)


@cache
def photo() -> bytes:
    """Return the photo as JPEG bytes."""
    random = np.random.default_rng(20240611)
    ground = 120 + 50 * np.sin(np.linspace(0, 9, HEIGHT))[:, None] * np.cos(np.linspace(0, 7, WIDTH))
    picture = np.repeat(ground[:, :, None], 3, axis=2) + random.normal(0, 7, (HEIGHT, WIDTH, 3))
    for target in TARGETS:
        _draw(picture, target)
    pixels = np.clip(np.round(picture), 0, 255).astype(np.uint8)
    done, coded = cv2.imencode(".jpg", pixels, [cv2.IMWRITE_JPEG_QUALITY, 92])
    assert done
    return coded.tobytes()


def _draw(picture: NDArray[np.float64], target: Target) -> None:
    left, top = round(target.x) - SIDE // 2, round(target.y) - SIDE // 2
    across = _sign_over_pixels(np.arange(left, left + SIDE), target.x)
    down = _sign_over_pixels(np.arange(top, top + SIDE), target.y)
    checker = 128 + 100 * down[:, None] * across[None, :]
    picture[top : top + SIDE, left : left + SIDE] = checker[:, :, None]


def _sign_over_pixels(centres: NDArray[np.int_], edge: float) -> NDArray[np.float64]:
    """Mean of sign(x - edge) over each pixel, which reaches half a pixel to both sides."""
    return np.clip(2 * (centres - edge), -1, 1)


def found_in(picture: NDArray[np.uint8], near: tuple[float, float], window: int) -> tuple[float, float]:
    """Find the point of a target in a picture of the screen.

    Parameters
    ----------
    picture : (H, W) array
        Grey.
    near : x, y
        Where to look, picture px.
    window : int
        Half the side of the part that is looked at, picture px; it must hold no other edges.

    Returns
    -------
    x, y : float
        Picture px, centres at integers.
    """
    start = np.array([[near]], dtype=np.float32)
    stop = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 200, 1e-4)
    x, y = cv2.cornerSubPix(picture, start, (window, window), (-1, -1), stop).reshape(2)
    return float(x), float(y)
