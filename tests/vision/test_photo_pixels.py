"""Linear light, burnt-out places and the reduced picture."""

import numpy as np
import pytest
from scipy.ndimage import map_coordinates
from skimage.transform import downscale_local_mean

from tests.scenes.photo_files import encoded, smooth_picture
from vision.photo import SRGB, Photo, ToneCurve, read_photo

PHOTO = read_photo(encoded(smooth_picture(61, 47), "PNG"))


@pytest.mark.parametrize(
    ("sample", "light"),
    # IEC 61966-2-1: V / 12.92 up to 0.04045, ((V + 0.055) / 1.055) ** 2.4 above; worked by hand.
    [(0, 0.0), (10, 0.0030353), (11, 0.0033465), (128, 0.2158605), (188, 0.5028865), (255, 1.0)],
)
def test_srgb_is_the_standards_curve(sample, light):
    assert SRGB.lut[sample] == pytest.approx(light, abs=1e-6)


def test_linear_window_is_the_curve_of_its_pixels():
    window = PHOTO.linear(5, 7, 20, 30)
    assert window.dtype == np.float32
    assert window.shape == (23, 15, 3)
    np.testing.assert_array_equal(window, SRGB.lut[PHOTO.pixels[7:30, 5:20]])


# Inside, on the borders, and beyond them.
BETWEEN = (
    np.array([[0.0, 3.25, 17.5, 60.0, 59.75], [12.0, -2.0, 63.0, 30.1, 60.0]]),
    np.array([[0.0, 8.75, 46.0, 46.0, 45.5], [-0.5, 20.0, 20.3, 49.0, 0.0]]),
)


def test_light_between_pixels_is_mixed_as_light():
    whole = PHOTO.linear(0, 0, 61, 47)
    x, y = (np.clip(part, 0, most) for part, most in zip(BETWEEN, (60, 46), strict=True))
    coordinates = np.stack([y, x])
    expected = np.stack(
        [map_coordinates(whole[..., k], coordinates, order=1, mode="nearest") for k in range(3)], axis=-1
    )
    found = PHOTO.linear_at(*BETWEEN)
    assert found.dtype == np.float32
    np.testing.assert_allclose(found, expected, rtol=0, atol=1e-6)


def test_grey_between_pixels_is_the_mean_of_the_three_colours():
    np.testing.assert_allclose(
        PHOTO.grey_at(*BETWEEN), PHOTO.linear_at(*BETWEEN).mean(axis=2), rtol=0, atol=1e-6
    )


def test_no_places_have_no_light():
    assert PHOTO.linear_at(np.zeros((3, 0)), np.zeros((3, 0))).shape == (3, 0, 3)
    assert PHOTO.grey_at(np.zeros((0, 4)), np.zeros((0, 4))).shape == (0, 4)


def test_linear_window_is_a_copy():
    window = PHOTO.linear(0, 0, 5, 5)
    window[:] = 0
    assert PHOTO.linear(0, 0, 5, 5).max() > 0


@pytest.mark.parametrize(
    ("window", "shape"),
    [
        ((-5, -3, 4, 6), (6, 4)),
        ((50, 40, 99, 99), (7, 11)),
        ((70, 5, 80, 9), (4, 0)),
        ((-9, -9, -2, -2), (0, 0)),
    ],
)
def test_a_window_beyond_the_photo_is_clipped_to_it(window, shape):
    assert PHOTO.linear(*window).shape == (*shape, 3)
    assert PHOTO.clipped(*window).shape == shape


def test_gamma_raises_the_curve():
    np.testing.assert_allclose(SRGB.with_gamma(1.2).lut, SRGB.lut.astype(float) ** 1.2, rtol=0, atol=1e-6)
    np.testing.assert_array_equal(SRGB.with_gamma(1).lut, SRGB.lut)


def test_a_curve_for_each_channel_is_used_for_its_channel():
    tone = ToneCurve(np.stack([SRGB.with_gamma(g).lut for g in (0.9, 1.0, 1.1)]))
    window = PHOTO.linear(0, 0, 9, 9, tone)
    for channel, gamma in enumerate((0.9, 1.0, 1.1)):
        alone = PHOTO.linear(0, 0, 9, 9, SRGB.with_gamma(gamma))
        np.testing.assert_array_equal(window[..., channel], alone[..., channel])


def test_a_tone_curve_cannot_be_written_to():
    with pytest.raises(ValueError, match="read-only"):
        SRGB.lut[0] = 1


@pytest.mark.parametrize(
    ("lut", "words"),
    [
        (np.zeros(255), r"shape \(256,\) or \(3, 256\)"),
        (np.arange(256), "within 0 to 1"),
        (np.full(256, np.nan), "0 to 1"),
    ],
)
def test_a_table_that_is_no_tone_curve_is_refused(lut, words):
    with pytest.raises(ValueError, match=words):
        ToneCurve(lut)


def test_a_gamma_of_zero_is_refused():
    with pytest.raises(ValueError, match="gamma has to be above 0, it was 0"):
        SRGB.with_gamma(0)


def test_a_pixel_is_clipped_when_one_channel_is():
    pixels = np.array([[[253, 253, 253], [10, 254, 10], [255, 255, 255]]], np.uint8)
    assert Photo(pixels, PHOTO.facts).clipped(0, 0, 3, 1).tolist() == [[False, True, True]]


@pytest.mark.parametrize("factor", [1, 2, 3, 5, 47])
def test_reduced_is_the_mean_of_blocks(factor):
    small = PHOTO.reduced(factor)
    rows, columns = 47 // factor, 61 // factor
    assert small.shape == (rows, columns)
    whole = PHOTO.reduced(1)[: rows * factor, : columns * factor]
    outside = downscale_local_mean(whole.astype(float), (factor, factor))
    # The reducer rounds to whole levels, in fixed point for some factors.
    assert np.abs(small - outside).max() <= 0.51


def test_grey_is_the_weighted_sum_of_recommendation_601():
    weights = np.array([0.299, 0.587, 0.114])
    assert np.abs(PHOTO.reduced(1) - PHOTO.pixels @ weights).max() <= 0.51


def test_a_spot_is_found_again_where_the_relation_says():
    factor, x, y = 4, 22, 13
    pixels = np.zeros((40, 60, 3), np.uint8)
    pixels[y - 1 : y + 3, x - 2 : x + 2] = 255  # centred on (x - 0.5, y + 0.5)
    small = Photo(pixels, PHOTO.facts).reduced(factor).astype(float)
    rows, columns = np.indices(small.shape)
    centre = np.array([(columns * small).sum(), (rows * small).sum()]) / small.sum()
    # Integer samples of means of 0 to 16 white pixels of a block: exact to the rounding of one level.
    assert factor * centre + (factor - 1) / 2 == pytest.approx([x - 0.5, y + 0.5], abs=0.02)


@pytest.mark.parametrize("factor", [0, -2, 48])
def test_a_factor_that_leaves_nothing_is_refused(factor):
    with pytest.raises(ValueError, match=f"between 1 and the shorter side 47 was expected, not {factor}"):
        PHOTO.reduced(factor)


@pytest.mark.parametrize("pixels", [np.zeros((4, 4), np.uint8), np.zeros((4, 4, 3), np.float32)])
def test_a_photo_of_other_arrays_is_refused(pixels):
    with pytest.raises(ValueError, match=r"shape \(H, W, 3\) and uint8"):
        Photo(pixels, PHOTO.facts)
