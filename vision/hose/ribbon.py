"""A hose laid straight: light, colour and fine texture of its side that faces the camera."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from vision.hose.course import Course, Picture, Strip, strip_along
from vision.photo import CLIPPED_FROM, SRGB, Photo

REACH = 0.82  # radii: nearer to the limb the surface is seen too flat
_ROWS = (15, 56)
_DARK = 0.003  # of full light
_FLOOR = 0.004
_BLOCK = 4
_STEADY_WIDTHS = 7.0
_BEYOND = 1.28  # radii


@dataclass(frozen=True, eq=False)
class Ribbon:
    """Column along, row across (first row one side, last the other).

    Attributes
    ----------
    strip : Strip
    residual : (R, C) float32 array
        ln light less what is steady along the hose.
    chroma : (R, C) float32 array
        Distance of the colour from the hose's own, ln units.
    texture : (R, C) float32 array
        ln of the fine contrast less what is steady along.
    usable : (R, C) bool array
        Neither burnt out nor without light.
    rows_a_width : float
        Rows that the hose's whole width would take.
    over_streak : (R, C) float32 array
        ln light less that of the hose's own brightest row.
    outside : (2, C) float32 array
        ln light a little beyond the two sides less what is steady there.
    """

    strip: Strip
    residual: Picture
    chroma: Picture
    texture: Picture
    usable: NDArray[np.bool_]
    rows_a_width: float
    over_streak: Picture
    outside: Picture


def straighten(photo: Photo, course: Course) -> Ribbon:
    """Return the ribbon of one course, px of the photo."""
    rows = int(np.clip(REACH * course.width_px, *_ROWS)) | 1
    strip = strip_along(course, rows, REACH)
    colours = strip.of(photo.pixels)
    linear = np.interp(colours, np.arange(256), SRGB.lut).astype(np.float32)
    luma = linear @ np.array([0.2126, 0.7152, 0.0722], np.float32)
    usable = (colours.max(axis=2) < CLIPPED_FROM) & (luma > _DARK)
    light = np.log(luma + _FLOOR)
    width = rows / REACH
    residual = light - steady(light, _STEADY_WIDTHS * width)
    fine = light - cv2.GaussianBlur(light, (0, 0), 1.5)
    contrast = np.log(cv2.blur(fine * fine, (7, 7)) + 1e-5) / 2
    texture = contrast - steady(contrast, _STEADY_WIDTHS * width)
    streak = np.quantile(np.median(light, axis=1), 0.98).astype(np.float32)
    outside = _outside(photo, course, rows, residual.shape[1])
    return Ribbon(strip, residual, _chroma(linear), texture, usable, width, light - streak, outside)


def _outside(photo: Photo, course: Course, rows: int, columns: int) -> Picture:
    wide = strip_along(course, round(rows * _BEYOND / REACH) | 1, _BEYOND)
    few = max(3, round(0.08 * rows))
    light = np.log(wide.of(photo.pixels)[np.r_[:few, -few:0]] @ np.array([0.2126, 0.7152, 0.0722]) + 4.0)
    both = np.stack([light[:few].mean(axis=0), light[few:].mean(axis=0)]).astype(np.float32)
    even = 2.2 * (both - steady(both, _STEADY_WIDTHS * rows / REACH))  # coded levels to linear light
    return np.asarray(cv2.resize(even, (columns, 2), interpolation=cv2.INTER_LINEAR), np.float32)


def steady(picture: Picture, window: float) -> Picture:
    """Return what is the same along: each row's running median over `window` columns, itself smoothed.

    A spot may be a third of the window long and does not move a median.
    """
    rows, columns = picture.shape
    few = max(1, columns // _BLOCK)
    small = cv2.resize(picture, (few, rows), interpolation=cv2.INTER_AREA)
    size = min(int(window / _BLOCK) | 1, 2 * (few // 2) + 1)
    middle = ndimage.median_filter(small, size=(1, max(size, 1)), mode="reflect")
    middle = cv2.GaussianBlur(middle, (0, 0), sigmaX=max(size / 8, 0.5), sigmaY=0.6)
    return np.asarray(cv2.resize(middle, (columns, rows), interpolation=cv2.INTER_LINEAR), np.float32)


def _chroma(linear: Picture) -> Picture:
    log = np.log(cv2.blur(linear, (5, 5)) + _FLOOR)
    pair = np.stack([log[..., 0] - log[..., 1], log[..., 2] - log[..., 1]], axis=2)
    return np.asarray(np.linalg.norm(pair - np.median(pair, axis=(0, 1)), axis=2), np.float32)
