"""Metal and sun on drawn hoses: they are there where the truth says, and hide no wear."""

import cv2
import numpy as np
import pytest

from tests.accuracy.hose import overlap
from tests.scenes.hose import HoseCase, hose_case
from tests.scenes.hose_things import Distractor, laid

SEEDS = range(40, 60)


def drawn(kind: str) -> tuple[HoseCase, np.ndarray, np.ndarray]:
    """The first case with such a thing, its outline, its photo's grey levels."""
    for seed in SEEDS:
        case = hose_case(seed)
        for one in case.truth.distractors:
            if one.kind == kind and one.drawn:
                photo = cv2.imdecode(np.frombuffer(case.photo_bytes, np.uint8), cv2.IMREAD_GRAYSCALE)
                return case, one.outline_px, photo
    pytest.fail(f"no seed of {SEEDS} draws a {kind}")


@pytest.mark.parametrize("kind", ["fitting", "clamp", "streak", "sun"])
def test_metal_and_sun_lie_over_no_spot(kind: str) -> None:
    case, shape, _ = drawn(kind)
    mine = [spot.outline_px for spot in case.truth.spots if spot.hose == 0]
    assert all(overlap(shape, spot) == 0 for spot in mine)


def test_beyond_its_fitting_a_hose_has_no_cover_and_nothing_lies_on_it() -> None:
    case, _, _ = drawn("fitting")
    hose = case.truth.hoses[0]
    low, high = hose.cover_px
    assert np.isfinite([low, high]).sum() == 1
    assert all(low < spot.along_px < high for spot in case.truth.spots if spot.hose == 0)


def test_a_sun_streak_is_brighter_than_the_hose_beside_it() -> None:
    _, shape, photo = drawn("streak")
    inside = np.zeros(photo.shape, np.uint8)
    cv2.fillPoly(inside, [np.round(shape).astype(np.int32)], 1)
    about = cv2.dilate(inside, np.ones((9, 9), np.uint8)) > inside
    assert np.median(photo[inside > 0]) > np.median(photo[about]) + 15


@pytest.mark.parametrize("kind", ["fluid", "label"])
def test_what_is_laid_over_a_place_without_any_light_has_a_light(kind: str) -> None:
    dark = np.full((40, 40, 3), -0.001)
    thing = Distractor(kind, np.array([[5.0, 5], [35, 5], [35, 35], [5, 35]]), 0)
    assert np.isfinite(laid(dark, thing, np.zeros(2), np.random.default_rng(0))).all()
