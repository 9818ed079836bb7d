"""What lies on a surface or parts it: seams, and labels by their straight sides.

They are taken out before marks are looked for, since what stands out most would hide what stands out less.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.surface.looked import BLUE, LIGHT, RED, Picture
from vision.surface.region import Array

_WAYS = ((1, 0), (1, 1), (0, 1), (-1, 1))
_AWAY = 3  # px at half the worked size
_RIDGE, _RIDGE_SIGMAS = 0.06, 6.0  # ln units, robust sigmas
_LONG, _GAP = 0.3, 0.02  # of the region's narrow side
_PLAINER, _LINES = 1.3, 0.97
_OWN_PATTERN = 0.12  # of the region
_WIDE = 4  # px at half the worked size
_OTHER, _OTHER_SIGMAS = 0.25, 5.0
_COLOUR = 0.2
_LEAST_LABEL = 0.035  # of the region's narrow side
_FILLED = 0.87  # of the rectangle about it: an ellipse fills 0.785
_RIM = 3


@dataclass(frozen=True, eq=False)
class Thing:
    """A seam or a label: outline (N, 2) worked px, kind and reason."""

    outline: Array
    kind: str
    why: str


def find_things(
    own: Picture, known: NDArray[np.bool_], narrow: float
) -> tuple[list[Thing], NDArray[np.bool_]]:
    """Return seams and labels, and the pixels (H, W) that they hide."""
    hidden = np.zeros(known.shape, np.uint8)
    things = _labels(own, known, narrow, hidden) + _seams(own[..., LIGHT], known, narrow, hidden)
    return things, hidden.astype(bool)


def _seams(light: Picture, known: NDArray[np.bool_], narrow: float, hidden: NDArray[np.uint8]) -> list[Thing]:
    """Narrow and straight, over a good part of the region: a gap, a lap of panels, a limb."""
    size = light.shape[1] // 2, light.shape[0] // 2
    there = cv2.resize((known & (hidden == 0)).astype(np.uint8), size, interpolation=cv2.INTER_NEAREST)
    near = np.ones((2 * _AWAY + 1, 2 * _AWAY + 1), np.uint8)
    there = np.asarray(cv2.erode(there, near, borderValue=0), np.uint8)
    small = cv2.GaussianBlur(cv2.resize(light, size, interpolation=cv2.INTER_AREA), (0, 0), 0.8)
    ridge = np.zeros(small.shape, np.float32)
    for dx, dy in _WAYS:
        moves = ((sign * _AWAY * dy, sign * _AWAY * dx) for sign in (1, -1))
        one, two = (small - np.roll(small, move, (0, 1)) for move in moves)
        ridge = np.maximum(ridge, np.maximum(np.minimum(one, two), -np.maximum(one, two))).astype(np.float32)
    some = ridge[there > 0]
    if some.size < 100:
        return []
    limit = max(_RIDGE, float(np.median(some)) + _RIDGE_SIGMAS * 1.4826 * _mad(some))
    # A surface that is lined all over has seams only where they are plainer than its own lines.
    limit = max(limit, _PLAINER * float(np.quantile(some, _LINES)))
    sharp = ((ridge > limit) & (there > 0)).astype(np.uint8)
    long = _LONG * narrow / 2
    votes, gap = max(20, int(0.6 * long)), max(3, _GAP * narrow)
    lines = cv2.HoughLinesP(sharp, 1, np.pi / 180, votes, None, long, gap)
    drawn = np.zeros_like(sharp)
    for x0, y0, x1, y1 in [] if lines is None else lines.reshape(-1, 4):
        cv2.line(drawn, (int(x0), int(y0)), (int(x1), int(y1)), 1, 2 * _WIDE + 1)
    if float((drawn & there).sum()) > _OWN_PATTERN * float(there.sum()):
        return []  # a surface all over lines: they are its own texture
    contours, _ = cv2.findContours(drawn, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    things = []
    for contour in contours:
        outline = contour[:, 0].astype(np.float64) * 2 + 0.5
        cv2.fillPoly(hidden, [np.round(outline).astype(np.int32)], 1)
        things.append(Thing(outline, "edge", "narrow, straight and long: a seam or an edge of a panel"))
    return things


def _labels(own: Picture, known: NDArray[np.bool_], narrow: float, hidden: NDArray[np.uint8]) -> list[Thing]:
    """Of another light or colour, and a rectangle."""
    light = np.asarray(cv2.blur(own[..., LIGHT], (3, 3)), np.float32)
    colour = np.hypot(own[..., RED], own[..., BLUE])
    some, tints = light[known], colour[known]
    if some.size < 100:
        return []
    other = np.abs(light) > max(_OTHER, _OTHER_SIGMAS * 1.4826 * _mad(some))
    other |= colour > max(_COLOUR, _OTHER_SIGMAS * float(np.median(tints)))
    closed = cv2.morphologyEx((other & known).astype(np.uint8), cv2.MORPH_CLOSE, np.ones((9, 9), np.uint8))
    outer, _ = cv2.findContours(closed, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    cv2.drawContours(closed, outer, -1, 1, cv2.FILLED)
    opened = cv2.morphologyEx(closed, cv2.MORPH_OPEN, np.ones((7, 7), np.uint8))
    contours, _ = cv2.findContours(opened, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    things = []
    for contour in contours:
        middle, sides, turn = cv2.minAreaRect(contour)
        area = (sides[0] + 1) * (sides[1] + 1)
        own_area = cv2.contourArea(contour) + 0.5 * cv2.arcLength(contour, True)
        if min(sides) < _LEAST_LABEL * narrow or own_area < _FILLED * area:
            continue
        outline = cv2.boxPoints((middle, sides, turn)).astype(np.float64)
        wide = cv2.boxPoints((middle, (sides[0] + 2 * _RIM, sides[1] + 2 * _RIM), turn))
        cv2.fillPoly(hidden, [np.round(wide).astype(np.int32)], 1)
        things.append(Thing(outline, "label", "a rectangle of another light or colour: a label or placard"))
    return things


def _mad(values: Picture) -> float:
    few = values[::3]
    return float(np.median(np.abs(few - np.median(few))))
