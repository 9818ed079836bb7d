"""Gain and white balance as a phone chooses them where no card tells what is white."""

import numpy as np
from numpy.typing import NDArray

METERED, BRIGHTEST = 0.17, 0.92  # mean of the picture, and what may clip


def metered(
    linear: NDArray[np.float32], cast: tuple[float, float], exposure: float = 1.0
) -> NDArray[np.float32]:
    """Light so that the mean of the middle comes out as metered, unless much would clip.

    Parameters
    ----------
    linear : (H, W, 3) array
        Traced radiance with its margin.
    cast : (red, blue)
        Error of the white balance, 1 is none.
    exposure : float, > 0
        1 as metered.
    """
    rows, columns = linear.shape[:2]
    middle = linear[rows // 8 : -rows // 8, columns // 8 : -columns // 8].reshape(-1, 3)
    grey = middle.mean(axis=1)
    gain = min(METERED / grey.mean(), BRIGHTEST / np.percentile(grey, 98.5))
    balance = (middle.mean() / middle.mean(axis=0)) ** 0.7
    return np.minimum(linear * (gain * exposure * balance * np.array([cast[0], 1.0, cast[1]])), 150.0).astype(
        np.float32
    )
