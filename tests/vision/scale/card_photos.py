"""Photos of a printed card as OpenCV projects it: warped, blurred, noisy, sRGB.

Nothing here uses the project's own camera or geometry.
"""

from dataclasses import dataclass
from itertools import pairwise

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.scenes.card_texture import card_texture
from vision.card import Card
from vision.photo import Photo
from vision.photo.facts import PhotoFacts
from vision.photo.focal import focal_prior
from vision.scale import CameraKnowledge, CardKnowledge

Array = NDArray[np.float64]
TEXTURE_PX_PER_MM = 12
FINE = 3
SIZE = (1200, 1000)  # width, height, px
F_PX = 1600.0
MATRIX = np.array([[F_PX, 0, 604.0], [0, F_PX, 497.0], [0, 0, 1]])
CAMERA = CameraKnowledge(F_PX, 0.03 * F_PX, MATRIX[0, 2], MATRIX[1, 2])
MEASURED = CardKnowledge(scale_x_u=0.0005, scale_y_u=0.0002, measured=True)


@dataclass(frozen=True)
class CardScene:
    """Where a card hangs: rotation vector (rad), its middle (mm, camera frame), bend radius, light."""

    rotation: tuple[float, float, float] = (0.15, -0.2, 0.08)
    middle_mm: tuple[float, float, float] = (8.0, -6.0, 520.0)
    bend_radius_mm: float = np.inf  # about an axis across the card, bulging away from the camera
    blur_px: float = 1.0
    noise: float = 0.004  # of full white, in linear light

    def points_mm(self, card: Card, xy_mm: Array) -> Array:
        """Card points (N, 2) on the (bent) card, (N, 3) about its middle."""
        local = xy_mm - np.array([card.width_mm, card.height_mm]) / 2
        if np.isinf(self.bend_radius_mm):
            return np.column_stack([local, np.zeros(len(local))])
        angle, radius = local[:, 1] / self.bend_radius_mm, self.bend_radius_mm
        return np.column_stack([local[:, 0], radius * np.sin(angle), radius * (1 - np.cos(angle))])

    def project(self, card: Card, xy_mm: Array) -> Array:
        """Where OpenCV projects card points (N, 2) mm: (N, 2) px."""
        points, rotation = self.points_mm(card, xy_mm), np.array(self.rotation)
        px, _ = cv2.projectPoints(points, rotation, np.array(self.middle_mm), MATRIX, None)
        return np.asarray(px[:, 0])


def photo_of_card(card: Card, scene: CardScene, seed: int) -> Photo:
    """Return the photo of a card in front of a grey wall."""
    shape = (SIZE[1] * FINE, SIZE[0] * FINE)
    light = np.full(shape, 0.18, np.float32)
    face = 0.85 * card_texture(card, TEXTURE_PX_PER_MM)
    pieces = 1 if np.isinf(scene.bend_radius_mm) else 118
    edges = np.linspace(0, face.shape[0], pieces + 1).round().astype(int)
    for top, bottom in pairwise(edges):
        _paste(light, face, top, bottom, card, scene)
    light = cv2.GaussianBlur(light, (0, 0), scene.blur_px * FINE)
    light = cv2.resize(light, SIZE, interpolation=cv2.INTER_AREA)
    return photo_of_light(light + np.random.default_rng(seed).normal(0, scene.noise, light.shape))


def _paste(
    light: NDArray[np.float32], face: Array, top: int, bottom: int, card: Card, scene: CardScene
) -> None:
    """Warp rows top to bottom of the face, as one plane, onto the fine picture."""
    corners = np.array([[0, top], [face.shape[1], top], [face.shape[1], bottom], [0, bottom]], float)
    seen = scene.project(card, corners / TEXTURE_PX_PER_MM) * FINE + (FINE - 1) / 2
    low = np.maximum(np.floor(seen.min(axis=0)).astype(int) - 1, 0)
    high = np.minimum(np.ceil(seen.max(axis=0)).astype(int) + 2, light.shape[::-1])
    if (high <= low).any():
        return
    # Two rows more on both sides, so that it does not matter which plane a pixel at a seam belongs to.
    first = max(top - 2, 0)
    # The face's pixel [i, j] is centred at (j + 0.5, i + 0.5) / TEXTURE_PX_PER_MM mm.
    source, target = corners - [0.5, first + 0.5], seen - low
    h = cv2.getPerspectiveTransform(source.astype(np.float32), target.astype(np.float32))
    size = (int(high[0] - low[0]), int(high[1] - low[1]))
    warped = cv2.warpPerspective(face[first : bottom + 2], h, size, borderMode=cv2.BORDER_REPLICATE)
    mask = np.zeros(size[::-1], np.uint8)
    cv2.fillConvexPoly(mask, np.round(target).astype(np.int32), 1)
    window = light[low[1] : high[1], low[0] : high[0]]
    window[mask > 0] = warped[mask > 0]


def photo_of_light(light: Array) -> Photo:
    """Return the photo of linear light (H, W), coded as sRGB in 8 bits."""
    light = np.clip(light, 0, 1)
    coded = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    pixels = np.repeat(np.round(255 * coded).astype(np.uint8)[:, :, None], 3, axis=2)
    height, width = light.shape
    facts = PhotoFacts("JPEG", width, height, focal_prior((width, height), None))
    return Photo(pixels, facts)


def known(_: Card) -> CardKnowledge:
    """A card copy whose check bars were measured."""
    return MEASURED
