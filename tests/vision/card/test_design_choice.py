"""The figures behind the strip's layout hold, and its linear algebra agrees with a real fit."""

import re

import numpy as np
import pytest
from scipy.optimize import least_squares

from tests.vision.card import simulate_design as sim

LAYOUTS = {layout.name: layout for layout in sim.layouts()}
POSE = np.array([np.radians(sim.PITCH_DEG), 0.0, 0.0, 0.0, 0.0, sim.DISTANCE_MM])


def fitted_pitch(layout: sim.Layout, noise: np.ndarray) -> float:
    seen = sim.project(POSE, layout.points) + noise
    scale = [1, 1, 1, 100, 100, 1000]
    fit = least_squares(
        lambda p: (sim.project(p, layout.points) - seen).ravel(), POSE, x_scale=scale, xtol=1e-12
    )
    return float(np.degrees(fit.x[0]))


def test_the_written_table_is_what_the_simulation_gives() -> None:
    written, given = (
        [[float(n) for n in re.findall(r"-?\d+\.\d{3,}", line)] for line in text.splitlines()]
        for text in (sim.__doc__ or "", sim.table())
    )
    np.testing.assert_allclose([row for row in written if len(row) == 4], given, rtol=0, atol=0.0015)


def test_the_strip_tells_pitch_better_than_tags_and_without_bias() -> None:
    tags = sim.figures(LAYOUTS["8 tags"])
    strip = sim.figures(LAYOUTS["the strip: two checkers of 4.5 mm"])
    assert strip.pitch_sd < 0.6 * tags.pitch_sd
    assert abs(tags.pitch_bias) > tags.pitch_sd
    assert strip.pitch_bias == 0


def test_the_pitch_scatter_agrees_with_fits_of_noisy_points() -> None:
    layout = LAYOUTS["the strip: two checkers of 4.5 mm"]
    rng = np.random.default_rng(5)
    tries = [
        fitted_pitch(layout, sim.NOISE_PX * rng.standard_normal(layout.points.shape)) for _ in range(300)
    ]
    # 300 tries know a standard deviation to 4 %; three times that.
    assert np.std(tries) == pytest.approx(sim.figures(layout).pitch_sd, rel=0.12)


def test_the_pitch_bias_agrees_with_a_fit_of_inward_corners() -> None:
    layout = LAYOUTS["5 tags"]
    bias = fitted_pitch(layout, sim.INWARD_PX * layout.inward) - sim.PITCH_DEG
    assert bias == pytest.approx(sim.figures(layout).pitch_bias, abs=0.002)
