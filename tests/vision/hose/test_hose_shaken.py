"""A photo shaken along a hose is not searched; one that is sharp, or shaken across, is not called that."""

from dataclasses import replace

import cv2
import numpy as np
import pytest

from tests.vision.hose.drawn import HEIGHT, RADIUS_PX, WIDTH, hose_jpeg, middle
from vision.hose import Searched, Tap, search_hoses
from vision.hose.course import Course
from vision.hose.shaken import shaken, spreads
from vision.leg import HoseData
from vision.photo import Photo, read_photo

LEG = (HoseData("brake", 15.0, 0.1, "rubber", "demo"),)
TAP = Tap(tuple((float(x), float(middle(x))) for x in range(60, 1350, 180)), "brake")
X = np.arange(40.0, 1360.0)
COURSE = Course(np.stack([X, middle(X)], axis=1), np.full(len(X), RADIUS_PX))
ALONG, ACROSS = np.ones((1, 21)) / 21, np.ones((21, 1)) / 21


def on_gravel(kernel: np.ndarray | None = None) -> Photo:
    """The drawn hose before a ground with stones of some px, moved by a kernel, with a camera's noise."""
    photo = read_photo(hose_jpeg())
    rng = np.random.default_rng(5)
    stones = 40 * cv2.GaussianBlur(rng.normal(0, 1, (HEIGHT, WIDTH)), (0, 0), 2.0) * 7
    y, x = np.mgrid[:HEIGHT, :WIDTH].astype(float)
    beside = np.clip(np.abs(y - middle(x)) - RADIUS_PX - 1, 0, 1)
    pixels = photo.pixels + (beside * stones)[..., None]
    if kernel is not None:
        pixels = cv2.filter2D(pixels, -1, kernel, borderType=cv2.BORDER_REPLICATE)
    pixels = pixels + rng.normal(0, 1.5, pixels.shape)
    return replace(photo, pixels=pixels.clip(0, 255).round().astype(np.uint8))


def seen(photo: Photo) -> float:
    found = search_hoses(photo, LEG, [TAP])
    assert isinstance(found, Searched), found
    return found.hoses[0].coverage.share


def test_a_photo_shaken_along_the_hose_counts_nothing_as_searched() -> None:
    assert seen(on_gravel()) > 0.2
    assert seen(on_gravel(ALONG)) == 0


@pytest.mark.parametrize(
    "kernel", [None, ACROSS, cv2.getGaussianKernel(31, 5) @ cv2.getGaussianKernel(31, 5).T]
)
def test_a_sharp_one_one_shaken_across_and_one_out_of_focus_are_none(kernel: np.ndarray | None) -> None:
    assert not shaken(on_gravel(kernel), COURSE)


def test_steps_spread_by_a_known_sigma_read_root_two_of_it() -> None:
    along, across = spreads(on_gravel(), COURSE)
    # Noise evened by 1.2 px adds to the 2 px of the stones.
    assert along == pytest.approx(across, rel=0.1)
    assert along == pytest.approx(np.hypot(2.0, 1.2), rel=0.35)


def test_a_plain_ground_tells_nothing() -> None:
    assert np.isnan(spreads(read_photo(hose_jpeg()), COURSE)).all()
    assert seen(read_photo(hose_jpeg())) > 0.2
