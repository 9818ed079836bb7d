"""Places held against what lies before and behind them, and things that lie on a hose named as such."""

import cv2
import numpy as np
import pytest

from tests.accuracy.hose import overlap, tapped
from tests.scenes.hose import HoseCase, hose_case
from vision.hose import Searched, search_hoses
from vision.hose.contrast import contrasts, spread
from vision.hose.pair import search_pair
from vision.leg import HoseData
from vision.photo import read_photo
from vision.results import Refusal

RUBBER = 600  # a composited photo of a rubber hose with two spots, tape and a label
EVERYWHERE = np.ones((40, 600), bool)


def searched(case: HoseCase, second: bytes | None = None) -> Searched | Refusal:
    hoses = case.truth.hoses
    legs = [
        HoseData(f"hose {k}", one.diameter_mm, 0.01 * one.diameter_mm, one.cover, "scene")
        for k, one in enumerate(hoses)
    ]
    taps = [tapped(one, f"hose {k}", 5, 0.0) for k, one in enumerate(hoses)]
    photo = read_photo(case.photo_bytes)
    if second is None:
        return search_hoses(photo, legs, taps)
    return search_pair(photo, read_photo(second), legs, taps, second_taps=taps)


def most(signal: np.ndarray, known: np.ndarray = EVERYWHERE) -> float:
    return max(float(one.max()) for one, *_ in contrasts(signal.astype(np.float32), known, 48.0))


def test_light_that_comes_and_goes_slowly_along_a_hose_has_no_contrast() -> None:
    slow = np.tile(0.4 * np.sin(np.arange(600) / 95), (40, 1))
    assert most(slow) < 0.2
    slow[15:25, 300:330] += 0.6
    assert most(slow) > 0.3


def test_a_place_is_evened_as_a_gaussian_filter_evens_it() -> None:
    signal = np.random.default_rng(4).normal(0, 0.1, (40, 600)).astype(np.float32)
    for contrast, beside, length, height in contrasts(signal, EVERYWHERE, 48.0):
        here, flank = (
            cv2.sepFilter2D(
                signal,
                -1,
                cv2.getGaussianKernel(round(8 * along / 3 + 1) | 1, along / 3),
                cv2.getGaussianKernel(round(8 * height / 3 + 1) | 1, height / 3),
                borderType=cv2.BORDER_REFLECT,
            )
            for along in (length, max(3, length // 2) | 1)
        )
        assert np.abs(contrast + beside - here).max() < 1e-5
        away = length // 2 + max(3, length // 2) // 2 + max(2, length // 5)
        inner = slice(away, 600 - away)
        brighter = np.maximum(flank[:, 2 * away :], flank[:, : 600 - 2 * away])
        assert np.abs(beside[:, inner] - np.maximum(brighter, -0.12)).max() < 1e-5


def test_the_spread_of_some_rows_is_that_of_all() -> None:
    contrast = np.random.default_rng(5).normal(0, 0.1, (40, 600)).astype(np.float32)
    whole = spread(contrast)
    for rows in (slice(0, 5), slice(1, 9), slice(17, 18), slice(30, 40), slice(0, 0)):
        assert np.array_equal(spread(contrast, rows), whole[rows])


def test_a_dark_place_on_both_sides_makes_nothing_between_them_bright() -> None:
    dark = np.zeros((40, 600))
    dark[:, 250:290] = dark[:, 320:360] = -0.8
    assert most(dark) < 0.2


def test_wear_beside_a_bright_thing_is_held_against_its_other_neighbour() -> None:
    signal = np.zeros((40, 600))
    signal[:, 340:380] = 2.0
    signal[15:25, 300:330] = 0.4
    known = EVERYWHERE.copy()
    known[:, 336:384] = False
    assert most(np.where(known, signal, 0), known) > 0.3


def test_plain_wear_on_a_lit_rubber_hose_is_flagged_and_tape_and_label_are_named() -> None:
    case = hose_case(RUBBER, "plain")
    found = searched(case)
    assert isinstance(found, Searched), found
    # The faintest wear is a matter of the benchmark's recall, not of one photo.
    plain = [spot for spot in case.truth.spots if spot.grade > 1]
    assert plain
    for spot in plain:
        assert any(overlap(flag.outline_px, spot.outline_px) > 0.3 for flag in found.flags)
    for thing in case.truth.distractors:
        if thing.kind in ("tape", "label"):
            kinds = {one.kind for one in found.set_aside if overlap(one.outline_px, thing.outline_px) > 0.3}
            assert thing.kind in kinds


@pytest.mark.parametrize("seed", [600, 602, 608, 611])
def test_a_hose_is_read_as_wide_as_it_is_whatever_its_light(seed: int) -> None:
    case = hose_case(seed, "plain")
    found = searched(case)
    assert isinstance(found, Searched), found
    width = found.hoses[0].course.width_px
    assert width == pytest.approx(2 * case.truth.hoses[0].radius_px, rel=0.07)


def test_two_photos_from_one_place_are_refused_though_both_hoses_are_shown() -> None:
    case = hose_case(RUBBER, "still")
    assert case.second_bytes is not None
    found = searched(case, case.second_bytes)
    assert isinstance(found, Refusal)
    assert found.remedy.code == "hose-pair-no-shift"
