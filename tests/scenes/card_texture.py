"""A printed card as reflectances: the page that is printed, rasterised and cropped to the card."""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from tests.scenes.rasters import rasterise
from vision.card.parts import Card
from vision.card.sheet import card_pdf, placement_mm

_FINE = 4
_BAND_ROWS = 500
_CODED = np.arange(256) / 255
_LINEAR = np.where(_CODED <= 0.04045, _CODED / 12.92, ((_CODED + 0.055) / 1.055) ** 2.4).astype(np.float32)


@lru_cache(maxsize=8)
def card_texture(card: Card, px_per_mm: float = 20, copy: int = 101) -> NDArray[np.float32]:
    """Return the card's face, (H, W), linear reflectance in [0, 1], paper 1.

    Pixel [i, j] covers the square about ((j + 0.5)/px_per_mm, (i + 0.5)/px_per_mm) mm of
    the card's frame.  Read-only, since the cache hands out the same array again.
    """
    x, y = placement_mm(card)
    pdf = card_pdf(card, [copy])
    rows = round(card.height_mm * px_per_mm)
    # In bands, since the finer raster of a whole card takes hundreds of megabytes.
    bands = [
        _averaged(
            rasterise(pdf, 0, _FINE * px_per_mm, (x, y + first / px_per_mm, card.width_mm, count / px_per_mm))
        )
        for first in range(0, rows, _BAND_ROWS)
        for count in [min(_BAND_ROWS, rows - first)]
    ]
    texture = np.concatenate(bands)
    texture.flags.writeable = False
    return texture


def _averaged(codes: NDArray[np.uint8]) -> NDArray[np.float32]:
    """Average blocks of fine pixels in linear light, where half covered is half as bright."""
    height, width = codes.shape[0] // _FINE, codes.shape[1] // _FINE
    blocks = _LINEAR[codes[: height * _FINE, : width * _FINE]].reshape(height, _FINE, width, _FINE)
    return blocks.mean(axis=(1, 3), dtype=np.float32)
