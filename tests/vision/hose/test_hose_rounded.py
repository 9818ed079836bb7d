"""What is round as a hose is: drawn hoses with print and dust are, open data's grounds are not."""

from dataclasses import replace

import cv2
import numpy as np
import pytest
import skimage.data

from tests.vision.hose.drawn import RADIUS_PX, hose_jpeg, middle
from vision.hose.course import Course
from vision.hose.rounded import light_of, rounded
from vision.photo import Photo, read_photo

X = np.arange(60.0, 1340.0)
ON_HOSE = Course(np.stack([X, middle(X)], axis=1), np.full(len(X), RADIUS_PX))


def written_on(photo: Photo) -> Photo:
    """The hose with print along three quarters of it, letters half as high as it is wide."""
    pixels = photo.pixels.copy()
    for x in range(60, 1020, 24):
        at = (x, int(middle(float(x)) + 0.5 * RADIUS_PX))
        cv2.putText(pixels, "8", at, cv2.FONT_HERSHEY_SIMPLEX, RADIUS_PX / 22, (230, 225, 190), 3)
    return replace(photo, pixels=pixels)


def test_a_plain_hose_and_a_written_one_are_round() -> None:
    plain = read_photo(hose_jpeg())
    written = written_on(plain)
    assert rounded(plain, ON_HOSE)
    assert rounded(written, ON_HOSE)
    # The print is seen as such: only the stretch without it makes the hose round.
    on_print = Course(ON_HOSE.points[:940], ON_HOSE.radius[:940])
    assert light_of(written, on_print)[0] > 2 * light_of(plain, on_print)[0]


@pytest.mark.parametrize("name", ["brick", "gravel", "grass"])
def test_nothing_on_a_flat_ground_is_round(name: str) -> None:
    """The open textures that scikit-image carries; 60 straight courses on each."""
    grey = getattr(skimage.data, name)()
    shown = cv2.resize(grey, None, fx=1600 / max(grey.shape), fy=1600 / max(grey.shape))
    ok, jpeg = cv2.imencode(".jpg", shown)
    assert ok
    photo = read_photo(jpeg.tobytes())
    height, width = shown.shape[:2]
    rng = np.random.default_rng(3)
    taken = 0
    for _ in range(60):
        start, end = rng.uniform([80, 80], [width - 80, height - 80], (2, 2))
        length = int(np.hypot(*(end - start)))
        radius = float(rng.uniform(20, 70))
        if length < 6 * radius:
            continue
        points = start + np.linspace(0, 1, length)[:, None] * (end - start)
        taken += rounded(photo, Course(points, np.full(length, radius)))
    assert taken == 0
