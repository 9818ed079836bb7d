"""Blurred steps in linear light: place, scatter against Fisher's bound, colours, refusals.

Measured (`test_white_strips…`, 1500 strips a case, step 60/255, worst of 15 cases):
bias 0.006 px, sd 1.04 × the bound, with the blur known and with the blur free.
"""

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter, map_coordinates
from scipy.special import ndtr

from tests.accuracy.edges import STEP, fisher_bound
from vision.edges import bell_and_step, binned, fit_limbs, fit_steps, sample, sampled_blur, to_contrast

Array = NDArray[np.float64]


@pytest.mark.parametrize("free", [False, True])
@pytest.mark.parametrize("blur", [0.7, 1.0, 1.5, 2.0, 3.0])
@pytest.mark.parametrize("noise", [1.0, 3.0, 8.0])
def test_white_strips_are_placed_without_bias_at_fishers_bound(blur: float, noise: float, free: bool) -> None:
    # Ten rows a strip, noise of each pixel 1 to 8 of 255.
    rng, n, rows = np.random.default_rng(30), 1500, 10
    reach = max(4 * blur, 4.0)
    t = np.arange(-2.0 * np.ceil(reach), 2.0 * reach + 0.01)
    centre = rng.uniform(-1, 1, n)
    start = centre + rng.uniform(-1, 1, n) * blur
    sd = noise / 255 / np.sqrt(rows)
    strips = 0.3 + STEP * ndtr((t - centre[:, None]) / blur) + rng.normal(0, sd, (n, t.size))
    steps = fit_steps(strips, t, start, blur, reach, free_blur=free)
    window = np.abs(t - start[:, None]) <= reach
    error = steps.position - centre
    ratio = error / fisher_bound(t, centre, window, blur, sd, free)
    assert steps.good.mean() > 0.99
    assert abs(error[steps.good].mean()) <= 0.02
    assert ratio[steps.good].std() <= 1.15


def slanted(
    blur: float, noise: float, seed: int, slope: float = 0.05, rows: int = 400
) -> tuple[Array, Array]:
    """A picture (rows, 41) of a slanted edge, pixels of linear light, and its place in each row."""
    rng = np.random.default_rng(seed)
    x = np.mgrid[0:rows, 0:41][1].astype(float)
    place = 20 + rng.uniform(-0.5, 0.5) + slope * (np.arange(rows) - rows / 2)
    light = 0.3 + STEP * ndtr((x - place[:, None]) / np.hypot(1, slope) / blur)
    return light + rng.normal(0, noise / 255, light.shape), place


def errors_on_pictures(blur: float, noise: float, spacing: float) -> tuple[Array, Array]:
    """Errors of strips of four rows sampled from pictures, and their stated uncertainties."""
    errors, stated = [], []
    for seed in range(8):
        light, place = slanted(blur, noise, seed)
        reach = max(4 * blur, 4.0)
        t = np.arange(-reach - 1, reach + 1.01, spacing)
        rows = np.arange(light.shape[0], dtype=float)
        x, y = place[:, None] + t, rows[:, None] + 0 * t
        strips = binned(sample(light.astype(np.float32)[:, :, None], x, y), 4)[:, :, 0]
        steps = fit_steps(strips, t, np.zeros(len(strips)), blur, reach)
        errors.append(steps.position[steps.good])
        stated.append(steps.sigma[steps.good])
    return np.concatenate(errors), np.concatenate(stated)


@pytest.mark.parametrize("blur", [0.7, 1.0, 2.0])
def test_strips_sampled_from_a_picture_are_placed_without_bias(blur: float) -> None:
    error, _ = errors_on_pictures(blur, 2.0, 0.5)
    assert abs(error.mean()) <= 0.02


@pytest.mark.parametrize("blur", [1.0, 2.0])
def test_the_stated_uncertainty_of_a_strip_sampled_from_a_picture_is_honest(blur: float) -> None:
    error, stated = errors_on_pictures(blur, 2.0, 0.5)
    assert 0.8 < (error / stated).std() < 1.25


def test_gamma_coded_light_moves_an_edge_to_its_dark_side_and_linear_light_does_not() -> None:
    # The reason for working on linear light: 0.4 to 0.6 px at a blur of 1 px and a full step.
    x = np.arange(41.0)
    fine = np.arange(0, 41, 0.01) - 0.5
    light = np.interp(x, fine, gaussian_filter(np.where(fine < 20.3, 0.02, 0.9), 100.0))
    coded = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    places = [float(fit_steps(v[None], x, np.array([20.0]), 1.0, 5.0).position[0]) for v in (light, coded)]
    assert places[0] == pytest.approx(20.3, abs=0.02)
    assert 19.6 < places[1] < 20.3 - 0.3  # left is the dark side


def test_a_falling_step_is_placed_where_the_rising_one_is() -> None:
    t = np.arange(-8.0, 9.0)
    rising = ndtr((t[None] - 0.37) / 1.2)
    up = fit_steps(rising, t, np.zeros(1), 1.2, 6.0)
    down = fit_steps(0.8 - 0.5 * rising, t, np.zeros(1), 1.2, 6.0)
    assert up.position[0] == pytest.approx(0.37, abs=1e-6)
    assert down.position[0] == pytest.approx(0.37, abs=1e-6)
    assert (up.contrast[0], down.contrast[0]) == pytest.approx((1.0, 0.5), abs=1e-6)


