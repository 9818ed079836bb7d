"""Millimetres on a surface, where a card that lies on it tells them."""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np

from vision.camera_file import CameraFile
from vision.card import Card
from vision.photo import Photo
from vision.scale import CardFix, CardKnowledge, camera_knowledge, find_card
from vision.surface.region import Array

_FARTHEST = 2.0  # of the card's longer side, from its middle: the plane is not known further away


@dataclass(frozen=True, eq=False)
class CardPlane:
    """The plane of a card in the photo, taken for the surface's own about it."""

    fix: CardFix

    @property
    def outline_px(self) -> Array:
        """The card's corners (4, 2), px of the photo."""
        return self.fix.outline_px

    def longest_mm(self, outline_px: Array) -> float | None:
        """Return the longest side in mm of an outline (N, 2) px; None where the card is too far away."""
        points = outline_px[None].astype(np.float64)
        mm = cv2.perspectiveTransform(points, np.linalg.inv(self.fix.homography))[0]
        card = self.fix.card
        far = np.hypot(*(mm - [card.width_mm / 2, card.height_mm / 2]).T).max()
        if not far < _FARTHEST * max(card.width_mm, card.height_mm):
            return None
        return float(max(cv2.minAreaRect(mm.astype(np.float32))[1]))


def card_plane(photo: Photo, cards: Sequence[Card], camera: CameraFile | None = None) -> CardPlane | None:
    """Return the plane of the card in the photo, None where none of `cards` is found whole and flat."""
    if not cards:
        return None
    fix = find_card(photo, cards, camera_knowledge(photo, camera), lambda _: CardKnowledge())
    return CardPlane(fix) if isinstance(fix, CardFix) else None
