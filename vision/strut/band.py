"""The red band beside the card: found coarsely on the card's plane, then its upper edge's course."""

from dataclasses import dataclass, replace
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.cylinder import Axis
from vision.photo import Photo
from vision.scale import CardFix
from vision.scale.features import apply_homography
from vision.strut.window import balanced

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

SIDE_MM = 210.0  # how far beside the card the piston is looked for
ABOVE_MM, BELOW_MM = 60.0, 140.0
WIDTH_TOLERANCE = 0.17  # a stand-off of 50 mm at 0.5 m, and a little
MAX_LEAN_DEG = 15.0
LEAST_SEEN = 0.55  # of the band's width, where the card hides the rest
AT_CARD_MM = 1.5
MIN_FILL = 0.5
RED_SHARE = 0.45  # of (red - the larger of green and blue) / red, white-balanced
RED_LIGHT = 0.012


@dataclass(frozen=True)
class Candidate:
    """A red area that may be the band, on the card's plane: mm of the card."""

    centre_mm: Array
    width_mm: float
    height_mm: float
    lean_deg: float
    left_mm: Array
    right_mm: Array


@dataclass(frozen=True)
class RedAreas:
    """What was found: bands of about the right width, and the widths of those that were not."""

    bands: tuple[Candidate, ...]
    other_widths_mm: tuple[float, ...]


def redness(image: NDArray[np.float32]) -> Mask:
    """Mask (h, w) of what is red in white-balanced linear light (h, w, 3)."""
    # One channel after the other: side by side they take several times as long.
    r, g, b = (np.ascontiguousarray(image[..., k]) for k in range(3))
    rest = np.maximum(g, b)
    return np.asarray((r - rest > RED_SHARE * r) & (r > RED_LIGHT))


def find_bands(photo: Photo, fix: CardFix, diameter_mm: float) -> RedAreas:
    """Find red areas as wide as the piston beside the card."""
    k = float(np.clip(fix.px_per_mm, 0.8, 2.0))
    card = fix.card
    x0, y0 = -SIDE_MM, -ABOVE_MM
    width = int((card.width_mm + 2 * SIDE_MM) * k)
    height = int((card.height_mm + ABOVE_MM + BELOW_MM) * k)
    to_card = np.array([[1 / k, 0, x0], [0, 1 / k, y0], [0, 0, 1.0]])
    coded = cv2.warpPerspective(
        photo.pixels,
        fix.homography @ to_card,
        (width, height),
        flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
        borderMode=cv2.BORDER_CONSTANT,
    )
    mask = redness(balanced(np.asarray(coded, np.uint8), fix.wedge)).astype(np.uint8)
    # A streak of glare or a strip of dirt must not cut the band in two.
    bridge = cv2.getStructuringElement(cv2.MORPH_RECT, (int(0.2 * diameter_mm * k) | 1, int(1.5 * k) | 1))
    closed = cv2.morphologyEx(mask, cv2.MORPH_CLOSE, bridge)
    opened = cv2.morphologyEx(closed, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
    contours, _ = cv2.findContours(opened, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    bands, others = [], []
    for contour in contours:
        candidate, fill = _candidate(np.asarray(contour), k, (x0, y0))
        if fill < MIN_FILL or abs(candidate.lean_deg) > MAX_LEAN_DEG or candidate.height_mm < 2.5:
            continue
        widened = _behind_card(candidate, fix, diameter_mm)
        if abs(widened.width_mm / diameter_mm - 1) < WIDTH_TOLERANCE and (
            candidate.height_mm < 1.2 * diameter_mm
        ):
            bands.append(widened)
        elif candidate.width_mm > 0.3 * diameter_mm:
            others.append(candidate.width_mm)
    return RedAreas(tuple(bands), tuple(others))


def _candidate(contour: NDArray[Any], k: float, origin: tuple[float, float]) -> tuple[Candidate, float]:
    (cx, cy), (w, h), angle = cv2.minAreaRect(contour)
    while abs(angle) > 45:  # OpenCV names either side the width
        w, h, angle = h, w, angle - np.copysign(90, angle)
    fill = float(cv2.contourArea(contour)) / max(w * h, 1.0)
    half = 0.5 * w * np.array([np.cos(np.radians(angle)), np.sin(np.radians(angle))])
    centre = np.array([cx, cy])

    def mm(p: Array) -> Array:
        return np.asarray(p / k + np.asarray(origin))

    return (
        Candidate(mm(centre), w / k, h / k, float(angle), mm(centre - half), mm(centre + half)),
        fill,
    )


def _behind_card(candidate: Candidate, fix: CardFix, diameter_mm: float) -> Candidate:
    """Widen a red area that ends at the card's side to the piston's diameter: the card may hide the rest."""
    if not LEAST_SEEN * diameter_mm < candidate.width_mm < diameter_mm:
        return candidate
    left, right = candidate.left_mm, candidate.right_mm
    missing = (1 - candidate.width_mm / diameter_mm) * diameter_mm * (right - left) / candidate.width_mm
    if abs(right[0]) < AT_CARD_MM and 0 < right[1] < fix.card.height_mm:
        right = right + missing
    elif abs(left[0] - fix.card.width_mm) < AT_CARD_MM and 0 < left[1] < fix.card.height_mm:
        left = left - missing
    else:
        return candidate
    return replace(
        candidate, centre_mm=(left + right) / 2, width_mm=diameter_mm, left_mm=left, right_mm=right
    )


def guess_axis(fix: CardFix, band: Candidate, radius_mm: float) -> Axis:
    """First guess of the axis: through the band, parallel to the card's plane, leaning as the band does.

    The distance comes from the angle that the band's two sides subtend.
    """
    camera = fix.model.camera_of(fix.solution.theta)
    lean = np.radians(band.lean_deg)
    up_mm = band.centre_mm + 60.0 * np.array([np.sin(lean), -np.cos(lean)])
    px = apply_homography(fix.homography, np.stack([band.left_mm, band.right_mm, band.centre_mm, up_mm]))
    rays = camera.rays(px)
    unit = rays / np.linalg.norm(rays, axis=1, keepdims=True)
    half = 0.5 * float(np.arccos(np.clip(unit[0] @ unit[1], -1, 1)))
    point = unit[2] * radius_mm / np.sin(half)
    rotation, _ = fix.model.pose_of(fix.solution.theta)
    n = rotation[:, 2]
    above = unit[3] * (point @ n) / (unit[3] @ n)
    direction = above - point
    return Axis(point, direction / np.linalg.norm(direction))
