"""Both photos to look at: side by side, and one over the other in the same place."""

import io
from typing import NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from vision.compare.result import Aligned, Compared
from vision.photo import Photo

Pixels = NDArray[np.uint8]
LONGEST_OUT_PX = 1400
_QUALITY = 88
_SECONDS_EACH = 0.8
"""Slower than anything that could harm who is sensitive to flashes (WCAG 2.3.1: three a second)."""
_INK, _PAPER = (32, 20, 213), (255, 255, 255)  # a line on a wider pale one is seen on any ground; RGB
_GAP_PX = 8


class Flicker(NamedTuple):
    """The same place in both photos at the same pixels: two JPEGs, and both in turn as one WebP."""

    earlier: bytes
    now: bytes
    both: bytes


def side_by_side(earlier: Photo, now: Photo, compared: Compared) -> bytes:
    """Return both photos beside each other with the changed places outlined, as a JPEG."""
    left = _outlined(earlier.pixels, [change.earlier for change in compared.changes])
    right = _outlined(now.pixels, [change.outline for change in compared.changes])
    height = min(max(left.shape[0], right.shape[0]), LONGEST_OUT_PX)
    left, right = (_of_height(one, height) for one in (left, right))
    gap = np.full((height, _GAP_PX, 3), 255, np.uint8)
    return _jpeg(np.hstack([left, gap, right]))


def flicker(earlier: Photo, now: Photo, compared: Compared) -> Flicker | None:
    """Return the earlier photo laid on the present one; None where they are not comparable.

    Where the earlier photo shows nothing the present one is shown darkened in both, so that nothing
    flickers that was not compared.
    """
    if compared.aligned is None:
        return None
    here = now.pixels.copy()
    there, seen = _laid(earlier, now, compared.aligned)
    dark = (here * 0.35).astype(np.uint8)
    here[~seen], there[~seen] = dark[~seen], dark[~seen]
    here, there = (_small(one) for one in (here, there))
    return Flicker(_jpeg(there), _jpeg(here), _moving([there, here]))


def _laid(earlier: Photo, now: Photo, aligned: Aligned) -> tuple[Pixels, NDArray[np.bool_]]:
    """The earlier photo at the present one's pixels, each surface by its own homography."""
    height, width = now.pixels.shape[:2]
    size = (width, height)
    label = cv2.resize(aligned.explained.surface, size, interpolation=cv2.INTER_NEAREST)
    laid = np.zeros_like(now.pixels)
    seen = np.zeros((height, width), bool)
    everywhere = np.ones(earlier.pixels.shape[:2], np.uint8)
    back = np.linalg.inv(aligned.earlier.to_photo)
    for index, surface in enumerate(aligned.surfaces):
        matrix = aligned.now.to_photo @ surface.matrix @ back
        own = label == index
        laid[own] = cv2.warpPerspective(earlier.pixels, matrix, size)[own]
        seen |= own & (cv2.warpPerspective(everywhere, matrix, size, flags=cv2.INTER_NEAREST) > 0)
    return laid, seen


def _outlined(pixels: Pixels, outlines: list[NDArray[np.float64]]) -> Pixels:
    drawn = pixels.copy()
    wide = max(2, round(max(pixels.shape[:2]) / 500))
    room = 2.0 * wide
    for outline in outlines:
        middle = outline.mean(axis=0)
        # The line runs around the place and not over it.
        off = outline - middle
        longer = np.maximum(np.linalg.norm(off, axis=1, keepdims=True), 1e-6)
        course = cv2.convexHull((outline + off / longer * room).astype(np.float32)).round().astype(np.int32)
        cv2.polylines(drawn, [course], True, _PAPER, 2 * wide + 2, cv2.LINE_AA)
        cv2.polylines(drawn, [course], True, _INK[::-1], wide, cv2.LINE_AA)
    return drawn


def _of_height(pixels: Pixels, height: int) -> Pixels:
    width = max(1, round(pixels.shape[1] * height / pixels.shape[0]))
    return np.asarray(cv2.resize(pixels, (width, height), interpolation=cv2.INTER_AREA), np.uint8)


def _small(pixels: Pixels) -> Pixels:
    longest = max(pixels.shape[:2])
    if longest <= LONGEST_OUT_PX:
        return pixels
    return _of_height(pixels, round(pixels.shape[0] * LONGEST_OUT_PX / longest))


def _jpeg(pixels: Pixels) -> bytes:
    settings = [cv2.IMWRITE_JPEG_QUALITY, _QUALITY]
    return cv2.imencode(".jpg", cv2.cvtColor(pixels, cv2.COLOR_RGB2BGR), settings)[1].tobytes()


def _moving(frames: list[Pixels]) -> bytes:
    stream = io.BytesIO()
    first, *rest = (Image.fromarray(frame) for frame in frames)
    first.save(
        stream,
        "WEBP",
        save_all=True,
        append_images=rest,
        duration=round(1000 * _SECONDS_EACH),
        loop=0,
        quality=_QUALITY,
        method=2,
    )
    return stream.getvalue()
