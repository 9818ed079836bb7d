"""A photo made ready to be held against another: light taken out of it, as far as one photo allows.

Light multiplies: in the logarithm of linear light a lamp, an exposure or a cloud only
adds something that changes slowly, and what is left is structure.
"""

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.photo import CLIPPED_FROM, SRGB, Photo

Grey = NDArray[np.uint8]
Plane = NDArray[np.float32]
Mask = NDArray[np.bool_]
Matrix = NDArray[np.float64]

LONGEST_PX = 2400
"""A longer photo is made smaller by a whole number: 12 megapixels by two, and 12 px become 6."""
LUMA = np.array([0.2126, 0.7152, 0.0722], np.float32)
"""Light of the sRGB primaries, IEC 61966-2-1."""
DARK = 0.02
"""Light as weak as this is noise: added before the logarithm, so that darkness has no structure."""
_BLACK = 0.004
_SIGMA_PX = 0.9  # what one photo's sampling and another's interpolation do differently is blurred away


@dataclass(frozen=True, eq=False)
class View:
    """One photo at the size that is worked at.

    Attributes
    ----------
    grey : (h, w) uint8 array
        As coded; for finding points only.
    log : (h, w) float32 array
        Natural logarithm of linear luma, a little blurred.
    usable : (h, w) bool array
        False where light is burnt out.
    factor : int
        Pixels of the photo for one of these, along each side.
    """

    grey: Grey
    log: Plane
    usable: Mask
    factor: int

    @property
    def lit(self) -> float:
        """The share that is neither burnt out nor without light."""
        return float((self.usable & (self.log > np.log(_BLACK + DARK))).mean())

    @property
    def size(self) -> tuple[int, int]:
        """Width and height, px."""
        return self.grey.shape[1], self.grey.shape[0]

    @property
    def to_photo(self) -> Matrix:
        """The (3, 3) matrix from this size's pixels to the photo's."""
        f = float(self.factor)
        return np.array([[f, 0, (f - 1) / 2], [0, f, (f - 1) / 2], [0, 0, 1]])


def view_of(photo: Photo) -> View:
    """Return a photo at the size that is worked at."""
    height, width = photo.pixels.shape[:2]
    factor = max(1, -(-max(height, width) // LONGEST_PX))
    light = SRGB.linear(photo.pixels) @ LUMA
    bad = photo.pixels.min(axis=2) >= CLIPPED_FROM
    if factor > 1:
        size = (width // factor, height // factor)
        light = light[: size[1] * factor, : size[0] * factor]
        bad = bad[: size[1] * factor, : size[0] * factor]
        light = np.asarray(cv2.resize(light, size, interpolation=cv2.INTER_AREA), np.float32)
        bad = cv2.resize(bad.astype(np.uint8), size, interpolation=cv2.INTER_AREA) > 0
    # A pixel beside a burnt-out one has its glow.
    bad = cv2.dilate(bad.astype(np.uint8), np.ones((5, 5), np.uint8)) > 0
    log = cv2.GaussianBlur(np.log(light + DARK), (0, 0), _SIGMA_PX)
    return View(photo.reduced(factor), np.asarray(log, np.float32), ~bad, factor)


def camera_matrix(photo: Photo, view: View) -> Matrix:
    """Return the (3, 3) camera matrix at the size that is worked at, by the file's focal length."""
    width, height = view.size
    f = photo.facts.focal.f_px / view.factor
    return np.array([[f, 0, (width - 1) / 2], [0, f, (height - 1) / 2], [0, 0, 1.0]])


def moved(matrix: NDArray[np.floating[Any]], points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return (N, 2) points through a (3, 3) homography."""
    at = points @ matrix[:, :2].T + matrix[:, 2]
    return np.asarray(at[:, :2] / at[:, 2:], np.float64)
