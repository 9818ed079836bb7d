"""The texture that rendered scenes put on their cards."""

import cv2
import numpy as np
import pytest

from tests.scenes.card_texture import card_texture
from vision.card.supplied import supplied_cards

STRIP, PLATE = supplied_cards()


def test_the_texture_covers_the_card_in_linear_reflectance() -> None:
    texture = card_texture(STRIP, 8)
    assert texture.shape == (236 * 8, 45 * 8)
    assert texture.dtype == np.float32
    assert (texture.min(), texture.max()) == (0.0, 1.0)
    for patch in STRIP.wedge:
        x, y, w, h = patch.rect_mm
        middle = texture[round((y + h / 2) * 8), round((x + w / 2) * 8)]
        assert middle == pytest.approx(patch.reflectance, abs=0.005)


@pytest.mark.parametrize("px_per_mm", [8, 7.3])
def test_a_saddle_lies_at_its_place_plus_half_a_pixel(px_per_mm: float) -> None:
    # Pixel [0, 0] is centred at half a pixel, so a place of s mm is pixel s·scale − 0.5.
    for card in (STRIP, PLATE):
        codes = np.round(255 * card_texture(card, px_per_mm)).astype(np.uint8)
        true = card.saddles_mm() * px_per_mm - 0.5
        start = (true + np.array([1.5, -1.5])).astype(np.float32).reshape(-1, 1, 2)
        stop = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 100, 1e-4)
        smooth = cv2.GaussianBlur(codes, (0, 0), 1.2)
        found = cv2.cornerSubPix(smooth, start, (7, 7), (-1, -1), stop).reshape(-1, 2)
        np.testing.assert_allclose((found - true) / px_per_mm, 0, rtol=0, atol=0.02)


def test_another_copy_differs_only_in_its_number() -> None:
    difference = card_texture(STRIP, 8, 101) != card_texture(STRIP, 8, 102)
    rows = np.flatnonzero(difference.any(axis=1)) / 8
    assert STRIP.copy_tag is not None
    words, tag = rows[rows < 100], rows[rows > 100]
    assert 60 < words.min() < words.max() < 82
    assert tag.min() > STRIP.copy_tag.corners_mm[0, 1]
    assert tag.max() < STRIP.copy_tag.corners_mm[2, 1]


def test_the_same_texture_is_handed_out_again() -> None:
    assert card_texture(STRIP, 8) is card_texture(STRIP, 8)
