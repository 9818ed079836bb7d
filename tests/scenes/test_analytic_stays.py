"""The pictures of old seeds stay as they are, and what hard scenes add is seen where it should be.

A fingerprint is the hash of the means of tiles, rounded to a quarter of a code: another random number
anywhere changes some of them, the last bit of another processor's arithmetic does not.
"""

import hashlib
from dataclasses import replace

import numpy as np
import pytest

from tests.accuracy.draw import draw
from tests.scenes.analytic import StrutScene, render
from tests.scenes.extras import Board, Extras, Ring
from tests.scenes.strut_camera import project, rolled, unrolled

SMALL = 6


def small(scene: StrutScene) -> StrutScene:
    return replace(
        scene,
        width_px=scene.width_px // SMALL,
        height_px=scene.height_px // SMALL,
        focal_px=scene.focal_px / SMALL,
    )


def fingerprint(picture: np.ndarray) -> str:
    rows, columns = picture.shape[0] // 16 * 16, picture.shape[1] // 16 * 16
    tiles = picture[:rows, :columns].reshape(rows // 16, 16, columns // 16, 16, 3).mean(axis=(1, 3))
    return hashlib.sha256(np.round(4 * tiles).astype(np.int32).tobytes()).hexdigest()[:16]


@pytest.mark.parametrize(
    "seed, fair, expected",
    [
        (0, True, "604ef67389e0c859"),
        (7, True, "a8f175840e37e528"),
        (5003, True, "5c50a1701bc266c5"),
        (1, False, "0344607f7dfa0e43"),
        (2498, False, "a0317c1b9713b615"),
    ],
)
def test_the_pictures_of_old_seeds_stay_as_they_are(seed: int, fair: bool, expected: str) -> None:
    picture, _ = render(small(draw(seed, fair).scene))
    assert fingerprint(picture) == expected


def test_a_bent_card_and_a_hidden_band_stay_as_they_are() -> None:
    scene = StrutScene(seed=4, band_hidden_deg=(-20, 15), card_bend_radius_mm=500, k1=0.03)
    assert fingerprint(render(small(scene))[0]) == "a7ce1ec3a71dfa49"


def test_extras_that_are_all_absent_change_nothing_but_the_background_they_repeat() -> None:
    scene = small(StrutScene(seed=5))
    plain, extras = render(scene)[0], render(replace(scene, extras=Extras()))[0]
    assert np.abs(plain.astype(int) - extras).max() <= 1


def test_a_rolling_shutter_shears_the_picture_as_it_shears_the_truths_pixels() -> None:
    points = np.array([[0.0, -31.0, 0.0], [0.0, -31.0, -88.9], [30.0, -31.0, -150.0]])
    still = StrutScene(k1=0.03)
    turning = replace(still, shutter=(0.002, -0.001))
    before, after = project(still, points), project(turning, points)
    y = after[:, 1] - (still.height_px - 1) / 2
    np.testing.assert_allclose(after - before, y[:, None] * [0.002, -0.001], atol=1e-6)
    picture, truth = render(small(replace(turning, noise=0.0, jpeg_quality=None)))
    assert truth.to_px[0] - render(small(still))[1].to_px[0] == pytest.approx(
        (truth.to_px[1] - (still.height_px // SMALL - 1) / 2) * 0.002, abs=1e-3
    )
    xy = np.array([[0.1, -0.2], [-0.3, 0.4]])
    np.testing.assert_allclose(unrolled(rolled(xy, (0.002, -0.001)), (0.002, -0.001)), xy, atol=1e-12)
    assert (
        np.abs(picture.astype(int) - render(small(replace(still, noise=0.0, jpeg_quality=None)))[0]).max()
        > 20
    )


def seen(extras: Extras, **values: object) -> tuple[np.ndarray, np.ndarray]:
    """A small picture without and with extras, no noise and no JPEG."""
    scene = small(StrutScene(seed=6, noise=0.0, jpeg_quality=None, azimuth_deg=0.0, elevation_deg=0.0))
    scene = replace(scene, **values)
    return render(scene)[0].astype(int), render(replace(scene, extras=extras))[0].astype(int)


def changed(extras: Extras) -> np.ndarray:
    """Which rows of the picture the extras change."""
    plain, other = seen(extras)
    return np.flatnonzero((np.abs(plain - other).max(axis=2) > 12).any(axis=1))


def test_a_wiper_lip_hangs_below_the_rim_by_its_own_height() -> None:
    scene = small(StrutScene(azimuth_deg=0.0, elevation_deg=0.0))
    _, truth = render(scene)
    rows = changed(Extras(lip_mm=6.0))
    # Its mirror image in the chrome lies below it, so the dark starts at the rim and is 6 mm or more high.
    assert rows.min() == pytest.approx(truth.to_px[1], abs=2)
    assert len(rows) >= 0.8 * 6 * truth.px_per_mm


def test_an_oil_ring_lies_where_it_was_put() -> None:
    _, truth = render(small(StrutScene(azimuth_deg=0.0, elevation_deg=0.0)))
    rows = changed(Extras(oil=(Ring(-40.0, 4.0),)))
    assert rows.mean() == pytest.approx(truth.to_px[1] + 40 * truth.px_per_mm, abs=2)


def test_a_red_tag_beside_the_strut_is_red_in_the_picture() -> None:
    tag = Board((-80.0, 0.0, -60.0), (12.0, 20.0), rgb=(0.45, 0.03, 0.03))
    plain, other = seen(Extras(boards=(tag,)))
    red = (other[:, :, 0] > other[:, :, 1] + 60) & ~(plain[:, :, 0] > plain[:, :, 1] + 60)
    assert red.sum() > 50


def test_a_board_before_the_strut_hides_it_and_one_behind_does_not() -> None:
    grey = {"half_mm": (8.0, 8.0), "rgb": (0.9, 0.9, 0.9)}
    plain, before = seen(Extras(boards=(Board((0.0, -80.0, -60.0), **grey),)))
    _, behind = seen(Extras(boards=(Board((0.0, 80.0, -60.0), **grey),)))
    assert np.abs(before - plain).max() > 40
    assert np.abs(behind - plain).max() <= 1


@pytest.mark.parametrize(
    "extras",
    [
        Extras(split=(2.0, 1.2)),
        Extras(slots=6),
        Extras(slots=6, slots_through_rim=True),
        Extras(band_dirt=0.8),
        Extras(red_patch=(180.0, 0.0, 20.0)),
        Extras(rake_deg=(8.0, -8.0)),
        Extras(tone="root"),
        Extras(tone="film"),
        Extras(s_curve=0.3),
        Extras(sharpen=1.0),
        Extras(defocus_px=3.0),
        Extras(shake_px=5.0),
    ],
    ids=lambda extras: next(k for k, v in vars(extras).items() if v != vars(Extras())[k]),
)
def test_every_extra_is_seen(extras: Extras) -> None:
    plain, other = seen(extras)
    # Of 255 codes; the two usual tone curves differ by no more than 4, in the darks.
    assert (np.abs(plain - other).max(axis=2) >= 3).sum() > 20
