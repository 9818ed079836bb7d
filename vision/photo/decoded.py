"""What a decoder hands on, and how its samples become 8-bit RGB."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

# 65535 / 255 = 257: a 16-bit sample v stands for v / 257, rounded to the nearest.
_TO_EIGHT_BITS = ((np.arange(65536, dtype=np.uint32) * 2 + 257) // 514).astype(np.uint8)


@dataclass(frozen=True, eq=False)
class Decoded:
    """A picture as its decoder gave it.

    Attributes
    ----------
    kind : str
        ``"JPEG"``, ``"PNG"`` or ``"HEIF"``.
    pixels : (H, W, 3) uint8 array
        RGB, gamma-coded, not yet turned upright.
    exif : bytes
        The TIFF block of the file's EXIF, empty without.
    turned : int or None
        The turn that the decoder has already applied, as an EXIF orientation (0
        for one with a mirror); None where the EXIF tag has still to be applied.
    """

    kind: str
    pixels: NDArray[np.uint8]
    exif: bytes
    turned: int | None = None


Samples = NDArray[np.uint8] | NDArray[np.uint16]


def to_rgb8(samples: Samples, *, premultiplied: bool = False) -> NDArray[np.uint8]:
    """Return 8-bit RGB of grey, grey + alpha, RGB or RGBA samples.

    Alpha is laid on white: a transparent place of a photo is paper, not a dark hole.

    Parameters
    ----------
    samples : (H, W) or (H, W, 1 to 4) uint8 or uint16 array
        Full scale is 255 or 65535.
    premultiplied : bool
        Whether colours were already multiplied by alpha.

    Returns
    -------
    (H, W, 3) uint8 array
    """
    wide = samples.dtype == np.uint16
    eight: NDArray[np.uint8] = (
        np.take(_TO_EIGHT_BITS, samples) if wide else samples.astype(np.uint8, copy=False)
    )
    if eight.ndim == 2:
        eight = eight[..., None]
    if eight.shape[2] in (2, 4):
        # 16 bits are enough: 255 * 255 + 127 is the largest sum.
        alpha = eight[..., -1:].astype(np.uint16)
        colour = eight[..., :-1].astype(np.uint16)
        part = np.minimum(colour, alpha) * 255 if premultiplied else colour * alpha
        eight = ((part + 255 * (255 - alpha) + 127) // 255).astype(np.uint8)
    if eight.shape[2] == 1:
        eight = np.repeat(eight, 3, axis=2)
    return eight
