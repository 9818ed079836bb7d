"""A whole hose laid straight, in rows, with the stretches that were not searched hatched and lettered."""

from collections.abc import Mapping
from itertools import pairwise
from typing import Any

import cv2
import numpy as np

from vision.errors import RegionError
from vision.hose.stored import StoredHose, stored_hose
from vision.overlay.hose_place import SHEET_PX, scale_along, straight
from vision.overlay.lettering import CAP_HEIGHT, Word, length
from vision.overlay.palette import INK, PAPER, SOFT_INK
from vision.overlay.strip import Strip
from vision.overlay.strokes import Image
from vision.overlay.tiles import encoded
from vision.overlay.upright import UPRIGHT

_WIDTHS_A_ROW = 14
_MOST_ROWS = 5
_SIZE = 24
_TALL = 34
_HATCH_PX = 12


def letter_of(index: int) -> str:
    """Return the letter of a hose's blind stretch, by its place in the list: a, b, … z, aa, …"""
    first, second = divmod(index, 26)
    return (chr(ord("a") + first - 1) if first else "") + chr(ord("a") + second)


def whole_length(data: bytes, hose: Mapping[str, Any]) -> bytes:
    """Return one hose of a stored result over its whole length in the photo.

    Parameters
    ----------
    data : bytes
        The photo.
    hose : mapping
        Of the stored result's ``hoses``.

    Returns
    -------
    bytes
        A JPEG, `SHEET_PX` wide: rows one below the other, each with its stretch of the hose, a bar that
        is hatched and lettered as `letter_of` where nothing was searched, and the scale.

    Raises
    ------
    RegionError
        The stored hose is none.
    PhotoError
        The bytes are no photo that can be read.
    """
    pixels = UPRIGHT.photo(data).pixels
    try:
        stored = stored_hose(hose)
    except ValueError as error:
        raise RegionError(str(error)) from error
    whole = float(len(stored.course.points) - 1)
    rows = int(np.clip(np.ceil(whole / (_WIDTHS_A_ROW * stored.course.width_px)), 1, _MOST_ROWS))
    ends = np.linspace(0.0, whole, rows + 1)
    parts: list[Image] = []
    for first, last in pairwise(ends.tolist()):
        parts += [
            _picture(pixels, stored, first, last),
            _bar(stored, first / whole, last / whole),
            scale_along(stored, first, last, SHEET_PX, named=last == ends[-1]),
        ]
    return encoded(np.vstack([*parts, _key(bool(stored.blind))]))


def _picture(pixels: Image, stored: StoredHose, first: float, last: float) -> Image:
    scale = max(1.0, SHEET_PX / (last - first))
    picture = straight(pixels, stored.course, first, last, scale)
    size = (SHEET_PX, max(3, round(picture.shape[0] * SHEET_PX / picture.shape[1])))
    return np.asarray(cv2.resize(picture, size, interpolation=cv2.INTER_AREA), np.uint8)


def _bar(stored: StoredHose, first: float, last: float) -> Image:
    """A row's bar, `first` to `last` as shares of the hose: plain where searched, hatched where not."""
    strip = Strip(SHEET_PX, y=float(_TALL))
    per = SHEET_PX / (last - first)
    blind = []
    for index, (start, end) in enumerate(stored.blind):
        low, high = max(start, first), min(end, last)
        if high > low:
            blind.append((round((low - first) * per), max(round((high - first) * per), 3)))
            name = letter_of(index)
            left = (low + high) / 2 * per - first * per - length(name, _SIZE) / 2
            left = min(max(left, 2.0), SHEET_PX - length(name, _SIZE) - 2)
            baseline = (_TALL + _SIZE * CAP_HEIGHT) / 2
            strip.words.append(Word(name, left, baseline, _SIZE, INK, 5, PAPER))
            strip.words.append(Word(name, left, baseline, _SIZE, INK, 1))

    def paint(image: Image) -> None:
        image[: _TALL - 2] = PAPER
        image[_TALL // 2 - 3 : _TALL // 2 + 3] = INK
        for left, right in blind:
            image[2 : _TALL - 4, left:right] = hatched(_TALL - 6, right - left)

    strip.painters.append(paint)
    return strip.paint()


def hatched(height: int, width: int) -> Image:
    """Return slanted lines, ink on paper, framed."""
    row, column = np.mgrid[0:height, 0:width]
    ink = (row + column) % _HATCH_PX < _HATCH_PX / 3
    ink[[0, 1, -2, -1]] = True
    ink[:, [0, -1]] = True
    picture: Image = np.where(ink[:, :, None], np.array(INK, np.uint8), np.array(PAPER, np.uint8))
    return picture


def _key(blind: bool) -> Image:
    strip = Strip(SHEET_PX)
    strip.space(0.01)
    words = "Line: searched, of the side that the photo shows."
    if blind:
        words += " Hatched: not searched at all."
    strip.paragraph(words, _SIZE, SOFT_INK)
    strip.space(0.01)
    return strip.paint()
