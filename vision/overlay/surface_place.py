"""The region of a searched surface, for finding the way on it: outline, what was not searched, a place.

The place itself is judged on `hose_place.place_in_photo`, which shows it unchanged; this picture only tells
where on the surface it lies.
"""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from vision.errors import RegionError
from vision.overlay.hose import around
from vision.overlay.hose_place import SHEET_PX
from vision.overlay.palette import AMBER, SOFT_INK
from vision.overlay.strip import Strip
from vision.overlay.strokes import Image, Stroke, draw
from vision.overlay.surface import draw_region
from vision.overlay.tiles import encoded
from vision.overlay.upright import UPRIGHT
from vision.overlay.window import Window, shown

_MARGIN = 0.04
_TALLEST_PX = 960
_SIZE = 24
_LEAST_RING_PX = 9.0


def region_shown(data: bytes, surface: Mapping[str, Any], outline: Sequence[Sequence[float]] = ()) -> bytes:
    """Return the region of a stored result: outlined, crossed where it was not searched.

    Parameters
    ----------
    data : bytes
        The photo.
    surface : mapping
        The stored result's ``surface``.
    outline : sequence of (x, y)
        Of a place on it, or its middle alone, px of the upright photo; it is ringed.

    Returns
    -------
    bytes
        A JPEG, `SHEET_PX` wide at most.

    Raises
    ------
    RegionError
        The stored region is none.
    PhotoError
        The bytes are no photo that can be read.
    """
    pixels = UPRIGHT.photo(data).pixels
    corners = np.array(surface["region_px"], np.float64)
    if corners.ndim != 2 or corners.shape[1] != 2 or len(corners) < 3 or not np.isfinite(corners).all():
        msg = f"a stored region has three corners or more, and this one {len(corners)}: search it again"
        raise RegionError(msg)
    window = _window(corners, pixels)
    picture = shown(pixels, window)
    blind = surface["not_searched_px"]
    draw_region(picture, window, corners, blind, window.shown_width)
    if len(outline):
        _ring(picture, window.points(np.array(outline, np.float64).reshape(-1, 2)))
    return encoded(np.vstack([picture, _key(window.shown_width, bool(blind), bool(len(outline)))]))


def _window(corners: np.ndarray, pixels: Image) -> Window:
    rows, columns = pixels.shape[:2]
    low, high = corners.min(axis=0), corners.max(axis=0)
    room = _MARGIN * float((high - low).max())
    left, top = (int(max(one, 0)) for one in np.floor(low - room))
    right, bottom = np.minimum(np.ceil(high + room).astype(int) + 1, [columns, rows]).tolist()
    wide, tall = max(right - left, 1), max(bottom - top, 1)
    scale = min(SHEET_PX / wide, _TALLEST_PX / tall)
    return Window(left, top, wide, tall, max(round(wide * scale), 1), max(round(tall * scale), 1))


def _ring(picture: Image, place: np.ndarray) -> None:
    """A ring about the place, never so small that it is overlooked."""
    middle, half = (place.min(axis=0) + place.max(axis=0)) / 2, np.ptp(place, axis=0) / 2
    turn = np.linspace(0, 2 * np.pi, 48, endpoint=False)
    radii = np.maximum(1.2 * half, _LEAST_RING_PX)
    line = around(middle + radii * np.stack([np.cos(turn), np.sin(turn)], axis=1))
    draw(picture, [Stroke(line, 2.6, 1.6)], colour=AMBER)


def _key(width: int, blind: bool, place: bool) -> Image:
    strip = Strip(width)
    strip.space(0.01)
    words = "Dashed: the region that was shown."
    if blind:
        words += " Crossed: not searched."
    if place:
        words += " Ringed: this place."
    strip.paragraph(words, max(round(_SIZE * width / SHEET_PX), 14), SOFT_INK)
    strip.space(0.01)
    return strip.paint()
