"""A small network that names what lies on each place of a hose: wear, a thing that is none, or nothing.

It was trained on rendered hoses only (``tests/training``), of which a fair share lie under dust and in bad
light; no photograph of a worn hose was at hand.  So it never says that nothing is there: what the rules of
light found stays to be seen (`by_net.py`).
"""

from dataclasses import dataclass
from functools import cache
from importlib import resources
from threading import Lock

import cv2
import numpy as np

from vision.hose.course import Array, Course, Picture
from vision.hose.net_strip import REACH, ROWS, channels, coded_strip
from vision.photo import Photo

CLASSES = ("none", "wear", "clamp", "tape", "label", "fluid", "fitting", "sun")
FILE = "worn.onnx"
_EVERY = 8  # columns: the network halves them three times
_HALF = 2  # its answer has every second row and column
_ONE_AT_A_TIME = Lock()


@dataclass(frozen=True, eq=False)
class Classes:
    """Probabilities (8, R/2, C/2) on a strip, in the order of `CLASSES`, and px of the photo a column."""

    shares: Picture
    step: float

    def on(self, across: Array, columns: int, step: float) -> Picture:
        """Return probabilities (8, R, C) on a ribbon: rows at `across` radii, `columns` of `step` px."""
        x = np.arange(columns, dtype=np.float32) * (step / (_HALF * self.step))
        y = ((across + REACH) / (2 * REACH) * (ROWS - 1) / _HALF).astype(np.float32)
        at_x, at_y = (np.ascontiguousarray(one, np.float32) for one in np.meshgrid(x, y))
        return np.stack(
            [
                cv2.remap(one, at_x, at_y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
                for one in self.shares
            ]
        )


def classes_along(photo: Photo, course: Course, cover: str) -> Classes:
    """Return what the network says along a course, px of the photo, of a hose with this cover."""
    strip, coded = coded_strip(photo.pixels, course)
    given = channels(coded, cover)
    short = -given.shape[2] % _EVERY
    given = np.pad(given, ((0, 0), (0, 0), (0, short)), mode="edge")[None]
    with _ONE_AT_A_TIME:
        net = _net()
        net.setInput(given)
        told = net.forward()[0]
    told = np.exp(told - told.max(axis=0))
    return Classes(np.asarray(told / told.sum(axis=0), np.float32), strip.step)


@cache
def _net() -> cv2.dnn.Net:
    content = resources.files("vision.hose").joinpath(FILE).read_bytes()
    return cv2.dnn.readNetFromONNX(np.frombuffer(content, np.uint8))
