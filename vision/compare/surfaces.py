"""One homography for each flat piece of the scene, found one after the other.

What is nearer moves more when the camera is moved, so one homography explains one
surface only.  USAC with MAGSAC++ scoring finds the largest set that agrees
(Barath et al., CVPR 2020, from memory); its points are taken away, and the search goes on.
"""

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np

from vision.compare.match import FOUND_AT_PX, Matches, Points
from vision.compare.view import Mask, Matrix, moved

MOST = 8
FEWEST_POINTS = 12
_NEAR_PX = 1.25  # of 1600 along the longer side, the size at which points are found
_SAME = 0.6  # what lies so near to a surface is a part of it that is not quite flat
_LEAST_SHARE = 2e-3  # of the photo's area that a surface's points span


@dataclass(frozen=True, eq=False)
class Surface:
    """A flat piece.

    Attributes
    ----------
    matrix : (3, 3) array
        From pixels of the earlier photo to those of the present one.
    points : (N, 2) array
        Its points in the present photo.
    earlier : (N, 2) array
        The same points in the earlier photo.
    """

    matrix: Matrix
    points: Points
    earlier: Points


def found_surfaces(matches: Matches, size: tuple[int, int]) -> tuple[Surface, ...]:
    """Return the surfaces, the one with the most points first.

    Parameters
    ----------
    matches : Matches
    size : (int, int)
        Width and height of the present photo, px.
    """
    earlier, now = matches
    near = _NEAR_PX * max(1.0, max(size) / FOUND_AT_PX)
    found: list[Surface] = []
    tries = 0
    while len(found) < MOST and len(now) >= FEWEST_POINTS and tries < 2 * MOST:
        tries += 1
        matrix, inside = _largest(earlier, now, near)
        if matrix is None or inside.sum() < FEWEST_POINTS:
            break
        surface = Surface(matrix, now[inside], earlier[inside])
        large = _spread(surface.points) > _LEAST_SHARE * size[0] * size[1]
        known = any(_off(one.matrix, surface) < _SAME * near for one in found)
        if large and not known and _is_seen_from_its_front(surface):
            found.append(surface)
        earlier, now = earlier[~inside], now[~inside]
    return tuple(found)


def _largest(earlier: Points, now: Points, most_px: float) -> tuple[Matrix | None, Mask]:
    none = np.zeros(len(now), bool)
    if _spread(now) == 0:
        return None, none
    # Its draws begin at a fixed state: the same photos give the same answer.
    matrix = _fitted(earlier, now, cv2.USAC_MAGSAC, most_px)
    near = none if matrix is None else _near(matrix, earlier, now, most_px)
    for _ in range(3):  # all that are near tell together where it lies
        if matrix is None or near.sum() < FEWEST_POINTS:
            return None, none
        matrix = _fitted(earlier[near], now[near], 0, most_px)
        before, near = near, none if matrix is None else _near(matrix, earlier, now, most_px)
        if (before == near).all():
            break
    return matrix, near


def _fitted(earlier: Points, now: Points, method: int, most_px: float) -> Matrix | None:
    found: Any = cv2.findHomography(earlier, now, method, most_px, maxIters=10_000, confidence=0.9999)[0]
    return None if found is None else np.asarray(found, np.float64)


def _near(matrix: Matrix, earlier: Points, now: Points, most_px: float) -> Mask:
    return np.asarray(np.linalg.norm(moved(matrix, earlier) - now, axis=1) < most_px)


def _off(matrix: Matrix, surface: Surface) -> float:
    """How far a surface's points lie off another one's homography, the median, px."""
    return float(np.median(np.linalg.norm(moved(matrix, surface.earlier) - surface.points, axis=1)))


def _spread(points: Points) -> float:
    """The area that points span, px²."""
    return float(cv2.contourArea(cv2.convexHull(points.astype(np.float32))))


def _is_seen_from_its_front(surface: Surface) -> bool:
    """Whether no point's neighbourhood is turned inside out, as no camera can."""
    at = np.column_stack([surface.earlier, np.ones(len(surface.earlier))])
    depth = at @ surface.matrix[2]
    return bool(np.linalg.det(surface.matrix) * np.sign(depth).min() > 0 and (depth > 0).all())
