"""Turning a picture by its EXIF orientation (Exif 2.32, tag 0x0112)."""

from typing import cast

import cv2
import numpy as np
from numpy.typing import NDArray

QUARTER_TURNS = (5, 6, 7, 8)


def turn(pixels: NDArray[np.uint8], orientation: int) -> NDArray[np.uint8]:
    """Return the picture as it has to be seen.

    Parameters
    ----------
    pixels : (H, W, 3) uint8 array
        As stored.
    orientation : int, 1 to 8
        Which side of the stored picture is the upper one; any other value turns nothing.

    Returns
    -------
    (H, W, 3) or (W, H, 3) uint8 array
    """
    match orientation:
        case 2:
            turned = cv2.flip(pixels, 1)
        case 3:
            turned = cv2.rotate(pixels, cv2.ROTATE_180)
        case 4:
            turned = cv2.flip(pixels, 0)
        case 5:
            turned = cv2.transpose(pixels)
        case 6:
            turned = cv2.rotate(pixels, cv2.ROTATE_90_CLOCKWISE)
        case 7:
            turned = cv2.flip(cv2.transpose(pixels), -1)
        case 8:
            turned = cv2.rotate(pixels, cv2.ROTATE_90_COUNTERCLOCKWISE)
        case _:
            return pixels
    return cast("NDArray[np.uint8]", turned)
