"""Antialiased strokes with sub-pixel ends: a bright line on a dark halo reads on chrome, white and black.

Points are (x right, y down) in px of the image drawn on, centres at integers.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.overlay.palette import HALO, MARK, Colour

Image = NDArray[np.uint8]
Points = NDArray[np.float64]
_SHIFT = 4  # cv2 takes coordinates in 1/16 px


@dataclass(frozen=True, eq=False)
class Stroke:
    """An open line, or a filled area.

    Attributes
    ----------
    points : (N, 2) array
    width : float
        Of the bright line, px.
    halo : float
        How far the dark halo reaches beyond it on each side, px.
    filled : bool
        Whether the points bound a filled area.
    """

    points: Points
    width: float
    halo: float
    filled: bool = False


def fixed(points: Points) -> NDArray[np.int32]:
    """Return points as cv2's fixed-point coordinates, shape (N, 1, 2)."""
    sixteenths: NDArray[np.int32] = np.round(points * 2**_SHIFT).astype(np.int32)
    return sixteenths.reshape(-1, 1, 2)


def fill(image: Image, points: Points, colour: Colour) -> None:
    """Fill a polygon, in place."""
    cv2.fillPoly(image, [fixed(points)], colour, cv2.LINE_AA, _SHIFT)


def line(image: Image, points: Points, colour: Colour, width: float, *, closed: bool = False) -> None:
    """Draw a polyline, in place."""
    cv2.polylines(image, [fixed(points)], closed, colour, max(1, round(width)), cv2.LINE_AA, _SHIFT)


def draw(image: Image, strokes: Sequence[Stroke], opacity: float = 1.0, colour: Colour = MARK) -> None:
    """Draw strokes in place, all halos first so that none cuts another's line.

    Parameters
    ----------
    opacity : float, in (0, 1]
        Below 1 what lies under the strokes shines through.
    """
    if not strokes:
        return
    target = image if opacity >= 1 else image.copy()
    for stroke in strokes:
        if stroke.halo > 0:
            line(target, stroke.points, HALO, stroke.width + 2 * stroke.halo, closed=stroke.filled)
    for stroke in strokes:
        if stroke.filled:
            fill(target, stroke.points, colour)
        else:
            line(target, stroke.points, colour, stroke.width)
    if target is not image:
        cv2.addWeighted(target, opacity, image, 1 - opacity, 0, dst=image)


def dashes(points: Points, pattern: Sequence[float]) -> list[Points]:
    """Cut a polyline into dashes.

    Parameters
    ----------
    points : (N, 2) array
    pattern : sequence of float, > 0
        Lengths in px: dash, gap, dash, gap ...
    """
    steps = np.hypot(*np.diff(points, axis=0).T)
    places = np.concatenate([[0.0], np.cumsum(steps)])
    cuts: list[Points] = []
    start, turn = 0.0, 0
    while len(points) > 1 and start < places[-1]:
        end = min(start + pattern[turn % len(pattern)], places[-1])
        if turn % 2 == 0:
            inside = points[(places > start) & (places < end)]
            ends = [_at(points, places, start), *inside, _at(points, places, end)]
            cuts.append(np.array(ends))
        start, turn = end, turn + 1
    return cuts


def _at(points: Points, places: NDArray[np.float64], place: float) -> Points:
    return np.array([np.interp(place, places, points[:, axis]) for axis in (0, 1)])
