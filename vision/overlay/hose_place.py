"""One place on a hose for a person to judge: the photo about it, and the hose laid straight about it.

A photo pixel is shown as one pixel at least, and nothing is changed in it; a line about the place is
drawn only where it is asked for, outside what is to be judged.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import cv2
import numpy as np

from vision.errors import RegionError
from vision.hose.course import Array, Course, strip_along
from vision.hose.stored import StoredHose, laid_along, stored_hose
from vision.overlay.lettering import CAP_HEIGHT, Word, length
from vision.overlay.palette import INK, MARGIN, SOFT_INK
from vision.overlay.strip import Strip
from vision.overlay.strokes import Image, Stroke, draw
from vision.overlay.tiles import encoded
from vision.overlay.upright import UPRIGHT
from vision.overlay.window import Window, shown

SHEET_PX = 720
"""Shown width; wider only where the place itself is longer than this in the photo."""

MOST_ENLARGED = 6.0
_ROOM = 0.9  # hose widths beside the place in the photo
_LEAST_SIDE_PX = 96
_ALONG_ROOM = 1.6  # hose widths before and after the place on the straight hose
_LEAST_ALONG_ROOM = 0.3
_BEYOND = 1.35  # radii that the straight hose shows to either side
_OFF_PX = 8.0  # from the place to the line about it
_RING = 0.35  # widths: the line about a place of which only its middle is known
_UNKNOWN_WIDTH = 0.025  # of the photo's longer side, where no hose was found
_TICKS_MM = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
_TICKS_SHARE = (0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2)
_MOST_TICKS = 7


def place_in_photo(
    data: bytes, hose: Mapping[str, Any] | None, outline: Sequence[Sequence[float]], *, lines: bool
) -> bytes:
    """Return the photo about a place.

    Parameters
    ----------
    data : bytes
        The photo.
    hose : mapping or None
        Of the stored result's ``hoses``: the one that the place lies on; None where the search was refused.
    outline : sequence of (x, y)
        The place's outline, px of the upright photo; or its middle alone.
    lines : bool
        Draw a thin line about the place.

    Returns
    -------
    bytes
        A JPEG.

    Raises
    ------
    RegionError
        The place lies outside the photo, or the stored hose is none.
    """
    pixels = UPRIGHT.photo(data).pixels
    width = _hose(hose).course.width_px if hose is not None else _UNKNOWN_WIDTH * max(pixels.shape)
    around = _outline(outline, width, pixels)
    window = _window(around, width, pixels)
    picture = shown(pixels, window)
    if lines:
        _draw_about(picture, window.points(around), window.scale)
    return encoded(picture)


def place_on_straight(
    data: bytes, hose: Mapping[str, Any], outline: Sequence[Sequence[float]], *, lines: bool
) -> bytes:
    """Return the hose laid straight about a place, with a scale along it; parameters as `place_in_photo`.

    The scale counts from the course's first end: mm where the hose's diameter was told, else shares
    of the length that the photo shows.
    """
    pixels = UPRIGHT.photo(data).pixels
    stored = _hose(hose)
    course = stored.course
    place = laid_along(course, _outline(outline, course.width_px, pixels))
    first, last = _stretch(place[:, 0], course)
    scale = float(np.clip(SHEET_PX / (last - first), 1.0, MOST_ENLARGED))
    picture = straight(pixels, course, first, last, scale)
    if lines:
        middle = (picture.shape[0] - 1) / 2
        on = np.stack([(place[:, 0] - first) * scale, middle + place[:, 1] * scale], axis=1)
        _draw_about(picture, on, scale)
    return encoded(np.vstack([picture, scale_along(stored, first, last, picture.shape[1])]))


def straight(pixels: Image, course: Course, first: float, last: float, scale: float) -> Image:
    """Return a stretch of a hose laid straight, `scale` px to a photo px; beyond the photo plain grey."""
    slack = course.width_px  # the normals at a cut end would be those of another line
    low, high = int(max(first - slack, 0)), int(min(last + slack, len(course.points) - 1)) + 1
    part = Course(course.points[low:high], course.radius[low:high]).scaled(scale)
    rows = max(3, round(_BEYOND * part.width_px)) | 1
    strip = strip_along(part, rows, _BEYOND)
    x, y = (np.asarray((one + 0.5) / scale - 0.5, np.float32) for one in (strip.x, strip.y))
    begin = round((first - low) * scale / strip.step)
    end = begin + round((last - first) * scale / strip.step)
    some = slice(begin, end)
    cut = replace(strip, x=x[:, some], y=y[:, some], index=strip.index[some], normal=strip.normal[some])
    picture = np.clip(np.round(cut.of(pixels)), 0, 255).astype(np.uint8)
    height, width = pixels.shape[:2]
    outside = (cut.x < -0.5) | (cut.y < -0.5) | (cut.x > width - 0.5) | (cut.y > height - 0.5)
    picture[outside] = MARGIN
    return picture


def scale_along(hose: StoredHose, first: float, last: float, width: int, *, named: bool = True) -> Image:
    """Return the strip with ticks and numbers under a stretch of a straight hose; `named` with its unit."""
    strip = Strip(width)
    px_per_mm = hose.px_per_mm
    whole = float(len(hose.course.points) - 1)
    unit_px, steps = (px_per_mm, _TICKS_MM) if px_per_mm else (whole, _TICKS_SHARE)
    begin, end = first / unit_px, last / unit_px
    step = next((one for one in steps if (end - begin) / one <= _MOST_TICKS), steps[-1])
    size = int(np.clip(round(0.036 * width), 16, 30))
    tall = round(0.5 * size)
    per = width / (last - first)
    baseline = tall + 0.35 * size + size * CAP_HEIGHT
    ticks = [one * step for one in range(int(np.ceil(begin / step)), int(end / step) + 1)]
    free_from = 0.0
    for one in ticks:
        x = (one * unit_px - first) * per
        words = f"{one:g}" if px_per_mm else f"{100 * one:g} %"
        left = min(max(x - length(words, size) / 2, 2.0), width - length(words, size) - 2)
        if left >= free_from:
            strip.words.append(Word(words, left, baseline, size, INK))
            free_from = left + length(words, size) + 0.4 * size

    def paint(image: Image) -> None:
        image[0:2] = INK
        for one in ticks:
            x = int(min(max(round((one * unit_px - first) * per), 0), width - 2))
            image[:tall, x : x + 2] = INK

    strip.painters.append(paint)
    strip.y = baseline + 0.35 * size
    if named:
        below = "mm along the hose" if px_per_mm else "of the length shown in the photo"
        strip.words.append(Word(below, 2.0, strip.y + size * CAP_HEIGHT, size, SOFT_INK))
        strip.y += size * CAP_HEIGHT + 0.4 * size
    return strip.paint()


def _hose(told: Mapping[str, Any]) -> StoredHose:
    try:
        return stored_hose(told)
    except ValueError as error:
        raise RegionError(str(error)) from error


def _outline(outline: Sequence[Sequence[float]], width: float, pixels: Image) -> Array:
    points = np.array(outline, np.float64).reshape(-1, 2)
    rows, columns = pixels.shape[:2]
    middle = points.mean(axis=0) if len(points) else np.full(2, np.nan)
    if not (-0.5 <= middle[0] <= columns - 0.5 and -0.5 <= middle[1] <= rows - 0.5):
        where = f"{middle[0]:.0f},{middle[1]:.0f}" if np.isfinite(middle).all() else "nowhere"
        msg = f"the place at {where} lies outside the photo, which is {columns} × {rows} px"
        raise RegionError(msg)
    if len(points) >= 3:
        return points
    turn = np.linspace(0, 2 * np.pi, 32, endpoint=False)
    return np.asarray(middle + _RING * width * np.stack([np.cos(turn), np.sin(turn)], axis=1))


def _window(around: Array, width: float, pixels: Image) -> Window:
    rows, columns = pixels.shape[:2]
    low, high = around.min(axis=0), around.max(axis=0)
    side = int(np.ceil(max((high - low).max() + 2 * _ROOM * width, _LEAST_SIDE_PX)))
    wide, tall = min(side, columns), min(side, rows)
    left, top = np.round((low + high) / 2 - [wide / 2, tall / 2]).astype(int)
    left, top = int(np.clip(left, 0, columns - wide)), int(np.clip(top, 0, rows - tall))
    scale = float(np.clip(SHEET_PX / max(wide, tall), 1.0, MOST_ENLARGED))
    return Window(left, top, wide, tall, round(wide * scale), round(tall * scale))


def _stretch(along: Array, course: Course) -> tuple[float, float]:
    """The stretch that is shown: with much room where it is enlarged, with little where the place is long."""
    low, high = float(along.min()), float(along.max())
    most, least = _ALONG_ROOM * course.width_px, _LEAST_ALONG_ROOM * course.width_px
    room = float(np.clip((SHEET_PX - (high - low)) / 2, least, most))
    end = float(len(course.points) - 1)
    first, last = max(low - room, 0.0), min(high + room, end)
    if last - first < _LEAST_SIDE_PX:
        middle = (first + last) / 2
        first, last = max(middle - _LEAST_SIDE_PX / 2, 0.0), min(middle + _LEAST_SIDE_PX / 2, end)
    return (first, last) if last - first >= 2 else (0.0, end)


def _draw_about(picture: Image, around: Array, scale: float) -> None:
    """A thin line outside the place, so that it hides nothing that is to be judged."""
    hull = cv2.convexHull(around.astype(np.float32))[:, 0].astype(np.float64)
    off = hull - hull.mean(axis=0)
    far = np.maximum(np.hypot(*off.T)[:, None], 1e-6)
    line = hull + off / far * (_OFF_PX + scale)
    draw(picture, [Stroke(np.vstack([line, line[:1]]), 1.0, 1.0)])
