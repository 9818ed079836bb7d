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


def find_markers(photo: Photo, wanted: int = 2) -> Sighting:
    """Find the markers of a photo.

    The search runs on a reduced picture and again at full size when fewer than
    `wanted` markers turned up (a card far away, or seen through blur).
    """
    height, width = photo.pixels.shape[:2]
    factor = max(1, round(max(height, width) / SEARCH_LONG_SIDE))
    found = _detect(photo, factor)
    if len(found) < wanted and factor > 1:
        found = {**found, **_detect(photo, 1)}
    return Sighting(found)


def _detect(photo: Photo, factor: int) -> dict[int, Corners]:
    parameters = cv2.aruco.DetectorParameters()
    parameters.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_NONE
    parameters.adaptiveThreshWinSizeMin = 9
    parameters.adaptiveThreshWinSizeMax = 33
    parameters.adaptiveThreshWinSizeStep = 12
    # A marker of 14 mm at 1.5 px/mm on the reduced picture of a 12 MP photo.
    parameters.minMarkerPerimeterRate = 0.012
    detector = cv2.aruco.ArucoDetector(
        cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11), parameters
    )
    corners, ids, _ = detector.detectMarkers(photo.reduced(factor))
    numbers = [] if ids is None else [int(number) for number in np.reshape(ids, -1)]
    result: dict[int, Corners] = {}
    for quad, number in zip(corners, numbers, strict=True):
        points = np.asarray(quad, float).reshape(4, 2) * factor + (factor - 1) / 2
        size = np.linalg.norm(points[0] - points[2])
        # The same id twice: a mirror image or a second copy; the larger one is nearer.
        if number not in result or size > np.linalg.norm(result[number][0] - result[number][2]):
            result[number] = points
    return result
