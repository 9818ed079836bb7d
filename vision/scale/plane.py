"""Millimetres on what lies beside a card, as far as its plane may be taken for theirs."""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.camera_file import CameraFile
from vision.card import Card
from vision.photo import Photo
from vision.scale.camera import camera_knowledge
from vision.scale.fix import CardFix, find_card
from vision.scale.model import CardKnowledge

Array = NDArray[np.float64]

_FARTHEST = 2.0  # of the card's longer side, from its middle: the plane is not known further away


@dataclass(frozen=True, eq=False)
class CardPlane:
    """The plane of a card in the photo, taken for that of what lies about it."""

    fix: CardFix

    @property
    def outline_px(self) -> Array:
        """The card's corners (4, 2), px of the photo."""
        return self.fix.outline_px

    def longest_mm(self, outline_px: Array) -> float | None:
        """Return the longest side in mm of an outline (N, 2) px; None where the card is too far away."""
        if not self.near(outline_px).all():
            return None
        return float(max(cv2.minAreaRect(self._mm(outline_px).astype(np.float32))[1]))

    def near(self, points_px: Array) -> NDArray[np.bool_]:
        """Return which points (N, 2) px lie so near the card that its plane tells of them."""
        card = self.fix.card
        away = np.hypot(*(self._mm(points_px) - [card.width_mm / 2, card.height_mm / 2]).T)
        return np.asarray(away < _FARTHEST * max(card.width_mm, card.height_mm))

    def px_per_mm(self, points_px: Array) -> Array:
        """Return the scale (N,) in the card's plane at points (N, 2) px, the mean of all directions."""
        step = 1.0
        here, right, down = (self._mm(points_px + np.array(way)) for way in ((0, 0), (step, 0), (0, step)))
        (a, b), (c, d) = (right - here).T, (down - here).T
        return np.asarray(step / np.sqrt(np.abs(a * d - b * c)))

    def _mm(self, points_px: Array) -> Array:
        points = np.asarray(points_px, np.float64)[None]
        return np.asarray(cv2.perspectiveTransform(points, np.linalg.inv(self.fix.homography))[0])


def card_plane(photo: Photo, cards: Sequence[Card], camera: CameraFile | None = None) -> CardPlane | None:
    """Return the plane of the card in the photo, None where none of `cards` is found whole and flat."""
    if not cards:
        return None
    fix = find_card(photo, cards, camera_knowledge(photo, camera), lambda _: CardKnowledge())
    return CardPlane(fix) if isinstance(fix, CardFix) else None
