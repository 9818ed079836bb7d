"""Square markers found and identified on a reduced picture.

Markers only say *which* card this is and roughly where; nothing is measured on
the corners given here, which are biased inward by up to a pixel.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.card import Card
from vision.photo import Photo

Corners = NDArray[np.float64]
SEARCH_LONG_SIDE = 2100
COPY_IDS = range(100, 400)
LEG_TAG_IDS = range(400, 587)
# Outlines of so many pixels are looked at.  A marker is 8 cells wide, its outline when it stands on a
# corner 8 · 4 / √2 pixels for each pixel of a cell; below 1.6 pixels a cell none is told.
LEAST_OUTLINE_PX = 36
# Most outlines in a photo are small and no markers, and looking at one costs as much as at a large one.
LARGE_OUTLINE_PX = 60
# A card's markers and its copy's tag are of one size, a leg's tag is larger, and all hang about equally
# far away: where the smallest that was found is so large, none had a small outline.
LARGE_SIDE_PX = 30


@dataclass(frozen=True)
class Sighting:
    """The markers seen in a photo: id → corners (4, 2) in px of the full picture."""

    corners: Mapping[int, Corners]

    def of_card(self, card: Card) -> dict[int, Corners]:
        """Return the sighted markers that belong to a card."""
        ids = {marker.id for marker in card.markers}
        return {i: c for i, c in self.corners.items() if i in ids}

    @property
    def leg_tags(self) -> tuple[int, ...]:
        """The leg tags in view."""
        return tuple(sorted(i for i in self.corners if i in LEG_TAG_IDS))

    @property
    def copy_number(self) -> int | None:
        """The card copy's number, when exactly one is in view."""
        copies = [i for i in self.corners if i in COPY_IDS]
        return copies[0] if len(copies) == 1 else None


def find_markers(photo: Photo, wanted: int = 2, *, far: bool = False) -> Sighting:
    """Find the markers of a photo.

    The search runs on a reduced picture, for large markers first, and again at full size when fewer
    than `wanted` markers turned up (a card far away, or seen through blur).  `far` reads cells by their
    middles only, as a card far away needs it: blur mixes 5 px of one with the next.
    """
    height, width = photo.pixels.shape[:2]
    factor = max(1, round(max(height, width) / SEARCH_LONG_SIDE))
    reduced = photo.reduced(factor)
    found = _detect(reduced, factor, LARGE_OUTLINE_PX, far)
    sides = [np.linalg.norm(np.roll(quad, -1, axis=0) - quad, axis=1).min() for quad in found.values()]
    if len(found) < wanted or min(sides) < LARGE_SIDE_PX * factor:
        found = _detect(reduced, factor, LEAST_OUTLINE_PX, far)
    if len(found) < wanted and factor > 1:
        found = {**found, **_detect(photo.reduced(1), 1, LEAST_OUTLINE_PX, far)}
    return Sighting(found)


def _detect(
    grey: NDArray[np.uint8], factor: int, least_outline_px: float, far: bool = False
) -> dict[int, Corners]:
    parameters = cv2.aruco.DetectorParameters()
    parameters.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_NONE
    parameters.adaptiveThreshWinSizeMin = 9
    parameters.adaptiveThreshWinSizeMax = 33
    parameters.adaptiveThreshWinSizeStep = 12
    parameters.minMarkerPerimeterRate = least_outline_px / max(grey.shape)
    if far:
        parameters.perspectiveRemoveIgnoredMarginPerCell = 0.3
    detector = cv2.aruco.ArucoDetector(
        cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11), parameters
    )
    corners, ids, _ = detector.detectMarkers(grey)
    numbers = [] if ids is None else [int(number) for number in np.reshape(ids, -1)]
    result: dict[int, Corners] = {}
    for quad, number in zip(corners, numbers, strict=True):
        points = np.asarray(quad, float).reshape(4, 2) * factor + (factor - 1) / 2
        size = np.linalg.norm(points[0] - points[2])
        # The same id twice: a mirror image or a second copy; the larger one is nearer.
        if number not in result or size > np.linalg.norm(result[number][0] - result[number][2]):
            result[number] = points
    return result
