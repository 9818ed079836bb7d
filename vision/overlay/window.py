"""A window of the photo shown larger or smaller: points and pixels of the one in those of the other."""

from dataclasses import dataclass

import cv2
import numpy as np

from vision.overlay.marks import Points
from vision.overlay.palette import MARGIN
from vision.overlay.strokes import Image


@dataclass(frozen=True)
class Window:
    """Whole pixels of a photo, and the size at which they are shown.

    Attributes
    ----------
    left, top : int
        First column and row; may lie outside the photo.
    width, height : int, > 0
        Photo px.
    shown_width, shown_height : int, > 0
        Sheet px.
    """

    left: int
    top: int
    width: int
    height: int
    shown_width: int
    shown_height: int

    @property
    def scale(self) -> float:
        """Sheet px per photo px, along x (along y it is the same but for rounding)."""
        return self.shown_width / self.width

    def points(self, photo_px: Points) -> Points:
        """Return shown px of photo px (N, 2) or (2,), centres at integers in both."""
        scale = np.array([self.shown_width / self.width, self.shown_height / self.height])
        return np.asarray((photo_px - [self.left, self.top] + 0.5) * scale - 0.5)


def shown(pixels: Image, window: Window) -> Image:
    """Return a copy of the window at its shown size; beyond the photo's border lies plain grey."""
    rows, columns = pixels.shape[:2]
    right, bottom = window.left + window.width, window.top + window.height
    x0, x1 = max(window.left, 0), min(right, columns)
    y0, y1 = max(window.top, 0), min(bottom, rows)
    part = pixels[y0:y1, x0:x1]
    if (y1 - y0, x1 - x0) != (window.height, window.width):
        part = np.full((window.height, window.width, 3), MARGIN, dtype=np.uint8)
        if x1 > x0 and y1 > y0:
            place = slice(y0 - window.top, y1 - window.top), slice(x0 - window.left, x1 - window.left)
            part[place] = pixels[y0:y1, x0:x1]
    if (window.shown_width, window.shown_height) == (window.width, window.height):
        return part.copy()
    return _resized(part, window.shown_width, window.shown_height)


def _resized(part: Image, width: int, height: int) -> Image:
    # Linear, not cubic: a cubic overshoots at an edge and would show it sharper than it was taken.
    how = cv2.INTER_AREA if width < part.shape[1] else cv2.INTER_LINEAR
    # Whole-number means are several times faster, and a mean of means is the same mean.
    for factor in (4, 3, 2):
        rows, columns = part.shape[0] // factor, part.shape[1] // factor
        fits = (rows * factor, columns * factor) == part.shape[:2]
        if fits and columns >= width and rows >= height:
            part = np.asarray(cv2.resize(part, (columns, rows), interpolation=cv2.INTER_AREA), np.uint8)
            break
    return np.asarray(cv2.resize(part, (width, height), interpolation=how), dtype=np.uint8)
