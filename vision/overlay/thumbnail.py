"""A photo made small for a list; derived, kept or thrown away as one likes, and no part of a record."""

import cv2
import numpy as np

from vision.photo import read_photo

LONGEST_PX = 240
_QUALITY = 82


def thumbnail(data: bytes, longest_px: int = LONGEST_PX) -> bytes:
    """Return the upright photo as a small JPEG, its longer side at most `longest_px`.

    Parameters
    ----------
    data : bytes
        As for `vision.photo.read_photo`.

    Raises
    ------
    PhotoError
        The bytes are no photo that can be read.
    """
    pixels = read_photo(data).pixels
    height, width = pixels.shape[:2]
    scale = min(1.0, longest_px / max(height, width))
    size = (max(1, round(width * scale)), max(1, round(height * scale)))
    small = np.asarray(cv2.resize(pixels, size, interpolation=cv2.INTER_AREA), np.uint8)
    settings = [cv2.IMWRITE_JPEG_QUALITY, _QUALITY]
    return cv2.imencode(".jpg", cv2.cvtColor(small, cv2.COLOR_RGB2BGR), settings)[1].tobytes()
