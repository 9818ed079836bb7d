"""Cards that a shop made itself: markers alone, or markers with dots.

Measured, 3 px/mm: dots 0.006 px rms from OpenCV's projection; corners of 14 mm markers
0.03 px at a blur of 0.7 px, but 0.07, 0.14 and 0.31 px at 1.0, 1.3 and 1.8 px.
"""

from typing import Any

import numpy as np
import pytest

from tests.vision.scale.card_photos import CAMERA, CardScene, known, photo_of_card
from vision.card import Card, card_from_json, supplied_card, to_json
from vision.scale import CardFix, find_card

STRIP: dict[str, Any] = to_json(supplied_card("strip"))
BARE = {key: STRIP[key] for key in ("dictionary", "width_mm", "height_mm", "markers")}
MARKERS = card_from_json(BARE | {"name": "markers"}, "test")
DOTS = card_from_json(
    BARE
    | {
        "name": "dots",
        "dots": [
            {"xy_mm": [x, y], "diameter_mm": 3.0} for y in np.arange(12.0, 228.0, 7.0) for x in (8.0, 38.0)
        ],
    },
    "test",
)


def found(card: Card, scene: CardScene) -> CardFix:
    fix = find_card(photo_of_card(card, scene, 42), [card], CAMERA, known)
    assert isinstance(fix, CardFix)
    return fix


def rms_from_opencv(fix: CardFix, scene: CardScene) -> float:
    return float(np.sqrt(np.mean((fix.px - scene.project(fix.card, fix.xy_mm)) ** 2)))


@pytest.mark.parametrize(
    "blur",
    [0.7, 1.3],
)
def test_corners_of_a_card_of_markers_alone_lie_where_opencv_projects_them(blur: float) -> None:
    # Lines fitted along a marker's sides in linear light: 0.006 to 0.043 px rms (methods, section Traps).
    scene = CardScene(blur_px=blur)
    fix = found(MARKERS, scene)
    assert len(fix.px) == 32
    assert rms_from_opencv(fix, scene) < 0.05
    assert fix.px_per_mm == pytest.approx(scale_of(MARKERS, scene), rel=1e-3)


def scale_of(card: Card, scene: CardScene) -> float:
    middle = np.array([card.width_mm, card.height_mm]) / 2
    px = scene.project(card, middle + 0.5 * np.array([[1, 0], [-1, 0], [0, 1], [0, -1.0]]))
    return float(np.sqrt(abs(np.linalg.det(np.array([px[0] - px[1], px[2] - px[3]])))))


@pytest.mark.parametrize("blur", [0.7, 1.3])
def test_dots_lie_where_opencv_projects_them(blur: float) -> None:
    scene = CardScene(blur_px=blur)
    fix = found(DOTS, scene)
    assert len(fix.px) == 62
    assert rms_from_opencv(fix, scene) < 0.02
    assert fix.px_per_mm == pytest.approx(scale_of(DOTS, scene), rel=5e-4)


def test_without_a_wedge_the_tone_curve_stays_srgb_with_its_doubt() -> None:
    fix = found(DOTS, CardScene())
    assert (fix.wedge.gamma, fix.wedge.gamma_sd) == (1.0, pytest.approx(0.08))
