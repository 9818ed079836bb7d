"""From gamma-coded 8-bit samples to linear light.

Edges fitted on gamma-coded samples lie up to half a pixel on the dark side;
in linear light they do not.
"""

from dataclasses import dataclass, field

import cv2
import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, eq=False)
class ToneCurve:
    """Linear light for each of the 256 samples.

    Attributes
    ----------
    lut : (256,) or (3, 256) float32 array
        In 0 to 1, for all channels or for red, green, blue; read-only.

    Raises
    ------
    ValueError
        If the table has another shape or leaves 0 to 1.
    """

    lut: NDArray[np.float32] = field(repr=False)

    def __post_init__(self) -> None:
        lut = np.array(self.lut, dtype=np.float32)
        if lut.shape not in ((256,), (3, 256)):
            msg = f"a tone curve has the shape (256,) or (3, 256), this one {lut.shape}"
            raise ValueError(msg)
        if not np.all((lut >= 0) & (lut <= 1)):
            msg = "a tone curve stays within 0 to 1; divide it by its value at 255"
            raise ValueError(msg)
        lut.flags.writeable = False
        object.__setattr__(self, "lut", lut)

    def with_gamma(self, gamma: float) -> "ToneCurve":
        """Return this curve with every value raised to `gamma` (> 0; 1 changes nothing).

        Raises
        ------
        ValueError
            If `gamma` is not above 0.
        """
        if not gamma > 0:
            msg = f"gamma has to be above 0, it was {gamma}"
            raise ValueError(msg)
        return ToneCurve(np.power(self.lut, np.float32(gamma)))

    def linear(self, pixels: NDArray[np.uint8]) -> NDArray[np.float32]:
        """Return (h, w, 3) float32 linear light of (h, w, 3) uint8 RGB."""
        if pixels.size == 0:  # OpenCV takes no empty picture
            return np.zeros(pixels.shape, np.float32)
        table = np.broadcast_to(self.lut, (3, 256)).T[None]
        return np.asarray(cv2.LUT(pixels, np.ascontiguousarray(table)), np.float32)


def _srgb() -> NDArray[np.float64]:
    coded = np.arange(256) / 255
    return np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)


SRGB = ToneCurve(_srgb().astype(np.float32))
"""The transfer function of IEC 61966-2-1 (phones' wide-gamut photos use the same one)."""
