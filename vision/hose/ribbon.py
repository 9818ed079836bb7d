"""A hose laid straight: light, colour and fine texture of its side that faces the camera."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from vision.hose.bands import Band, evened, find_bands
from vision.hose.course import Course, Picture, Strip, strip_along
from vision.hose.dust import FLOOR, brown, dust_light
from vision.photo import CLIPPED_FROM, SRGB, Photo

REACH = 0.82  # radii: nearer to the limb the surface is seen too flat
_ROWS = (15, 56)
_DARK = 0.003  # of full light
_BLOCK = 4
_STEADY_WIDTHS = 7.0
_HELD_OVER, _FITS, _LEAST_OFF = 0.35, 4, 0.03  # hose widths; times; ln units
_EXPLAINS = 0.4  # of what stands out
_ROW_PRIOR, _MOST_OFF = 0.005, 2.0  # ln units² a row²; rows
_BEYOND = 1.5  # radii
LUMA = np.array([0.2126, 0.7152, 0.0722], np.float32)
_AT_SIDES = ((0.97, 1.09), (1.19, 1.29), (1.4, 1.5))  # radii: the limb, a little beyond it, further out


@dataclass(frozen=True, eq=False)
class Ribbon:
    """Column along, row across (first row one side, last the other).

    Attributes
    ----------
    strip : Strip
    residual : (R, C) float32 array
        ln light less what is steady along the hose; on rubber without what brown dust adds to it.
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
    outside : (2, 3, C) float32 array
        ln light at the two limbs, a little beyond them and further out, less what is steady there.
    bands : sequence of Band
        What goes right across.
    marks : (R, C) float32 array
        The residual with these left in it: what is fixed to the hose.
    dust : (R, C) float32 array or None
        ln light that was taken out of `residual` and `marks` as brown dust's; None where none was.
    """

    strip: Strip
    residual: Picture
    chroma: Picture
    texture: Picture
    usable: NDArray[np.bool_]
    rows_a_width: float
    over_streak: Picture
    outside: Picture
    bands: Sequence[Band]
    marks: Picture
    dust: Picture | None = None


def straighten(photo: Photo, course: Course, cover: str = "rubber") -> Ribbon:
    """Return the ribbon of one course, px of the photo, of a hose with this cover."""
    rows = int(np.clip(REACH * course.width_px, *_ROWS)) | 1
    strip = strip_along(course, rows, REACH)
    colours = strip.of(photo.pixels)
    linear = SRGB.linear(colours.astype(np.uint8))  # whole grey levels as they are
    luma = linear @ LUMA
    usable = (colours.max(axis=2) < CLIPPED_FROM) & (luma > _DARK)
    light = np.log(luma + FLOOR)
    width = rows / REACH
    fine = light - cv2.GaussianBlur(light, (0, 0), 1.5)
    contrast = np.log(cv2.blur(fine * fine, (7, 7)) + 1e-5) / 2
    colour = _colour(linear)
    beyond = _beyond(photo, course, rows, light.shape[1])
    bands = find_bands(light, contrast, colour, beyond[:, 1], width)
    raw, light, contrast = light, evened(light, bands, width), evened(contrast, bands, width)
    even = steady(light, _STEADY_WIDTHS * width)
    residual = held(light - even, even, width, least=0.0 if cover == "metal_braid" else _EXPLAINS)
    marks = raw - even
    dust: Picture | None = None
    if cover == "rubber":
        browner = brown(linear, width)
        dust = dust_light(residual, browner - steady(browner, _STEADY_WIDTHS * width))
        # From both, or a second photo would not show what only stands out without it.
        residual, marks = residual - dust, marks - dust
    texture = contrast - steady(contrast, _STEADY_WIDTHS * width)
    streak = np.quantile(np.median(light, axis=1), 0.98).astype(np.float32)
    flat = beyond.reshape(-1, beyond.shape[2])
    outside = np.asarray(flat - steady(flat, _STEADY_WIDTHS * width), np.float32).reshape(beyond.shape)
    chroma = np.linalg.norm(colour - np.median(colour, axis=(0, 1)), axis=2).astype(np.float32)
    return Ribbon(
        strip, residual, chroma, texture, usable, width, light - streak, outside, bands, marks, dust
    )


def _beyond(photo: Photo, course: Course, rows: int, columns: int) -> Picture:
    """ln light (2, 3, C) at the two limbs, a little beyond them and further out."""
    wide = strip_along(course, round(rows * _BEYOND / REACH) | 1, _BEYOND)
    outer = np.abs(wide.across) >= _AT_SIDES[0][0]
    colours = replace(wide, x=wide.x[outer], y=wide.y[outer]).of(photo.pixels)
    light = np.log(cv2.transform(colours, LUMA[None]) + np.float32(4.0))
    across = wide.across[outer]
    told = [
        light[(way * across >= near) & (way * across <= far)].mean(axis=0)
        for way in (-1, 1)
        for near, far in _AT_SIDES
    ]
    both = 2.2 * np.stack(told)  # coded to linear light
    even = cv2.resize(both, (columns, len(both)), interpolation=cv2.INTER_LINEAR)
    return np.asarray(even, np.float32).reshape(2, len(_AT_SIDES), columns)


def steady(picture: Picture, window: float) -> Picture:
    """Return what is the same along: each row's running median over `window` columns, itself smoothed.

    A spot may be a third of the window long and does not move a median.
    """
    rows, columns = picture.shape
    few = max(1, columns // _BLOCK)
    small = cv2.resize(picture, (few, rows), interpolation=cv2.INTER_AREA)
    size = min(int(window / _BLOCK) | 1, 2 * (few // 2) + 1)
    # Row by row: SciPy has a quick way for one dimension only.
    middle = np.stack([ndimage.median_filter(row, size=max(size, 1), mode="reflect") for row in small])
    middle = cv2.GaussianBlur(middle, (0, 0), sigmaX=max(size / 8, 0.5), sigmaY=0.6)
    return np.asarray(cv2.resize(middle, (columns, rows), interpolation=cv2.INTER_LINEAR), np.float32)


def held(residual: Picture, even: Picture, width: float, least: float) -> Picture:
    """Return the residual without what a course off by part of a row leaves beside a streak.

    A profile moved or widened across by a little changes in proportion to its own slope, in all rows at
    once. That is fitted to each stretch by least absolute deviations, which wear on some rows does not move.
    It is taken away where it explains more than `least` of what stands out there; 0 takes it away always,
    as on a braid, whose wear is darker only and leaves no slope.
    """
    rows, columns = residual.shape
    slope = np.gradient(even.astype(np.float64), axis=0)
    across = np.linspace(-1, 1, rows)[:, None]
    few = max(1, columns // _BLOCK)
    reach = max(3, round(_HELD_OVER * width) | 1)
    small = [
        cv2.resize(one, (few, rows), interpolation=cv2.INTER_AREA).astype(np.float64)
        for one in (cv2.blur(residual, (reach, 1)), slope, slope * across)
    ]
    seen, moved, wider = small
    fit = np.zeros_like(seen)
    for _ in range(_FITS):
        weight = 1 / np.maximum(np.abs(seen - fit), _LEAST_OFF)
        a, b, c = ((weight * one).sum(axis=0) for one in (moved**2, moved * wider, wider**2))
        # A row or so is as far as a course is off: what asks for more is no matter of the course.
        a, c = a + rows * _ROW_PRIOR, c + rows * _ROW_PRIOR
        d, e = (weight * moved * seen).sum(axis=0), (weight * wider * seen).sum(axis=0)
        by = np.stack([c * d - b * e, a * e - b * d]) / np.maximum(a * c - b * b, 1e-12)
        by = np.clip(by, -_MOST_OFF, _MOST_OFF)
        fit = by[0] * moved + by[1] * wider
    # Wear on a half of the rows is explained badly, a moved profile well.
    left = np.abs(seen - fit).sum(axis=0) / np.maximum(np.abs(seen).sum(axis=0), 1e-6)
    if least > 0:
        by = by * np.clip((1 - least - left) / 0.2, 0, 1)
    smooth = cv2.resize(cv2.blur(by.astype(np.float32), (3, 1)), (columns, 2), interpolation=cv2.INTER_LINEAR)
    return np.asarray(residual - smooth[0] * slope - smooth[1] * slope * across, np.float32)


def _colour(linear: Picture) -> Picture:
    """ln of red and of blue over green (R, C, 2)."""
    log = np.log(cv2.blur(linear, (5, 5)) + FLOOR)
    return np.stack([log[..., 0] - log[..., 1], log[..., 2] - log[..., 1]], axis=2)