@pytest.mark.parametrize("true_blur", [0.8, 1.7, 2.6])
def test_a_free_blur_is_found(true_blur: float) -> None:
    t = np.arange(-12.0, 13.0)
    steps = fit_steps(ndtr((t[None] + 0.4) / true_blur), t, np.zeros(1), 1.2, 10.0, free_blur=True)
    assert (steps.position[0], steps.blur[0]) == pytest.approx((-0.4, true_blur), abs=2e-3)


def test_noise_alone_and_steps_out_of_reach_are_not_good() -> None:
    rng, t = np.random.default_rng(32), np.arange(-8.0, 9.0)
    noise = 0.5 + rng.normal(0, 0.01, (300, t.size))
    assert fit_steps(noise, t, np.zeros(300), 1.0, 5.0).good.mean() < 0.05
    beside = ndtr((t[None] - 4.5) / 1.0) + rng.normal(0, 0.01, (300, t.size))
    assert not fit_steps(beside, t, np.zeros(300), 1.0, 5.0).good.any()


def test_a_change_of_colour_alone_is_an_edge() -> None:
    # Red against green of the same mean: no edge in grey, a full one in colour.
    t = np.arange(-10.0, 11.0)
    share = ndtr((t - 0.6) / 1.1)[None, :, None]
    colours = (1 - share) * np.array([0.6, 0.1, 0.2]) + share * np.array([0.1, 0.6, 0.2])
    profile, height = to_contrast(colours, t, np.zeros(1), 3.0, 8.0)
    assert np.ptp(colours.mean(axis=2)) < 1e-9
    assert height[0] == pytest.approx(0.5 * np.sqrt(2), rel=1e-2)
    steps = fit_steps(profile, t, np.zeros(1), 1.1, 7.0)
    assert steps.position[0] == pytest.approx(0.6, abs=1e-3)


def test_samples_are_bilinear() -> None:
    # scipy.ndimage.map_coordinates of order 1; OpenCV's remap rounds weights to 1/32 px.
    rng = np.random.default_rng(33)
    image = gaussian_filter(rng.uniform(0, 1, (60, 80)), 2.0).astype(np.float32)
    x, y = rng.uniform(1, 78, (50, 4)), rng.uniform(1, 58, (50, 4))
    theirs = map_coordinates(image, [y, x], order=1)
    slope = float(np.max(np.abs(np.gradient(image))))
    np.testing.assert_allclose(sample(image[:, :, None], x, y)[:, :, 0], theirs, rtol=0, atol=2 * slope / 64)


def test_bins_are_means_of_whole_runs() -> None:
    profiles = np.arange(7 * 2 * 1, dtype=float).reshape(7, 2, 1)
    np.testing.assert_array_equal(binned(profiles, 3)[:, :, 0], [[2.0, 3.0], [8.0, 9.0]])


@pytest.mark.parametrize("blur", [0.8, 1.2, 1.8])
def test_an_outline_sampled_from_a_picture_is_placed_without_bias(blur: float) -> None:
    # A matt cylinder of 60 px radius that leans by 1 in 20, lit from the camera: it darkens as the
    # root of the distance from its outline.  Drawn eight times finer, so that pixels average it.
    fine, rows, radius = 8, 240, 60.0
    y, x = (np.mgrid[0 : rows * fine, 0 : 50 * fine] + 0.5) / fine
    limb = 30 + 0.05 * (y - rows / 2)
    u = np.clip((limb - x) / radius, 0, 2)
    light = np.where(x < limb, 0.1 + 0.6 * np.sqrt(u * (2 - u)), 0.05)
    soft = gaussian_filter(light, blur * fine, mode="nearest")
    picture = soft.reshape(rows, fine, 50, fine).mean(axis=(1, 3)).astype(np.float32)[:, :, None]
    seen = np.hypot(blur, np.sqrt(1 / 12))  # with the pixels' own width
    row = np.arange(12, rows - 12, dtype=float)
    # Pixel i covers i to i + 1 of the drawing's x.
    foot = np.column_stack([30 - 0.5 + 0.05 * (row + 0.5 - rows / 2), row])
    normal = np.array([1, -0.05]) / np.hypot(1, 0.05)
    t = np.arange(-14, 9.01, 0.5)
    where = foot[:, None, :] + t[None, :, None] * normal
    profiles = binned(sample(picture, where[..., 0], where[..., 1]), 6)[:, :, 0]

    def bias(width: float) -> float:
        steps = fit_limbs(profiles, t, np.zeros(len(profiles)), width, 8.0, 4 * width + 1)
        return float(np.median(steps.position[steps.good]))

    assert abs(bias(sampled_blur(float(seen)))) < 0.02
    assert abs(bias(float(seen))) > 0.02  # what leaving the sampling out costs


def test_the_quick_normal_distribution_is_right_to_single_precision() -> None:
    u = np.linspace(-9.0, 9.0, 20001)
    bell, step = bell_and_step(u)
    assert np.abs(step - ndtr(u)).max() < 4e-7
    assert np.abs(bell - np.exp(-0.5 * u * u)).max() < 4e-7
