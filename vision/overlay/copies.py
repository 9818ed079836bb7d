"""Copies that leave out what is nobody else's business: where a photo was taken, and faces on it.

A copy is decoded and encoded anew from the upright pixels, so that nothing of the
original's file is carried along unseen: no EXIF, no maker's note, no preview in
which a blanked face would still be seen, no second picture behind the first.
"""

import io
from collections.abc import Sequence

import numpy as np
from PIL import Image as PilImage

from vision.errors import PhotoError
from vision.photo import read_photo

Rectangle = tuple[int, int, int, int]
"""x, y, width and height in pixels of the upright photo; x, y is the upper left pixel."""

_QUALITY = 95
_BLANK = 128
_IMAGE_DESCRIPTION, _MAKE, _MODEL, _SOFTWARE = 0x010E, 0x010F, 0x0110, 0x0131  # Exif 2.32


def bare_copy(data: bytes, original: str, blank: Sequence[Rectangle] = ()) -> bytes:
    """Return a copy of a photo without place and, where rectangles are given, without what they cover.

    Parameters
    ----------
    data : bytes
        The original's file.
    original : str
        The SHA-256 by which the copy names its original.
    blank : sequence of (x, y, width, height)
        Pixels of the upright photo; what lies beyond its edge is cut off.

    Returns
    -------
    bytes
        A JPEG whose EXIF says that it is a copy, of what, and what was removed; beside that only the
        camera's make and model.  Its pixels are encoded anew and are not for measuring.

    Raises
    ------
    PhotoError
        The bytes are no photo, or a rectangle lies outside it or covers nothing.
    """
    photo = read_photo(data)
    pixels = np.array(photo.pixels)
    height, width = pixels.shape[:2]
    for x, y, wide, high in blank:
        left, top, right, bottom = max(x, 0), max(y, 0), min(x + wide, width), min(y + high, height)
        if left >= right or top >= bottom:
            msg = (
                f"{x},{y},{wide},{high} covers nothing of a photo of {width} x {height} px: outline it again"
            )
            raise PhotoError(msg)
        pixels[top:bottom, left:right] = _BLANK
    exif = PilImage.Exif()
    what = "place, and parts blanked by a person" if blank else "place"
    exif[_IMAGE_DESCRIPTION] = f"Copy, not the original. Original: SHA-256 {original}. Removed: {what}."
    exif[_SOFTWARE] = "Gearwitness"
    for tag, said in ((_MAKE, photo.facts.make), (_MODEL, photo.facts.model)):
        if said:
            exif[tag] = said
    stream = io.BytesIO()
    PilImage.fromarray(pixels).save(stream, "JPEG", quality=_QUALITY, exif=exif)
    return stream.getvalue()
