"""Point spreads of defocus and shake; both scene tiers use them."""

import numpy as np
from numpy.typing import NDArray


def disc(radius: float) -> NDArray[np.float64]:
    """A uniform disc of this radius in pixels, its border pixels by their share; sums to 1."""
    half = int(np.ceil(radius)) + 1
    y, x = np.mgrid[-half : half + 1, -half : half + 1]
    spread = np.clip(radius + 0.5 - np.hypot(x, y), 0, 1)
    return np.asarray(spread / spread.sum())


def streak(length: float, angle_deg: float) -> NDArray[np.float64]:
    """A straight line of this length in pixels, angle counter-clockwise from x; sums to 1."""
    half = int(np.ceil(length / 2)) + 1
    kernel = np.zeros((2 * half + 1, 2 * half + 1))
    t = np.linspace(-length / 2, length / 2, 8 * half)
    x, y = t * np.cos(np.radians(angle_deg)), -t * np.sin(np.radians(angle_deg))
    column, row = np.floor(x).astype(int), np.floor(y).astype(int)
    for dx, dy in ((0, 0), (1, 0), (0, 1), (1, 1)):
        share = np.abs(1 - dx - (x - column)) * np.abs(1 - dy - (y - row))
        np.add.at(kernel, (row + dy + half, column + dx + half), share)
    return kernel / kernel.sum()
