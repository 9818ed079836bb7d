"""Pieces of the upright photo as JPEG, so that a person can place a point without loading all of it.

A piece is a rectangle of whole photo pixels, columns x to x + w - 1 and rows y to
y + h - 1.  With pixel centres at integers it covers x - 0.5 to x + w - 0.5, and the
JPEG covers exactly that, whatever its own size: drawn into that rectangle, every
point of the photo lies where it is.  Nothing is drawn on it.
"""

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.errors import RegionError
from vision.overlay.upright import UPRIGHT

LONGEST_OUT_PX = 2048
"""More than a phone or a tablet shows at once; a larger piece is asked for in parts."""

_QUALITY = 90


def facts(data: bytes) -> tuple[int, int]:
    """Return the size of the upright photo.

    Parameters
    ----------
    data : bytes
        As for `vision.photo.read_photo`.

    Returns
    -------
    width, height : int
        px.

    Raises
    ------
    PhotoError
        The bytes are no photo that can be read.
    """
    height, width = UPRIGHT.photo(data).pixels.shape[:2]
    return width, height


def tile(data: bytes, x: int, y: int, w: int, h: int, out: int) -> bytes:
    """Return a piece of the upright photo.

    Parameters
    ----------
    data : bytes
        As for `vision.photo.read_photo`.
    x, y : int, >= 0
        Column and row of its upper left pixel.
    w, h : int, > 0
        Columns and rows; the piece lies inside the photo.
    out : int, 1 to `LONGEST_OUT_PX`
        Longer side of the JPEG, px; the shorter keeps the shape to the nearest pixel, 1 at least.

    Returns
    -------
    bytes
        A JPEG in full colour resolution.  Made smaller it shows means of pixels; made larger, straight
        lines between them, because sharper ways draw edges that are not there.

    Raises
    ------
    PhotoError
        The bytes are no photo that can be read.
    RegionError
        The piece is empty or reaches out of the photo, or `out` is out of range.
    """
    if not 1 <= out <= LONGEST_OUT_PX:
        msg = f"a piece of 1 to {LONGEST_OUT_PX} px was expected, not out = {out}: ask for it in that range"
        raise RegionError(msg)
    pixels = UPRIGHT.photo(data).pixels
    height, width = pixels.shape[:2]
    if x < 0 or y < 0 or w < 1 or h < 1 or x + w > width or y + h > height:
        msg = (
            f"the piece x = {x}, y = {y}, w = {w}, h = {h} is empty or reaches out of the photo, "
            f"which is {width} × {height} px: ask for a part of it"
        )
        raise RegionError(msg)
    return encoded(_scaled(pixels[y : y + h, x : x + w], out))


def _scaled(piece: NDArray[np.uint8], out: int) -> NDArray[np.uint8]:
    h, w = piece.shape[:2]
    longer = max(w, h)
    if out == longer:
        return piece
    size = (max(1, round(w * out / longer)), max(1, round(h * out / longer)))
    how = cv2.INTER_AREA if out < longer else cv2.INTER_LINEAR
    return np.asarray(cv2.resize(piece, size, interpolation=how), dtype=np.uint8)


def encoded(piece: NDArray[np.uint8]) -> bytes:
    """Return RGB pixels as a JPEG in full colour resolution."""
    # Halved colour would blur the red band's edge, which is what a person looks at.
    full = cv2.IMWRITE_JPEG_SAMPLING_FACTOR_444
    settings = [cv2.IMWRITE_JPEG_QUALITY, _QUALITY, cv2.IMWRITE_JPEG_SAMPLING_FACTOR, full]
    _, coded = cv2.imencode(".jpg", cv2.cvtColor(piece, cv2.COLOR_RGB2BGR), settings)
    return coded.tobytes()
