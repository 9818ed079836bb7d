"""What is blurred does not count as searched, what is sharp does."""

from dataclasses import replace

import cv2
import numpy as np
import pytest

from tests.vision.hose.drawn import WIDTH, hose_jpeg, middle
from vision.hose import Searched, Tap, search_hoses
from vision.leg import HoseData
from vision.photo import Photo, read_photo

LEG = (HoseData("brake", 15.0, 0.1, "rubber", "demo"),)
TAP = Tap(tuple((float(x), float(middle(x))) for x in range(60, 1350, 180)), "brake")


def seen_along(photo: Photo) -> tuple[np.ndarray, np.ndarray]:
    """Column of the photo of each stretch, and whether any of it counts as searched."""
    found = search_hoses(photo, LEG, [TAP])
    assert isinstance(found, Searched), found
    hose = found.hoses[0]
    seen = hose.coverage.seen.any(axis=1)
    at = ((np.arange(len(seen)) + 0.5) / len(seen) * len(hose.course.points)).astype(int)
    return hose.course.points[at, 0], seen


def half_blurred(kernel: np.ndarray) -> Photo:
    photo = read_photo(hose_jpeg())
    soft = cv2.filter2D(photo.pixels, -1, kernel, borderType=cv2.BORDER_REPLICATE)
    pixels = photo.pixels.copy()
    pixels[:, WIDTH // 2 :] = soft[:, WIDTH // 2 :]
    return replace(photo, pixels=pixels)


def disc(radius: int) -> np.ndarray:
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * radius + 1,) * 2).astype(float)
    return kernel / kernel.sum()


@pytest.mark.parametrize("kernel", [disc(8), np.ones((21, 1)) / 21], ids=["out of focus", "shaken across"])
def test_a_blurred_half_is_not_searched_and_the_sharp_one_is(kernel: np.ndarray) -> None:
    x, seen = seen_along(half_blurred(kernel))
    assert seen[(x > 150) & (x < WIDTH / 2 - 150)].all()
    assert not seen[x > WIDTH / 2 + 150].any()


def test_a_softness_that_takes_nothing_from_a_spot_stays_searched() -> None:
    x, seen = seen_along(half_blurred(disc(2)))
    assert seen[(x > 150) & (x < 1250)].all()
